"""What puts a finding right, done by one tap under the row."""

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, WriteSession
from webapp.pages.finding_forms import named_finding
from webapp.pages.render import error_page, redirect
from webapp.pages.who import local_path
from webapp.stages.design.editing.edit import save
from webapp.stages.design.editing.mending import editing
from webapp.stages.refusals import Refused

router = APIRouter()


@router.post("/looms/{loom_id}/mend")
def mend(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """Only what a finding proposes right now is done."""
    back = local_path(fields.get("next", f"/looms/{loom_id}/wires"))
    finding = named_finding(session, loom_id, fields)
    if finding is None or finding.mend is None:
        return error_page(
            request,
            409,
            "Changed meanwhile",
            "This is not proposed any more: the design has changed. Look at it again.",
            links=[("Back", back)],
        )
    try:
        edit = save(session, loom_id, editing(finding.mend), person.id)
    except Refused as refused:
        return error_page(request, 422, "Not mended", refused.sentence, links=[("Back", back)])
    return redirect(back, " ".join((f"{edit.sentence}.", *edit.said)))
