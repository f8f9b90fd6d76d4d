"""Fuse-links against the wire behind them, and against each other."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.conductors import conductor, sizes
from webapp.sizing.fuse_gates import FUSE_KIND_IDS, longest_opening_s, shortest_opening_s
from webapp.sizing.fuses import CannotFuse
from webapp.sizing.heat.ampacity import ampacity
from webapp.sizing.heat.circuit import warm_wire
from webapp.sizing.heat.place import place
from webapp.sizing.heat.temperature import conductor_temperature
from webapp.sizing.protection import FusedWire, fault_stood, fuse, gate_checks, let_through_s
from webapp.sizing.reasons import SizingError
from webapp.sizing.selectivity import FuseLink, selectivity

WIRE = conductor("iso6722", csa_mm2=1.5)


def fused(**changed: object) -> FusedWire:
    values: dict[str, object] = {
        "wire": WIRE,
        "load_a": 8,
        "run_m": 4,
        "return_m": 4,
        "system_voltage_v": 12.6,
        "supply_mohm": 20,
        "ambient_c": 40,
        "limit_c": 105,
    }
    return fuse(**(values | changed))  # type: ignore[arg-type]


def test_a_usual_circuit() -> None:
    found = fused()
    assert found.rating_a == 15
    # 20 mΩ of supply and 8 m of 12.7 mΩ/m.
    assert found.fault_current_a == pytest.approx(12600 / (20 + 8 * 12.7))
    assert found.clearing_time_s == longest_opening_s("blade-medium", 15, 103.6).time_s
    assert found.breaking_ok
    assert found.wire_protected
    assert found.fault_stood
    assert found.findings == ()
    assert_reasons_hold(found.reasons)


def test_a_wire_too_thin_for_its_fuse_link() -> None:
    found = fused(wire=conductor("iso6722", csa_mm2=0.5))
    assert not found.wire_protected
    assert [each.stands for each in found.checks[:2]] == [False, False]
    assert any("1.1 × the fuse-link, 16.5 A for ever" in each for each in found.findings)
    assert_reasons_hold(found.reasons)


def test_the_two_rules_are_those_of_the_heat_balance() -> None:
    """Thin wire is as hot after the gate's ten minutes as it ever becomes."""
    for wire in sizes("iso6722")[3:12]:
        found = fused(wire=wire, load_a=7)
        capacity_a = ampacity(wire, limit_c=105, ambient_c=40).current_a
        assert found.checks[0].stands == (capacity_a >= 1.1 * found.rating_a)
        if capacity_a >= 1.35 * found.rating_a:
            assert found.wire_protected
        if capacity_a < 1.3 * found.rating_a and wire.csa_mm2 <= 1.5:
            assert not found.wire_protected


def test_a_thick_wire_outlasts_the_gate_above_what_it_carries_for_ever() -> None:
    """1.35 × for 30 minutes is not for ever: 120 mm² is still warming."""
    wire = conductor("iso6722", csa_mm2=120)
    capacity_a = ampacity(wire, limit_c=90, ambient_c=40).current_a
    rating_a = capacity_a / 1.33
    checks = gate_checks(
        warm_wire(wire), "blade-medium", rating_a, limit_c=90, where=place(ambient_c=40)
    )
    assert checks[1].current_a > capacity_a
    assert checks[1].stands
    warmed = gate_checks(
        warm_wire(wire),
        "blade-medium",
        rating_a,
        limit_c=90,
        where=place(ambient_c=40),
        before_a=rating_a,
    )
    assert warmed[1].temperature_c is not None
    assert checks[1].temperature_c is not None
    assert warmed[1].temperature_c > checks[1].temperature_c


def test_a_long_thin_run_may_never_clear() -> None:
    found = fused(wire=conductor("iso6722", csa_mm2=0.75), load_a=4, run_m=100, return_m=100)
    assert found.clearing_time_s is None
    assert found.fault_stood is None
    assert any("may never clear" in each for each in found.findings)


def test_a_short_beyond_the_breaking_capacity() -> None:
    strong = fused(supply_mohm=5)
    assert not strong.breaking_ok
    assert any("may burst" in each for each in strong.findings)
    ideal = fused(supply_mohm=0)
    assert not ideal.breaking_ok
    assert any("internal resistance" in each for each in ideal.findings)


def test_faster_gates_are_found_too() -> None:
    """A class T fuse-link may take ten minutes at twice its rating: the wire does not."""
    found = fused(wire=conductor("iso6722", csa_mm2=16), load_a=60, run_m=3, fuse_kind="class-t")
    assert found.wire_protected
    assert [each.stands for each in found.checks] == [True, True, False]
    assert any("2 × the fuse-link" in each for each in found.findings)


