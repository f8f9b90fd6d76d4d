"""Following the current: sums that must hold at every joint and along every way."""

from collections.abc import Iterator
from itertools import pairwise

import pytest

from tests.sizing.evaluation import evaluate
from tests.stages.design.need_lists import CATALOGUE, design, lamp, with_control
from tests.stages.design.test_operating import LAUNCH
from webapp.sizing.network import solve
from webapp.stages.design.figures import Figures
from webapp.stages.design.following import (
    AT_DROP,
    AT_HEAT,
    JOINT,
    LOAD,
    OUT,
    SUPPLY,
    VOLTAGES,
    WIRE,
    Followed,
    follow,
)
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.together import ALL_LASTING, CRANKING


def tractor() -> Design:
    """Positive earth: fuse-links in the negative feed, the body carries the return."""
    needs = [
        lamp("s", name="Side lamps", quantity=2, rating=5.0, rated_at_v=6.0),
        lamp("h", name="Horn", kind="motor", rating=4.0, rating_unit="A", on_s=5.0, off_s=60.0,
             rated_at_v=6.0, control="push button via relay"),
    ]  # fmt: skip
    before = design(needs, volts=6, polarity="positive earth", setting="plant")
    return propose(before, CATALOGUE).design


def by_diodes() -> Design:
    return propose(design(with_control("diode fed"), setting="plant"), CATALOGUE).design


def dipped() -> Design:
    return propose(design(with_control("change-over switch")), CATALOGUE).design


DESIGNS = {
    "launch": LAUNCH,
    "tractor": tractor(),
    "diodes": by_diodes(),
    "change-over": dipped(),
}


def ways(after: Design) -> Iterator[tuple[Figures, str, str, str, Followed]]:
    """Every load in every state in which it is on, at both voltages."""
    figures = Figures(after)
    for state in figures.operating.states:
        for load in state.on:
            for at in VOLTAGES:
                yield figures, load.uid, state.name, at, follow(figures, load.uid, state.name, at)


@pytest.fixture(params=DESIGNS, scope="module")
def followed(request: pytest.FixtureRequest) -> list[tuple[Figures, str, str, str, Followed]]:
    found = list(ways(DESIGNS[request.param]))
    assert len(found) >= 4
    assert all(not one.trouble and len(one.steps) > 5 for *_, one in found)
    return found


Ways = list[tuple[Figures, str, str, str, Followed]]


def test_what_comes_to_a_joint_goes_out_of_it(followed: Ways) -> None:
    for *_, one in followed:
        for step, following in pairwise(one.steps):
            last = following is one.steps[-1]
            leaving = sum(branch.amps for branch in step.forks)
            leaving += sum(branch.amps for branch in following.forks) if last else 0.0
            assert step.amps == pytest.approx(following.amps + leaving, abs=1e-6), step.words


def test_volts_fall_from_the_supply_to_the_return_and_each_loss_is_the_difference(
    followed: Ways,
) -> None:
    for *_, one in followed:
        assert one.steps[-1].volts == pytest.approx(0.0, abs=1e-9)
        assert abs(one.steps[0].volts) == pytest.approx(one.supply_v)
        for step, following in pairwise(one.steps):
            fell = abs(step.volts) - abs(following.volts)
            assert fell >= -1e-9
            assert fell == pytest.approx(following.lost_v, abs=1e-9), following.words


def test_what_the_load_is_left_with_is_what_the_rest_has_not_taken(followed: Ways) -> None:
    for *_, one in followed:
        rest = one.lost_wires_v + one.lost_joints_v
        assert one.load_v == pytest.approx(one.supply_v - rest, abs=1e-9)


def test_wires_take_what_the_drop_figure_says(followed: Ways) -> None:
    """The figure counts conductors at a discharged battery, at the battery's own terminals."""
    told: set[str] = set()
    for figures, uid, state, at, one in followed:
        if at == AT_DROP and state != CRANKING and uid not in told:
            load = figures.loads[uid]
            moment = figures.operating.state(state).moment  # type: ignore[union-attr]
            if not load.lasting and moment is None:
                continue
            told.add(uid)
            assert one.lost_wires_v == pytest.approx(figures.load_drop(load).drop_v, abs=1e-9)
    assert told


