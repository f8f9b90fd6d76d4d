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
from webapp.stages.building.work_list.panels import MOST_ROWS, Panel
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
