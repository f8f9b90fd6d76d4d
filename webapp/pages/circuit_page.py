"""One circuit whole: its needs, fuse-link, loads, wires and fittings, each edited in place."""

from dataclasses import dataclass
from functools import partial
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import cells, fitting_cells
from webapp.pages.cells import Taken
from webapp.pages.circuit_loads import LoadRow, load_rows
from webapp.pages.circuit_needs import NeedsForm, needs_context
from webapp.pages.circuit_rows import CircuitRows
from webapp.pages.current import circuit_loads
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.fitting_rows import FittingRow, FittingRows
from webapp.pages.operating_choice import OperatingChoice, operating_choice
from webapp.pages.render import is_partial, redirect, render
from webapp.pages.wire_columns import ColumnTexts
from webapp.pages.wire_table import LinkRow, WireTable, colours_on_offer, reason_formula
from webapp.pages.wires import layout_of, wire_table
from webapp.stages.design import entry, sign_off
from webapp.stages.design.accepted import Answered
from webapp.stages.design.alternatives import choices
from webapp.stages.design.circuit_needs import is_proposed, served
from webapp.stages.design.editing import circuits, fittings
from webapp.stages.design.editing.circuit_copies import links_of
from webapp.stages.design.editing.edit import get
from webapp.stages.design.entry import RowsRefused
from webapp.stages.design.rows import Circuit

router = APIRouter()


@dataclass(frozen=True)
class CircuitView:
    """What the page shows of one circuit."""

    circuit: Circuit
    wires: tuple[LinkRow, ...]
    fittings: tuple[FittingRow, ...]
    loads: tuple[LoadRow, ...]
    choice: OperatingChoice
    about_needs: tuple[Answered, ...]
    # The need about which there is a real choice, where there is one.
    choice_about: str
    # Circuits before and after it.
    neighbours: tuple[Circuit | None, Circuit | None]


def circuit_view(table: WireTable, circuit: Circuit, state: str, at: str) -> CircuitView:
    design = table.design
    links = links_of(design, circuit.uid)
    loads = circuit_loads(design, table.figures, circuit.uid)
    choice = operating_choice(table.figures, state, at, loads)
    rows = FittingRows(table)
    ways = [uid for link in links for uid in (link.from_way_uid, link.to_way_uid) if uid]
    met = dict.fromkeys(design.way[uid].fitting_uid for uid in ways)
    needs = served(design, circuit)
    offered = choices(design, table.figures) if needs else []
    return CircuitView(
        circuit=circuit,
        wires=tuple(table.rows[link.uid] for link in links),
        fittings=tuple(rows.row(design.fitting[uid]) for uid in met),
        loads=load_rows(table.figures, loads, choice),
        choice=choice,
        about_needs=tuple(
            each for need in needs for each in table.findings.get(("need", need.uid), ())
        ),
        choice_about=next(
            (each.about for each in offered if each.about in {need.uid for need in needs}), ""
        ),
        neighbours=_neighbours(table, circuit),
    )


def _neighbours(table: WireTable, circuit: Circuit) -> tuple[Circuit | None, Circuit | None]:
    order = sorted(table.design.circuit.values(), key=lambda each: each.number)
    at = order.index(circuit)
    return (
        order[at - 1] if at else None,
        order[at + 1] if at + 1 < len(order) else None,
    )


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    circuit_uid: str,
    *,
    state: str = "",
    at: str = "",
    typed: NeedsForm | None = None,
    taken: Taken | None = None,
    part: str | None = None,
    status: int = 200,
) -> Response:
    table = wire_table(session, loom_id)
    design = table.design
    circuit: Circuit = get(design, "circuit", circuit_uid)
    view = circuit_view(table, circuit, state, at)
    here = f"/looms/{loom_id}/circuits/{circuit_uid}"
    known = design_state(session, loom_id, here, design)
    context: dict[str, Any] = needs_context(session, design, circuit, typed)
    return render(
        request,
        "circuits/one.html",
        part=part,
        status=taken.status if taken else status,
        frame=known.frame,
        state=known,
        design=design,
        view=view,
        circuit=circuit,
        row=CircuitRows(table).row(circuit),
        proposed=is_proposed(design, circuit),
        services=[(each, each) for each in circuits.SERVICES],
        suppliers=[(each, each) for each in fittings.SUPPLIERS],
        colours=colours_on_offer(design.basis.colour_code),
        layout=layout_of(request, session),
        texts=ColumnTexts(table),
        finding_words=partial(sign_off.sentence_of, design),
        reason_formula=reason_formula,
        refused=taken.refusal if taken else None,
        said=taken.said if taken else (),
        **context,
    )


@router.get("/looms/{loom_id}/circuits/{circuit_uid}")
def show(
    request: Request,
    session: ReadSession,
    loom_id: int,
    circuit_uid: str,
    state: str = "",
    at: str = "",
) -> Response:
    return _page(request, session, loom_id, circuit_uid, state=state, at=at)


@router.get("/looms/{loom_id}/circuits/{circuit_uid}/loads")
def loads(
    request: Request,
    session: ReadSession,
    loom_id: int,
    circuit_uid: str,
    state: str = "",
    at: str = "",
) -> Response:
    """The loads alone: an edit of a wire has changed what they get."""
    part = "circuits/_loads_answer.html"
    return _page(request, session, loom_id, circuit_uid, state=state, at=at, part=part)


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/needs")
def save_needs(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
) -> Response:
    get(entry.latest(session, loom_id), "circuit", circuit_uid)
    sent = NeedsForm.sent(fields)
    here = f"/looms/{loom_id}/circuits/{circuit_uid}"
    if sent.form.errors:
        return _page(request, session, loom_id, circuit_uid, typed=sent, status=422)
    try:
        sentence = entry.save(session, loom_id, sent.sheet, person.id)
    except RowsRefused as refused:
        sent.refuse(refused)
        status = 409 if refused.clash else 422
        return _page(request, session, loom_id, circuit_uid, typed=sent, status=status)
    if fields.get("then") == "look":
        return redirect(f"{here}/control?look=1", f"Saved. {sentence}." if sentence else "")
    return redirect(here, f"Saved. {sentence}." if sentence else "Nothing was changed.")


@router.post("/looms/{loom_id}/circuits/{circuit_uid}/load/{bridge_uid}")
def change_load(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    circuit_uid: str,
    bridge_uid: str,
    state: str = "",
    at: str = "",
) -> Response:
    """A load's current by hand."""
    design = entry.latest(session, loom_id)
    get(design, "circuit", circuit_uid)
    get(design, "bridge", bridge_uid)
    known = fitting_cells.inside_cells(bridge_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"load-{bridge_uid}")
    if taken.refusal is None and not is_partial(request):
        return redirect(f"/looms/{loom_id}/circuits/{circuit_uid}", "Saved.")
    return _page(
        request, session, loom_id, circuit_uid, state=state, at=at, taken=taken,
        part="circuits/_loads_answer.html",
    )  # fmt: skip
