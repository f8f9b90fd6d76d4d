"""Quotes: issued, accepted, declined, superseded. What is issued never changes; what became of it
is a journal.

A change quote prices what differs from a signed-off revision: it stands beside the loom's own
quote, takes the place only of change quotes from the same revision, and moves no stage.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, func, select
from sqlalchemy.orm import Session

from webapp.records.design import Revision
from webapp.records.jobs import Loom, Project
from webapp.records.people import Person
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import codes, journal, pricing, stage_line
from webapp.stages.clock import today
from webapp.stages.design.revisions import letter
from webapp.stages.pricing import Priced
from webapp.stages.quote_gate import stopping
from webapp.stages.quote_snapshot import QuoteHead, snapshot
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required

ISSUED, ACCEPTED, DECLINED, SUPERSEDED, REOPENED = (
    "issued",
    "accepted",
    "declined",
    "superseded",
    "reopened",
)
LOOK_AGAIN = "The price has changed since you looked at it: look again before issuing."


@dataclass(frozen=True)
class QuoteState:
    """An issued quote and what became of it last: `state`, by whom, when, and what was noted."""

    id: int
    loom_id: int
    number: str
    code: str
    issued_on: date
    valid_until: date
    total_minor: int
    # For a change: the signed-off revision that it starts from.
    change_from_id: int | None
    design_revision_id: int | None
    issued_by: str
    state: str = ISSUED
    by_whom: str = ""
    note: str = ""
    at: datetime | None = None
    who: str = ""

    @property
    def open(self) -> bool:
        """It waits for the customer."""
        return self.state in (ISSUED, REOPENED)

    @property
    def is_change(self) -> bool:
        return self.change_from_id is not None

    def expired(self, day: date) -> bool:
        return self.open and self.valid_until < day


def of_loom(session: Session, loom_id: int) -> tuple[QuoteState, ...]:
    """Every quote of a loom, the latest first."""
    return _states(session, Quote.loom_id == loom_id)


def get(session: Session, quote_id: int) -> QuoteState:
    """One quote.

    Raises:
        NotThere: no such quote.
    """
    found = _states(session, Quote.id == quote_id)
    if not found:
        raise NotThere
    return found[0]


def as_issued(session: Session, quote_id: int) -> dict[str, Any]:
    """The quote's snapshot.

    Raises:
        NotThere: no such quote.
    """
    quote = session.get(Quote, quote_id)
    if quote is None:
        raise NotThere
    kept: dict[str, Any] = quote.snapshot
    return kept


def _states(session: Session, which: Any) -> tuple[QuoteState, ...]:
    rows = session.execute(
        select(
            Quote.id,
            Quote.loom_id,
            Quote.number,
            Quote.code,
            Quote.issued_on,
            Quote.valid_until,
            Quote.total_minor,
            Quote.change_from_id,
            Quote.design_revision_id,
            Person.name,
        )
        .join(Person, Person.id == Quote.person_id)
        .where(which)
        .order_by(Quote.revision.desc())
    ).all()
    last = _last_events(session, [row.id for row in rows])
    return tuple(QuoteState(*row, *last.get(row.id, ())) for row in rows)


def _last_events(session: Session, quote_ids: list[int]) -> dict[int, tuple[Any, ...]]:
    events = session.execute(
        select(
            QuoteEvent.quote_id,
            QuoteEvent.what,
            QuoteEvent.by_whom,
            QuoteEvent.note,
            QuoteEvent.at,
            Person.name,
        )
        .join(Person, Person.id == QuoteEvent.person_id)
        .where(QuoteEvent.quote_id.in_(quote_ids))
        .order_by(QuoteEvent.id)
    )
    return {event[0]: tuple(event[1:]) for event in events}


# --- issue ----------------------------------------------------------------------------------------


def issue(session: Session, loom_id: int, *, key: str, seen_minor: int, person_id: int) -> int:
    """Issues the price as it stands, as a frozen quote; the same key again is the same quote.

    Args:
        key: The form's own key.
        seen_minor: The total that the person saw before saying yes.

    Returns:
        The quote's id.

    Raises:
        NotThere: no such loom.
        Refused: something stops it, or the price is no longer the one that was seen.
    """
    priced = pricing.read(session, loom_id)
    before = with_key(session, loom_id, key)
    if before is not None:
        return before
    stops = stopping(priced)
    if stops or priced.price is None:
        raise Refused("", " ".join(check.sentence for check in stops) or priced.problem)
    total_minor = priced.price.pay.total.minor
    if total_minor != seen_minor:
        raise Refused("", LOOK_AGAIN)
    head = new_head(session, priced, key)
    kept = snapshot(session, priced, head)
    return enter(session, priced, head, kept, total_minor=total_minor, person_id=person_id)


def new_head(session: Session, priced: Priced, key: str) -> QuoteHead:
    """The next number of the job's series, a new code, today's date."""
    dated = today()
    return QuoteHead(
        number=f"{priced.job.number}-{letter(_next_revision(session, priced.job.id))}",
        code=codes.new_code(session, codes.QUOTE),
        dated=dated,
        valid_until=dated + timedelta(days=priced.terms.validity_days),
        key=key,
    )


def enter(
    session: Session,
    priced: Priced,
    head: QuoteHead,
    kept: dict[str, Any],
    *,
    total_minor: int,
    person_id: int,
    change_from_id: int | None = None,
) -> int:
    """Puts a quote beside those that are issued; open ones of its kind are superseded by it.

    Args:
        head: From `new_head`.
        kept: The snapshot.
        change_from_id: For a change, the signed-off revision that it starts from.
    """
    quote = Quote(
        loom_id=priced.loom.id,
        revision=_next_revision(session, priced.job.id),
        number=head.number,
        code=head.code,
        issued_on=head.dated,
        valid_until=head.valid_until,
        total_minor=total_minor,
        change_from_id=change_from_id,
        design_revision_id=priced.revision.id,
        snapshot=kept,
        person_id=person_id,
    )
    session.add(quote)
    session.flush()
    _supersede(session, get(session, quote.id), (ISSUED, REOPENED), person_id)
    what = "Change quote" if change_from_id else "Quote"
    sentence = f"{what} {head.number} issued, valid until {_day(head.valid_until)}."
    _journal(session, quote, sentence, person_id)
    return quote.id


def with_key(session: Session, loom_id: int, key: str) -> int | None:
    quotes = session.execute(select(Quote.id, Quote.snapshot).where(Quote.loom_id == loom_id))
    return next((id_ for id_, kept in quotes if key and kept["key"] == key), None)


def _next_revision(session: Session, project_id: int) -> int:
    """One letter after the other over all looms of the job, so that a number names one quote."""
    last = session.scalar(
        select(func.max(Quote.revision))
        .join(Loom, Loom.id == Quote.loom_id)
        .where(Loom.project_id == project_id)
    )
    return (last or 0) + 1


def _supersede(session: Session, by: QuoteState, states: tuple[str, ...], person_id: int) -> None:
    """The others of its kind: the loom's own quotes, or changes from the same revision."""
    for quote in of_loom(session, by.loom_id):
        same = quote.change_from_id == by.change_from_id and quote.id != by.id
        if same and quote.state in states:
            _add_event(session, quote.id, SUPERSEDED, person_id, note=f"by {by.number}")


