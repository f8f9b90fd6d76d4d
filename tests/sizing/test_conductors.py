"""Conductors: sizes, resistance, diameters, and what is refused."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.conductors import (
    FINISHES,
    INSULATIONS,
    KINDS,
    Conductor,
    awg_label,
    awg_to_mm2,
    conductor,
    nearest_awg,
    outside_diameter_mm,
    resistance_mohm_per_m,
    sizes,
    sizes_mm2,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.voltage_drop import voltage_drop

ALL = [
    wire
    for kind in KINDS
    for finish in FINISHES
    for insulation in INSULATIONS
    for wire in sizes(kind, finish=finish, insulation=insulation)
]
wires = st.sampled_from(ALL)


@pytest.mark.parametrize("kind", KINDS)
def test_sizes_ascend_and_thicker_resists_less(kind: str) -> None:
    listed = sizes(kind)
    assert sizes_mm2(kind) == sorted(set(sizes_mm2(kind)))
    resistances = [resistance_mohm_per_m(wire).value for wire in listed]
    assert resistances == sorted(set(resistances), reverse=True)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("insulation", INSULATIONS)
def test_outside_diameter_grows_with_section_and_holds_the_copper(
    kind: str, insulation: str
) -> None:
    listed = sizes(kind, insulation=insulation)
    diameters = [outside_diameter_mm(wire).value for wire in listed]
    for wire, diameter_mm in zip(listed, diameters, strict=True):
        assert math.pi / 4 * diameter_mm**2 > wire.csa_mm2, wire
    assert diameters == sorted(diameters)


def test_resistance_of_copper_is_near_resistivity_over_section() -> None:
    """Maxima lie above ρ/A, by no more than a fifth, save the coarse AC 43.13-1B roundings."""
    for wire in ALL:
        ideal = 17.241 / wire.csa_mm2
        excess = resistance_mohm_per_m(wire).value / ideal
        assert 0.98 < excess < (1.35 if wire.kind == "awg-stranded-tinned" else 1.2), wire


@given(wires, st.floats(-40, 180), st.floats(-40, 180))
@settings(max_examples=60)
def test_hotter_copper_resists_more(wire: Conductor, one_c: float, other_c: float) -> None:
    cooler, hotter = sorted((one_c, other_c))
    at_cooler = resistance_mohm_per_m(wire, cooler)
    at_hotter = resistance_mohm_per_m(wire, hotter)
    assert at_cooler.value <= at_hotter.value
    assert_reasons_hold(at_hotter.reasons)


@given(
    wires,
    st.floats(0, 500),
    st.floats(0, 100),
    st.floats(0, 100),
    st.floats(-20, 120),
    st.floats(5, 60),
)
@settings(max_examples=60)
def test_longer_wires_and_more_current_drop_more(
    wire: Conductor, amps: float, out_m: float, back_m: float, copper_c: float, volts: float
) -> None:
    def drop_v(current_a: float, length_m: float) -> float:
        drop = voltage_drop(
            wire,
            current_a=current_a,
            length_m=length_m,
            return_length_m=back_m,
            temperature_c=copper_c,
            system_voltage_v=volts,
        )
        assert_reasons_hold(drop.reasons)
        assert drop.drop_percent == pytest.approx(100 * drop.drop_v / volts)
        return drop.drop_v

    assert drop_v(amps, out_m) <= drop_v(amps, out_m + 1)
    assert drop_v(amps, out_m) <= drop_v(amps + 1, out_m)


@given(wires)
@settings(max_examples=60)
def test_diameter_reasons_hold(wire: Conductor) -> None:
    result = outside_diameter_mm(wire)
    assert result.reasons[-1].value == result.value
    assert_reasons_hold(result.reasons)


@pytest.mark.parametrize("awg", range(-3, 41))
def test_nearest_gauge_of_a_gauge_is_itself(awg: int) -> None:
    assert nearest_awg(awg_to_mm2(awg)) == awg


def test_labels() -> None:
    assert conductor("iso6722", csa_mm2=0.75).label == "0.75 mm²"
    assert conductor("awg-solid", awg=-1).label == "AWG 2/0 (67.4 mm²)"
    assert [awg_label(awg) for awg in (16, 0, -3)] == ["16", "1/0", "4/0"]


@pytest.mark.parametrize(
    ("kind", "size", "field"),
    [
        ("copper", {"csa_mm2": 1}, "kind"),
        ("iec60228-class5", {}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": 1.25}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": 0.35}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": -1}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": math.nan}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": True}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": "1"}, "csa_mm2"),
        ("iec60228-class5", {"csa_mm2": 1, "finish": "gold"}, "finish"),
        ("iec60228-class5", {"csa_mm2": 1, "insulation": "paper"}, "insulation"),
        ("iso6722", {"awg": 16}, "awg"),
        ("iso6722", {"awg": 16, "csa_mm2": 1}, "awg"),
        ("awg-solid", {"csa_mm2": 1}, "csa_mm2"),
        ("awg-solid", {}, "awg"),
        ("awg-solid", {"awg": 16.0}, "awg"),
        ("awg-solid", {"awg": 99}, "awg"),
        ("awg-stranded-tinned", {"awg": 13}, "awg"),
    ],
)
def test_sizes_that_make_no_sense_are_refused(
    kind: str, size: dict[str, object], field: str
) -> None:
    with pytest.raises(SizingError) as refused:
        conductor(kind, **size)  # type: ignore[arg-type]
    assert refused.value.field == field
    assert refused.value.message.endswith(".")


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf, True, "5", None, [5], 1e9])
@pytest.mark.parametrize("field", ["current_a", "length_m", "return_length_m", "system_voltage_v"])
def test_drops_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    wire = conductor("iso6722", csa_mm2=1)
    given_values = {"current_a": 1, "length_m": 1, "return_length_m": 1, "system_voltage_v": 12}
    with pytest.raises(SizingError) as refused:
        voltage_drop(wire, **(given_values | {field: bad}))  # type: ignore[arg-type]
    assert refused.value.field == field


def test_more_than_sixty_volts_is_refused() -> None:
    wire = conductor("iso6722", csa_mm2=1)
    assert voltage_drop(wire, current_a=1, length_m=1, system_voltage_v=60).drop_v > 0
    with pytest.raises(SizingError, match="60 V"):
        voltage_drop(wire, current_a=1, length_m=1, system_voltage_v=60.01)
