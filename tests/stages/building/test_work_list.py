"""The work list: every step once in each order, groups as a workshop would do them."""

from collections import Counter

import pytest
from sqlalchemy.orm import Session

from tests.stages import launch
from tests.stages.building.test_threading import tight
from tests.stages.design.findings.cases_runs import GROMMETS
from tests.stages.design.findings.cases_splices import SPLICED
from tests.stages.design.laid import LAID, PLUGGED
from tests.stages.design.need_lists import CATALOGUE
from webapp.stages import catalogue
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.work_list import ORDERS, work_list
from webapp.stages.building.work_list.hands import Goal, Hands, Sleeve, hands
from webapp.stages.building.work_list.panels import MOST_ROWS, Panel, tasks
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Design, load

PARTS = CATALOGUE.parts
DEPTHS = ("short", "full")


def uids(panels: list[Panel]) -> list[str]:
    return [row.task.uid for panel in panels for row in panel.rows]


CASES = {
    "cables": (LAID, PARTS),
    "plugs": (PLUGGED, PARTS),
    "splices": (SPLICED, PARTS),
    "grommets": (GROMMETS, tight(PARTS)),
}
Loom = tuple[Design, dict[str, CatalogPart]]


@pytest.fixture(params=["launch", *CASES])
def loom(request: pytest.FixtureRequest, session: Session) -> Loom:
    if request.param in CASES:
        return CASES[request.param]
    design = load(session, launch.begin(session).revision_id)
    return design, catalogue.read(session).parts


@pytest.fixture
def launched(session: Session) -> Loom:
    design = load(session, launch.begin(session).revision_id)
    return design, catalogue.read(session).parts


@pytest.mark.parametrize("depth", DEPTHS)
@pytest.mark.parametrize("order", ORDERS)
def test_every_step_stands_once_in_each_order(loom: Loom, order: str, depth: str) -> None:
    design, parts = loom
    plan = work_plan(design, parts, depth)
    panels = work_list(design, parts, plan, order)
    assert Counter(uids(panels)) == Counter(list(plan.by_uid))
    assert all(0 < len(panel.rows) <= MOST_ROWS for panel in panels)
    assert len({panel.key for panel in panels}) == len(panels)
    assert len({panel.name for panel in panels}) == len(panels)


@pytest.mark.parametrize("depth", DEPTHS)
def test_by_tool_nothing_waits_for_a_later_row(loom: Loom, depth: str) -> None:
    design, parts = loom
    plan = work_plan(design, parts, depth)
    done: set[str] = set()
    for uid in uids(work_list(design, parts, plan, "tool")):
        assert set(plan.by_uid[uid].after) <= done, uid
        done.add(uid)


def named(panels: list[Panel]) -> dict[str, Panel]:
    return {panel.name: panel for panel in panels}


def test_by_tool_one_setting_of_a_tool_is_one_group(launched: Loom) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "full")
    panels = work_list(design, parts, plan, "tool")
    crimps = [panel for panel in panels if panel.title == "Crimp"]
    for panel in crimps:
        assert {row.task.step.operation for row in panel.rows} == {"crimp"}
        assert {row.task.step.setup for row in panel.rows} == {panel.setup}
    groups = [panel.setup for panel in crimps]
    assert sorted(set(groups)) == sorted(groups)
    order = list(dict.fromkeys(panel.title for panel in panels))
    assert order == [
        "Cut", "Lay in", "Thread on and strip", "Thread on", "Loose ends",
        "Slide on grommets and glands", "Crimp", "Solder", "Shrink", "Tug", "Insert",
        "Put in place", "Splices", "Plugs and sockets", "Bind with masking tape", "Try in place",
        "Cover",
    ]  # fmt: skip


def test_by_tool_the_longest_is_cut_first_and_colours_stay_together(launched: Loom) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "full")
    panel = named(work_list(design, parts, plan, "tool"))["Cut, Boat cable 1.5"]
    cut = [(row.head, row.task.wire.wire.length_mm or 0) for row in panel.rows if row.task.wire]
    assert cut == sorted(cut, key=lambda one: (one[0], -one[1]))
    assert [head for head, _ in cut] == ["GY", "OG", "YE"]


