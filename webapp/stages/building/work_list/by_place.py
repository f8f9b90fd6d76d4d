"""Place by place: the ends that sit at each place of the loom, then its runs."""

from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import OtherWork, WorkPlan
from webapp.stages.building.work_list.gathering import Gathering, MetEnd, every_end, gathered
from webapp.stages.building.work_list.panels import Panel
from webapp.stages.design.rows import Design


def by_place(design: Design, _parts: Parts, plan: WorkPlan) -> list[Panel]:
    """The places in the design's order, each with its splices and plugs last; then the runs."""
    ends: dict[str, list[MetEnd]] = {}
    for end in every_end(plan):
        ends.setdefault(end.at.place_uid or "", []).append(end)
    own: dict[str, list[OtherWork]] = {}
    for other in plan.others:
        if other.uid in design.fitting:
            own.setdefault(design.fitting[other.uid].place_uid, []).append(other)
    gatherings = [
        Gathering(f"at:{uid}", place.name, "", ends.get(uid, []), own.get(uid, []))
        for uid, place in design.place.items()
    ]
    nowhere = Gathering("at:", "Ends with no place", "", ends.get("", []))
    return gathered(plan, [*gatherings, nowhere])
