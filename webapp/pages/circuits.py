"""The circuits of a loom: numbers, names, fuse-links, wires; and the fuse chart."""

from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import cells, fitting_cells
from webapp.pages.cells import Cell, Refusal, Taken
from webapp.pages.circuit_rows import CircuitRows
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import error_page, is_partial, redirect, render
from webapp.pages.wires import wire_table
from webapp.stages.design import entry
from webapp.stages.design.editing import circuits
from webapp.stages.design.editing.edit import get, save
from webapp.stages.refusals import Refused

router = APIRouter()
MOST_NUMBER = 9_999


def circuit_cells(uid: str) -> dict[str, Cell]:
    """Every cell of one circuit, by field."""
    return {
        "number": Cell(
            cells.whole("The number", least=1, most=MOST_NUMBER),
            lambda value, seen: circuits.field(uid, "number", value, seen),
        ),
        "name": Cell(
            cells.text("The name", most=120),
            lambda value, seen: circuits.field(uid, "name", value, seen),
        ),
        "service": Cell(
            cells.as_is, lambda value, seen: circuits.field(uid, "service", value, seen)
        ),
    }


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    *,
    form: Form | None = None,
    taken: Taken | None = None,
    circuit_uid: str = "",
    status: int = 200,
) -> Response:
    table = wire_table(session, loom_id)
    state = design_state(session, loom_id, f"/looms/{loom_id}/circuits")
    rows = CircuitRows(table)
    refused: Refusal | None = taken.refusal if taken else None
    more: dict[str, Any] = {}
    if circuit_uid:
        more["row"] = rows.row(get(table.design, "circuit", circuit_uid))
    return render(
        request,
        "circuits/list.html",
        part="circuits/_answer.html",
        status=taken.status if taken else status,
        frame=state.frame,
        state=state,
        design=table.design,
        rows=rows,
        form=form or Form(),
        services=[(each, each) for each in circuits.SERVICES],
        refused=refused,
        said=taken.said if taken else (),
        **more,
    )


@router.get("/looms/{loom_id}/circuits")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    return _page(request, session, loom_id)


@router.post("/looms/{loom_id}/circuits")
def create(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    entry.latest(session, loom_id)
    form = Form(fields)
    form.text("name", "The name", most=120)
    form.choice("service", "The service", circuits.SERVICES)
    if not form.errors:
        editing = circuits.add(form.values["name"], form.values["service"])
        try:
            edit = save(session, loom_id, editing, person.id)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
        else:
            return redirect(f"/looms/{loom_id}/circuits", f"{edit.sentence}.")
    return _page(request, session, loom_id, form=form, status=422)


@router.post("/looms/{loom_id}/circuits/{circuit_uid}")
def change(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
) -> Response:
    """One cell of a circuit."""
    get(entry.latest(session, loom_id), "circuit", circuit_uid)
    known = circuit_cells(circuit_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"circuit-{circuit_uid}")
    return _answer(request, session, loom_id, circuit_uid, taken)


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/fuse/{bridge_uid}")
def change_fuse(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
    bridge_uid: str,
) -> Response:
    """The fuse-link before a circuit."""
    design = entry.latest(session, loom_id)
    get(design, "circuit", circuit_uid)
    get(design, "bridge", bridge_uid)
    known = fitting_cells.inside_cells(bridge_uid)
    row_id = f"circuit-{circuit_uid}-{bridge_uid}"
    taken = cells.take(session, loom_id, person.id, fields, known, row_id)
    return _answer(request, session, loom_id, circuit_uid, taken)


def _answer(
    request: Request, session: Session, loom_id: int, circuit_uid: str, taken: Taken
) -> Response:
    if taken.refusal is None and not is_partial(request):
        notice = " ".join(taken.said) or "Saved."
        return redirect(f"/looms/{loom_id}/circuits#circuit-{circuit_uid}", notice)
    return _page(request, session, loom_id, taken=taken, circuit_uid=circuit_uid)


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/remove")
def remove(
    request: Request, session: WriteSession, person: Person, loom_id: int, circuit_uid: str
) -> Response:
    here = f"/looms/{loom_id}/circuits"
    try:
        edit = save(session, loom_id, circuits.remove(circuit_uid), person.id)
    except Refused as refused:
        return error_page(
            request, 422, "Not taken out", refused.sentence, links=[("Back to the circuits", here)]
        )
    return redirect(here, f"{edit.sentence}. Undo brings it back.")
