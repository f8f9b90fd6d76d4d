"""Capacity, whatever the table: monotone, reasoned, and plain about what it cannot do."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.bundle_factor import bundle_factor
from webapp.sizing.capacity import (
    COVERINGS,
    Capacity,
    capacity,
    minimum_section_mm2,
    standards,
    thinner_than_minimum,
)
from webapp.sizing.conductors import KINDS, Conductor, conductor, sizes
from webapp.sizing.reasons import SizingError

STANDARDS = [each.id for each in standards()]
# Every table holds something at 105 °C and from 1 mm².
wires = st.sampled_from([w for kind in KINDS for w in sizes(kind) if w.csa_mm2 >= 1])
standard_ids = st.sampled_from(STANDARDS)
surroundings = st.floats(-20, 95)


def found(wire: Conductor, standard: str, **changed: object) -> Capacity:
    values: dict[str, object] = {"standard": standard, "limit_c": 105, "ambient_c": 30} | changed
    return capacity(wire, **values)  # type: ignore[arg-type]


@given(wires, standard_ids, surroundings, surroundings, st.integers(1, 60), st.floats(0, 100))
@settings(max_examples=80)
def test_hotter_surroundings_and_more_wires_carry_less(
    wire: Conductor, standard: str, one_c: float, other_c: float, wires: int, loaded: float
) -> None:
    cooler, hotter = sorted((one_c, other_c))
    bundle = {"bundle_wires": wires, "bundle_loaded_percent": loaded}
    at_cooler = found(wire, standard, ambient_c=cooler, **bundle)
    at_hotter = found(wire, standard, ambient_c=hotter, **bundle)
    assert at_hotter.current_a <= at_cooler.current_a
    fuller = found(wire, standard, ambient_c=cooler, **(bundle | {"bundle_wires": wires + 1}))
    assert fuller.current_a <= at_cooler.current_a
    assert_reasons_hold(at_hotter.reasons)
    assert at_hotter.reasons[-1].value == at_hotter.current_a


@given(wires, standard_ids, surroundings)
@settings(max_examples=80)
def test_thicker_carries_no_less(wire: Conductor, standard: str, ambient_c: float) -> None:
    here = found(wire, standard, ambient_c=ambient_c).current_a
    for thicker in sizes(wire.kind, finish=wire.finish, insulation=wire.insulation):
        if thicker.csa_mm2 > wire.csa_mm2:
            assert here <= found(thicker, standard, ambient_c=ambient_c).current_a


@given(wires, standard_ids, st.integers(60, 200), st.integers(20, 100))
@settings(max_examples=80)
def test_better_insulation_carries_no_less(
    wire: Conductor, standard: str, limit_c: int, ambient_c: int
) -> None:
    """Also from the last degree below a column of the table to the column."""
    try:
        here = found(wire, standard, ambient_c=ambient_c, limit_c=limit_c)
    except SizingError:
        return
    better = found(wire, standard, ambient_c=ambient_c, limit_c=limit_c + 1)
    assert here.current_a <= better.current_a * (1 + 1e-9)


@pytest.mark.parametrize("standard", STANDARDS)
def test_result_is_the_product_of_its_factors(standard: str) -> None:
    wire = conductor("iec60228-class5", csa_mm2=2.5)
    result = found(wire, standard, ambient_c=60, bundle_wires=7, covering="split-conduit")
    product = result.table_current_a * result.ambient_factor * result.bundle_factor
    assert result.current_a == pytest.approx(product * result.covering_factor)
    assert result.covering_factor < 1


def test_each_covering_takes_something_and_none_takes_nothing() -> None:
    wire = conductor("iec60228-class5", csa_mm2=2.5)
    factors = {
        name: found(wire, "vehicle-50c", covering=name).covering_factor for name in COVERINGS
    }
    assert factors.pop("none") == 1
    assert all(0.5 < factor < 1 for factor in factors.values())


@given(st.integers(1, 100), st.floats(0, 100), st.floats(0, 100))
@settings(max_examples=60)
def test_fuller_bundles_have_smaller_factors(wires: int, one: float, other: float) -> None:
    emptier, fuller = sorted((one, other))
    assert bundle_factor(wires, fuller).value <= bundle_factor(wires, emptier).value
    assert 0 < bundle_factor(wires, fuller).value <= 1


@pytest.mark.parametrize("standard", ["small-craft-33cfr183", "small-craft-iso10133"])
def test_engine_space_is_never_cooler_than_the_standard_says(standard: str) -> None:
    wire = conductor("iec60228-class5", csa_mm2=2.5)
    outside = found(wire, standard, ambient_c=30).current_a
    in_cool_space = found(wire, standard, ambient_c=30, engine_space=True)
    in_hot_space = found(wire, standard, ambient_c=75, engine_space=True)
    assert in_hot_space.current_a < in_cool_space.current_a < outside
    assert in_hot_space.current_a == found(wire, standard, ambient_c=75).current_a
    assert_reasons_hold(in_cool_space.reasons)


def test_engine_space_changes_nothing_where_the_table_has_no_rule_for_it() -> None:
    wire = conductor("iec60228-class5", csa_mm2=2.5)
    plain = found(wire, "vehicle-50c", ambient_c=60)
    assert found(wire, "vehicle-50c", ambient_c=60, engine_space=True) == plain


def test_metric_section_is_read_as_the_gauge_not_larger() -> None:
    result = found(conductor("iec60228-class5", csa_mm2=1), "small-craft-33cfr183")
    assert result.table_current_a == 20  # AWG 18 at 105 °C; AWG 16 is 1.31 mm²
    assert "AWG 18" in result.reasons[0].text


def test_remembered_table_is_unconfirmed_and_the_law_is_not() -> None:
    wire = conductor("iec60228-class5", csa_mm2=1.5)
    assert not found(wire, "small-craft-iso10133").confirmed
    assert found(wire, "small-craft-33cfr183").confirmed


def test_surroundings_as_hot_as_the_insulation_are_refused() -> None:
    wire = conductor("iec60228-class5", csa_mm2=1.5)
    with pytest.raises(SizingError, match="leave nothing") as refused:
        found(wire, "vehicle-50c", limit_c=70, ambient_c=70)
    assert refused.value.field == "ambient_c"


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("standard", "house rule"),
        ("covering", "wool"),
        ("bundle_wires", 0),
        ("bundle_wires", 1.5),
        ("bundle_wires", True),
        ("bundle_loaded_percent", 101),
        ("bundle_loaded_percent", float("nan")),
        ("limit_c", "105"),
        ("limit_c", 1000),
        ("ambient_c", float("inf")),
        ("ambient_c", None),
    ],
)
def test_values_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    wire = conductor("iec60228-class5", csa_mm2=1.5)
    values: dict[str, object] = {"standard": "vehicle-50c", "limit_c": 105, "ambient_c": 30}
    with pytest.raises(SizingError) as refused:
        capacity(wire, **(values | {field: bad}))  # type: ignore[arg-type]
    assert refused.value.field == field


def test_wire_and_insulation_below_the_table_are_refused() -> None:
    thin = conductor("iso6722", csa_mm2=0.22)
    with pytest.raises(SizingError, match="thinner than anything"):
        found(thin, "small-craft-iso10133")
    soft = conductor("iec60228-class5", csa_mm2=1.5)
    with pytest.raises(SizingError, match="begins with insulation"):
        found(soft, "small-craft-33cfr183", limit_c=50)


def test_minimum_goes_by_gauge_where_both_are_gauges() -> None:
    assert not thinner_than_minimum(
        conductor("awg-stranded-tinned", awg=16), "small-craft-33cfr183"
    )
    assert thinner_than_minimum(conductor("awg-stranded-tinned", awg=18), "small-craft-33cfr183")
    assert thinner_than_minimum(conductor("iec60228-class5", csa_mm2=0.75), "small-craft-iso10133")
    assert minimum_section_mm2("small-craft-iso10133") == 1.0