# --- what became of it ----------------------------------------------------------------------------


def accept(
    session: Session,
    quote_id: int,
    *,
    by_whom: str,
    accepted_on: date,
    note: str,
    person_id: int,
) -> None:
    """The customer accepts: the loom goes to design; a change moves nothing. The same again changes
    nothing.

    Raises:
        NotThere: no such quote.
        Refused: it does not say by whom, the day cannot be, or it is no longer open; one that has
            expired or was declined needs a note that says why.
    """
    quote = get(session, quote_id)
    by_whom = required("by_whom", by_whom, "who accepted it")
    note = note.strip()
    if quote.state == ACCEPTED and quote.by_whom == by_whom:
        return
    _check_acceptance(quote, accepted_on, note)
    words = f"on {_day(accepted_on)}" + (f": {note}" if note else "")
    _supersede(session, quote, (ISSUED, REOPENED, ACCEPTED), person_id)
    _add_event(session, quote_id, ACCEPTED, person_id, by_whom=by_whom, note=words)
    sentence = f"Quote {quote.number} accepted by {by_whom} {words}" + ("." if not note else "")
    _journal(session, quote, sentence, person_id)
    if not quote.is_change and stage_line.stage_of_loom(session, quote.loom_id) == "quote":
        reason = f"quote {quote.number} accepted"
        stage_line.move(session, quote.loom_id, None, "design", person_id, reason)


