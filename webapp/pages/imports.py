"""Paste or upload a list of needs, runs, wires or facts; look through it; then import it."""

from collections.abc import Mapping, Sequence
from typing import Any

from fastapi import APIRouter, Depends
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import entry_forms
from webapp.pages.access import discreet
from webapp.pages.deps import FormDep, Person, ReadSession, WriteSession, plainly
from webapp.pages.forms import Form
from webapp.pages.import_columns import columns_of, empty_list, fields_of, usual_columns
from webapp.pages.import_facts import fact_rows, weigh_facts
from webapp.pages.import_preview import (
    CHANGED,
    Preview,
    sent_form,
    take_file,
    taken_for,
    template_of,
)
from webapp.pages.import_rows import need_rows, new_places, run_rows, weigh
from webapp.pages.import_wires import known_by_number, sentence, wire_rows
from webapp.pages.loom_frame import loom_frame
from webapp.pages.needs import covering_names, suggestions
from webapp.pages.render import redirect, render
from webapp.pages.wording import plural
from webapp.stages import catalogue, jobs, looms
from webapp.stages.design import entry, imports, needs
from webapp.stages.design.csv_out import needs_csv, runs_csv
from webapp.stages.design.editing import edit
from webapp.stages.design.entry import RowsRefused, TypedTable
from webapp.stages.design.imports import Column, NotAList, ReadList
from webapp.stages.design.job_facts import JobAsItIs, read_facts
from webapp.stages.design.rows import Design
from webapp.stages.design.wire_list.lines import wires_csv
from webapp.stages.design.wire_list.taking import editing
from webapp.stages.refusals import NotThere

router = APIRouter(dependencies=[Depends(plainly)])


@router.get("/looms/{loom_id}/import")
def show(
    request: Request, session: ReadSession, loom_id: int, what: str = "needs", in_dialog: str = ""
) -> Response:
    design = entry.latest(session, loom_id)
    form = Form({"what": what if what in imports.KINDS else "needs", "in_dialog": in_dialog[:1]})
    return page(request, session, loom_id, design, form, None)


@router.post("/looms/{loom_id}/import")
def look(request: Request, session: ReadSession, form: FormDep, loom_id: int) -> Response:
    """Shows what the list means. It only reads, so that nobody's writing waits for it."""
    design = entry.latest(session, loom_id)
    sent = sent_form(form)
    # What is missing is offered to be made; the person takes the tick away.
    sent.fields = {**sent.fields, "make_fittings": "1"}
    try:
        take_file(sent, form.get("file"))
        preview = _preview(session, loom_id, design, sent, {})
    except NotAList as why:
        sent.refuse("text", str(why))
        return page(request, session, loom_id, design, sent, None, why.columns, status=422)
    return page(request, session, loom_id, design, sent, preview)


@router.post("/looms/{loom_id}/import/rows")
def bring_in(
    request: Request, session: WriteSession, form: FormDep, person: Person, loom_id: int
) -> Response:
    """Reads the list again and writes what was shown, if the design is still the same."""
    design = entry.latest(session, loom_id)
    sent = sent_form(form)
    try:
        preview = _preview(session, loom_id, design, sent, sent.fields)
    except NotAList as why:
        sent.refuse("text", str(why))
        return page(request, session, loom_id, design, sent, None, why.columns, status=422)
    if sent.typed("stamp") != entry.stamp(session, loom_id):
        sent.refuse("preview", CHANGED)
        return page(request, session, loom_id, design, sent, preview, status=409)
    preview.refuse(sent)
    if not sent.errors:
        try:
            preview.keep(session, person.id)
        except RowsRefused as refused:
            sent.refuse("preview", str(refused))
    if sent.errors:
        return page(request, session, loom_id, design, sent, preview, status=422)
    there = "wires" if preview.read.kind is imports.WIRES else "needs"
    return redirect(f"/looms/{loom_id}/{there}", notice=done(preview))


def done(preview: Preview) -> str:
    """3 rows imported; 1 row left out."""
    parts = [f"{plural(preview.to_import, 'row')} imported"]
    if preview.take_out and preview.left_out:
        parts.append(f"{plural(len(preview.left_out), 'wire')} taken out")
    if preview.refused:
        parts.append(f"{plural(preview.refused, 'row')} left out")
    return f"{'; '.join(parts)}."


