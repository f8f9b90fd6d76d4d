"""The stores as a list: out as CSV, and a list of parts looked through and brought in."""

from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, Depends
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FormDep, Person, ReadSession, WriteSession, plainly
from webapp.pages.forms import Form
from webapp.pages.import_columns import columns_of, fields_of
from webapp.pages.import_parts import part_rows
from webapp.pages.import_preview import Preview, sent_form, take_file, taken_for, template_of
from webapp.pages.imports import csv_answer, done
from webapp.pages.render import redirect, render
from webapp.records.catalogue import PART_KINDS
from webapp.stages import catalogue, part_list, stores, workshop
from webapp.stages.design.csv_out import table_text
from webapp.stages.design.imports import Column, NotAList, read_list

router = APIRouter(dependencies=[Depends(plainly)])
CHANGED = (
    "The stores were changed after this list was shown. The list below is weighed against the "
    "stores as they are now: look through it again, then import it."
)


@router.get("/stores.csv")
def parts_out(session: ReadSession, q: str = "", kind: str = "", stocked: str = "") -> Response:
    """The parts that the same words find on the stores' page."""
    found = stores.find(
        catalogue.read(session),
        text=q[:200],
        kind=kind if kind in PART_KINDS else None,
        stocked=bool(stocked),
    )
    return csv_answer(part_list.parts_csv(found), "parts.csv")


@router.get("/stores/import/empty.csv")
def empty_out(session: ReadSession) -> Response:
    """A list of parts that names its columns and has no rows yet."""
    facts = part_list.fact_names(catalogue.read(session).parts.values())
    header = (*part_list.LEADING[1:], *facts, *part_list.TRAILING)
    return csv_answer(table_text(header, ()), "parts.csv")


@router.get("/stores/import")
def show(request: Request, session: ReadSession, in_dialog: str = "") -> Response:
    return _page(request, session, Form({"in_dialog": in_dialog[:1]}), None)


@router.post("/stores/import")
def look(request: Request, session: ReadSession, form: FormDep) -> Response:
    """Shows what the list means. It only reads, so that nobody's writing waits for it."""
    sent = sent_form(form)
    try:
        take_file(sent, form.get("file"))
        preview = _preview(session, sent)
    except NotAList as why:
        sent.refuse("text", str(why))
        return _page(request, session, sent, None, why.columns, status=422)
    return _page(request, session, sent, preview)


@router.post("/stores/import/rows")
def bring_in(request: Request, session: WriteSession, form: FormDep, person: Person) -> Response:
    """Reads the list again and writes what was shown, if the stores are still the same."""
    sent = sent_form(form)
    try:
        preview = _preview(session, sent)
    except NotAList as why:
        sent.refuse("text", str(why))
        return _page(request, session, sent, None, why.columns, status=422)
    if sent.typed("stamp") != part_list.stamp(session):
        sent.refuse("preview", CHANGED)
        return _page(request, session, sent, preview, status=409)
    preview.refuse(sent)
    if sent.errors:
        return _page(request, session, sent, preview, status=422)
    preview.keep(session, person.id)
    return redirect(
        "/stores", notice=f"{done(preview)} Quotes that are issued keep what they said."
    )


def _preview(session: Session, sent: Form) -> Preview:
    parts = catalogue.read(session)
    kind = part_list.list_kind(parts.parts.values())
    read = read_list(kind, sent.typed("text"), taken_for=taken_for(sent))
    rows = part_rows(parts, read, workshop.get(session).currency)
    lines = [row.part for row in rows if row.part is not None]

    def keep(session: Session, _person_id: int) -> None:
        part_list.keep(session, lines)

    return Preview(read, rows, keep)


def _page(
    request: Request,
    session: Session,
    form: Form,
    preview: Preview | None,
    read_columns: Sequence[Column] = (),
    status: int = 200,
) -> Response:
    kind = part_list.list_kind(())
    context: dict[str, Any] = {
        "form": form,
        "action": "/stores/import",
        "back": "/stores",
        "preview": preview,
        "columns": [(kind, columns_of(kind))],
        "empty": "/stores/import/empty.csv",
        "stamp": part_list.stamp(session),
        "read_columns": preview.read.columns if preview else read_columns,
        "fields": fields_of(kind),
    }
    return render(request, template_of(form, "imports/stores.html"), status=status, **context)
