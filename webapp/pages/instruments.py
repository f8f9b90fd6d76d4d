"""Test instruments and when their calibration runs out."""

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
from webapp.stages import instruments
from webapp.stages.clock import today
from webapp.stages.instruments import InstrumentValues
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {
    "name": "Name",
    "serial": "Serial number",
    "calibrated_on": "Calibrated on",
    "calibration_due_on": "Due again on",
    "active": "In use",
}


def in_use(session: Session) -> list[tuple[str, str]]:
    """The instruments that a reading may be taken with, for a list to choose from."""
    found = []
    for row in instruments.everything(session):
        if row.values.active:
            serial = f", {row.values.serial}" if row.values.serial else ""
            late = ", calibration ran out" if row.overdue(today()) else ""
            found.append((str(row.id), f"{row.values.name}{serial}{late}"))
    return found


def read(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    form.text("serial", LABELS["serial"], most=60, needed=False)
    form.date("calibrated_on", LABELS["calibrated_on"], needed=False)
    form.date("calibration_due_on", LABELS["calibration_due_on"], needed=False)


def read_edit(form: Form) -> None:
    read(form)
    form.yes("active")


def list_page(request: Request, session: Session, form: Form) -> Response:
    return render(
        request,
        "settings/instruments.html",
        status=422 if form.errors else 200,
        form=form,
        instruments=instruments.everything(session),
        today=today(),
    )


@router.get("/instruments")
def show(request: Request, session: ReadSession) -> Response:
    return list_page(request, session, Form())


@router.post("/instruments")
def add(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    form = Form(fields)
    read(form)
    if not form.errors:
        with attempt(session, form):
            instruments.add(session, InstrumentValues(**form.values))
    if form.errors:
        return list_page(request, session, form)
    return redirect("/instruments", notice=f"{form.values['name']} is added.")


def form_page(request: Request, instrument_id: int, form: Form, was: Mapping[str, str]) -> Response:
    return render(
        request,
        "settings/instrument.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        instrument_id=instrument_id,
    )


@router.get("/instruments/{instrument_id}")
def show_edit(request: Request, session: ReadSession, instrument_id: int) -> Response:
    values = asdict(instruments.get(session, instrument_id).values)
    return form_page(request, instrument_id, filled(values), as_text(values))


@router.post("/instruments/{instrument_id}")
def edit(
    request: Request, session: WriteSession, fields: FieldsDep, instrument_id: int
) -> Response:
    sent = Edit(fields, read_edit)
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                instruments.edit(session, instrument_id, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(
            request,
            change,
            action=f"/instruments/{instrument_id}",
            back="/instruments",
            labels=LABELS,
            shown=lambda field, text: text if field != "active" else "yes" if text else "no",
        )
    if sent.form.errors:
        return form_page(request, instrument_id, sent.form, sent.was)
    return redirect("/instruments", notice="Saved.")
