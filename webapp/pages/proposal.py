"""The proposal of a loom: what it would make, what it cannot do, and the button that takes it."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.planned_wire import planned_wire
from webapp.pages.render import error_page, redirect, render
from webapp.pages.undo import undo_state
from webapp.stages import choosing
from webapp.stages.building.wire_colours import letters
from webapp.stages.design import proposing
from webapp.stages.refusals import Refused

router = APIRouter()


@router.get("/looms/{loom_id}/proposal")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    frame = loom_frame(session, loom_id)
    preview = proposing.preview(session, loom_id)
    return render(
        request,
        "proposal/page.html",
        frame=frame,
        undo=undo_state(session, loom_id),
        preview=preview,
        design=preview.proposal.design,
        letters=letters,
        draw=planned_wire,
        choices=choosing.offered(session, loom_id),
        price=choosing.price_of(session, loom_id, preview.proposal.design),
    )


@router.post("/looms/{loom_id}/proposal")
def take(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    loom_frame(session, loom_id)
    here = f"/looms/{loom_id}/proposal"
    try:
        last = int(fields.get("last_command", ""))
    except ValueError:
        return error_page(
            request,
            422,
            "Look at the proposal first",
            "This was not sent from the proposal's page.",
            links=[("The proposal", here)],
        )
    try:
        sentence = proposing.take(session, loom_id, last, person.id)
    except Refused as refusal:
        return error_page(
            request, 409, "Nothing changed", refusal.sentence, links=[("The proposal", here)]
        )
    return redirect(f"/looms/{loom_id}/wires", notice=f"{sentence}.")
