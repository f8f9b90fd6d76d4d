"""Quotes: the check before one is issued, one that is issued, what became of it, its paper."""

import re
from datetime import timedelta
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form, as_typed
from webapp.pages.loom_frame import loom_frame
from webapp.pages.quote_paper import quote_paper
from webapp.pages.render import error_page, redirect, render
from webapp.pages.workings import working
from webapp.paper.papers import to_html, to_pdf
from webapp.paper.render import PaperUnavailable, available
from webapp.paper.values import Quote
from webapp.stages import pricing, quote_snapshot, quotes
from webapp.stages.clock import today
from webapp.stages.pricing import Priced
from webapp.stages.quote_gate import checks
from webapp.stages.quote_snapshot import QuoteHead

router = APIRouter()
KEY = re.compile(r"[0-9a-zA-Z-]{16,64}")
OLD_FORM = "This form has lost its key: load the page again."


# --- before it is issued --------------------------------------------------------------------------


def check_page(
    request: Request, session: Session, loom_id: int, form: Form, priced: Priced
) -> Response:
    found = checks(priced)
    return render(
        request,
        "price/check.html",
        status=422 if form.errors else 200,
        frame=loom_frame(session, loom_id),
        priced=priced,
        draft=None if priced.price is None else draft(session, priced),
        stops=[check for check in found if check.stops],
        looks=[check for check in found if not check.stops],
        form=form,
        no_pdf=available(),
    )


def draft(session: Session, priced: Priced) -> dict[str, Any]:
    """What the quote would say if it were issued today."""
    dated = today()
    valid_until = dated + timedelta(days=priced.terms.validity_days)
    head = QuoteHead(priced.job.number, priced.loom.code, dated, valid_until)
    return quote_snapshot.draft(session, priced, head)


@router.get("/looms/{loom_id}/price/check")
def check(request: Request, session: ReadSession, loom_id: int) -> Response:
    return check_page(request, session, loom_id, Form(), pricing.read(session, loom_id))