def test_by_tool_threading_and_stripping_go_by_what_the_stripper_is_set_to(
    launched: Loom,
) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "full")
    panel = named(work_list(design, parts, plan, "tool"))["Thread on and strip, 6.4 mm, 2.5 mm²"]
    done = [(row.task.piece, row.task.step.operation) for row in panel.rows]
    pieces = list(dict.fromkeys(piece for piece, _ in done))
    assert done == [(piece, step) for piece in pieces for step in ("thread", "strip")]
    assert "l2:from" in pieces
    assert "l1:from" not in pieces  # a ring terminal is stripped 8 mm


def test_by_plug_ends_go_by_way_and_the_plugs_own_step_comes_last(launched: Loom) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "full")
    panel = named(work_list(design, parts, plan, "plug"))["Engine socket, helm"]
    assert panel.plug_uid == "sock"
    ends = list(dict.fromkeys(row.task.at.way_uid for row in panel.rows if row.task.at))
    assert ends == ["sock.1", "sock.2"]
    assert panel.rows[-1].task.step.operation == "assemble"
    # The wire is cut where its first end comes up.
    assert panel.rows[0].task.uid == "l2.1:cut"


def test_by_place_the_ends_that_sit_there_and_then_the_runs(launched: Loom) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "short")
    panels = work_list(design, parts, plan, "place")
    assert [panel.title for panel in panels] == [
        "battery box", "helm", "engine bay", "bow", "Ends with no place", "Runs",
    ]  # fmt: skip
    bay = next(panel for panel in panels if panel.title == "engine bay")
    assert {row.task.end.place for row in bay.rows if row.task.end} == {"engine bay"}


def test_a_long_list_is_divided_evenly_and_no_piece_is_torn_apart() -> None:
    plan = work_plan(GROMMETS, PARTS, "full")
    helm = [panel for panel in work_list(GROMMETS, PARTS, plan, "place") if panel.title == "helm"]
    assert len(helm) > 1
    assert [panel.of for panel in helm] == [f"{n} of {len(helm)}" for n in range(1, len(helm) + 1)]
    held = [{row.task.piece for row in panel.rows if row.task.end} for panel in helm]
    assert all(not a & b for n, a in enumerate(held) for b in held[n + 1 :])
    sizes = [len(panel.rows) for panel in helm]
    assert min(sizes) > MOST_ROWS / 3


def test_a_step_knows_what_is_cut_again_when_it_is_scrapped(launched: Loom) -> None:
    design, parts = launched
    found = tasks(work_plan(design, parts, "full"))
    assert found["l2:xl2.a:crimp"].cut_uid == "l2.0:cut"
    assert found["l2.0:cut"].cut_uid == "l2.0:cut"
    assert found["plug:assemble"].cut_uid == ""
    assert found["l8:from:thread"].cut_uid == ""  # the customer's own lead
    laid = tasks(work_plan(LAID, PARTS, "full"))
    core = next(task for task in laid.values() if task.wire and task.wire.cut_with and task.end)
    assert laid[core.cut_uid].step.operation == "cut"


def test_what_the_hands_need_at_an_end(launched: Loom) -> None:
    design, parts = launched
    plan = work_plan(design, parts, "full")
    found = tasks(plan)

    def at(uid: str) -> Hands:
        task = found[uid]
        assert task.wire
        assert task.end
        assert task.at
        return hands(design, parts, task.wire, task.end, task.at)

    tab = at("l1:to:crimp")
    assert (tab.cable, tab.length_mm, tab.strip_mm) == ("Boat cable 2.5", 100, 6.4)
    assert (tab.terminal, tab.tool, tab.crimped, tab.soldered) == (
        "Tab receptacle 6.3", "tool 3", True, False,
    )  # fmt: skip
    assert tab.height
    assert (tab.height.low, tab.height.high, tab.height.confirmed) == (1.5, 1.6, True)
    # 25 mm are wanted; the tube gets 5 % shorter: 25 / 0.95 = 26.3
    assert tab.sleeve == Sleeve("6.4 → 3.2", 27)
    assert tab.tag == "1 Pump fuse · in RD"
    assert tab.goal == Goal("fuse", "Pump fuse", "fuse.in", "in", half=False)
    pin = at("l2:xl2.a:crimp")
    assert pin.goal == Goal("plug", "Engine plug", "plug.1", "1", half=True)
    assert pin.seal
    assert pin.height
    assert (pin.height.low, pin.height.confirmed) == (None, False)
    cup = at("l4:to:solder")
    assert (cup.crimped, cup.soldered, cup.height) == (False, True, None)
    assert at("l4:from:crimp").soldered
