"""Fuse-link choice: the smallest that carries the load, within every limit."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.fuse_gates import (
    FUSE_KIND_IDS,
    fuse_ratings_a,
    longest_opening_s,
    shortest_opening_s,
)
from webapp.sizing.fuses import (
    CannotFuse,
    FuseChoice,
    choose_fuse,
    fault_current_a,
    required_wire_current_a,
)
from webapp.sizing.reasons import SizingError


def choose(**changed: object) -> FuseChoice:
    values: dict[str, object] = {
        "load_a": 4,
        "continuous": True,
        "fuse_kind": "blade-medium",
        "system_voltage_v": 14.4,
    }
    return choose_fuse(**(values | changed))  # type: ignore[arg-type]


@given(st.floats(0.1, 30), st.booleans(), st.sampled_from(["blade-medium", "blade-mini"]))
@settings(max_examples=80)
def test_rating_is_the_smallest_that_carries_the_load(
    load_a: float, continuous: bool, fuse_kind: str
) -> None:
    share = 0.75 if continuous else 1.0
    series = fuse_ratings_a(fuse_kind)
    if load_a / share > series[-1]:
        with pytest.raises(CannotFuse):
            choose(load_a=load_a, continuous=continuous, fuse_kind=fuse_kind)
        return
    chosen = choose(load_a=load_a, continuous=continuous, fuse_kind=fuse_kind)
    assert chosen.rating_a * share >= load_a * 0.999999
    assert all(each * share < load_a for each in series if each < chosen.rating_a)
    assert not chosen.findings
    assert_reasons_hold(chosen.reasons)


def test_inrush_asks_for_a_larger_rating() -> None:
    assert choose(load_a=3.5).rating_a == 5
    with_inrush = choose(load_a=3.5, inrush_a=12, inrush_s=0.2)
    assert with_inrush.rating_a == 7.5
    promised_s = shortest_opening_s("blade-medium", 7.5, 12).time_s
    assert promised_s is not None
    assert promised_s >= 0.2
    assert not with_inrush.findings
    assert_reasons_hold(with_inrush.reasons)


def test_limit_of_the_load_outranks_the_three_quarters_and_says_so() -> None:
    chosen = choose(load_a=6, max_fuse_a=7.5)
    assert chosen.rating_a == 7.5
    assert ["80 %" in each for each in chosen.findings] == [True]


def test_limit_of_the_load_outranks_the_inrush_and_says_so() -> None:
    chosen = choose(load_a=3.5, inrush_a=12, inrush_s=0.2, max_fuse_a=5)
    assert chosen.rating_a == 5
    assert ["may open" in each for each in chosen.findings] == [True]


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"load_a": 12, "max_fuse_a": 10}, "more than its own limit"),
        ({"load_a": 0.2, "max_fuse_a": 0.5}, "no rating of 0.5 A or less"),
        ({"load_a": 41}, "ends at 40 A"),
        ({"load_a": 35}, "asks for a 46.7 A fuse-link"),
    ],
)
def test_what_cannot_be_fused_is_said_plainly(changed: dict[str, object], words: str) -> None:
    with pytest.raises(CannotFuse, match=words):
        choose(**changed)


def test_a_short_beyond_the_breaking_capacity_is_found() -> None:
    assert choose().breaking_ok is None
    assert choose(prospective_a=900).breaking_ok is True
    weak = choose(prospective_a=2117)
    assert weak.breaking_ok is False
    assert "2117 A" in weak.findings[0]


def test_too_high_a_voltage_is_found() -> None:
    assert choose(system_voltage_v=28).voltage_ok
    high = choose(system_voltage_v=56)
    assert not high.voltage_ok
    assert "32 V" in high.findings[0]


@given(st.sampled_from(FUSE_KIND_IDS), st.floats(0.2, 20), st.floats(0.2, 20))
@settings(max_examples=80)
def test_more_current_opens_sooner(fuse_kind: str, one: float, other: float) -> None:
    less, more = sorted((one, other))
    soonest = [shortest_opening_s(fuse_kind, 10, 10 * each).time_s for each in (less, more)]
    if soonest[0] is not None and soonest[1] is not None:
        assert soonest[1] <= soonest[0]
    latest = [longest_opening_s(fuse_kind, 10, 10 * each).time_s for each in (less, more)]
    if latest[0] is not None:
        assert latest[1] is not None
        assert latest[1] <= latest[0]
    assert_reasons_hold(choose(load_a=1).reasons)


def test_below_its_first_gate_a_fuse_may_never_open() -> None:
    assert longest_opening_s("blade-medium", 10, 12).time_s is None
    assert longest_opening_s("blade-medium", 10, 13.5).time_s == 600


def test_above_the_last_gate_let_through_is_constant() -> None:
    at_gate = shortest_opening_s("blade-medium", 10, 60)
    beyond = shortest_opening_s("blade-medium", 10, 120)
    assert at_gate.time_s is not None
    assert beyond.time_s == pytest.approx(at_gate.time_s / 4)
    assert_reasons_hold(beyond.reasons)


@pytest.mark.parametrize("fuse_kind", FUSE_KIND_IDS)
def test_wire_stands_what_its_fuse_link_lets_through_for_long(fuse_kind: str) -> None:
    """1.1 × for ever, 1.35 × for the gate's time; more where the family opens later."""
    needed = required_wire_current_a(20, fuse_kind)
    assert needed.value >= 1.35 * 20
    assert longest_opening_s(fuse_kind, 20, needed.value * 1.000001).time_s is not None
    assert_reasons_hold(needed.reasons)


@pytest.mark.parametrize("fuse_kind", ["blade-medium", "blade-mini", "blade-high-current"])
def test_blade_fuse_links_ask_for_1_35(fuse_kind: str) -> None:
    assert required_wire_current_a(20, fuse_kind).value == pytest.approx(27)


def test_fault_current_is_voltage_over_the_loop() -> None:
    fault = fault_current_a(source_voltage_v=12.6, supply_mohm=6, upstream_mohm=4, wire_mohm=32)
    assert fault.value == pytest.approx(300)
    assert_reasons_hold(fault.reasons)
    with pytest.raises(SizingError, match="no resistance"):
        fault_current_a(source_voltage_v=12.6, supply_mohm=0, wire_mohm=0)


@pytest.mark.parametrize("bad", [-1, 0, float("nan"), float("inf"), True, "4", None, 1e9])
@pytest.mark.parametrize("field", ["load_a", "system_voltage_v"])
def test_values_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    with pytest.raises(SizingError) as refused:
        choose(**{field: bad})
    assert refused.value.field == field


def test_unknown_family_is_refused() -> None:
    with pytest.raises(SizingError) as refused:
        choose(fuse_kind="wire")
    assert refused.value.field == "fuse_kind"