@router.post("/looms/{loom_id}/price/issue")
def issue(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    form = Form(fields)
    form.whole("seen_minor", "The total", most=10**16)
    form.yes("seen")
    priced = pricing.read(session, loom_id)
    key = fields.get("once", "")
    if not KEY.fullmatch(key):
        form.refuse("", OLD_FORM)
    elif not form.values["seen"] and any(not check.stops for check in checks(priced)):
        form.refuse("seen", "Tick that you have looked at these, or mend them first.")
    if form.errors:
        return check_page(request, session, loom_id, form, priced)
    with attempt(session, form):
        quote_id = quotes.issue(
            session,
            loom_id,
            key=key,
            seen_minor=form.values["seen_minor"],
            person_id=person.id,
        )
    if form.errors:
        return check_page(request, session, loom_id, form, priced)
    number = quotes.get(session, quote_id).number
    return redirect(f"/quotes/{quote_id}", notice=f"Quote {number} is issued.")


@router.get("/looms/{loom_id}/price/draft.pdf")
def draft_pdf(request: Request, session: ReadSession, loom_id: int) -> Response:
    return pdf_of(request, _draft(session, loom_id), "draft")


@router.get("/looms/{loom_id}/price/draft")
def draft_html(request: Request, session: ReadSession, loom_id: int) -> Response:
    return paper_for_browser(request, _draft(session, loom_id))


def _draft(session: Session, loom_id: int) -> Quote | None:
    priced = pricing.read(session, loom_id)
    if priced.price is None:
        return None
    return quote_paper(draft(session, priced), issued=False)


# --- one quote ------------------------------------------------------------------------------------


def quote_page(
    request: Request,
    session: Session,
    quote_id: int,
    *,
    accept_form: Form | None = None,
    decline_form: Form | None = None,
    reopen_form: Form | None = None,
) -> Response:
    """The quote as issued, and what may become of it; a form with errors is shown again."""
    quote = quotes.get(session, quote_id)
    kept = quotes.as_issued(session, quote_id)
    forms = (accept_form, decline_form, reopen_form)
    wrong = next((form for form in forms if form and form.errors), None)
    return render(
        request,
        "quotes/one.html",
        status=422 if wrong else 200,
        frame=loom_frame(session, quote.loom_id),
        quote=quote,
        kept=kept,
        currency=kept["workshop"]["currency"],
        today=today(),
        wrong=wrong or Form(),
        accept_form=accept_form
        or Form({"accept-accepted_on": as_typed(today())}, prefix="accept-"),
        decline_form=decline_form or Form(prefix="decline-"),
        reopen_form=reopen_form or Form(prefix="reopen-"),
        no_pdf=available(),
        working=lambda figure: working(figure["reason"], kept["workshop"]["currency"]),
    )


@router.get("/quotes/{quote_id}")
def show(request: Request, session: ReadSession, quote_id: int) -> Response:
    return quote_page(request, session, quote_id)


@router.post("/quotes/{quote_id}/accept")
def accept(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, quote_id: int
) -> Response:
    form = Form(fields, prefix="accept-")
    form.text("by_whom", "Accepted by", most=80)
    form.date("accepted_on", "Date")
    form.text("note", "Note", most=400, needed=False)
    if not form.errors:
        with attempt(session, form):
            quotes.accept(session, quote_id, person_id=person.id, **form.values)
    if form.errors:
        return quote_page(request, session, quote_id, accept_form=form)
    quote = quotes.get(session, quote_id)
    what = "this change can be signed off" if quote.is_change else "the loom is at design"
    return redirect(f"/quotes/{quote_id}", notice=f"{quote.number} is accepted: {what}.")


@router.post("/quotes/{quote_id}/decline")
def decline(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, quote_id: int
) -> Response:
    form = Form(fields, prefix="decline-")
    form.text("reason", "Reason", most=400)
    if not form.errors:
        with attempt(session, form):
            quotes.decline(session, quote_id, person_id=person.id, **form.values)
    if form.errors:
        return quote_page(request, session, quote_id, decline_form=form)
    return redirect(f"/quotes/{quote_id}", notice="Written down as declined.")


@router.post("/quotes/{quote_id}/reopen")
def reopen(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, quote_id: int
) -> Response:
    form = Form(fields, prefix="reopen-")
    form.text("reason", "Reason", most=400)
    if not form.errors:
        with attempt(session, form):
            quotes.reopen(session, quote_id, person_id=person.id, **form.values)
    if form.errors:
        return quote_page(request, session, quote_id, reopen_form=form)
    return redirect(f"/quotes/{quote_id}", notice="The quote is open again.")


# --- paper ----------------------------------------------------------------------------------------


@router.get("/quotes/{quote_id}/quotation.pdf")
def pdf(request: Request, session: ReadSession, quote_id: int) -> Response:
    kept = quotes.as_issued(session, quote_id)
    return pdf_of(request, quote_paper(kept, issued=True), kept["number"])


@router.get("/quotes/{quote_id}/quotation")
def html(request: Request, session: ReadSession, quote_id: int) -> Response:
    return paper_for_browser(request, quote_paper(quotes.as_issued(session, quote_id), issued=True))


def pdf_of(request: Request, paper: Quote | None, name: str) -> Response:
    if paper is None:
        return _no_price(request)
    try:
        made = to_pdf(paper)
    except PaperUnavailable as missing:
        return error_page(request, 503, "No PDF", str(missing))
    headers = {"Content-Disposition": f'inline; filename="quotation-{name}.pdf"'}
    return Response(made, media_type="application/pdf", headers=headers)


def paper_for_browser(request: Request, paper: Quote | None) -> Response:
    """For computers that cannot make PDFs: the browser prints it."""
    return _no_price(request) if paper is None else HTMLResponse(to_html(paper))


def _no_price(request: Request) -> Response:
    words = "No price can be made yet, so there is no quotation: the price page says why."
    return error_page(request, 404, "No quotation yet", words)
