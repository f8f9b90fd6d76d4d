"""Customers: the list, one customer with the jobs, adding and changing."""

from collections.abc import Mapping
from dataclasses import asdict

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form, filled
from webapp.pages.render import redirect, render
from webapp.stages import customers, jobs, progress
from webapp.stages.clock import today
from webapp.stages.customers import CustomerValues
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {
    "name": "Name",
    "contact": "Contact",
    "address": "Address",
    "phone": "Telephone",
    "email": "E-mail",
    "notes": "Notes",
}


def read(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    form.text("contact", LABELS["contact"], most=80, needed=False)
    form.text("address", LABELS["address"], most=400, needed=False, lines=True)
    form.text("phone", LABELS["phone"], most=40, needed=False)
    form.text("email", LABELS["email"], most=120, needed=False)
    form.text("notes", LABELS["notes"], most=4000, needed=False, lines=True)


def form_page(
    request: Request,
    form: Form,
    *,
    was: Mapping[str, str] | None = None,
    customer_id: int | None = None,
) -> Response:
    """The form, new or of a customer; with errors it is a refusal."""
    return render(
        request,
        "customers/form.html",
        status=422 if form.errors else 200,
        form=form,
        was=was or {},
        customer_id=customer_id,
    )


@router.get("/customers")
def show_all(request: Request, session: ReadSession) -> Response:
    return render(request, "customers/list.html", customers=customers.everybody(session))


@router.get("/customers/new")
def show_new(request: Request) -> Response:
    return form_page(request, Form())


@router.post("/customers/new")
def add(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    form = Form(fields)
    read(form)
    if form.errors:
        return form_page(request, form)
    with attempt(session, form):
        customer_id = customers.add(session, CustomerValues(**form.values))
    if form.errors:
        return form_page(request, form)
    return redirect(f"/customers/{customer_id}", notice=f"{form.values['name']} is added.")


@router.get("/customers/{customer_id}")
def show(request: Request, session: ReadSession, customer_id: int) -> Response:
    return render(
        request,
        "customers/one.html",
        customer=customers.get(session, customer_id),
        jobs=jobs.all_jobs(session, customer_id),
        today=today(),
        mark=progress.of_all(session).mark,
    )


@router.get("/customers/{customer_id}/edit")
def show_edit(request: Request, session: ReadSession, customer_id: int) -> Response:
    values = asdict(customers.get(session, customer_id).values)
    return form_page(request, filled(values), was=as_text(values), customer_id=customer_id)


@router.post("/customers/{customer_id}/edit")
def edit(request: Request, session: WriteSession, fields: FieldsDep, customer_id: int) -> Response:
    sent = Edit(fields, read)
    if sent.form.errors:
        return form_page(request, sent.form, was=sent.was, customer_id=customer_id)
    here = f"/customers/{customer_id}"
    try:
        with attempt(session, sent.form):
            customers.edit(session, customer_id, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(request, change, action=f"{here}/edit", back=here, labels=LABELS)
    if sent.form.errors:
        return form_page(request, sent.form, was=sent.was, customer_id=customer_id)
    return redirect(here, notice="Saved.")
