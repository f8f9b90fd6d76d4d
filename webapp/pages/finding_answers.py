"""Accepting a finding as it stands, with a reason and a name, and taking that back."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, WriteSession
from webapp.pages.finding_forms import named_finding
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import error_page, redirect, render
from webapp.pages.who import local_path
from webapp.stages.design import accepted
from webapp.stages.refusals import Refused

router = APIRouter()
CHANGED = "This is not said any more: the design has changed. Look at it again."


@router.post("/looms/{loom_id}/findings/accept")
def accept(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    frame = loom_frame(session, loom_id)
    back = local_path(fields.get("next", f"/looms/{loom_id}/wires"))
    finding = named_finding(session, loom_id, fields)
    if finding is None:
        return error_page(request, 409, "Changed meanwhile", CHANGED, links=[("Back", back)])
    reason = fields.get("reason", "")
    try:
        accepted.accept(session, loom_id, finding, reason, person.id)
    except Refused as refused:
        return render(
            request,
            "design/accept.html",
            status=422,
            frame=frame,
            finding=finding,
            reason=reason,
            problem=refused.sentence,
            back=back,
        )
    return redirect(back, "Accepted.")


@router.post("/looms/{loom_id}/findings/withdraw")
def withdraw(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    loom_frame(session, loom_id)
    back = local_path(fields.get("next", f"/looms/{loom_id}/wires"))
    finding = named_finding(session, loom_id, fields)
    if finding is None:
        return error_page(request, 409, "Changed meanwhile", CHANGED, links=[("Back", back)])
    accepted.withdraw(session, loom_id, finding, person.id)
    return redirect(back, "No longer accepted.")
