"""The people of the workshop: added, changed, no longer offered once they have left."""

from collections.abc import Mapping
from dataclasses import asdict

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form, filled
from webapp.pages.render import redirect, render
from webapp.records.people import ROLES
from webapp.stages import people
from webapp.stages.access import passwords
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {"name": "Name", "initials": "Initials", "role": "Role", "active": "Works here"}


def read(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    form.text("initials", LABELS["initials"], most=4)
    form.choice("role", LABELS["role"], ROLES)


def read_edit(form: Form) -> None:
    read(form)
    form.yes("active")


def list_page(request: Request, session: Session, form: Form) -> Response:
    return render(
        request,
        "settings/people.html",
        status=422 if form.errors else 200,
        form=form,
        everybody=people.everybody(session),
    )


@router.get("/people")
def show(request: Request, session: ReadSession) -> Response:
    return list_page(request, session, Form({"role": "bench"}))


@router.post("/people")
def add(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    form = Form(fields)
    read(form)
    if not form.errors:
        with attempt(session, form):
            people.add(session, **form.values)
    if form.errors:
        return list_page(request, session, form)
    return redirect("/people", notice=f"{form.values['name']} is added.")


def form_page(
    request: Request, session: Session, person_id: int, form: Form, was: Mapping[str, str]
) -> Response:
    return render(
        request,
        "settings/person.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        person_id=person_id,
        has_password=passwords.has_one(session, person_id),
    )


@router.get("/people/{person_id}")
def show_edit(request: Request, session: ReadSession, person_id: int) -> Response:
    values = asdict(people.get(session, person_id))
    del values["id"]
    return form_page(request, session, person_id, filled(values), as_text(values))


@router.post("/people/{person_id}")
def edit(request: Request, session: WriteSession, fields: FieldsDep, person_id: int) -> Response:
    sent = Edit(fields, read_edit)
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                people.edit(session, person_id, sent.opened, sent.typed)
                if request.app.state.lan:
                    passwords.keep_an_owner(session, "role" if sent.typed["active"] else "active")
    except ChangedMeanwhile as change:
        return both_values(
            request,
            change,
            action=f"/people/{person_id}",
            back="/people",
            labels=LABELS,
            shown=lambda field, text: text if field != "active" else "yes" if text else "no",
        )
    if sent.form.errors:
        return form_page(request, session, person_id, sent.form, sent.was)
    return redirect("/people", notice="Saved.")
