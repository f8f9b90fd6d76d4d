"""The workshop's letterhead, its address in the network, and how deep the bench ticks."""

from collections.abc import Mapping
from dataclasses import asdict

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.convention import DATE_STYLES
from webapp.pages.backups import backups_shown
from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.device_settings import network_address
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.first_run import read_workshop
from webapp.pages.forms import Form, filled
from webapp.pages.render import redirect, render
from webapp.stages import workshop
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {
    "name": "Name of the workshop",
    "address": "Address",
    "phone": "Telephone",
    "email": "E-mail",
    "vat_number": "VAT number",
    "currency": "Currency sign",
    "address_url": "Address in the network",
    "step_depth": "Work steps",
    "pause_gap_min": "A pause, in minutes",
    "length_unit": "Lengths",
    "decimal_mark": "Decimal mark",
    "date_style": "Dates",
}


def read(form: Form) -> None:
    read_workshop(form)
    form.text("address_url", LABELS["address_url"], most=200)
    form.choice("step_depth", LABELS["step_depth"], workshop.STEP_DEPTHS)
    form.whole("pause_gap_min", LABELS["pause_gap_min"], least=1, most=workshop.LONGEST_PAUSE_MIN)
    for field, options in workshop.CONVENTIONS.items():
        form.choice(field, LABELS[field], options)


def form_page(request: Request, form: Form, was: Mapping[str, str]) -> Response:
    return render(
        request,
        "settings/workshop.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        date_styles=[(style, style) for style in DATE_STYLES],
        only_loopback=workshop.only_loopback(was.get("address_url", "")),
        network_address=network_address(request),
        backups=backups_shown(request),
    )


@router.get("/settings")
def show(request: Request, session: ReadSession) -> Response:
    values = asdict(workshop.get(session))
    return form_page(request, filled(values), as_text(values))


@router.post("/settings")
def save(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    sent = Edit(fields, read)
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                workshop.edit(session, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(request, change, action="/settings", back="/settings", labels=LABELS)
    if sent.form.errors:
        return form_page(request, sent.form, sent.was)
    return redirect("/settings", notice="Saved.")
