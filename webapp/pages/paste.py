"""Cells of a spreadsheet pasted into a table: looked through first, then kept as one command."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.forms import Form
from webapp.pages.import_preview import CHANGED, taken_for
from webapp.pages.paste_cells import CellPaste, Grid, read_grid, weigh
from webapp.pages.render import redirect, render
from webapp.pages.who import local_path
from webapp.stages import catalogue
from webapp.stages.design import entry
from webapp.stages.design.editing.edit import Edit, save
from webapp.stages.design.imports import NotAList

router = APIRouter()
NOTHING = "There is nothing to keep: every cell says what stands already, or is refused."
SOME_REFUSED = "Some cells are refused. Tick that the others are to be kept without them."


@router.post("/looms/{loom_id}/paste")
def look(request: Request, session: ReadSession, fields: FieldsDep, loom_id: int) -> Response:
    """Shows what each cell would change. Nothing is written."""
    return _shown(request, session, loom_id, Form(fields))


@router.post("/looms/{loom_id}/paste/cells")
def keep(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """Reads the same again and writes what was shown, if the design is still the same."""
    sent = Form(fields)
    if sent.typed("stamp") != entry.stamp(session, loom_id):
        sent.refuse("preview", CHANGED)
        return _shown(request, session, loom_id, sent, status=409)
    try:
        found = _weighed(session, loom_id, sent)
    except NotAList:
        return _shown(request, session, loom_id, sent)
    if not found.cells:
        sent.refuse("preview", NOTHING)
    elif found.refused and sent.typed("without_refused") != "1":
        sent.refuse("preview", SOME_REFUSED)
    if sent.errors:
        return _shown(request, session, loom_id, sent, status=422)
    kept = Edit(found.edit.design, found.sentence, found.edit.said)
    save(session, loom_id, lambda _design, _parts: kept, person.id)
    notice = " ".join((f"{found.sentence}: kept. Undo takes it back.", *found.edit.said[:4]))
    return redirect(local_path(sent.typed("back") or f"/looms/{loom_id}/wires"), notice)


def _weighed(session: Session, loom_id: int, sent: Form) -> CellPaste:
    design, parts = entry.latest(session, loom_id), catalogue.read(session)
    grid = read_grid(sent.typed("grid"))
    return weigh(design, parts, loom_id, grid, sent.fields.get("text", ""), taken_for(sent))


def _shown(
    request: Request, session: Session, loom_id: int, sent: Form, status: int = 200
) -> Response:
    grid: Grid = read_grid(sent.typed("grid"))
    found = None
    try:
        found = _weighed(session, loom_id, sent)
    except NotAList as why:
        sent.refuse("preview", str(why))
        status = 422
    return render(
        request,
        "imports/_pasted_cells.html",
        status=status,
        form=sent,
        found=found,
        titles=grid.titles,
        action=f"/looms/{loom_id}/paste",
        stamp=entry.stamp(session, loom_id),
    )
