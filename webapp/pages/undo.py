"""Undo and redo of a design's edits, on every page that edits one (templates/loom/_undo.html)."""

from dataclasses import dataclass

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, WriteSession
from webapp.pages.render import error_page, redirect
from webapp.pages.who import local_path
from webapp.stages import looms
from webapp.stages.design import commands, revisions
from webapp.stages.refusals import Refused

router = APIRouter()


@dataclass(frozen=True)
class UndoState:
    """What the two buttons would take back and do again; None where there is nothing."""

    loom_id: int
    undo: str | None
    redo: str | None


def undo_state(session: Session, loom_id: int) -> UndoState:
    """For the template: {% set undo = … %} {% include "loom/_undo.html" %}."""
    revision = revisions.latest(session, loom_id)
    if revision.signed_off:
        return UndoState(loom_id, None, None)
    return UndoState(
        loom_id,
        commands.next_undo(session, revision.id),
        commands.next_redo(session, revision.id),
    )


@router.post("/looms/{loom_id}/undo")
def undo(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    return _replay(request, session, fields, person.id, loom_id, "undo")


@router.post("/looms/{loom_id}/redo")
def redo(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    return _replay(request, session, fields, person.id, loom_id, "redo")


def _replay(
    request: Request,
    session: Session,
    fields: dict[str, str],
    person_id: int,
    loom_id: int,
    what: str,
) -> Response:
    looms.get(session, loom_id)
    back = local_path(fields.get("next", f"/looms/{loom_id}/needs"))
    state = undo_state(session, loom_id)
    stands = state.undo if what == "undo" else state.redo
    if fields.get("sentence", stands) != stands:
        now = f"“{stands}” comes next now." if stands else "Nothing is left to do so."
        return error_page(
            request,
            409,
            "Changed meanwhile",
            f"Something else was done since you opened the page: {now} Look at it first.",
            links=[("Back to the page", back)],
        )
    revision_id = revisions.latest(session, loom_id).id
    step = commands.undo if what == "undo" else commands.redo
    try:
        sentence = step(session, revision_id, person_id)
    except Refused as refusal:
        return error_page(
            request,
            409,
            "Nothing changed",
            refusal.sentence,
            links=[("Back to the page", back)],
        )
    said = "Taken back" if what == "undo" else "Done again"
    return redirect(back, notice=f"{said}: {sentence}")
