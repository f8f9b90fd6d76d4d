"""A revision that follows a signed-off one goes to the bench only with a change that is agreed:
accepted by the customer for exactly this design, or done at no charge, said by a named person."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Text, func, select
from sqlalchemy.orm import Session

from webapp.records.jobs import JournalEntry, Loom
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import journal
from webapp.stages.design import revisions, rows
from webapp.stages.design.comparing import fingerprint
from webapp.stages.design.revisions import RevisionState
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

LONGEST_REASON = 400


@dataclass(frozen=True)
class Agreed:
    """How a change to one design was agreed. `quote_id` is None where it is done at no charge."""

    design: str
    words: str
    quote_id: int | None


def lacking(
    session: Session, loom_id: int, revision: RevisionState, design: Design
) -> Iterator[tuple[str, str]]:
    """What keeps the revision from the bench: a sentence, and the page to mend it on."""
    before = revisions.latest_signed_off(session, loom_id)
    if before is None or revision.signed_off:
        return
    now = fingerprint(design)
    if now == fingerprint(rows.load(session, before.id)):
        return
    found = agreed(session, loom_id, before, revision)
    if any(one.design == now for one in found):
        return
    what = f"Revision {revision.letter} changes what was signed off as {before.letter}"
    mend = "price the change and have it accepted, or mark it “no charge” and say why."
    if found:
        yield (
            f"{what}, and was edited again after it was {found[-1].words}: {mend}",
            f"/looms/{loom_id}/change",
        )
    else:
        yield f"{what}: {mend}", f"/looms/{loom_id}/change"


def agreed(
    session: Session, loom_id: int, before: RevisionState, after: RevisionState
) -> list[Agreed]:
    """Every agreement on this change that stands, whatever state of the design it was made for."""
    return [*_accepted(session, before, after), *_no_charge(session, loom_id, before, after)]


def _accepted(session: Session, before: RevisionState, after: RevisionState) -> list[Agreed]:
    last_events = select(func.max(QuoteEvent.id)).group_by(QuoteEvent.quote_id)
    found = session.execute(
        select(Quote.id, Quote.number, Quote.snapshot)
        .join(QuoteEvent, QuoteEvent.quote_id == Quote.id)
        .where(
            Quote.change_from_id == before.id,
            Quote.design_revision_id == after.id,
            QuoteEvent.id.in_(last_events),
            QuoteEvent.what == "accepted",
        )
        .order_by(Quote.id)
    )
    return [
        Agreed(kept["change"]["design"], f"accepted with quote {number}", quote_id)
        for quote_id, number, kept in found
    ]


def _no_charge(
    session: Session, loom_id: int, before: RevisionState, after: RevisionState
) -> list[Agreed]:
    marks = [
        mark
        for mark in no_charge_marks(session, loom_id)
        if (mark["from_id"], mark["revision_id"]) == (before.id, after.id)
    ]
    return [Agreed(mark["design"], "marked “no charge”", None) for mark in marks]


def no_charge_marks(session: Session, loom_id: int) -> list[dict[str, Any]]:
    """What the journal says was changed at no charge, in order."""
    mark = func.json_extract(JournalEntry.details, "$.no_charge", type_=Text)
    found = session.scalars(
        select(JournalEntry.details)
        .where(JournalEntry.loom_id == loom_id, mark.is_not(None))
        .order_by(JournalEntry.id)
    )
    return [details["no_charge"] for details in found]


def mark_no_charge(
    session: Session, loom_id: int, *, reason: str, seen: str, person_id: int
) -> str:
    """A named person says that the change, as it stands, is not charged. Returns the sentence.

    Args:
        seen: The fingerprint of the design that was looked at.

    Raises:
        Refused: no reason, nothing signed off to change, or the design has moved on.
    """
    before, after = draft_after_sign_off(session, loom_id)
    reason = reason.strip()
    if not reason:
        raise Refused("reason", "Say why the change is not charged.")
    if len(reason) > LONGEST_REASON:
        raise Refused("reason", f"Say it in {LONGEST_REASON} characters.")
    now = fingerprint(rows.load(session, after.id))
    if now != seen:
        raise Refused("", "The design has changed since you looked at it: look again.")
    if any(one.design == now for one in agreed(session, loom_id, before, after)):
        raise Refused("", "This change is agreed already, as it stands.")
    loom = session.get_one(Loom, loom_id)
    sentence = (
        f"Revision {after.letter} of {loom.name} changes {before.letter} at no charge: {reason}"
    )
    details = {"no_charge": {"from_id": before.id, "revision_id": after.id, "design": now}}
    journal.write(session, loom.project_id, sentence, person_id, loom_id=loom_id, details=details)
    session.flush()
    return sentence


def draft_after_sign_off(session: Session, loom_id: int) -> tuple[RevisionState, RevisionState]:
    """The last signed-off revision, and the draft that follows it.

    Raises:
        Refused: nothing is signed off yet, or nothing has been changed since.
    """
    before, after = (
        revisions.latest_signed_off(session, loom_id),
        revisions.latest(session, loom_id),
    )
    if before is None:
        raise Refused("", "Nothing is signed off yet: the price of the whole loom holds.")
    if after.signed_off:
        raise Refused(
            "",
            f"Revision {after.letter} is signed off and nothing has been changed since. "
            "The next change to the design begins a new revision, which can be priced here.",
        )
    return before, after
