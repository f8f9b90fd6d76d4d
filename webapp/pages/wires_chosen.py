"""Several wires of the table at once: one field of all of them, a new circuit, taking them out."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any

from fastapi import APIRouter, Query
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import cells, wire_cells
from webapp.pages.cells import UNREADABLE, Cell
from webapp.pages.deps import FormDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import error_page, is_partial, redirect, render
from webapp.pages.wire_changes import changed_rows
from webapp.pages.wire_columns import ColumnTexts
from webapp.pages.wires import layout_of, list_page, wire_table
from webapp.stages.design import entry
from webapp.stages.design.editing import together
from webapp.stages.design.editing.circuits import SERVICES
from webapp.stages.design.editing.edit import NOT_SEEN, save
from webapp.stages.design.editing.removals import wire_words
from webapp.stages.design.editing.together import InTheWay, SomeRefused, Target
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

router = APIRouter()
MOST_ROWS = 2_000


@dataclass(frozen=True)
class Hindrance:
    """One line of what stands in the way of a change; `link_uid` is "" for the value itself."""

    link_uid: str
    number: str
    sentence: str


# One field of all of them


@router.post("/looms/{loom_id}/wires/chosen")
def change(
    request: Request, session: WriteSession, form: FormDep, person: Person, loom_id: int
) -> Response:
    """The chosen rows (`rows`: uids of links, or of one wire of a link) get one value."""
    before = wire_table(session, loom_id, bundles=False)
    design = before.design
    field, typed = str(form.get("field", "")), str(form.get("value", ""))
    chosen = list(dict.fromkeys(str(each) for each in form.getlist("rows")))[:MOST_ROWS]
    if field not in together.FIELDS:
        return _refused(request, loom_id, 422, [_whole("Choose what is to be changed.")])
    if not chosen:
        return _refused(request, loom_id, 422, [_whole("Choose the wires first.")])
    cell = wire_cells.wire_cells(design, "", 0)[field]
    value, wrong = cells.value_of(cell, typed)
    if wrong:
        return _refused(request, loom_id, 422, [_whole(wrong)])
    wanted, said = value if field == "csa_mm2" else (value, "")
    shown = cell.words(value) if field == "circuit_uid" else typed.strip()
    targets = [_target(design, cell, field, each, form) for each in chosen]
    editing = together.change(field, wanted, targets, shown)
    try:
        edit = save(session, loom_id, editing, person.id, design, before.view.catalogue)
    except SomeRefused as refused:
        lines = [_line(cell, field, row, typed) for row in refused.rows]
        return _refused(request, loom_id, 409 if refused.clash else 422, lines)
    words = [f"{edit.sentence}.", *([said] if said else []), *edit.said]
    if not is_partial(request):
        return redirect(f"/looms/{loom_id}/wires", " ".join(words))
    after = wire_table(session, loom_id, bundles=False, design=edit.design)
    layout, texts = layout_of(request, session), ColumnTexts(after)
    return render(
        request,
        "wires/_chosen_answer.html",
        state=design_state(session, loom_id, f"/looms/{loom_id}/wires", after.design),
        words=words,
        layout=layout,
        texts=texts,
        changed=changed_rows(ColumnTexts(before), texts, layout),
    )


def _target(design: Design, cell: Cell, field: str, row: str, form: FormData) -> Target:
    uid, _, segment = row.rpartition(".")
    one_of = row not in design.link and uid in design.link and segment.isdigit()
    link_uid, which = (uid, int(segment)) if one_of else (row, None)
    seen: Any = NOT_SEEN
    if f"seen-{row}" in form:
        seen, wrong = cells.value_of(cell, str(form[f"seen-{row}"]))
        seen = UNREADABLE if wrong else seen[0] if field == "csa_mm2" else seen
    return Target(link_uid, which, seen)


def _line(cell: Cell, field: str, row: InTheWay, typed: str) -> Hindrance:
    if not row.clash:
        return Hindrance(row.link_uid, row.number, row.sentence)
    theirs = f"{row.theirs:g} mm²" if field == "csa_mm2" and row.theirs else None
    words = theirs or (cell.words(row.theirs) if row.theirs is not None else "") or "nothing"
    sentence = f"somebody has set it to {words} meanwhile; you asked for {typed or 'nothing'}."
    return Hindrance(row.link_uid, row.number, sentence)


def _whole(sentence: str) -> Hindrance:
    return Hindrance("", "", sentence)


def _refused(request: Request, loom_id: int, status: int, lines: Sequence[Hindrance]) -> Response:
    """Nothing was changed; every line says why, and where."""
    if is_partial(request):
        return render(
            request, "wires/_chosen_refused.html", status=status, lines=lines, loom_id=loom_id
        )
    words = " ".join(
        f"Wire {each.number}: {each.sentence}" if each.number else each.sentence for each in lines
    )
    here = f"/looms/{loom_id}/wires"
    return error_page(
        request, status, "Nothing changed", words, links=[("Back to the wires", here)]
    )


# A new circuit


@router.post("/looms/{loom_id}/wires/circuit")
def add_circuit(
    request: Request, session: WriteSession, fields: FormDep, person: Person, loom_id: int
) -> Response:
    """A circuit added beside the table, with the wires of `rows` in it if there are any."""
    design = entry.latest(session, loom_id)
    form = Form({name: str(value) for name, value in fields.items() if isinstance(value, str)})
    form.text("circuit_name", "The name", most=120)
    form.choice("service", "The service", SERVICES)
    rows = [str(each) for each in fields.getlist("rows")][:MOST_ROWS]
    if not form.errors:
        editing = together.new_circuit(form.values["circuit_name"], form.values["service"], rows)
        try:
            edit = save(session, loom_id, editing, person.id, design)
        except Refused as refused:
            form.refuse("circuit_name", refused.sentence)
        except SomeRefused as refused:
            form.refuse("circuit_name", _sentence(refused))
        else:
            return redirect(f"/looms/{loom_id}/wires", f"{edit.sentence}.")
    table = wire_table(session, loom_id)
    return list_page(request, session, loom_id, table, status=422, circuit_form=form)


def _sentence(refused: SomeRefused) -> str:
    return "; ".join(f"wire {row.number}: {row.sentence}" for row in refused.rows)


# Taking them out


@router.get("/looms/{loom_id}/wires/take-out")
def ask_take_out(
    request: Request,
    session: ReadSession,
    loom_id: int,
    rows: Annotated[list[str], Query(max_length=MOST_ROWS)] = [],  # noqa: B006 - never changed
) -> Response:
    design = entry.latest(session, loom_id)
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires", design)
    links = sorted(
        (design.link[uid] for uid in dict.fromkeys(rows) if uid in design.link),
        key=lambda link: link.number,
    )
    return render(
        request,
        "wires/take_out.html",
        frame=state.frame,
        state=state,
        links=[(link.uid, wire_words(design, link)) for link in links],
        proposed=any(link.origin for link in links),
    )


@router.post("/looms/{loom_id}/wires/take-out")
def take_out(
    request: Request, session: WriteSession, form: FormDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    here = f"/looms/{loom_id}/wires"
    rows = list(dict.fromkeys(str(each) for each in form.getlist("rows")))[:MOST_ROWS]
    if not rows:
        return _refused(request, loom_id, 422, [_whole("Choose the wires first.")])
    try:
        edit = save(session, loom_id, together.remove(rows), person.id, design)
    except SomeRefused as refused:
        return _refused(
            request,
            loom_id,
            409,
            [Hindrance(row.link_uid, row.number, row.sentence) for row in refused.rows],
        )
    return redirect(here, f"{edit.sentence}. Undo brings them back.")
