"""Findings accepted as they stand, by whom and why. Errors cannot be.

An acceptance holds for the exact words of a finding about one row of a loom, through all its
revisions: when the words change, it lapses, and that is said.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.design import FindingAnswer
from webapp.records.jobs import Loom
from webapp.records.people import Person
from webapp.stages import catalogue, colours, journal
from webapp.stages.design import entry, revisions
from webapp.stages.design.findings import Finding, View, findings_of
from webapp.stages.design.rows import Design, load
from webapp.stages.design.worked_out import worked_out
from webapp.stages.refusals import Refused

ACCEPTED, WITHDRAWN = "accepted", "withdrawn"
MOST_REASON = 500


@dataclass(frozen=True)
class Acceptance:
    """Who accepted a finding, when, why, and what it said then."""

    person: str
    at: datetime
    reason: str
    sentence: str


@dataclass(frozen=True)
class Answered:
    """A finding, its acceptance, or one that has lapsed because it says something else now."""

    finding: Finding
    accepted: Acceptance | None = None
    lapsed: Acceptance | None = None


def view_of(session: Session, loom_id: int, design: Design | None = None) -> View:
    """A loom's latest revision as the rules look at it, with what was signed off before it.

    Raises:
        NotThere: no such loom.
    """
    latest = design or entry.latest(session, loom_id)
    state = revisions.latest(session, loom_id)
    signed = revisions.latest_signed_off(session, loom_id)
    follows = signed is not None and signed.id != state.id
    return worked_out(
        latest,
        catalogue.read(session),
        palette=colours.palette(session),
        signed=load(session, signed.id) if signed is not None and follows else None,
    )


def answered(session: Session, loom_id: int, found: Iterable[Finding]) -> list[Answered]:
    """Findings with what was answered to them."""
    standing = _standing(session, loom_id)
    exact = {(*row, each.sentence): each for row, all_of in standing.items() for each in all_of}
    known = list(found)
    said = {(*_row(finding), finding.sentence) for finding in known}
    answers = []
    for finding in known:
        row = _row(finding)
        accepted = exact.get((*row, finding.sentence)) if finding.severity != "error" else None
        old = [each for each in standing.get(row, ()) if (*row, each.sentence) not in said]
        lapsed = old[-1] if old and accepted is None else None
        answers.append(Answered(finding, accepted, lapsed))
    return answers


def _row(finding: Finding) -> tuple[str, str, str]:
    return finding.rule, finding.table, finding.uid


def _standing(session: Session, loom_id: int) -> dict[tuple[str, str, str], list[Acceptance]]:
    """Acceptances that nobody has withdrawn, by rule and row, the oldest first."""
    found: dict[tuple[str, str, str, str], Acceptance] = {}
    rows = session.execute(
        select(FindingAnswer, Person.name)
        .join(Person, Person.id == FindingAnswer.person_id)
        .where(FindingAnswer.loom_id == loom_id)
        .order_by(FindingAnswer.id)
    )
    for answer, name in rows:
        key = (answer.rule, answer.row_table, answer.row_uid, answer.sentence)
        found.pop(key, None)
        if answer.what == ACCEPTED:
            found[key] = Acceptance(name, answer.at, answer.reason, answer.sentence)
    by_row: dict[tuple[str, str, str], list[Acceptance]] = {}
    for key, acceptance in found.items():
        by_row.setdefault(key[:3], []).append(acceptance)
    return by_row


def accept(session: Session, loom_id: int, finding: Finding, reason: str, person_id: int) -> None:
    """Accept a finding as it stands. Accepting it twice is accepting it once.

    Raises:
        NotThere: no such loom.
        Refused: it is an error, the design no longer has it in these words, or no reason is given.
    """
    words = " ".join(reason.split())
    if finding not in findings_of(view_of(session, loom_id)):
        raise Refused("", "The design has changed meanwhile: this is not said any more.")
    if finding.severity == "error":
        raise Refused("reason", "An error cannot be accepted: mend it.")
    if not words:
        raise Refused("reason", "Say why it is accepted.")
    if len(words) > MOST_REASON:
        raise Refused("reason", f"At most {MOST_REASON} characters.")
    if answered(session, loom_id, [finding])[0].accepted is not None:
        return
    _answer(session, loom_id, finding, ACCEPTED, words, person_id)


def withdraw(session: Session, loom_id: int, finding: Finding, person_id: int) -> None:
    """Take an acceptance back. Of one that is not there nothing is left to take back.

    Raises:
        NotThere: no such loom.
    """
    known = answered(session, loom_id, [finding])[0]
    if known.accepted is not None:
        _answer(session, loom_id, finding, WITHDRAWN, "", person_id)


def _answer(
    session: Session, loom_id: int, finding: Finding, what: str, reason: str, person_id: int
) -> None:
    loom = session.get_one(Loom, loom_id)
    session.add(
        FindingAnswer(
            loom_id=loom_id,
            revision_id=revisions.latest(session, loom_id).id,
            rule=finding.rule,
            row_table=finding.table,
            row_uid=finding.uid,
            sentence=finding.sentence,
            what=what,
            reason=reason,
            person_id=person_id,
        )
    )
    session.flush()
    why = f": {reason}" if reason else "."
    journal.write(
        session,
        loom.project_id,
        f"{loom.name}: {'accepted' if what == ACCEPTED else 'no longer accepted'}, "
        f"“{finding.sentence}”{why}",
        person_id,
        loom_id=loom_id,
    )
