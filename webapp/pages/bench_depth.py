"""From short steps to full ones or back: says what is carried over, and does it."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.pages.unit_frame import unit_frame
from webapp.stages.building import depth_change

router = APIRouter()
NO_REASON = "picked on the bench list"


@router.get("/units/{unit_id}/depth")
def show(request: Request, session: ReadSession, unit_id: int) -> Response:
    return depth_page(request, session, unit_id, Form())


def depth_page(request: Request, session: Session, unit_id: int, form: Form) -> Response:
    frame = unit_frame(session, unit_id)
    carried = depth_change.preview(session, unit_id)
    counted: dict[str, int] = {}
    for entry in carried.entries:
        counted[entry.state] = counted.get(entry.state, 0) + 1
    return render(
        request,
        "bench/depth.html",
        status=422 if form.errors else 200,
        at=frame,
        unit=frame.unit,
        to=depth_change.other(frame.unit.depth),
        counted=counted,
        left_open=carried.left_open,
        form=form,
    )


@router.post("/units/{unit_id}/depth")
def change(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, unit_id: int
) -> Response:
    """The form says which depth it goes to: sent twice it is one change."""
    form = Form(fields)
    form.choice("depth", "The depth", ("short", "full"))
    form.text("reason", "The reason", most=300, needed=False)
    if not form.errors:
        with attempt(session, form):
            reason = form.values["reason"] or NO_REASON
            depth_change.change(session, unit_id, form.values["depth"], reason, person.id)
    if form.errors:
        return depth_page(request, session, unit_id, form)
    notice = f"Ticked in {form.values['depth']} steps from now on."
    return redirect(f"/units/{unit_id}/bench", notice=notice)
