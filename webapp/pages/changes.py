"""A change to what is signed off: priced for the units that it is for, or marked “no charge”."""

import re
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.quote_paper import quote_paper
from webapp.pages.quotes import KEY, OLD_FORM, paper_for_browser, pdf_of
from webapp.pages.render import redirect, render
from webapp.pages.workings import working
from webapp.paper.render import available
from webapp.paper.values import Quote
from webapp.stages import change_quotes, quotes
from webapp.stages.change_quotes import Change
from webapp.stages.clock import today
from webapp.stages.design import change_gate
from webapp.stages.quote_snapshot import QuoteHead
from webapp.stages.refusals import Refused

router = APIRouter()
UNIT = re.compile(r"unit-([0-9]{1,9})")


def chosen_units(fields: Mapping[str, str]) -> set[int] | None:
    """The units that are ticked in the form; None before the form was looked at."""
    if "asked" not in fields:
        return None
    return {int(found[1]) for name in fields if (found := UNIT.fullmatch(name))}


@router.get("/looms/{loom_id}/change")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    return change_page(request, session, loom_id, chosen_units(request.query_params))


def change_page(
    request: Request,
    session: Session,
    loom_id: int,
    chosen: set[int] | None,
    *,
    form: Form | None = None,
    free_form: Form | None = None,
) -> Response:
    """The page; a form with errors is shown again."""
    frame = loom_frame(session, loom_id)
    found = _read(session, loom_id, chosen)
    change = found if isinstance(found, Change) else None
    form, free_form = form or Form(), free_form or Form(prefix="free-")
    return render(
        request,
        "changes/show.html",
        status=422 if form.errors or free_form.errors else 200,
        frame=frame,
        change=change,
        why_not="" if change else found,
        kept=_draft(session, change),
        agreed=_agreed(session, loom_id, change),
        quotes=[one for one in quotes.of_loom(session, loom_id) if one.is_change],
        form=form,
        free_form=free_form,
        today=today(),
        no_pdf=available(),
        query=request.url.query if request.method == "GET" else _query(chosen),
        working=lambda figure: working(figure["reason"], change.priced.currency if change else ""),
    )


def _query(chosen: set[int] | None) -> str:
    return "&".join(["asked=1", *(f"unit-{one}=1" for one in sorted(chosen or ()))])


def _read(session: Session, loom_id: int, chosen: set[int] | None) -> Change | str:
    try:
        return change_quotes.read(session, loom_id, chosen)
    except Refused as refused:
        return refused.sentence


def _agreed(session: Session, loom_id: int, change: Change | None) -> list[change_gate.Agreed]:
    if change is None:
        return []
    return change_gate.agreed(session, loom_id, change.before, change.after)


def _draft(session: Session, change: Change | None) -> dict[str, Any] | None:
    """What the quote would say if it were issued today."""
    if change is None or change.price is None:
        return None
    dated, priced = today(), change.priced
    valid_until = dated + timedelta(days=priced.terms.validity_days)
    head = QuoteHead(priced.job.number, priced.loom.code, dated, valid_until)
    return change_quotes.snapshot(session, change, change.price, head)


@router.post("/looms/{loom_id}/change/issue")
def issue(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    form = Form(fields)
    chosen = chosen_units(fields) or set()
    seen = fields.get("seen_minor", "")
    key = fields.get("once", "")
    if not KEY.fullmatch(key) or not re.fullmatch(r"-?[0-9]{1,16}", seen):
        form.refuse("", OLD_FORM)
        return change_page(request, session, loom_id, chosen, form=form)
    quote_id = 0
    with attempt(session, form):
        quote_id = change_quotes.issue(
            session,
            loom_id,
            chosen=chosen,
            key=key,
            seen_minor=int(seen),
            seen_design=fields.get("seen_design", ""),
            person_id=person.id,
        )
    if form.errors:
        return change_page(request, session, loom_id, chosen, form=form)
    number = quotes.get(session, quote_id).number
    return redirect(f"/quotes/{quote_id}", notice=f"Change quote {number} is issued.")


@router.post("/looms/{loom_id}/change/no-charge")
def no_charge(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    loom_frame(session, loom_id)
    form = Form(fields, prefix="free-")
    form.text("reason", "Reason", most=change_gate.LONGEST_REASON)
    if not form.errors:
        with attempt(session, form):
            change_gate.mark_no_charge(
                session,
                loom_id,
                reason=form.values["reason"],
                seen=fields.get("seen_design", ""),
                person_id=person.id,
            )
    if form.errors:
        return change_page(request, session, loom_id, None, free_form=form)
    here = f"/looms/{loom_id}/sign-off"
    return redirect(here, notice="Marked “no charge”: written into the journal with your name.")


@router.get("/looms/{loom_id}/change/draft.pdf")
def draft_pdf(request: Request, session: ReadSession, loom_id: int) -> Response:
    return pdf_of(request, _draft_paper(request, session, loom_id), "change-draft")


@router.get("/looms/{loom_id}/change/draft")
def draft_html(request: Request, session: ReadSession, loom_id: int) -> Response:
    return paper_for_browser(request, _draft_paper(request, session, loom_id))


def _draft_paper(request: Request, session: Session, loom_id: int) -> Quote | None:
    loom_frame(session, loom_id)
    found = _read(session, loom_id, chosen_units(request.query_params))
    kept = _draft(session, found if isinstance(found, Change) else None)
    return None if kept is None else quote_paper(kept, issued=False)
