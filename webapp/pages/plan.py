"""The plan: the loom to scale, its branches turned to the side and angle that the vehicle wants."""

from fastapi import APIRouter
from markupsafe import Markup
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.drawings.scale_layout import Layout, lay_out, whole_turn
from webapp.drawings.scale_plan import scale_plan_svg
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.plan_values import plan_places, plan_runs
from webapp.pages.render import redirect, render
from webapp.stages import plan_angles
from webapp.stages.design import entry
from webapp.stages.refusals import NotThere, Refused

router = APIRouter()


def _layout(session: Session, loom_id: int) -> Layout:
    design = entry.latest(session, loom_id)
    chosen = plan_angles.angles(session, loom_id)
    return lay_out(plan_places(design), plan_runs(design), chosen)


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    *,
    error: str = "",
    error_run: str = "",
    typed: str | None = None,
) -> Response:
    """`typed` is what stood in the field of a run that was not a number of degrees."""
    layout = _layout(session, loom_id)
    may_turn = request.state.access.writes("/looms/{loom_id}/plan/turn")
    turned = bool(plan_angles.angles(session, loom_id))
    return render(
        request,
        "plan/show.html",
        part="plan/_plan.html",
        status=(409 if typed is None else 422) if error else 200,
        frame=loom_frame(session, loom_id),
        # Drawn by drawings.scale_plan, which escapes every word.
        drawing=Markup(scale_plan_svg(layout, turnable=may_turn)) if layout.places else None,
        runs=[lying for lying in layout.places if lying.run is not None],
        turned=turned,
        error=error,
        error_run=error_run,
        typed=typed,
    )


@router.get("/looms/{loom_id}/plan")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    return _page(request, session, loom_id)


@router.post("/looms/{loom_id}/plan/turn")
def turn(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """A branch turned, with all that hangs on it."""
    run_uid = fields.get("run", "")
    layout = _layout(session, loom_id)
    lying = layout.of_run(run_uid)
    if lying is None:
        raise NotThere
    try:
        wanted, seen = _angle(fields.get("angle", "")), _angle(fields.get("seen", ""))
        by = wanted - lying.run_angle_deg
        plan_angles.keep(
            session,
            loom_id,
            run_uid,
            seen_deg=seen,
            turned_deg={
                each.run.uid: whole_turn(each.run_angle_deg + by)
                for each in lying.beyond()
                if each.run is not None
            },
            standing_deg={
                each.run.uid: each.run_angle_deg for each in layout.places if each.run is not None
            },
        )
    except Refused as refused:
        return _page(
            request,
            session,
            loom_id,
            error=refused.sentence,
            error_run=run_uid,
            typed=fields.get("angle", "") if refused.field == "typed" else None,
        )
    return _page(request, session, loom_id)


def _angle(typed: str) -> float:
    """
    Raises:
        Refused: not a number of degrees.
    """
    try:
        value = float(typed.replace(",", ".").strip().removesuffix("°"))
    except ValueError:
        value = float("nan")
    if not -360 <= value <= 360:
        raise Refused(
            "typed", "Type an angle from -360 to 360 degrees: 0 lies to the right, 90 up."
        )
    return whole_turn(value)


@router.post("/looms/{loom_id}/plan/forget")
def forget(session: WriteSession, person: Person, loom_id: int) -> Response:
    plan_angles.forget(session, loom_id)
    return redirect(f"/looms/{loom_id}/plan", "The plan lies as the drawing lays it.")
