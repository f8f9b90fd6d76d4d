"""Plug by plug: the ends that go into each plug, socket, splice or fitting, way by way."""

from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.wire_steps import fitting_of, is_plug
from webapp.stages.building.work_list.gathering import Gathering, MetEnd, every_end, gathered
from webapp.stages.building.work_list.panels import Panel
from webapp.stages.design.rows import Design


def by_plug(design: Design, _parts: Parts, plan: WorkPlan) -> list[Panel]:
    """The fittings in the design's order, each with its own steps last; then the loose ends."""
    ends: dict[str, list[MetEnd]] = {}
    for end in every_end(plan):
        fitting = fitting_of(design, end.at)
        ends.setdefault(fitting.uid if fitting else "", []).append(end)
    own = {other.uid: other for other in plan.others}
    loose = ends.pop("", [])
    gatherings = [
        Gathering(
            key=uid,
            title=fitting.name,
            side=design.place[fitting.place_uid].name,
            ends=_in_way_order(design, ends[uid]),
            others=[own[uid]] if uid in own else [],
            plug_uid=uid if is_plug(fitting) else None,
        )
        for uid, fitting in design.fitting.items()
        if uid in ends
    ]
    return gathered(plan, [*gatherings, Gathering("loose", "Loose ends", "", loose)])


def _in_way_order(design: Design, ends: list[MetEnd]) -> list[MetEnd]:
    order = {uid: number for number, uid in enumerate(design.way)}
    return sorted(ends, key=lambda met: order.get(met.at.way_uid or "", -1))
