"""The looms of a job: add, rename, count; and where a loom's or a unit's own address leads."""

from collections.abc import Mapping

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.addresses import loom_address, unit_address
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form, filled
from webapp.pages.jobs import job_page
from webapp.pages.render import redirect, render
from webapp.stages import jobs, looms, stage_line
from webapp.stages.looms import LoomRow
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {"name": "Name of the loom", "quantity": "How many"}


def read(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    form.whole("quantity", LABELS["quantity"], least=1, most=looms.MOST_UNITS)


@router.post("/jobs/{project_id}/looms")
def add(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, project_id: int
) -> Response:
    form = Form(fields, prefix="loom-")
    read(form)
    if form.errors:
        return job_page(request, session, project_id, loom_form=form)
    with attempt(session, form):
        looms.add(session, project_id, person_id=person.id, **form.values)
    if form.errors:
        return job_page(request, session, project_id, loom_form=form)
    return redirect(f"/jobs/{project_id}#looms", notice=f"{form.values['name']} is added.")


@router.get("/looms/{loom_id}/edit")
def show_edit(request: Request, session: ReadSession, loom_id: int) -> Response:
    loom = looms.get(session, loom_id)
    values = {"name": loom.name, "quantity": loom.quantity}
    return edit_page(request, session, loom, filled(values), as_text(values))


def edit_page(
    request: Request, session: Session, loom: LoomRow, form: Form, was: Mapping[str, str]
) -> Response:
    return render(
        request,
        "loom/edit.html",
        status=422 if form.errors else 200,
        job=jobs.get(session, loom.project_id),
        loom=loom,
        form=form,
        was=was,
    )


@router.post("/looms/{loom_id}/edit")
def edit(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    loom = looms.get(session, loom_id)
    sent = Edit(fields, read)
    if sent.form.errors:
        return edit_page(request, session, loom, sent.form, sent.was)
    back = f"/jobs/{loom.project_id}"
    try:
        with attempt(session, sent.form):
            looms.edit(session, loom_id, sent.opened, sent.typed, person.id)
    except ChangedMeanwhile as change:
        action = f"/looms/{loom_id}/edit"
        return both_values(request, change, action=action, back=back, labels=LABELS)
    if sent.form.errors:
        return edit_page(request, session, loom, sent.form, sent.was)
    return redirect(f"{back}#looms", notice="Saved.")


@router.get("/looms/{loom_id}")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    loom = looms.get(session, loom_id)
    return redirect(loom_address(request, loom.id, loom.project_id, loom.line.at.stage))


@router.get("/units/{unit_id}")
def show_unit(request: Request, session: ReadSession, unit_id: int) -> Response:
    loom = looms.get(session, looms.loom_of_unit(session, unit_id))
    stage = stage_line.stage_of_unit(session, unit_id)
    return redirect(unit_address(request, unit_id, loom.id, loom.project_id, stage))