def test_a_load_that_overheats_the_wire_is_found() -> None:
    found = fused(wire=conductor("iso6722", csa_mm2=0.5), load_a=28)
    assert not found.wire_protected
    assert not any(each.stands for each in found.checks)


@given(st.sampled_from(sizes("iso6722")[3:18]), st.floats(0.5, 20), st.floats(0.1, 60))
@settings(max_examples=60)
def test_protection_holds_with_thicker_wire(wire: object, load_a: float, run_m: float) -> None:
    found = fused(wire=wire, load_a=load_a, run_m=run_m)
    thicker = fused(wire=conductor("iso6722", csa_mm2=25), load_a=load_a, run_m=run_m)
    assert thicker.wire_protected >= found.wire_protected
    assert thicker.fault_current_a >= found.fault_current_a
    assert found.checks[0].temperature_c == pytest.approx(
        max(
            conductor_temperature(wire, current_a=amps, ambient_c=40).temperature_c  # type: ignore[arg-type]
            for amps in (load_a, 1.1 * found.rating_a)
        )
    )
    assert_reasons_hold(found.reasons)


@pytest.mark.parametrize("fuse_kind", FUSE_KIND_IDS)
def test_let_through_beyond_the_highest_gate_is_constant(fuse_kind: str) -> None:
    at_10 = let_through_s(fuse_kind, 30, 300)
    at_20 = let_through_s(fuse_kind, 30, 600)
    assert at_10 is not None
    assert at_20 == pytest.approx(at_10 / 4)
    assert let_through_s(fuse_kind, 30, 30) is None


def test_a_short_is_held_against_the_adiabatic_equation() -> None:
    """1.5 mm² of PVC, 105 to 160 °C, k = 86.5: 16.8 kA²s. A 15 A blade at 350 %: 0.5 s."""
    warm = warm_wire(WIRE)
    assert fault_stood(warm, "blade-medium", 15, 60, limit_c=105)
    assert not fault_stood(warm, "bolt-down", 60, 360, limit_c=105)
    assert fault_stood(warm, "blade-medium", 15, 10, limit_c=105) is None
    # Longer than 5 s: no short circuit.
    assert fault_stood(warm, "blade-medium", 15, 24, limit_c=105)
    assert fault_stood(warm, "blade-medium", 15, 60, limit_c=170) is False


@pytest.mark.parametrize("bad", [-1, float("nan"), float("inf"), True, "4", None, 1e9])
@pytest.mark.parametrize(
    "field",
    [
        *("load_a", "run_m", "return_m", "system_voltage_v", "supply_mohm", "upstream_mohm"),
        *("ambient_c", "limit_c", "inrush_a"),
    ],
)
def test_values_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    if bad == 1e9 and field.endswith("_mohm"):
        assert fused(**{field: bad}).clearing_time_s is None
        return
    if bad == -1 and field == "ambient_c":
        assert fused(ambient_c=-1).wire_protected
        return
    with pytest.raises(SizingError) as refused:
        fused(**{field: bad})
    assert refused.value.field == ("ambient_c" if (field, bad) == ("limit_c", -1) else field)


def test_a_load_beyond_the_family_is_refused() -> None:
    with pytest.raises(CannotFuse):
        fused(load_a=60)


def test_the_smaller_downstream_opens_alone() -> None:
    large, small = FuseLink("blade-high-current", 60), FuseLink("blade-medium", 10)
    found = selectivity(large, small, 900)
    assert found.selective
    assert found.up_to_a is None
    assert not found.confirmed
    assert_reasons_hold(found.reasons)


def test_equal_fuse_links_do_not_discriminate() -> None:
    found = selectivity(FuseLink("blade-medium", 10), FuseLink("blade-medium", 10), 200)
    assert not found.selective
    assert found.up_to_a == pytest.approx(11)
    assert "may open" in found.reasons[-1].text


@given(
    st.sampled_from(FUSE_KIND_IDS),
    st.sampled_from(FUSE_KIND_IDS),
    st.floats(5, 300),
    st.floats(5, 300),
    st.floats(20, 3000),
    st.floats(0, 1),
)
@settings(max_examples=150)
def test_selective_means_in_order_at_every_current(
    above: str, below: str, above_a: float, below_a: float, fault_a: float, share: float
) -> None:
    found = selectivity(FuseLink(above, above_a), FuseLink(below, below_a), fault_a)
    amps = share * fault_a
    if not found.selective or amps <= 1.1 * above_a:
        return
    latest = let_through_s(below, below_a, amps)
    soonest = shortest_opening_s(above, above_a, amps).time_s
    assert latest is not None
    assert soonest is None or latest < soonest
