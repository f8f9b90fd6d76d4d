"""Real bundles: the same as equal ones where they are equal, and sensible where not."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.conductors import Conductor, conductor, sizes
from webapp.sizing.heat.ampacity import ampacity
from webapp.sizing.heat.mixed_bundle import BundledWire, bundle_temperatures
from webapp.sizing.heat.place import COVERING_NAMES
from webapp.sizing.heat.temperature import conductor_temperature
from webapp.sizing.reasons import SizingError

VEHICLE = sizes("iso6722")[2:18]
THIN, THICK = conductor("iso6722", csa_mm2=0.75), conductor("iso6722", csa_mm2=16)

wires = st.sampled_from(VEHICLE)
coverings = st.sampled_from(COVERING_NAMES)


def loads(most_share: float) -> st.SearchStrategy[list[BundledWire]]:
    """Bundles of up to 12 wires, each at a share of what it carries alone."""
    each = st.tuples(wires, st.floats(0, most_share))
    return st.lists(each, min_size=1, max_size=12).map(
        lambda listed: [
            BundledWire(wire, share * ampacity(wire, limit_c=105, ambient_c=40).current_a)
            for wire, share in listed
        ]
    )


@given(wires, st.integers(1, 40), st.floats(0.01, 1), coverings, st.floats(0, 5000))
@settings(max_examples=60)
def test_equal_wires_come_out_as_an_equal_bundle(
    wire: Conductor, count: int, share: float, covering: str, altitude_m: float
) -> None:
    where = {"ambient_c": 40.0, "covering": covering, "altitude_m": altitude_m}
    amps = share * ampacity(wire, limit_c=105, bundle_wires=count, **where).current_a  # type: ignore[arg-type]
    alike = conductor_temperature(wire, current_a=amps, bundle_wires=count, **where)  # type: ignore[arg-type]
    found = bundle_temperatures([BundledWire(wire, amps)] * count, **where)  # type: ignore[arg-type]
    assert len(found) == count
    for each in found:
        assert each.temperature_c == pytest.approx(alike.temperature_c, abs=0.01)
        assert each.surface_c == pytest.approx(alike.surface_c, abs=0.01)


@given(loads(0.5), coverings)
@settings(max_examples=60)
def test_every_wire_is_warmer_than_its_surroundings_and_says_why(
    bundle: list[BundledWire], covering: str
) -> None:
    for each in bundle_temperatures(bundle, ambient_c=40, covering=covering):
        assert each.temperature_c >= each.surface_c >= 40
        assert_reasons_hold(each.reasons)
        assert each.reasons[-1].value == pytest.approx(each.temperature_c, abs=0.01)


@given(loads(0.4), st.integers(0, 11), st.floats(1.05, 1.5))
@settings(max_examples=80)
def test_more_current_in_one_wire_cools_none(
    bundle: list[BundledWire], index: int, more: float
) -> None:
    chosen = bundle[index % len(bundle)]
    raised = list(bundle)
    raised[index % len(bundle)] = BundledWire(chosen.conductor, chosen.current_a * more + 0.1)
    before = bundle_temperatures(bundle, ambient_c=40)
    after = bundle_temperatures(raised, ambient_c=40)
    for old, new in zip(before, after, strict=True):
        assert new.temperature_c >= old.temperature_c - 0.01


@given(loads(0.4), wires)
@settings(max_examples=60)
def test_a_wire_that_carries_nothing_changes_no_other(
    bundle: list[BundledWire], idle: Conductor
) -> None:
    alone = bundle_temperatures(bundle, ambient_c=40)
    joined = bundle_temperatures([*bundle, BundledWire(idle, 0)], ambient_c=40)
    for old, new in zip(alone, joined, strict=False):
        assert new.temperature_c == pytest.approx(old.temperature_c, abs=0.01)


@given(loads(0.4), wires, st.floats(0.05, 0.4))
@settings(max_examples=60)
def test_one_more_loaded_wire_cools_none(
    bundle: list[BundledWire], another: Conductor, share: float
) -> None:
    amps = share * ampacity(another, limit_c=105, ambient_c=40).current_a
    alone = bundle_temperatures(bundle, ambient_c=40)
    joined = bundle_temperatures([*bundle, BundledWire(another, amps)], ambient_c=40)
    for old, new in zip(alone, joined, strict=False):
        assert new.temperature_c >= old.temperature_c - 0.01


def test_a_hot_thin_wire_beside_a_cool_thick_one() -> None:
    hot, cool = bundle_temperatures([BundledWire(THIN, 12), BundledWire(THICK, 10)], ambient_c=40)
    assert hot.temperature_c > cool.temperature_c
    alone = conductor_temperature(THIN, current_a=12, ambient_c=40)
    assert hot.temperature_c == pytest.approx(alone.temperature_c, abs=10)
    assert hot.temperature_c >= alone.temperature_c


def test_altitude_and_covering_count() -> None:
    bundle = [BundledWire(THIN, 6)] * 3 + [BundledWire(THICK, 50)]
    plain = bundle_temperatures(bundle, ambient_c=40)
    covered = bundle_temperatures(bundle, ambient_c=40, covering="split-conduit")
    high = bundle_temperatures(bundle, ambient_c=40, altitude_m=3000)
    for one, other, third in zip(plain, covered, high, strict=True):
        assert other.temperature_c > one.temperature_c
        assert third.temperature_c > one.temperature_c


def test_what_makes_no_sense_is_refused() -> None:
    def field(wires: list[BundledWire]) -> str:
        with pytest.raises(SizingError) as refused:
            bundle_temperatures(wires, ambient_c=40)
        return refused.value.field

    fine = BundledWire(THIN, 1)
    assert field([]) == "wires"
    assert field([fine] * 2001) == "wires"
    assert field([fine, BundledWire(THIN, -1)]) == "wires.1.current_a"
    assert field([fine, BundledWire(THIN, float("nan"))]) == "wires.1.current_a"
    assert field([fine, fine, BundledWire(THIN, 300)]) == "wires.2.current_a"
    assert field([BundledWire(THIN, 1, 0.5)]) == "outside_diameter_mm"
