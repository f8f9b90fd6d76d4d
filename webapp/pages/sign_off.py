"""Signing a revision off for the bench: what stands in the way, what was noted, and the button."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import error_page, redirect, render
from webapp.stages.design import revisions, sign_off
from webapp.stages.design.rows import load
from webapp.stages.refusals import Refused

router = APIRouter()


@router.get("/looms/{loom_id}/sign-off")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    frame = loom_frame(session, loom_id)
    gate = sign_off.gate(session, loom_id)
    return render(
        request,
        "sign_off/page.html",
        frame=frame,
        gate=gate,
        design=load(session, gate.revision.id),
        sentence_of=sign_off.sentence_of,
        address_of=sign_off.address_of,
        next_letter=revisions.letter(gate.revision.number + 1),
    )


@router.post("/looms/{loom_id}/sign-off")
def sign(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    loom_frame(session, loom_id)
    here = f"/looms/{loom_id}/sign-off"
    wanted = fields.get("revision_id", "")
    revision_id = int(wanted) if wanted.isdecimal() and len(wanted) < 10 else 0
    try:
        letter = sign_off.sign_off(session, loom_id, revision_id, person.id)
    except Refused as refusal:
        return error_page(
            request, 409, "Not signed off", refusal.sentence, links=[("What is to mend", here)]
        )
    return redirect(f"/looms/{loom_id}/build", notice=f"Revision {letter} signed off.")
