"""Tells an open page what others do meanwhile: asked every second, answered in few words.

Nothing new is 204: that costs two or three statements, and loads nothing. What is new in a design
is said in sentences; the page then asks for itself anew and takes in what differs
(static/js/live.js).
"""

import hashlib
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages import at_work
from webapp.pages.deps import MaybePerson, PersonChoice, ReadSession
from webapp.pages.presence import Here, Presence
from webapp.stages import progress
from webapp.stages.design import watching
from webapp.stages.design.watching import Done

router = APIRouter()
NOBODY = "Somebody"
Mark = Annotated[str, Query(max_length=160)]
Working = Annotated[str, Query(max_length=20)]


@router.get("/looms/{loom_id}/live")
def look(
    request: Request,
    session: ReadSession,
    person: MaybePerson,
    loom_id: int,
    tab: Annotated[str, Query(pattern=r"^[0-9a-f]{8,32}$")],
    mark: Mark,
    page: Annotated[str, Query(pattern=r"^[a-z-]{1,24}$")],
    others: Annotated[str, Query(max_length=20)] = "",
    working: Working = "",
) -> Response:
    """What was done since `mark`, and who else is here; `others` is what the page knows of them.

    `working` is what a page that shows who works on what knows of that; others leave it out.
    """
    now = watching.standing(session, loom_id)
    whole = f"{now.mark}-{progress.of_loom(session, loom_id).mark}"
    presence: Presence = request.app.state.presence
    name, person_id = (person.name, person.id) if person else (NOBODY, None)
    here = presence.seen(tab, loom_id, person_id, Here(name, page))
    known = _known(here)
    at_bench = at_work.mark(request, session, loom_id) if working else ""
    if (whole, known, at_bench) == (mark, others, working):
        return Response(status_code=204)
    design = mark.partition("-")[0]
    done = watching.done_since(session, loom_id, design) if now.mark != design else ()
    signed_off = watching.signed_off_since(now, design)
    return JSONResponse(
        {
            "mark": whole,
            "others": known,
            "working": at_bench,
            "here": [{"name": each.name, "page": each.page} for each in here],
            "done": [{"id": each.id, "by": each.by, "words": words(each, person)} for each in done],
            "signedOff": signed_off
            and f"Revision {signed_off} was signed off: your next change begins the one after it.",
        }
    )


@router.get("/live/jobs")
def look_at_jobs(
    request: Request, session: ReadSession, mark: Mark, working: Working = ""
) -> Response:
    """Whether anything was done to any job since `mark`: for pages that belong to no one loom."""
    now = progress.of_all(session).mark
    at_bench = at_work.mark(request, session) if working else ""
    if (now, at_bench) == (mark, working):
        return Response(status_code=204)
    return JSONResponse({"mark": now, "working": at_bench})


def words(done: Done, me: PersonChoice | None) -> str:
    """Ada Quill: Wire 2: 4 mm². Or: Ada Quill took back your edit: Wire 2: 4 mm²."""
    if not done.undoes:
        return f"{done.by}: {done.sentence}."
    sentence = done.sentence.removeprefix("Undo: ")
    mine = me is not None and done.of_id == me.id and done.by_id != me.id
    return f"{done.by} took back {'your edit' if mine else 'an edit'}: {sentence}."


def _known(here: tuple[Here, ...]) -> str:
    """Stands for a set of people: none is nothing."""
    if not here:
        return ""
    return hashlib.sha256(repr(here).encode()).hexdigest()[:12]
