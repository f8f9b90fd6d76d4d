"""The loom as a network: against ngspice on the day launch, and against what tracing says."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests.stages.design.need_lists import CATALOGUE, design, lamp
from tests.stages.design.test_proposal import starting
from webapp.bench import ngspice
from webapp.sizing.network import solve
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