def _check_acceptance(quote: QuoteState, accepted_on: date, note: str) -> None:
    if quote.state == ACCEPTED:
        raise Refused("", f"{quote.number} is accepted already, by {quote.by_whom}.")
    if quote.state == SUPERSEDED:
        raise Refused("", f"{quote.number} is superseded {quote.note}: issue a new quote instead.")
    if accepted_on < quote.issued_on:
        raise Refused("accepted_on", f"It was issued on {_day(quote.issued_on)}, not before.")
    if accepted_on > today():
        raise Refused("accepted_on", "This day is still to come.")
    if quote.state == DECLINED and not note:
        raise Refused("note", "It was declined: say why it is accepted now.")
    if accepted_on > quote.valid_until and not note:
        until = _day(quote.valid_until)
        raise Refused("note", f"It was valid until {until}: say why it is accepted after that.")


def decline(session: Session, quote_id: int, *, reason: str, person_id: int) -> None:
    """The customer does not want it. The same again changes nothing.

    Raises:
        NotThere: no such quote.
        Refused: no reason, or it is no longer open.
    """
    quote = get(session, quote_id)
    reason = required("reason", reason, "why it is declined")
    if quote.state == DECLINED and quote.note == reason:
        return
    if not quote.open:
        raise Refused("", f"{quote.number} is {quote.state} already.")
    _add_event(session, quote_id, DECLINED, person_id, note=reason)
    _journal(session, quote, f"Quote {quote.number} declined: {reason}", person_id)


def reopen(session: Session, quote_id: int, *, reason: str, person_id: int) -> None:
    """Takes an acceptance or a refusal back; a loom that went to design by it goes back to quote.

    Raises:
        NotThere: no such quote.
        Refused: no reason, nothing to take back, or the design is signed off already.
    """
    quote = get(session, quote_id)
    reason = required("reason", reason, "why it is taken back")
    if quote.state == REOPENED and quote.note == reason:
        return
    if quote.state not in (ACCEPTED, DECLINED):
        raise Refused("", f"{quote.number} is {quote.state}: there is nothing to take back.")
    was = quote.state
    if was == ACCEPTED and quote.is_change:
        _refuse_if_signed_off(session, Revision.id == quote.design_revision_id)
    elif was == ACCEPTED:
        _back_to_quote(session, quote, reason, person_id)
    _add_event(session, quote_id, REOPENED, person_id, note=reason)
    _journal(session, quote, f"Quote {quote.number}, {was}, is open again: {reason}", person_id)


def _back_to_quote(session: Session, quote: QuoteState, reason: str, person_id: int) -> None:
    _refuse_if_signed_off(session, Revision.loom_id == quote.loom_id)
    if stage_line.stage_of_loom(session, quote.loom_id) == "design":
        stage_line.move(session, quote.loom_id, None, "quote", person_id, reason)


def _refuse_if_signed_off(session: Session, which: ColumnElement[bool]) -> None:
    signed_off = select(Revision.id).where(which, Revision.signed_off_at.is_not(None))
    if session.scalars(signed_off).first() is not None:
        raise Refused("", "The design is signed off for the bench: the acceptance stands.")


def without_quote(session: Session, loom_id: int, *, reason: str, person_id: int) -> None:
    """The loom goes to design without an accepted quote.

    Raises:
        NotThere: no such loom.
        Refused: no reason, or it is at design already.
    """
    reason = required("reason", reason, "why there is no accepted quote")
    stage_line.move(session, loom_id, None, "design", person_id, f"without a quote: {reason}")


def _add_event(
    session: Session, quote_id: int, what: str, person_id: int, *, by_whom: str = "", note: str = ""
) -> None:
    session.add(
        QuoteEvent(quote_id=quote_id, what=what, by_whom=by_whom, note=note, person_id=person_id)
    )
    session.flush()


def _journal(session: Session, quote: Quote | QuoteState, sentence: str, person_id: int) -> None:
    project_id = session.scalars(
        select(Project.id).join(Loom, Loom.project_id == Project.id).where(Loom.id == quote.loom_id)
    ).one()
    details = {"quote_id": quote.id, "number": quote.number}
    journal.write(session, project_id, sentence, person_id, loom_id=quote.loom_id, details=details)
    session.flush()


def _day(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
