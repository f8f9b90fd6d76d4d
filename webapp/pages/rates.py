"""What a job is priced with: the workshop's rates and its times for each operation."""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.pages.wording import number
from webapp.stages import priced_time, rates, workshop
from webapp.stages.building import time_taken
from webapp.stages.rates import Operation
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
S_PER_H = 3600
LABELS = {
    "labour_minor_per_hour": "Labour",
    "set_up_s": "Set-up of a batch",
    "design_s": "Design",
    "scrap_percent": "Scrap",
    "overhead_percent": "Overhead",
    "margin_percent": "Margin",
    "discount_percent": "Discount",
    "vat_percent": "VAT",
    "deposit_percent": "Deposit",
    "validity_days": "A quote holds for",
}
HOURS = ("set_up_s", "design_s")
PERCENTS = tuple(name for name in LABELS if name.endswith("_percent"))


def reader(operations: tuple[Operation, ...], currency: str) -> Callable[[Form], None]:
    """Reads the form: hours become seconds, money minor units."""

    def read(form: Form) -> None:
        form.money("labour_minor_per_hour", LABELS["labour_minor_per_hour"], currency=currency)
        for name in HOURS:
            form.number(name, LABELS[name], unit="h", most=1000)
            if isinstance(form.values.get(name), float):
                form.values[name] = round(form.values[name] * S_PER_H)
        for name in PERCENTS:
            most = 100 if name in rates.PERCENT_OF_A_WHOLE else 1000
            form.number(name, LABELS[name], unit="%", most=most)
        form.whole("validity_days", LABELS["validity_days"], least=1, most=730)
        for operation in operations:
            form.whole(f"time_{operation.code}", operation.title, most=86_400)

    return read


def text(values: Mapping[str, Any]) -> dict[str, str]:
    """Stored values as they stand in the form's fields."""
    fields = as_text(values)
    fields["labour_minor_per_hour"] = f"{Decimal(values['labour_minor_per_hour']) / 100:.2f}"
    for name in HOURS:
        fields[name] = hours(values[name])
    return fields


def hours(seconds: int) -> str:
    """7200 -> 2; to a second exactly, so that an untouched field changes nothing."""
    return number(Decimal(seconds) / S_PER_H, 5).replace(",", "").rstrip("0").rstrip(".")


def form_page(request: Request, session: Session, form: Form, was: Mapping[str, str]) -> Response:
    operations = rates.operations(session)
    taken = time_taken.of_workshop(session)
    return render(
        request,
        "settings/rates.html",
        status=422 if form.errors else 200,
        form=form,
        was=was,
        operations=operations,
        titles={one.code: one.title for one in operations},
        said=time_taken.said_of_times(taken),
        not_ticked=priced_time.NOT_TICKED,
        gap_s=taken.gap_s,
        currency=workshop.get(session).currency,
    )


@router.get("/rates")
def show(request: Request, session: ReadSession) -> Response:
    fields = text(rates.values(session))
    return form_page(request, session, Form(fields), fields)


@router.post("/rates")
def save(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    operations = rates.operations(session)
    sent = Edit(fields, reader(operations, workshop.get(session).currency))
    labels = LABELS | {f"time_{one.code}": one.title for one in operations}
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                rates.edit(session, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(
            request, change, action="/rates", back="/rates", labels=labels, text=text
        )
    if sent.form.errors:
        return form_page(request, session, sent.form, sent.was)
    return redirect("/rates", notice="Saved. Quotes that are issued keep what they said.")
