"""The wires of a loom: the table where they are edited in place, and one wire with its ends."""

from functools import partial
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import cells, wire_cells
from webapp.pages.cells import Taken
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession, maybe_person
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import is_partial, redirect, render
from webapp.pages.wire_changes import changed_rows
from webapp.pages.wire_columns import COLUMNS, TABLE, ColumnTexts, Layout, lay_out
from webapp.pages.wire_detail import detail
from webapp.pages.wire_table import ORDERS, WireTable, colours_on_offer, reason_formula
from webapp.stages import table_views
from webapp.stages.design import accepted, entry, sign_off
from webapp.stages.design.editing import together
from webapp.stages.design.editing.circuits import SERVICES
from webapp.stages.design.editing.edit import get, save
from webapp.stages.design.editing.ends import find_end
from webapp.stages.design.editing.removals import remove_wire, wire_words
from webapp.stages.design.rows import Design

router = APIRouter()
IN_OPENED_ROW = ("note", "circuit_uid")


def wire_table(
    session: Session, loom_id: int, *, bundles: bool = True, design: Design | None = None
) -> WireTable:
    """The table of a loom's latest revision, which `design` is where it has been read already.

    Raises:
        NotThere: no such loom.
    """
    answering = partial(accepted.answered, session, loom_id)
    return WireTable(accepted.view_of(session, loom_id, design), answering, bundles=bundles)


def layout_of(request: Request, session: Session) -> Layout:
    """The columns as whoever works at this device has chosen them."""
    person = maybe_person(request)
    return lay_out(table_views.chosen(session, person.id, TABLE) if person else None)


def list_page(
    request: Request,
    session: Session,
    loom_id: int,
    table: WireTable,
    *,
    find: str = "",
    order: str = "number",
    status: int = 200,
    **more: Any,
) -> Response:
    """The whole table, or only the table when a script on the page asks for it."""
    context: dict[str, Any] = {
        "refused": None, "said": (), "said_for": None, "open_uid": None, "why": None, "find": find,
        "circuit_form": Form({"service": "other"}), "services": [(each, each) for each in SERVICES],
    }  # fmt: skip
    rows = table.found(find) if find else list(table.rows.values())
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires", table.design)
    return render(
        request,
        "wires/list.html",
        part="wires/_table.html",
        status=status,
        **context | more,
        bare_forms=True,
        rows=table.sorted(rows, order),
        order=order,
        orders=ORDERS,
        layout=layout_of(request, session),
        columns=COLUMNS,
        texts=ColumnTexts(table),
        fields=together.FIELDS,
        frame=state.frame,
        state=state,
        design=table.design,
        others=table.others,
        others_words=partial(sign_off.sentence_of, table.design),
        colours=colours_on_offer(table.design.basis.colour_code),
        reason_formula=reason_formula,
    )


@router.get("/looms/{loom_id}/wires")
def show(
    request: Request, session: ReadSession, loom_id: int, find: str = "", sort: str = "number"
) -> Response:
    table = wire_table(session, loom_id)
    order = sort if sort in ORDERS else "number"
    return list_page(request, session, loom_id, table, find=find.strip()[:100], order=order)


@router.get("/looms/{loom_id}/wires/others")
def others(request: Request, session: ReadSession, loom_id: int) -> Response:
    """What is found about runs and the loom as a whole: asked for again after an edit."""
    table = wire_table(session, loom_id)
    if not is_partial(request):
        return redirect(f"/looms/{loom_id}/wires")
    return render(
        request,
        "wires/_others.html",
        loom_id=loom_id,
        others=table.others,
        others_words=partial(sign_off.sentence_of, table.design),
    )


@router.get("/looms/{loom_id}/wires/{link_uid}")
def one(request: Request, session: ReadSession, loom_id: int, link_uid: str) -> Response:
    return detail(request, session, loom_id, wire_table(session, loom_id), link_uid)


@router.get("/looms/{loom_id}/wires/{link_uid}/row")
def row(
    request: Request, session: ReadSession, loom_id: int, link_uid: str, open: str = ""
) -> Response:
    """One wire's rows, with or without the reasons for its figures."""
    table = wire_table(session, loom_id)
    link = get(table.design, "link", link_uid)
    if not is_partial(request):
        return redirect(f"/looms/{loom_id}/wires/{link_uid}")
    return render(
        request,
        "wires/_row.html",
        state=design_state(session, loom_id, f"/looms/{loom_id}/wires", table.design),
        row=table.rows[link_uid],
        layout=layout_of(request, session),
        texts=ColumnTexts(table),
        why=table.why(link) if open else None,
        reason_formula=reason_formula,
    )


