"""The price of a loom: what it costs, what is put on top, and the terms of the next quote."""

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.costing.price import Extra
from webapp.pages.access import Access
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import CHOICE, OPENED, Edit, as_text, attempt, both_values
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import redirect, render
from webapp.pages.wording import money
from webapp.pages.workings import working
from webapp.paper.render import available
from webapp.stages import priced_time, pricing, quotes, rates, stage_line, workshop
from webapp.stages.clock import today
from webapp.stages.design import revisions, rows
from webapp.stages.pricing import MOST_EXTRA_QUANTITY, MOST_VALIDITY_DAYS, PERCENTS
from webapp.stages.refusals import ChangedMeanwhile

router = APIRouter()
LABELS = {
    "margin_percent": "Margin on cost",
    "discount_percent": "Discount",
    "vat_percent": "VAT",
    "deposit_percent": "Deposit",
    "validity_days": "Holds for",
    "delivery": "Delivery",
    "rests_on": "Rests on",
    "customer_supplies": "Customer supplies",
    "not_included": "Not included",
    "extras": "Further lines",
}
EXTRA_LABELS = {"what": "What", "quantity": "How many", "each_minor": "Each"}
TEXT_LENGTHS = {"delivery": 200, "rests_on": 400, "customer_supplies": 4000, "not_included": 4000}
# What only the owner sees and sets; whoever else saves the price leaves it as it is.
OWNERS_TERMS = ("margin_percent",)
EXTRA_FIELD = re.compile(r"extras-[0-9]+-")


def reader(currency: str) -> Callable[[Form], None]:
    """Reads terms and further lines."""

    def read(form: Form) -> None:
        for name, most in PERCENTS.items():
            form.number(name, LABELS[name], unit="%", most=most, needed=False)
        form.whole(
            "validity_days", LABELS["validity_days"], least=1, most=MOST_VALIDITY_DAYS, needed=False
        )
        for name, length in TEXT_LENGTHS.items():
            lines = name != "delivery"
            form.text(name, LABELS[name], most=length, needed=False, lines=lines)
        extras = []
        for row in form.rows("extras"):
            row.text("what", EXTRA_LABELS["what"], most=200)
            row.whole("quantity", EXTRA_LABELS["quantity"], least=1, most=MOST_EXTRA_QUANTITY)
            row.money("each_minor", EXTRA_LABELS["each_minor"], currency=currency)
            if row.ok:
                extras.append(Extra(**row.values))
        form.values["extras"] = tuple(extras)

    return read


def text(values: Mapping[str, Any]) -> dict[str, str]:
    """Terms and lines as they stand in the form's fields; `extras` says the lines in words."""
    extras = values["extras"]
    fields = as_text({name: value for name, value in values.items() if name != "extras"})
    fields["extras"] = "\n".join(
        f"{extra.quantity} × {extra.what}, each {money(extra.each_minor, '')}" for extra in extras
    )
    for number, extra in enumerate(extras):
        fields[f"extras-{number}-what"] = extra.what
        fields[f"extras-{number}-quantity"] = str(extra.quantity)
        fields[f"extras-{number}-each_minor"] = f"{Decimal(extra.each_minor) / 100:.2f}"
    return fields


def own_terms(request: Request, values: Mapping[str, str]) -> dict[str, str]:
    """The fields that this request may see."""
    access: Access = request.state.access
    return {
        name: value for name, value in values.items() if access.margins or name not in OWNERS_TERMS
    }


def as_they_stand(request: Request, session: Session, loom_id: int) -> dict[str, str]:
    """The owner's terms for the form of somebody who does not see them."""
    access: Access = request.state.access
    if access.margins:
        return {}
    now = stored(session, loom_id)
    return {f"{mark}{name}": now[name] for name in OWNERS_TERMS for mark in ("", OPENED)}


def with_chosen_lines(fields: Mapping[str, str]) -> dict[str, str]:
    """The fields after somebody has kept the other's further lines: those that stand now."""
    if fields.get(f"{CHOICE}extras") != "theirs":
        return dict(fields)
    kept = {name: value for name, value in fields.items() if not EXTRA_FIELD.match(name)}
    theirs = {
        name.removeprefix(OPENED): value
        for name, value in fields.items()
        if EXTRA_FIELD.match(name.removeprefix(OPENED)) and name.startswith(OPENED)
    }
    return kept | theirs


def page(
    request: Request,
    session: Session,
    loom_id: int,
    form: Form | None = None,
    was: Mapping[str, str] | None = None,
    reason_form: Form | None = None,
) -> Response:
    """The whole page; a form with errors is shown again where it stands."""
    frame = loom_frame(session, loom_id)
    priced = pricing.read(session, loom_id)
    if form is None or was is None:
        was = stored(session, loom_id)
        form = Form(was)
    wrong = form.errors or (reason_form and reason_form.errors)
    return render(
        request,
        "price/show.html",
        status=422 if wrong else 200,
        frame=frame,
        priced=priced,
        price=priced.price,
        form=form,
        was=own_terms(request, was),
        reason_form=reason_form or Form(),
        labels=LABELS,
        extra_labels=EXTRA_LABELS,
        rates=rates.values(session),
        quotes=quotes.of_loom(session, loom_id),
        last_time=priced_time.last_time(session, loom_id),
        at_quote=stage_line.stage_of_loom(session, loom_id) == "quote",
        today=today(),
        no_pdf=available(),
        working=lambda amount: working(amount.reason.as_dict(), priced.currency),
    )


def stored(session: Session, loom_id: int) -> dict[str, str]:
    revision_id = revisions.latest(session, loom_id).id
    design = rows.load(session, revision_id)
    return text(pricing.values(session, loom_id, design, revision_id))


@router.get("/looms/{loom_id}/price")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    return page(request, session, loom_id)


@router.post("/looms/{loom_id}/price")
def save(request: Request, session: WriteSession, fields: FieldsDep, loom_id: int) -> Response:
    here = f"/looms/{loom_id}/price"
    fields = with_chosen_lines(fields) | as_they_stand(request, session, loom_id)
    sent = Edit(fields, reader(workshop.get(session).currency))
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                pricing.edit(session, loom_id, sent.opened, sent.typed)
    except ChangedMeanwhile as change:
        return both_values(
            request, change, action=here, back=here, labels=LABELS,
            text=lambda values: own_terms(request, text(values)),
        )  # fmt: skip
    if sent.form.errors:
        return page(request, session, loom_id, sent.form, sent.was)
    if fields.get("then") == "check":
        return redirect(f"{here}/check")
    return redirect(here, notice="Saved. Quotes that are issued keep what they said.")


@router.post("/looms/{loom_id}/price/without-quote")
def without_quote(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    form = Form(fields)
    form.text("reason", "Reason", most=400)
    if not form.errors:
        with attempt(session, form):
            quotes.without_quote(
                session, loom_id, reason=form.values["reason"], person_id=person.id
            )
    if form.errors:
        return page(request, session, loom_id, reason_form=form)
    return redirect(f"/looms/{loom_id}", notice="The loom is at design, without a quote.")
