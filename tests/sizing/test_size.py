"""Choosing a wire: the thinnest that does its duty, and a plain word where none does."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.capacity import standards
from webapp.sizing.conductors import Conductor, conductor, sizes
from webapp.sizing.reasons import SizingError
from webapp.sizing.size import CannotSize, Duty, check_conductor, choose_conductor

BLOWER = Duty(
    load_a=4,
    length_m=3.4,
    return_length_m=3.4,
    system_voltage_v=11.5,
    max_drop_percent=3,
    drop_temperature_c=60,
    fuse_rating_a=7.5,
    ambient_c=60,
    limit_c=105,
    standard="small-craft-33cfr183",
)


@given(
    st.floats(0.1, 60),
    st.floats(0.1, 20),
    st.floats(1, 10),
    st.sampled_from([each.id for each in standards()]),
    st.sampled_from([None, 5, 10, 20, 40]),
)
@settings(max_examples=80)
def test_the_thinnest_that_does_its_duty_is_chosen(
    load_a: float, length_m: float, drop_percent: float, standard: str, fuse_a: float | None
) -> None:
    duty = replace(
        BLOWER,
        load_a=load_a,
        length_m=length_m,
        max_drop_percent=drop_percent,
        standard=standard,
        fuse_rating_a=fuse_a,
    )
    try:
        chosen = choose_conductor("iec60228-class5", duty, finish="tinned")
    except CannotSize:
        thickest = sizes("iec60228-class5", finish="tinned")[-1]
        assert check_conductor(thickest, duty).shortfalls
        return
    assert not chosen.shortfalls
    assert chosen.capacity_a >= chosen.needed_a >= load_a
    assert chosen.drop_percent <= drop_percent
    assert_reasons_hold(chosen.reasons)
    for wire in sizes("iec60228-class5", finish="tinned"):
        if wire.csa_mm2 < chosen.conductor.csa_mm2:
            assert falls_short(wire, duty)


def falls_short(wire: Conductor, duty: Duty) -> bool:
    """Whether the wire is too small for its duty or for the table."""
    try:
        return bool(check_conductor(wire, duty).shortfalls)
    except SizingError as refused:
        return "thinner than anything" in refused.message


def test_fuse_link_and_not_the_load_alone_decides() -> None:
    unfused = choose_conductor("iec60228-class5", replace(BLOWER, fuse_rating_a=None))
    fused = choose_conductor("iec60228-class5", replace(BLOWER, fuse_rating_a=40))
    assert unfused.needed_a == 4
    assert fused.needed_a == pytest.approx(54)
    assert fused.conductor.csa_mm2 > unfused.conductor.csa_mm2
    heavy = check_conductor(fused.conductor, replace(BLOWER, load_a=60, fuse_rating_a=40))
    assert heavy.needed_a == 60
    assert_reasons_hold(heavy.reasons)


def test_drop_is_reckoned_with_its_own_current() -> None:
    wire = conductor("iec60228-class5", csa_mm2=2.5)
    same = check_conductor(wire, BLOWER)
    more = check_conductor(wire, replace(BLOWER, drop_load_a=8))
    assert more.drop_v == pytest.approx(2 * same.drop_v)
    assert more.capacity_a == same.capacity_a


@pytest.mark.parametrize(
    ("csa_mm2", "changed", "kinds"),
    [
        (2.5, {}, []),
        (2.5, {"load_a": 60}, ["capacity", "drop"]),
        (2.5, {"fuse_rating_a": 40}, ["fuse"]),
        (1.5, {"max_drop_percent": 1}, ["drop"]),
        (1.5, {"max_drop_percent": None}, []),
        (1.0, {"max_drop_percent": 10}, ["minimum"]),
        (2.5, {"minimum_mm2": 4}, ["minimum"]),
        (2.5, {"maximum_mm2": 1.5}, ["maximum"]),
    ],
)
def test_each_shortfall_is_named(
    csa_mm2: float, changed: dict[str, object], kinds: list[str]
) -> None:
    duty = replace(BLOWER, **changed)  # type: ignore[arg-type]
    check = check_conductor(conductor("iec60228-class5", csa_mm2=csa_mm2), duty)
    assert [each.kind for each in check.shortfalls] == kinds
    for each in check.shortfalls:
        assert each.sentence.endswith(".")
        assert f"{csa_mm2:g} mm²" in each.sentence


def test_nothing_thinner_than_the_standard_is_chosen() -> None:
    light = Duty(
        load_a=0.1,
        length_m=0.5,
        system_voltage_v=11.5,
        ambient_c=30,
        limit_c=105,
        standard="small-craft-iso10133",
    )
    assert choose_conductor("iso6722", light).conductor.csa_mm2 == 1.0
    on_the_road = replace(light, standard="vehicle-50c")
    assert choose_conductor("iso6722", on_the_road).conductor.csa_mm2 == 0.5
    thick = replace(on_the_road, minimum_mm2=2.5)
    assert choose_conductor("iso6722", thick).conductor.csa_mm2 == 2.5


def test_no_size_within_the_limits_is_said_plainly() -> None:
    with pytest.raises(CannotSize, match="between the limits"):
        choose_conductor("iso6722", replace(BLOWER, minimum_mm2=4, maximum_mm2=3.5))
    with pytest.raises(CannotSize, match=r"largest allowed, 1\.5 mm²"):
        choose_conductor("iso6722", replace(BLOWER, load_a=50, maximum_mm2=1.5))


def test_surroundings_too_hot_are_not_hidden_as_a_matter_of_size() -> None:
    with pytest.raises(SizingError, match="leave nothing") as refused:
        choose_conductor("iso6722", replace(BLOWER, ambient_c=105))
    assert refused.value.field == "ambient_c"


@pytest.mark.parametrize("bad", [-1, float("nan"), "4", True])
@pytest.mark.parametrize(
    "field",
    ["load_a", "drop_load_a", "length_m", "max_drop_percent", "fuse_rating_a", "minimum_mm2"],
)
def test_values_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    duty = replace(BLOWER, **{field: bad})  # type: ignore[arg-type]
    with pytest.raises(SizingError):
        check_conductor(conductor("iso6722", csa_mm2=2.5), duty)
    with pytest.raises(SizingError):
        choose_conductor("iso6722", duty)
