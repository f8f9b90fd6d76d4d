"""Paste or upload a list of needs, runs or facts; look through it; then import it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import entry_forms
from webapp.pages.deps import FormDep, Person, ReadSession, WriteSession
from webapp.pages.forms import Form
from webapp.pages.import_facts import FactRow, fact_rows, weigh_facts
from webapp.pages.import_rows import ImportRow, need_rows, new_places, run_rows, weigh
from webapp.pages.loom_frame import loom_frame
from webapp.pages.needs import covering_names, suggestions
from webapp.pages.render import redirect, render
from webapp.pages.wording import plural
from webapp.stages import catalogue, jobs, looms
from webapp.stages.design import entry, imports, needs
from webapp.stages.design.csv_out import needs_csv, runs_csv
from webapp.stages.design.entry import RowsRefused, TypedTable
from webapp.stages.design.imports import NotAList, ReadList
from webapp.stages.design.job_facts import JobAsItIs, read_facts
from webapp.stages.design.rows import Design

router = APIRouter()
CHANGED = (
    "The design was changed after this list was shown. The list below is weighed against the "
    "design as it is now: look through it again, then import it."
)
NOTHING = "There is nothing in this list to import: every row is refused, or changes nothing."
SOME_REFUSED = (
    "Some rows are refused. Put them right in the list and look again, or tick that the others "
    "are to be imported without them."
)


@dataclass
class Preview:
    """The list as it was understood, and what saving it takes."""

    read: ReadList
    rows: list[ImportRow] | list[FactRow]
    sheet: dict[str, TypedTable]
    new_places: list[str] = field(default_factory=list)

    def count(self, *states: str) -> int:
        return sum(1 for row in self.rows if row.state in states)

    @property
    def refused(self) -> int:
        return self.count("refused")

    @property
    def to_import(self) -> int:
        return self.count("new", "changes")

    @property
    def said(self) -> str:
        """3 new, 1 changes a row, 2 are there already, 1 refused."""
        counts = (
            (self.count("new"), "new", "new"),
            (self.count("changes"), "changes what is there", "change what is there"),
            (self.count("same"), "is there already", "are there already"),
            (self.count("differs"), "differs from the job's card", "differ from the job's card"),
            (self.count("unused"), "is not used", "are not used"),
            (self.refused, "is refused", "are refused"),
        )
        return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in counts if n)


@router.get("/looms/{loom_id}/import")
def show(request: Request, session: ReadSession, loom_id: int, what: str = "needs") -> Response:
    design = entry.latest(session, loom_id)
    form = Form({"what": what if what in imports.KINDS else "needs"})
    return page(request, session, loom_id, design, form, None)


@router.post("/looms/{loom_id}/import")
def look(request: Request, session: ReadSession, form: FormDep, loom_id: int) -> Response:
    """Shows what the list means. It only reads, so that nobody's writing waits for it."""
    design = entry.latest(session, loom_id)
    sent = _sent(form)
    try:
        preview = _preview(session, loom_id, design, sent, form.get("file"), {})
    except NotAList as why:
        sent.refuse("text", str(why))
        return page(request, session, loom_id, design, sent, None, status=422)
    return page(request, session, loom_id, design, sent, preview)


@router.post("/looms/{loom_id}/import/rows")
def bring_in(
    request: Request, session: WriteSession, form: FormDep, person: Person, loom_id: int
) -> Response:
    """Reads the list again and writes what was shown, if the design is still the same."""
    design = entry.latest(session, loom_id)
    sent = _sent(form)
    try:
        preview = _preview(session, loom_id, design, sent, None, sent.fields)
    except NotAList as why:
        sent.refuse("text", str(why))
        return page(request, session, loom_id, design, sent, None, status=422)
    if sent.typed("stamp") != entry.stamp(session, loom_id):
        sent.refuse("preview", CHANGED)
        return page(request, session, loom_id, design, sent, preview, status=409)
    if not preview.to_import:
        sent.refuse("preview", NOTHING)
    elif preview.refused and sent.typed("without_refused") != "1":
        sent.refuse("preview", SOME_REFUSED)
    else:
        _save(session, loom_id, preview, sent, person.id)
    if sent.errors:
        return page(request, session, loom_id, design, sent, preview, status=422)
    left = f"; {plural(preview.refused, 'row')} left out" if preview.refused else ""
    notice = f"{plural(preview.to_import, 'row')} imported{left}."
    return redirect(f"/looms/{loom_id}/needs", notice=notice)


def _sent(form: FormData) -> Form:
    return Form({name: value for name, value in form.multi_items() if isinstance(value, str)})


def _save(session: Session, loom_id: int, preview: Preview, sent: Form, person_id: int) -> None:
    try:
        entry.save(session, loom_id, preview.sheet, person_id)
    except RowsRefused as refused:
        sent.refuse("preview", str(refused))


def _preview(
    session: Session,
    loom_id: int,
    design: Design,
    sent: Form,
    upload: object,
    chosen: Mapping[str, str],
) -> Preview:
    kind = imports.KINDS.get(sent.typed("what"))
    if kind is None:
        raise NotAList("Choose what the list holds.")
    if isinstance(upload, UploadFile) and upload.filename:
        data = upload.file.read(imports.MOST_BYTES + 1)
        # Shown in the box, so that it can be put right there.
        sent.fields = {**sent.fields, "text": imports.decode(data).removeprefix("\ufeff")}
    read = imports.read_list(kind, sent.typed("text"))
    if kind is imports.FACTS:
        facts = fact_rows(read_facts(read.lines, _job(session, loom_id, design)))
        sheet = weigh_facts(design, facts)
        return Preview(read, facts, sheet, _new_places(design, sheet))
    if kind is imports.RUNS:
        parts = catalogue.read(session)
        coverings = covering_names(parts)
        part_uids = [part.uid for part in parts.kind("covering")]
        rows = run_rows(
            design, read, lambda row: entry_forms.read_whole_run(row, coverings, part_uids)
        )
        sheet = weigh(design, rows, "run")
    else:
        rows = need_rows(design, read, entry_forms.read_need, chosen)
        sheet = weigh(design, rows, "need")
    return Preview(read, rows, sheet, _new_places(design, sheet))


def _new_places(design: Design, sheet: dict[str, TypedTable]) -> list[str]:
    return new_places(design, entry.plan(design, sheet).after)


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
    status: int = 200,
) -> Response:
    context: dict[str, Any] = {
        "frame": loom_frame(session, loom_id),
        "form": form,
        "preview": preview,
        "kinds": [(kind.id, kind.title) for kind in imports.KINDS.values()],
        "stamp": entry.stamp(session, loom_id),
        "labels": entry_forms.LABELS["need"],
        "load_kinds": entry_forms.KINDS,
        "flags": needs.FLAGS,
        "services": needs.SERVICES,
        "suggestions": suggestions(session, design),
        "separators": imports.SEPARATORS,
    }
    return render(request, "imports/show.html", status=status, **context)


@router.get("/looms/{loom_id}/needs.csv")
def needs_out(session: ReadSession, loom_id: int) -> Response:
    return _csv(needs_csv(entry.latest(session, loom_id)), "needs.csv")


@router.get("/looms/{loom_id}/runs.csv")
def runs_out(session: ReadSession, loom_id: int) -> Response:
    return _csv(runs_csv(entry.latest(session, loom_id)), "runs.csv")


def _csv(text: str, name: str) -> Response:
    # The mark at the start tells a spreadsheet that this is UTF-8.
    return Response(
        "\ufeff" + text,
        media_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )
