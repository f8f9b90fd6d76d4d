"""How hot a wire becomes and what it may carry: bounds, inverse, monotonicity, reasons."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.conductors import INSULATIONS, KINDS, Conductor, conductor, sizes
from webapp.sizing.heat.air import churchill_chu_nusselt, nusselt, pressure_pa
from webapp.sizing.heat.ampacity import ampacity
from webapp.sizing.heat.place import COVERING_NAMES
from webapp.sizing.heat.steady import solve_rising
from webapp.sizing.heat.temperature import WireTemperature, conductor_temperature
from webapp.sizing.reasons import SizingError

ALL = [wire for kind in KINDS for wire in sizes(kind)]
WIRE = conductor("iso6722", csa_mm2=1.5)

wires = st.sampled_from(ALL)
places = st.fixed_dictionaries(
    {
        "ambient_c": st.floats(-40, 60),
        "altitude_m": st.floats(0, 18000),
        "bundle_wires": st.integers(1, 60),
        "bundle_loaded_percent": st.floats(0, 100),
        "covering": st.sampled_from(COVERING_NAMES),
    }
)


def temperature_c(wire: Conductor, current_a: float, **where: object) -> WireTemperature:
    return conductor_temperature(wire, current_a=current_a, **where)  # type: ignore[arg-type]


def current_a(wire: Conductor, limit_c: float, **where: object) -> float:
    return ampacity(wire, limit_c=limit_c, **where).current_a  # type: ignore[arg-type]


@given(wires, places, st.floats(65, 200))
@settings(max_examples=120)
def test_capacity_and_temperature_are_each_others_inverse(
    wire: Conductor, where: dict[str, object], limit_c: float
) -> None:
    found = ampacity(wire, limit_c=limit_c, **where)  # type: ignore[arg-type]
    at_it = temperature_c(wire, found.current_a, **where)
    assert at_it.temperature_c == pytest.approx(limit_c, abs=1e-4)
    assert where["ambient_c"] < at_it.surface_c < limit_c  # type: ignore[operator]


# The first duty loads a slow library.
@given(wires, places, st.floats(65, 200), st.floats(20, 2000), st.floats(0, 5000))
@settings(max_examples=80, deadline=None)
def test_factors_make_the_current_and_reasons_hold(
    wire: Conductor, where: dict[str, object], limit_c: float, on_s: float, off_s: float
) -> None:
    found = ampacity(wire, limit_c=limit_c, on_s=on_s, off_s=off_s, **where)  # type: ignore[arg-type]
    product = found.free_air_current_a * found.bundle_factor * found.covering_factor
    product *= found.altitude_factor * found.duty_factor
    assert found.current_a == pytest.approx(product, rel=1e-12)
    assert 0 < found.bundle_factor <= 1
    assert 0 < found.covering_factor <= 1
    assert 0 < found.altitude_factor <= 1
    assert found.duty_factor >= 1
    assert_reasons_hold(found.reasons)
    assert found.reasons[-1].value == found.current_a
    at_it = temperature_c(wire, found.current_a, on_s=on_s, off_s=off_s, **where)
    assert at_it.temperature_c == pytest.approx(limit_c, abs=0.1)
    assert_reasons_hold(at_it.reasons)


@given(wires, places, st.floats(0.01, 1.2), st.floats(1.001, 1.5))
@settings(max_examples=120)
def test_more_current_is_hotter(
    wire: Conductor, where: dict[str, object], share: float, more: float
) -> None:
    amps = share * current_a(wire, 105, **where)
    less = temperature_c(wire, amps, **where)
    assert temperature_c(wire, amps * more, **where).temperature_c > less.temperature_c
    assert less.temperature_c > less.surface_c >= where["ambient_c"]  # type: ignore[operator]
    assert_reasons_hold(less.reasons)
    assert less.reasons[-1].value == less.temperature_c


@given(st.sampled_from(KINDS), st.sampled_from(INSULATIONS), places, st.floats(0.01, 4))
@settings(max_examples=60)
def test_thicker_is_cooler(
    kind: str, insulation: str, where: dict[str, object], amps_per_mm2: float
) -> None:
    listed = sizes(kind, insulation=insulation)
    amps = amps_per_mm2 * listed[0].csa_mm2
    hot = [temperature_c(wire, amps, **where).temperature_c for wire in listed]
    assert hot == sorted(hot, reverse=True)


@given(wires, places, st.floats(65, 200), st.floats(0.1, 20))
@settings(max_examples=80)
def test_hotter_surroundings_carry_less(
    wire: Conductor, where: dict[str, object], limit_c: float, hotter_k: float
) -> None:
    warmer = where | {"ambient_c": min(64.9, where["ambient_c"] + hotter_k)}  # type: ignore[operator]
    assert current_a(wire, limit_c, **warmer) < current_a(wire, limit_c, **where)


@given(wires, places, st.floats(65, 200), st.integers(1, 30))
@settings(max_examples=80)
def test_more_wires_carry_less(
    wire: Conductor, where: dict[str, object], limit_c: float, others: int
) -> None:
    more = where | {"bundle_wires": where["bundle_wires"] + others}  # type: ignore[operator]
    assert current_a(wire, limit_c, **more) <= current_a(wire, limit_c, **where) * (1 + 1e-12)


@given(wires, places, st.floats(65, 200), st.floats(0, 100))
@settings(max_examples=80)
def test_more_of_them_loaded_carry_less(
    wire: Conductor, where: dict[str, object], limit_c: float, loaded: float
) -> None:
    less, more = sorted((loaded, float(where["bundle_loaded_percent"])))  # type: ignore[arg-type]
    at_less = current_a(wire, limit_c, **where | {"bundle_loaded_percent": less})
    at_more = current_a(wire, limit_c, **where | {"bundle_loaded_percent": more})
    assert at_more <= at_less * (1 + 1e-12)


@given(wires, places, st.floats(65, 200), st.floats(0, 18000))
@settings(max_examples=60)
def test_thinner_air_carries_less(
    wire: Conductor, where: dict[str, object], limit_c: float, altitude_m: float
) -> None:
    low, high = sorted((altitude_m, float(where["altitude_m"])))  # type: ignore[arg-type]
    at_low = current_a(wire, limit_c, **where | {"altitude_m": low})
    assert current_a(wire, limit_c, **where | {"altitude_m": high}) <= at_low * (1 + 1e-12)


@given(wires, places, st.floats(65, 200))
@settings(max_examples=40)
def test_every_covering_takes_something(
    wire: Conductor, where: dict[str, object], limit_c: float
) -> None:
    bare = current_a(wire, limit_c, **where | {"covering": "none"})
    for covering in COVERING_NAMES[1:]:
        assert current_a(wire, limit_c, **where | {"covering": covering}) < bare


@given(st.floats(-10, 9), st.floats(0.0001, 1))
@settings(max_examples=200)
def test_nusselt_number_never_falls(exponent: float, more: float) -> None:
    less, greater = 10**exponent, 10 ** (exponent + more)
    assert nusselt(greater, 0.71) > nusselt(less, 0.71)


def test_thick_cable_follows_churchill_and_chu() -> None:
    assert nusselt(1e5, 0.71) == churchill_chu_nusselt(1e5, 0.71)


def test_pressure_at_altitude() -> None:
    """U.S. Standard Atmosphere, 1976 (from memory): 22,632 Pa at 11 km, 5,475 Pa at 20 km."""
    assert pressure_pa(0) == 101325
    assert pressure_pa(11000) == pytest.approx(22632, rel=1e-3)
    assert pressure_pa(11000.001) == pytest.approx(pressure_pa(11000), rel=1e-3)
    assert pressure_pa(20000) == pytest.approx(5475, rel=2e-3)


def test_no_current_leaves_the_wire_as_warm_as_its_surroundings() -> None:
    cold = conductor_temperature(WIRE, current_a=0, ambient_c=23)
    assert (cold.temperature_c, cold.surface_c) == (23, 23)
    assert_reasons_hold(cold.reasons)
    assert conductor_temperature(WIRE, current_a=1e-9, ambient_c=23).temperature_c >= 23


def test_no_neighbour_that_carries_nothing_is_counted_on() -> None:
    alone = current_a(WIRE, 105, ambient_c=40)
    assert current_a(WIRE, 105, ambient_c=40, bundle_wires=30, bundle_loaded_percent=0) == alone


def test_the_cables_own_diameter_outranks_the_table() -> None:
    usual = conductor_temperature(WIRE, current_a=20, ambient_c=40)
    given_mm = conductor_temperature(WIRE, current_a=20, ambient_c=40, outside_diameter_mm=2.4)
    assert given_mm.temperature_c == usual.temperature_c
    assert "given" in [reason.source for reason in given_mm.reasons]
    with pytest.raises(SizingError, match="without insulation") as refused:
        conductor_temperature(WIRE, current_a=20, ambient_c=40, outside_diameter_mm=1.2)
    assert refused.value.field == "outside_diameter_mm"


def test_a_current_that_melts_copper_is_refused() -> None:
    for times in ({}, {"on_s": 100.0, "off_s": 1.0}):
        with pytest.raises(SizingError, match="would melt") as refused:
            conductor_temperature(WIRE, current_a=400, ambient_c=40, **times)
        assert refused.value.field == "current_a"


def test_surroundings_as_hot_as_the_limit_are_refused() -> None:
    with pytest.raises(SizingError, match="leave nothing") as refused:
        ampacity(WIRE, limit_c=70, ambient_c=70)
    assert refused.value.field == "ambient_c"


@pytest.mark.parametrize("bad", [-1, math.nan, math.inf, True, "4", 1e9, [], {}])
@pytest.mark.parametrize(
    "field",
    [
        *("current_a", "bundle_wires", "bundle_loaded_percent", "covering"),
        *("on_s", "off_s", "outside_diameter_mm"),
    ],
)
def test_values_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    values: dict[str, object] = {"current_a": 10.0, "ambient_c": 40.0, "on_s": 1.0, "off_s": 1.0}
    with pytest.raises(SizingError) as refused:
        conductor_temperature(WIRE, **values | {field: bad})  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.parametrize("bad", [-1e3, math.nan, math.inf, True, "4", 1e9, None])
@pytest.mark.parametrize("field", ["ambient_c", "altitude_m", "limit_c"])
def test_places_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    with pytest.raises(SizingError) as refused:
        ampacity(WIRE, **{"limit_c": 105, "ambient_c": 40} | {field: bad})  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.parametrize(("given_time", "missing"), [("on_s", "off_s"), ("off_s", "on_s")])
def test_one_time_of_the_duty_asks_for_the_other(given_time: str, missing: str) -> None:
    with pytest.raises(SizingError) as refused:
        ampacity(WIRE, limit_c=105, ambient_c=40, **{given_time: 5.0})  # type: ignore[arg-type]
    assert refused.value.field == missing


@given(st.floats(1e-6, 1e6), st.floats(1e-6, 1e6), st.floats(0.3, 4))
@settings(max_examples=80)
def test_the_solver_finds_where_a_power_law_arrives(
    place: float, guess: float, power: float
) -> None:
    def function(x: float) -> float:
        return x**power + x

    assert solve_rising(function, function(place), guess) == pytest.approx(place, rel=1e-8)
