"""A unit's steps as panels, in the order that the person at the bench picks. Pure."""

from collections.abc import Callable

from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.work_list.by_place import by_place
from webapp.stages.building.work_list.by_plug import by_plug
from webapp.stages.building.work_list.by_tool import by_tool
from webapp.stages.building.work_list.by_wire import by_wire
from webapp.stages.building.work_list.panels import Panel, divided
from webapp.stages.design.rows import Design

Order = Callable[[Design, Parts, WorkPlan], list[Panel]]
# The first is the usual one.
ORDERS: dict[str, Order] = {"tool": by_tool, "wire": by_wire, "plug": by_plug, "place": by_place}
USUAL = "tool"


def work_list(design: Design, parts: Parts, plan: WorkPlan, order: str) -> list[Panel]:
    """Every step of the plan once, in panels of at most some forty rows.

    Raises:
        KeyError: no such order.
    """
    return [each for panel in ORDERS[order](design, parts, plan) for each in divided(panel)]