def _preview(
    session: Session, loom_id: int, design: Design, sent: Form, chosen: Mapping[str, str]
) -> Preview:
    kind = imports.KINDS.get(sent.typed("what"))
    if kind is None:
        raise NotAList("Choose what the list holds.")
    read = imports.read_list(
        kind,
        sent.typed("text"),
        usual=usual_columns(kind.id) if sent.typed("in_dialog") else (),
        taken_for=taken_for(sent),
    )
    if kind is imports.WIRES:
        return _wires(session, loom_id, design, read, sent)
    if kind is imports.FACTS:
        facts = fact_rows(read_facts(read.lines, _job(session, loom_id, design)))
        return _tables(design, read, facts, weigh_facts(design, facts), loom_id)
    if kind is imports.RUNS:
        parts = catalogue.read(session)
        coverings = covering_names(parts)
        rows = run_rows(design, read, lambda row: entry_forms.read_whole_run(row, coverings, parts))
        return _tables(design, read, rows, weigh(design, rows, "run"), loom_id)
    rows = need_rows(design, read, entry_forms.read_need, chosen)
    return _tables(design, read, rows, weigh(design, rows, "need"), loom_id)


def _tables(
    design: Design, read: ReadList, rows: Any, sheet: dict[str, TypedTable], loom_id: int
) -> Preview:
    """Rows of the entry tables."""

    def keep(session: Session, person_id: int) -> object:
        return entry.save(session, loom_id, sheet, person_id)

    places = new_places(design, entry.plan(design, sheet).after)
    return Preview(read, rows, keep, places)


def _wires(session: Session, loom_id: int, design: Design, read: ReadList, sent: Form) -> Preview:
    take_out = sent.typed("take_out") == "1"
    by_number = bool(sent.typed("in_dialog")) and "uid" not in read.fields
    if by_number:
        read = known_by_number(design, read)
    found = wire_rows(
        design,
        catalogue.read(session),
        read,
        make_fittings=sent.typed("make_fittings") == "1",
        take_out=take_out,
    )
    taken = found.taken

    def keep(session: Session, person_id: int) -> object:
        return edit.save(session, loom_id, editing(taken, sentence(found, take_out)), person_id)

    return Preview(
        read,
        found.rows,
        keep,
        new_places=[place.name for place in taken.places],
        missing=taken.missing,
        left_out=() if by_number else taken.left_out,
        take_out=take_out,
        said=taken.said,
    )


def _job(session: Session, loom_id: int, design: Design) -> JobAsItIs:
    loom = looms.get(session, loom_id)
    equipment = jobs.get(session, loom.project_id).values.equipment
    return JobAsItIs(equipment, design.nominal_v, design.polarity, loom.quantity)


def page(
    request: Request,
    session: Session,
    loom_id: int,
    design: Design,
    form: Form,
    preview: Preview | None,
    read_columns: Sequence[Column] = (),
    status: int = 200,
) -> Response:
    what = form.typed("what")
    context: dict[str, Any] = {
        "frame": loom_frame(session, loom_id),
        "form": form,
        "action": f"/looms/{loom_id}/import",
        "back": f"/looms/{loom_id}/{'wires' if what == 'wires' else 'needs'}",
        "preview": preview,
        "kinds": [(kind.id, kind.title) for kind in imports.KINDS.values()],
        "columns": [(kind, columns_of(kind)) for kind in imports.KINDS.values()],
        "stamp": entry.stamp(session, loom_id),
        "labels": entry_forms.LABELS["need"],
        "load_kinds": entry_forms.KINDS,
        "flags": needs.FLAGS,
        "services": needs.SERVICES,
        "suggestions": suggestions(session, design),
        "read_columns": preview.read.columns if preview else read_columns,
        "fields": fields_of(imports.KINDS.get(what, imports.NEEDS)),
    }
    return render(request, template_of(form, "imports/show.html"), status=status, **context)


# Lists out


@router.get("/looms/{loom_id}/needs.csv")
def needs_out(session: ReadSession, loom_id: int) -> Response:
    return csv_answer(needs_csv(entry.latest(session, loom_id)), "needs.csv")


@router.get("/looms/{loom_id}/runs.csv")
def runs_out(session: ReadSession, loom_id: int) -> Response:
    return csv_answer(runs_csv(entry.latest(session, loom_id)), "runs.csv")


@router.get("/looms/{loom_id}/wires.csv")
def wires_out(request: Request, session: ReadSession, loom_id: int) -> Response:
    return csv_answer(wires_csv(entry.latest(session, loom_id), discreet(request)), "wires.csv")


@router.get("/lists/{what}.csv")
def empty_out(what: str) -> Response:
    """A list that names its columns and has no rows yet."""
    kind = imports.KINDS.get(what)
    if kind is None:
        raise NotThere
    return csv_answer(empty_list(kind), f"{what}.csv")


def csv_answer(text: str, name: str) -> Response:
    """A file to be opened in a spreadsheet."""
    # The mark at the start tells it that this is UTF-8.
    return Response(
        "\ufeff" + text,
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
