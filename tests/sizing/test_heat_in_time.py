"""Warming, cooling and duty: short times adiabatic, long ones balanced."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.conductors import KINDS, Conductor, conductor, sizes
from webapp.sizing.damage import (
    adiabatic_k,
    adiabatic_time_s,
    damage_curve,
    damage_time_s,
    heating_curve,
    short_circuit_limit_c,
)
from webapp.sizing.heat.ampacity import ampacity
from webapp.sizing.heat.circuit import warm_wire
from webapp.sizing.heat.place import place
from webapp.sizing.heat.temperature import conductor_temperature
from webapp.sizing.heat.warming import Warming, warming
from webapp.sizing.reasons import SizingError

ALL = [wire for kind in KINDS for wire in sizes(kind)]
WIRE = conductor("iso6722", csa_mm2=6)
HERE = place(ambient_c=30)

wires = st.sampled_from(ALL)


def curve_of(wire: Conductor) -> Warming:
    warm = warm_wire(wire)
    return warming(warm, warm.path(HERE))


def limit_current_a(wire: Conductor, limit_c: float = 105) -> float:
    return ampacity(wire, limit_c=limit_c, ambient_c=30).current_a


def stepped_c(curve: Warming, current_a: float, from_c: float, time_s: float) -> float:
    """The same in many small steps, as an independent reckoning."""
    steps = 4000
    copper_c = from_c
    for _ in range(steps):
        made = current_a**2 * curve.r20_ohm_per_m * (234.5 + copper_c) / 254.5
        surplus = made - curve.leaving_w_per_m(copper_c)
        copper_c += surplus / curve.stored_j_per_mk * time_s / steps
    return copper_c


@pytest.mark.parametrize("share", [0, 0.6, 1, 1.5, 4])
@pytest.mark.parametrize("time_s", [1, 20, 300])
def test_warming_against_small_steps(share: float, time_s: float) -> None:
    curve = curve_of(WIRE)
    amps = share * limit_current_a(WIRE)
    from_c = 105.0 if share == 0 else 40.0
    if share == 4 and time_s > 20:
        return
    expected = stepped_c(curve, amps, from_c, time_s)
    assert curve.after_c(amps, from_c, time_s) == pytest.approx(expected, rel=2e-3)


@given(wires, st.floats(1.05, 20), st.floats(30, 100))
@settings(max_examples=60)
def test_time_and_temperature_are_each_others_inverse(
    wire: Conductor, share: float, from_c: float
) -> None:
    curve = curve_of(wire)
    amps = share * limit_current_a(wire)
    time_s = curve.time_s(amps, from_c, 105)
    assert curve.after_c(amps, from_c, time_s) == pytest.approx(105, abs=1e-6)


def test_a_moment_is_adiabatic() -> None:
    """A solid wire, whose resistance is its resistivity over its section: t = (k S / I)²."""
    wire = conductor("awg-solid", awg=12, insulation="pvc")
    amps = 5000.0
    by_k = adiabatic_time_s(wire, current_a=amps, start_c=70, final_c=160)
    by_balance = damage_time_s(wire, current_a=amps, limit_c=160, start_c=70, where=HERE)
    assert by_balance.time_s is not None
    assert by_balance.time_s == pytest.approx(by_k.value, rel=0.005)
    assert_reasons_hold(by_k.reasons)
    assert_reasons_hold(by_balance.reasons)


def test_for_long_enough_the_balance_decides() -> None:
    at_limit_a = limit_current_a(WIRE)
    barely = damage_time_s(WIRE, current_a=0.999 * at_limit_a, limit_c=105, where=HERE)
    assert barely.time_s is None
    assert_reasons_hold(barely.reasons)
    more = damage_time_s(WIRE, current_a=1.02 * at_limit_a, limit_c=105, where=HERE)
    assert more.time_s is not None
    assert 60 < more.time_s < 3600


@given(wires, st.floats(0.5, 30), st.floats(1.01, 3))
@settings(max_examples=60)
def test_more_current_does_damage_sooner(wire: Conductor, share: float, more: float) -> None:
    amps = min(share * limit_current_a(wire), 3000)
    (_, one), (_, other) = damage_curve(
        wire, currents_a=[amps, amps * more], limit_c=105, where=HERE
    )
    assert (other or math.inf) <= (one or math.inf)


def test_a_heating_curve_rises_to_the_steady_temperature() -> None:
    steady_c = conductor_temperature(WIRE, current_a=60, ambient_c=30).temperature_c
    curve = heating_curve(WIRE, current_a=60, times_s=[0, 5, 50, 500, 50_000], where=HERE)
    temperatures = [each for _, each in curve]
    assert temperatures == sorted(temperatures)
    assert temperatures[0] == 30
    assert temperatures[-1] == pytest.approx(steady_c, abs=0.1)


@given(wires, st.floats(0.1, 3000), st.floats(0.1, 3000), st.floats(1.01, 4))
@settings(max_examples=60, deadline=None)
def test_more_rest_carries_more(wire: Conductor, on_s: float, off_s: float, more: float) -> None:
    def factor(on: float, off: float) -> float:
        return ampacity(wire, limit_c=105, ambient_c=30, on_s=on, off_s=off).duty_factor

    assert factor(on_s, off_s) <= factor(on_s, off_s * more) * (1 + 1e-9)
    assert factor(on_s * more, off_s) <= factor(on_s, off_s) * (1 + 1e-9)


def test_fast_switching_goes_by_the_root_mean_square() -> None:
    half = ampacity(WIRE, limit_c=105, ambient_c=30, on_s=0.01, off_s=0.01)
    assert half.duty_factor == pytest.approx(math.sqrt(2), rel=1e-3)
    tenth = ampacity(WIRE, limit_c=105, ambient_c=30, on_s=0.01, off_s=0.09)
    assert tenth.duty_factor == pytest.approx(math.sqrt(10), rel=1e-3)


def test_never_off_and_on_for_hours_are_lasting() -> None:
    assert ampacity(WIRE, limit_c=105, ambient_c=30, on_s=5, off_s=0).duty_factor == 1
    hours = ampacity(WIRE, limit_c=105, ambient_c=30, on_s=20_000, off_s=20_000)
    assert hours.duty_factor == pytest.approx(1, abs=1e-3)


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(SizingError) as refused:
        adiabatic_k(160, 70)
    assert refused.value.field == "final_c"
    with pytest.raises(SizingError) as refused:
        adiabatic_time_s(WIRE, current_a=0, start_c=70, final_c=160)
    assert refused.value.field == "current_a"
    with pytest.raises(SizingError, match="melt"):
        heating_curve(WIRE, current_a=2000, times_s=[60], where=HERE)
    with pytest.raises(SizingError):
        short_circuit_limit_c("paper")
    with pytest.raises(SizingError) as refused:
        damage_curve(WIRE, currents_a=[1.0] * 501, limit_c=105, where=HERE)
    assert refused.value.field == "currents_a"
    hot = damage_time_s(WIRE, current_a=1, limit_c=105, start_c=120, where=HERE)
    assert hot.time_s == 0