def test_every_reason_with_a_formula_gives_its_value(followed: Ways) -> None:
    seen = set()
    for *_, one in followed:
        for step in one.steps:
            for reason in step.reasons:
                if reason.formula:
                    seen.add(reason.formula)
                    assert evaluate(reason) == pytest.approx(reason.value, rel=1e-6, abs=1e-9)
    assert len(seen) >= 6


def test_each_value_on_the_way_has_its_reason(followed: Ways) -> None:
    for *_, one in followed:
        for step in one.steps:
            named = {reason.name: reason.value for reason in step.reasons}
            if step.kind == WIRE:
                assert named["lost_v"] == pytest.approx(step.lost_v, abs=1e-9)
                assert named["volts"] == pytest.approx(step.volts, abs=1e-9)
            if step.temperature_c is not None:
                assert named["temperature_c"] == pytest.approx(step.temperature_c)


def test_a_wire_runs_from_where_the_step_before_ended(followed: Ways) -> None:
    for figures, *_, one in followed:
        ends = [step for step in one.steps if step.kind in (WIRE, JOINT, SUPPLY)]
        for before, step in pairwise(ends):
            if step.kind == WIRE and before.leg == step.leg:
                assert step.wire is not None
                assert figures.design.way_name(step.wire.left.way_uid) == before.end_words


def test_currents_are_those_of_the_network_solved_by_itself() -> None:
    figures = Figures(LAUNCH)
    state = figures.operating.state(ALL_LASTING)
    assert state is not None
    solved = solve(figures.operating.network(LAUNCH.basis.drop_at_v, state))
    lamp_uid = next(uid for uid, load in figures.loads.items() if load.name == "Cabin lamps 2")
    one = follow(figures, lamp_uid, ALL_LASTING, AT_DROP)
    # There the wires are as warm as traced currents make them: a little other, not much.
    assert one.load_v == pytest.approx(abs(solved.loads[lamp_uid].voltage_v), rel=0.01)


def test_plugs_are_passed_half_to_half_and_forks_named() -> None:
    figures = Figures(LAUNCH)
    uid = next(uid for uid, load in figures.loads.items() if load.name == "Cabin lamps 2")
    words = [step.words for step in follow(figures, uid, ALL_LASTING, AT_HEAT).steps]
    assert "Helm plug, socket half · 1 mates with Helm plug, plug half · 1" in words
    assert any("fuse-link" in each for each in words)
    forks = [
        branch.words
        for step in follow(figures, uid, ALL_LASTING, AT_HEAT).steps
        for branch in step.forks
    ]
    assert any("(Radio)" in each for each in forks)
    assert any("(Cabin lamps 3)" in each for each in forks)


def test_the_way_passes_a_diode_where_one_stands() -> None:
    found = [
        step
        for *_, one in ways(DESIGNS["diodes"])
        for step in one.steps
        if step.kind == JOINT and "diode" in step.words
    ]
    assert found
    assert all(step.lost_v > 0.7 for step in found)


def test_cranking_begins_at_what_an_old_cold_battery_has_left() -> None:
    figures = Figures(LAUNCH)
    starter = next(uid for uid, load in figures.loads.items() if load.name == "Starter")
    assert figures.operating.cranking is not None
    one = follow(figures, starter, CRANKING, AT_DROP)
    assert one.supply_v == pytest.approx(figures.operating.cranking.battery_v)
    assert one.load_v < one.supply_v < LAUNCH.basis.drop_at_v


def test_a_load_that_is_off_or_not_joined_says_so() -> None:
    figures = Figures(LAUNCH)
    starter = next(uid for uid, load in figures.loads.items() if load.name == "Starter")
    assert "off in this state" in follow(figures, starter, ALL_LASTING, AT_DROP).trouble
    assert "off in this state" in follow(figures, starter, "no such state", AT_DROP).trouble
    assert "does not hang" in follow(figures, "nothing", ALL_LASTING, AT_DROP).trouble


def test_on_positive_earth_the_way_begins_at_the_negative_pole_below_nought() -> None:
    (_, _, _, _, one), *_ = ways(DESIGNS["tractor"])
    assert one.steps[0].words.endswith("−")
    assert one.steps[0].volts < -4
    assert [step.kind for step in one.steps].count(LOAD) == 1
    assert all(step.volts <= 1e-9 for step in one.steps)
    assert one.steps[0].leg == OUT
