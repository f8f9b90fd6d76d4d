"""Photos of a unit's work steps: taken with the tablet's camera, kept with the step."""

from dataclasses import dataclass
from urllib.parse import parse_qs, urlencode, urlsplit

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.bench_list import Address
from webapp.pages.deps import ReadSession
from webapp.pages.render import render
from webapp.pages.unit_frame import unit_frame
from webapp.stages import photos
from webapp.stages.building import units
from webapp.stages.building.steps import WorkPlan
from webapp.stages.photos import Of, PhotoRow
from webapp.stages.refusals import NotThere

router = APIRouter()


@dataclass(frozen=True)
class StepPhotos:
    """One step with its photos."""

    of: Of
    name: str
    rows: list[PhotoRow]


def step_name(plan: WorkPlan, step_uid: str) -> str:
    """Wire 5, left end: Crimp. A step that another revision has dropped keeps its photos."""
    step = plan.by_uid.get(step_uid)
    return f"{plan.place_of[step_uid]}: {step.title}" if step else "a step of an earlier revision"


def unit_photos(session: Session, unit_id: int) -> list[StepPhotos]:
    """Every step of the unit that has photos, in the order of the work."""
    unit = units.row(session, unit_id)
    plan = units.plan_of(session, unit)
    found = photos.of_loom(session, unit.loom_id, "step", unit_id=unit_id)
    order = {uid: number for number, uid in enumerate(plan.by_uid)}
    return [
        StepPhotos(Of(unit.loom_id, "step", uid, unit_id), step_name(plan, uid), list(found[uid]))
        for uid in sorted(found, key=lambda uid: order.get(uid, len(order)))
    ]


@router.get("/units/{unit_id}/photos")
def show(
    request: Request,
    session: ReadSession,
    unit_id: int,
    step: str = "",
    order: str = "",
    at: str = "",
) -> Response:
    """The photos of one step with the form that adds one, or of all steps of the unit."""
    frame = unit_frame(session, unit_id)
    plan = units.plan_of(session, frame.unit)
    every = unit_photos(session, unit_id)
    if step and step not in plan.by_uid and step not in {one.of.uid for one in every}:
        raise NotThere
    if not order:
        order, at = _came_from(request, unit_id)
    shown = [one for one in every if not step or one.of.uid == step]
    if step and not shown:
        of = Of(frame.unit.loom_id, "step", step, unit_id)
        shown = [StepPhotos(of, step_name(plan, step), [])]
    query = urlencode({k: v for k, v in (("step", step), ("order", order), ("at", at)) if v})
    return render(
        request,
        "bench/photos.html",
        at=frame,
        unit=frame.unit,
        step=step if step in plan.by_uid else "",
        shown=shown,
        here=f"/units/{unit_id}/photos" + (f"?{query}" if query else ""),
        back=Address(unit_id, order, "").to(at) if order else f"/units/{unit_id}/build",
    )


def _came_from(request: Request, unit_id: int) -> tuple[str, str]:
    """The order and panel of the bench page whose link was followed."""
    came = urlsplit(request.headers.get("referer", ""))
    if came.path != f"/units/{unit_id}/bench":
        return "", ""
    query = parse_qs(came.query)
    return query.get("order", ["tool"])[0], query.get("at", [""])[0]
