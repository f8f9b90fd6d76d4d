"""Done: what was signed for, with the certificate and the hand-over papers."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import ReadSession
from webapp.pages.render import render
from webapp.pages.unit_frame import unit_frame
from webapp.paper.render import available
from webapp.stages import done, priced_time
from webapp.stages.building import crimp_standing, time_taken
from webapp.stages.done import TestRecord
from webapp.stages.refusals import Refused

router = APIRouter()


@router.get("/units/{unit_id}/done")
def show(request: Request, session: ReadSession, unit_id: int) -> Response:
    frame = unit_frame(session, unit_id)
    return render(
        request,
        "done/unit.html",
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        record=_record(session, unit_id),
        suspect=crimp_standing.test_gaps(session, frame.unit),
        taken=time_taken.of_unit(session, unit_id),
        priced=priced_time.of_loom(session, frame.unit.loom_id),
        missing=available(),
    )


def _record(session: Session, unit_id: int) -> TestRecord | None:
    try:
        return done.test_record(session, unit_id)
    except Refused:
        return None
