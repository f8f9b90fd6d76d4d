"""The loom as a network: against ngspice on the day launch, and against what tracing says."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.sizing.evaluation import evaluate
from tests.stages.design.need_lists import CATALOGUE, design, lamp, with_control
from tests.stages.design.test_proposal import starting
from webapp.bench import ngspice
from webapp.sizing.network import solve
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.together import ALL_LASTING, CRANKING


def launch() -> Design:
    """A launch of a starter, its charging, lamps in fours, a relay and a plug."""
    needs = [
        *starting(),
        lamp("l", name="Cabin lamps", quantity=4, rating=5.0),
        lamp("h", name="Horn", kind="motor", rating=4.0, rating_unit="A", on_s=5.0, off_s=60.0,
             control="push button via relay"),
        lamp("v", name="Radio", kind="electronics", rating=6.0, rating_unit="A",
             control="permanent", rated_at_v=13.6),
    ]  # fmt: skip
    before = design(needs, isolator_place_uid="battery box", plug_place_uids=("helm",))
    return propose(before, CATALOGUE).design


LAUNCH = launch()


@pytest.mark.parametrize("volts", [14.4, 11.5])
def test_every_current_agrees_with_ngspice(volts: float, tmp_path: Path) -> None:
    """Source: ngspice with tight tolerances, on the same netlist."""
    assert ngspice.available(), "ngspice is not installed; python3 -m webapp test installs it"
    figures = Figures(LAUNCH)
    for name in (ALL_LASTING, "Horn besides", CRANKING):
        state = figures.operating.state(name)
        assert state is not None
        network = figures.operating.network(volts, state)
        ours = solve(network)
        theirs = ngspice.run(network, tmp_path)
        largest = max(abs(amps) for amps in theirs.wires.values())
        assert largest > 3
        for name, amps in theirs.wires.items():
            assert ours.wires[name].current_a == pytest.approx(amps, abs=1e-6 * largest)


def test_states_are_all_that_lasts_cranking_and_each_other_duty_besides() -> None:
    operating = Figures(LAUNCH).operating
    assert [state.name for state in operating.states] == [ALL_LASTING, CRANKING, "Horn besides"]
    assert [state.name for state in operating.hot] == [state.name for state in operating.states]


def test_solved_and_traced_currents_are_close_where_nothing_is_parallel() -> None:
    figures = Figures(LAUNCH)
    for link in LAUNCH.link.values():
        carried, _ = figures.carried_a(link)
        traced = figures.heat_a(link.uid)
        # The loom's drop makes resistive loads take a little less than the trace says.
        assert carried == pytest.approx(traced, rel=0.12, abs=0.05)


def test_parallel_feeds_share_the_current() -> None:
    feed = max(
        (link for link in LAUNCH.link.values() if link.route and not link.starter_cable),
        key=lambda link: Figures(LAUNCH).heat_a(link.uid),
    )
    twin = LAUNCH.link | {"twin": _twin(feed)}
    doubled = Figures(_with_links(twin))
    alone = Figures(LAUNCH)
    whole, _ = alone.carried_a(feed)
    one, _ = doubled.carried_a(feed)
    other, _ = doubled.carried_a(_twin(feed))
    assert one + other == pytest.approx(whole, rel=0.03)
    assert other == pytest.approx(one, rel=0.35)


def test_a_loom_that_cannot_be_solved_falls_back_to_the_trace() -> None:
    bare = _with_links({})
    figures = Figures(bare)
    assert figures.operating.hot == []
    assert figures.drops == []


def _twin(link: Link) -> Link:
    return replace(link, uid="twin", number=999)


def _with_links(links: dict[str, Link]) -> Design:
    return replace(LAUNCH, link=links, crossing={}, wire_end={})


# Change-overs


def under_control(control: str) -> Figures:
    return Figures(propose(design(with_control(control)), CATALOGUE).design)


def load_of(figures: Figures, need_uid: str) -> LoadFigures:
    return next(each for each in figures.loads.values() if each.need and each.need.uid == need_uid)


def test_the_outputs_of_a_change_over_are_never_on_together() -> None:
    figures = under_control("change-over switch")
    one, other = load_of(figures, "lamp"), load_of(figures, "other")
    shared = [
        uid
        for uid in one.path.feed or ()
        if uid in (other.path.feed or ()) and uid in figures.design.link
    ]
    assert shared
    for uid in shared:
        assert figures.heat_a(uid) == pytest.approx(max(one.heat_a, other.heat_a))
        carried, _ = figures.carried_a(figures.design.link[uid])
        assert carried == pytest.approx(max(one.heat_a, other.heat_a), rel=0.02)
    first, second = figures.operating.states
    assert first.name == ALL_LASTING
    assert "at" in second.name
    assert {load.uid for load in first.on} ^ {load.uid for load in second.on} == {
        one.uid, other.uid,
    }  # fmt: skip
    assert set(figures.operating.lost_v) == {one.uid, other.uid}


def test_either_strapper_of_two_way_switches_carries_all_of_it() -> None:
    figures = under_control("two-way switches")
    load = load_of(figures, "lamp")
    switches = {
        fitting.uid
        for fitting in figures.design.fitting.values()
        if fitting.kind == "change-over switch"
    }
    assert len(switches) == 2

    def fitting_of(way_uid: str | None) -> str:
        return figures.design.way[way_uid or ""].fitting_uid

    strappers = [
        link
        for link in figures.design.link.values()
        if {fitting_of(link.from_way_uid), fitting_of(link.to_way_uid)} == switches
    ]
    assert len(strappers) == 2
    for link in strappers:
        assert figures.heat_a(link.uid) == pytest.approx(load.heat_a)
        carried, _ = figures.carried_a(link)
        assert carried == pytest.approx(load.heat_a, rel=0.02)
    # One strapper at a time, and the lamp is lit in either state.
    for state in figures.operating.hot:
        live = [
            link for link in strappers if abs(
                state.solution.wires[link.uid].current_a if link.uid in state.solution.wires else 0
            ) > 0.01
        ]  # fmt: skip
        assert len(live) == 1
        assert [each.uid for each in state.of.on] == [load.uid]
    assert len(figures.operating.hot) == 2


# Cranking


def test_the_battery_sags_while_the_engine_is_cranked() -> None:
    """By hand: 11.5 V less 25 mΩ times what the starter, its solenoid and the rest take."""
    figures = Figures(LAUNCH)
    cranking = figures.operating.cranking
    assert cranking is not None
    taken_a = sum(flow.current_a for flow in cranking.solution.loads.values())
    assert taken_a > 120
    assert cranking.current_a == pytest.approx(taken_a, rel=1e-6)
    basis = LAUNCH.basis
    expected_v = basis.drop_at_v - taken_a * basis.supply_mohm_old_cold / 1000
    assert cranking.battery_v == pytest.approx(expected_v, rel=1e-6)
    starter_cable = next(link for link in LAUNCH.link.values() if link.starter_cable)
    reasons = figures.wire(starter_cable.uid).reasons
    (why,) = (reason for reason in reasons if reason.name == "cranking_v")
    assert evaluate(why) == pytest.approx(why.value)
    assert why.value == cranking.battery_v


def test_volts_at_the_ways_in_a_state_by_its_name() -> None:
    figures = Figures(LAUNCH)
    supply = figures.circuitry.supply
    assert supply is not None
    starter = load_of(figures, "s").bridge
    ways = [supply.way_a_uid, supply.way_b_uid, starter.way_a_uid, "no such way"]
    resting = figures.operating.volts_at(ways)
    assert resting[supply.way_a_uid] == pytest.approx(LAUNCH.basis.drop_at_v)
    assert resting[supply.way_b_uid] == 0.0
    assert "no such way" not in resting
    cranked = figures.operating.volts_at(ways, CRANKING)
    assert figures.operating.cranking is not None
    assert cranked[supply.way_a_uid] == pytest.approx(figures.operating.cranking.battery_v)
    assert cranked[starter.way_a_uid] < cranked[supply.way_a_uid] < resting[supply.way_a_uid]
    assert figures.operating.volts_at(ways, "no such state") == {}
    assert figures.operating.state("no such state") is None


def test_what_lives_at_accessory_is_off_while_cranking() -> None:
    radio = lamp("r", name="Radio", control="key switch accessory", rating=5.0)
    after = propose(design([*starting(), radio, lamp()]), CATALOGUE).design
    figures = Figures(after)
    state = figures.operating.state(CRANKING)
    assert state is not None
    on = {load.need.uid for load in state.on if load.need}
    assert on == {"s", "c", "i", "lamp"}
    (first, *_) = figures.operating.states
    assert load_of(figures, "r") in first.on


def test_a_suppression_diode_the_wrong_way_round_is_told() -> None:
    needs = [lamp(control="switch via relay", rating=30.0)]
    after = propose(design(needs), CATALOGUE).design
    figures = Figures(after)
    assert figures.circuitry.shorting_diodes == []
    (diode,) = (bridge for bridge in after.bridge.values() if bridge.kind == "diode")
    turned = replace(diode, way_a_uid=diode.way_b_uid, way_b_uid=diode.way_a_uid)
    wrong = replace(after, bridge=after.bridge | {diode.uid: turned})
    assert Figures(wrong).circuitry.shorting_diodes == [diode.uid]