@router.post("/looms/{loom_id}/wires/{link_uid}")
def change(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    link_uid: str,
    segment: int = 0,
    open: str = "",
    page: str = "",
) -> Response:
    """One cell of a wire, from the table or from the wire's own page."""
    # The answer is about wires; what is found about runs follows it (others).
    before = wire_table(session, loom_id, bundles=False)
    get(before.design, "link", link_uid)
    row_id = f"wire-{link_uid}"
    if fields.get("field") == "length_mm":
        row_id += f"-{segment}"
    known = wire_cells.wire_cells(before.design, link_uid, segment)
    taken = cells.take(
        session, loom_id, person.id, fields, known, row_id, before.design, before.view.catalogue
    )
    if page == "one":
        return _answer_one(request, session, loom_id, link_uid, taken)
    return _answer_row(request, session, loom_id, link_uid, before, taken, bool(open))


def _answer_row(
    request: Request,
    session: Session,
    loom_id: int,
    link_uid: str,
    before: WireTable,
    taken: Taken,
    opened: bool,
) -> Response:
    kept = taken.edit.design if taken.edit else None
    after = wire_table(session, loom_id, bundles=False, design=kept) if kept else before
    # A refusal is shown beside its field: the row opens for those that it hides while closed.
    opened = opened or (taken.refusal is not None and taken.refusal.field in IN_OPENED_ROW)
    why = after.why(after.design.link[link_uid]) if opened else None
    if not is_partial(request):
        if taken.refusal is None:
            notice = " ".join(taken.said) or "Saved."
            return redirect(f"/looms/{loom_id}/wires#wire-{link_uid}", notice)
        whole = wire_table(session, loom_id)
        return list_page(
            request, session, loom_id, whole, status=taken.status, refused=taken.refusal,
            open_uid=link_uid if opened else None, why=why,
        )  # fmt: skip
    layout = layout_of(request, session)
    texts = ColumnTexts(after)
    changed = changed_rows(ColumnTexts(before), texts, layout, (link_uid,)) if taken.edit else ()
    return render(
        request,
        "wires/_answer.html",
        status=taken.status,
        state=design_state(session, loom_id, f"/looms/{loom_id}/wires", after.design),
        row=after.rows[link_uid],
        why=why,
        refused=taken.refusal,
        said=taken.said,
        changed=changed,
        layout=layout,
        texts=texts,
        reason_formula=reason_formula,
    )


@router.post("/looms/{loom_id}/wires/{link_uid}/ends/{end_uid}")
def change_end(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    link_uid: str,
    end_uid: str,
) -> Response:
    """One cell of a wire's end."""
    design = entry.latest(session, loom_id)
    get(design, "link", link_uid)
    find_end(design, end_uid)
    known = wire_cells.end_cells(end_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"end-{end_uid}")
    return _answer_one(request, session, loom_id, link_uid, taken)


def _answer_one(
    request: Request, session: Session, loom_id: int, link_uid: str, taken: Taken
) -> Response:
    if taken.refusal is None and not is_partial(request):
        notice = " ".join(taken.said) or "Saved."
        return redirect(f"/looms/{loom_id}/wires/{link_uid}", notice)
    table = wire_table(session, loom_id)
    return detail(request, session, loom_id, table, link_uid, taken)


# Taking a wire out


@router.get("/looms/{loom_id}/wires/{link_uid}/remove")
def ask_remove(request: Request, session: ReadSession, loom_id: int, link_uid: str) -> Response:
    design = entry.latest(session, loom_id)
    link = get(design, "link", link_uid)
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires")
    return render(
        request,
        "wires/remove.html",
        frame=state.frame,
        state=state,
        link=link,
        words=_what_goes(design, link_uid),
    )


def _what_goes(design: Design, link_uid: str) -> list[str]:
    link = design.link[link_uid]
    found = [f"{wire_words(design, link)[:1].upper()}{wire_words(design, link)[1:]}."]
    plugs = {
        design.fitting[design.way[each.way_a_uid].fitting_uid].name.rpartition(",")[0]
        for each in design.crossing.values()
        if each.link_uid == link_uid
    }
    found += [f"Its way in {name} becomes spare." for name in sorted(plugs)]
    if link.origin:
        found.append("A later proposal will not bring it back, unless this is undone.")
    return found


@router.post("/looms/{loom_id}/wires/{link_uid}/remove")
def remove(
    request: Request, session: WriteSession, person: Person, loom_id: int, link_uid: str
) -> Response:
    edit = save(session, loom_id, remove_wire(link_uid), person.id)
    return redirect(f"/looms/{loom_id}/wires", f"{edit.sentence}. Undo brings it back.")
