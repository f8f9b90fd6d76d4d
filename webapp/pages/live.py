"""Tells an open page of a loom what others do there: asked every second, answered in few words.

Nothing new is 204: that costs one statement on the design, and loads none of it. What is new is
said in sentences; the page then asks for itself anew and takes in what differs (static/js/live.js).
"""

import hashlib
from typing import Annotated

from fastapi import APIRouter, Query
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages.deps import MaybePerson, PersonChoice, ReadSession
from webapp.pages.presence import Here, Presence
from webapp.stages.design import watching
from webapp.stages.design.watching import Done

router = APIRouter()
NOBODY = "Somebody"


@router.get("/looms/{loom_id}/live")
def look(
    request: Request,
    session: ReadSession,
    person: MaybePerson,
    loom_id: int,
    tab: Annotated[str, Query(pattern=r"^[0-9a-f]{8,32}$")],
    mark: Annotated[str, Query(max_length=60)],
    page: Annotated[str, Query(pattern=r"^[a-z-]{1,24}$")],
    others: Annotated[str, Query(max_length=20)] = "",
) -> Response:
    """What was done since `mark`, and who else is here; `others` is what the page knows of them."""
    now = watching.standing(session, loom_id)
    presence: Presence = request.app.state.presence
    name, person_id = (person.name, person.id) if person else (NOBODY, None)
    here = presence.seen(tab, loom_id, person_id, Here(name, page))
    known = _known(here)
    if now.mark == mark and known == others:
        return Response(status_code=204)
    done = watching.done_since(session, loom_id, mark) if now.mark != mark else ()
    signed_off = watching.signed_off_since(now, mark)
    return JSONResponse(
        {
            "mark": now.mark,
            "others": known,
            "here": [{"name": each.name, "page": each.page} for each in here],
            "done": [{"id": each.id, "by": each.by, "words": words(each, person)} for each in done],
            "signedOff": signed_off
            and f"Revision {signed_off} was signed off: your next change begins the one after it.",
        }
    )


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
