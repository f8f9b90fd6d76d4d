"""A design's places and runs as plain values for the plans that are drawn of them."""

from collections import Counter

from markupsafe import Markup

from webapp.drawings.plan import PlanPlace, PlanRun, plan_svg
from webapp.pages.wording import with_unit
from webapp.stages.design.rows import Design
from webapp.stages.design.splices import set_back, splices_mm
from webapp.stages.design.wires import wires

NOT_MEASURED = "length not measured"


def plan_drawing(design: Design, width: float = 1180) -> Markup | None:
    """The loom as it lies on the bench; None while there are no runs."""
    if not design.run:
        return None
    # Drawn by drawings.plan, which escapes every word.
    return Markup(plan_svg(plan_places(design), plan_runs(design), width))


def plan_places(design: Design) -> list[PlanPlace]:
    """The places that runs lead to."""
    joined = {uid for run in design.run.values() for uid in (run.from_place_uid, run.to_place_uid)}
    return [
        PlanPlace(uid, place.name, _mark(design, uid), _fittings(design, uid))
        for uid, place in design.place.items()
        if uid in joined
    ]


def plan_runs(design: Design) -> list[PlanRun]:
    spliced = splices_mm(design)
    count = Counter(uid for wire in wires(design) for uid in wire.route or ())
    return [
        PlanRun(
            run.from_place_uid,
            run.to_place_uid,
            run.length_mm or 0,
            count[run.uid],
            run.covering if run.length_mm else NOT_MEASURED,
            run.through,
            run.uid,
            spliced.get(run.uid, ()),
            with_unit(run.length_mm or 0),
        )
        for run in design.run.values()
    ]


def _mark(design: Design, place_uid: str) -> str:
    here = [fitting for fitting in design.fitting.values() if fitting.place_uid == place_uid]
    if any(fitting.mate_uid for fitting in here):
        return "plug"
    if any(item.kind == "splice" and set_back(design, item) is None for item in here):
        return "splice"
    return "load" if any(need.place_uid == place_uid for need in design.need.values()) else ""


def _fittings(design: Design, place_uid: str) -> tuple[str, ...]:
    return tuple(need.name for need in design.need.values() if need.place_uid == place_uid)
