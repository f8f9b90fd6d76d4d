"""The runs page: the plan, and every run with what lies around it and how it was measured."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import entry_forms
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.entry_tables import EntryTable, SentTables, opened_form
from webapp.pages.finding_forms import found_about
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.needs import covering_names, suggestions
from webapp.pages.plan_values import plan_drawing
from webapp.pages.render import redirect, render
from webapp.pages.undo import undo_state
from webapp.stages import catalogue
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import entry
from webapp.stages.design.entry import RowsRefused
from webapp.stages.design.rows import Design

router = APIRouter()


def tables(parts: Catalogue) -> tuple[EntryTable, ...]:
    """The runs, whole."""
    coverings = covering_names(parts)
    return (
        EntryTable("runs", "run", lambda form: entry_forms.read_whole_run(form, coverings, parts)),
    )


@router.get("/looms/{loom_id}/runs")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    design = entry.latest(session, loom_id)
    form = opened_form(design, tables(catalogue.read(session)))
    return page(request, session, loom_id, design, form)


@router.post("/looms/{loom_id}/runs")
def save(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    sent = SentTables(fields, tables(catalogue.read(session)))
    if sent.form.errors:
        return page(request, session, loom_id, design, sent.form, status=422)
    try:
        sentence = entry.save(session, loom_id, sent.sheet, person.id)
    except RowsRefused as refused:
        sent.refuse(refused)
        status = 409 if refused.clash else 422
        return page(request, session, loom_id, design, sent.form, status=status)
    notice = f"Saved. {sentence}." if sentence else "Nothing was changed."
    return redirect(f"/looms/{loom_id}/runs", notice=notice)


def page(
    request: Request,
    session: Session,
    loom_id: int,
    design: Design,
    form: Form,
    status: int = 200,
) -> Response:
    parts = catalogue.read(session)
    return render(
        request,
        "runs/show.html",
        status=status,
        frame=loom_frame(session, loom_id),
        undo=undo_state(session, loom_id),
        form=form,
        found=found_about(session, loom_id, "run"),
        plan=plan_drawing(design),
        labels=entry_forms.LABELS["run"],
        parts={
            field: [(part.uid, part.name) for part in parts.kind(*kinds)]
            for field, kinds in entry_forms.RUN_PARTS.items()
        },
        suggestions=suggestions(session, design),
    )
