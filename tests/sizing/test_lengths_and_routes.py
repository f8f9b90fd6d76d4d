"""Cut lengths, the shortest way through the runs, and the limits of the tests."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.acceptance import (
    CONTACT_MOHM,
    CRIMP_MOHM,
    ISOLATION_RULES,
    isolation_limit,
    resistance_limit_mohm,
)
from webapp.sizing.conductors import conductor
from webapp.sizing.lengths import wire_length_mm
from webapp.sizing.reasons import SizingError
from webapp.sizing.routes import NoRoute, Run, shortest_route

RUNS = [
    Run("r1", "battery", "bulkhead", 900),
    Run("r2", "bulkhead", "panel", 1800),
    Run("r3", "battery", "panel", 2700),
    Run("r4", "panel", "bow", 2400),
    Run("r5", "panel", "mast", 0),
    Run("r6", "shed", "yard", 10),
]


def test_route_with_fewer_runs_is_taken_of_two_of_one_length() -> None:
    route = shortest_route(RUNS, "battery", "bow")
    assert route.runs == ("r3", "r4")
    assert route.places == ("battery", "panel", "bow")
    assert route.length_mm == 5100
    assert_reasons_hold(route.reasons)


@given(st.randoms(use_true_random=False))
@settings(max_examples=40)
def test_route_is_the_same_whatever_the_order_and_backwards(shuffler: random.Random) -> None:
    runs = [
        Run(f"r{number}", f"p{a}", f"p{b}", shuffler.randrange(0, 4))
        for number, (a, b) in enumerate(
            (shuffler.randrange(6), shuffler.randrange(6)) for _ in range(12)
        )
    ]
    mixed = runs[:]
    shuffler.shuffle(mixed)
    try:
        there = shortest_route(runs, "p0", "p5")
    except NoRoute:
        with pytest.raises(NoRoute):
            shortest_route(mixed, "p5", "p0")
        return
    back = shortest_route(mixed, "p5", "p0")
    assert (back.runs[::-1], back.places[::-1]) == (there.runs, there.places)
    assert there.length_mm == sum(run.length_mm for run in runs if run.uid in there.runs)
    assert there.length_mm == brute_force_mm(runs, "p0", "p5")


def brute_force_mm(runs: list[Run], a: str, b: str) -> int:
    """Bellman and Ford's relaxation, as a second opinion."""
    far = 10**9
    best = {place: far for run in runs for place in (run.a, run.b)} | {a: 0}
    for _ in best:
        for run in runs:
            best[run.b] = min(best[run.b], best[run.a] + run.length_mm)
            best[run.a] = min(best[run.a], best[run.b] + run.length_mm)
    return best[b]


def test_a_place_is_no_way_from_itself() -> None:
    route = shortest_route(RUNS, "bow", "bow")
    assert (route.runs, route.length_mm) == ((), 0)


def test_no_way_is_said_plainly() -> None:
    with pytest.raises(NoRoute, match="No runs lead from battery to yard"):
        shortest_route(RUNS, "battery", "yard")
    with pytest.raises(NoRoute):
        shortest_route([], "battery", "nowhere")
    with pytest.raises(SizingError):
        shortest_route([Run("r1", "a", "b", -5)], "a", "b")


@given(
    st.integers(0, 100_000),
    st.integers(0, 500),
    st.integers(0, 500),
    st.floats(0, 20),
    st.sampled_from([1, 5, 10, 50]),
)
@settings(max_examples=80)
def test_cut_length_covers_route_slack_and_allowances(
    route_mm: int, from_mm: int, to_mm: int, slack: float, step_mm: int
) -> None:
    cut = wire_length_mm(
        route_mm,
        allowance_from_mm=from_mm,
        allowance_to_mm=to_mm,
        slack_percent=slack,
        round_up_to_mm=step_mm,
    )
    needed_mm = route_mm * (1 + slack / 100) + from_mm + to_mm
    assert cut.value % step_mm == 0
    assert needed_mm - 1e-6 <= cut.value < needed_mm + step_mm
    assert_reasons_hold(cut.reasons)


def test_a_length_that_comes_out_even_is_not_rounded_up() -> None:
    assert wire_length_mm(1000, slack_percent=5, round_up_to_mm=10).value == 1050


@pytest.mark.parametrize("bad", [-1, 1.5, True, "900", None, float("nan")])
def test_lengths_that_make_no_sense_are_refused(bad: object) -> None:
    with pytest.raises(SizingError) as refused:
        wire_length_mm(bad)  # type: ignore[arg-type]
    assert refused.value.field == "route_mm"


def test_resistance_limit_adds_wire_joints_and_leads() -> None:
    wire = conductor("iec60228-class5", csa_mm2=1, finish="plain")
    limit = resistance_limit_mohm(wire, length_m=2, crimps=2, contacts=1, lead_mohm=3)
    assert limit.value == pytest.approx(2 * 19.5 + 2 * CRIMP_MOHM + CONTACT_MOHM + 3)
    warmer = resistance_limit_mohm(
        wire, length_m=2, crimps=2, contacts=1, lead_mohm=3, temperature_c=30
    )
    assert warmer.value > limit.value
    assert_reasons_hold(warmer.reasons)
    remembered = conductor("iso6722", csa_mm2=1)
    assert not resistance_limit_mohm(remembered, length_m=2).confirmed
    with pytest.raises(SizingError):
        resistance_limit_mohm(wire, length_m=2, crimps=-1)


@pytest.mark.parametrize("rule", ISOLATION_RULES)
def test_isolation_limits_have_reasons(rule: str) -> None:
    limit = isolation_limit(rule)
    assert limit.least_megohm >= 1
    assert_reasons_hold(limit.reasons)


def test_unknown_isolation_rule_is_refused() -> None:
    with pytest.raises(SizingError):
        isolation_limit("hope")
