"""The project journal: what happened, in plain sentences, newest first. Nothing is ever removed."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Text, and_, func, select, true
from sqlalchemy.orm import Session

from webapp.records.jobs import JournalEntry, Loom
from webapp.records.people import Person


@dataclass(frozen=True)
class Line:
    at: datetime
    who: str
    loom_id: int | None
    loom_name: str
    sentence: str


def write(
    session: Session,
    project_id: int,
    sentence: str,
    person_id: int | None,
    *,
    loom_id: int | None = None,
    unit_id: int | None = None,
    details: dict[str, Any] | None = None,
    once: str = "",
) -> None:
    """Adds a sentence to the project's journal.

    `once` is the key of the form that it came from: see `known`.
    """
    if once:
        details = {**(details or {}), "once": once}
    session.add(
        JournalEntry(
            project_id=project_id,
            loom_id=loom_id,
            unit_id=unit_id,
            sentence=sentence,
            details=details,
            person_id=person_id,
        )
    )


def known(session: Session, once: str) -> tuple[int, dict[str, Any]] | None:
    """What a form with this key has written already: the project, and the entry's details.

    A sending that got no answer is repeated with its key; it must not begin a second job.
    """
    if not once:
        return None
    row = session.execute(
        select(JournalEntry.project_id, JournalEntry.details).where(
            func.json_extract(JournalEntry.details, "$.once", type_=Text) == once
        )
    ).first()
    return None if row is None else (row.project_id, row.details)


# What quotes and changes at no charge write of themselves names one of these in `details`.
OF_QUOTES = ("$.quote_id", "$.no_charge")


def without_quotes() -> ColumnElement[bool]:
    """Entries that have nothing to do with what is paid."""
    of_quotes = (func.json_type(JournalEntry.details, path) for path in OF_QUOTES)
    return and_(*(kind.is_(None) for kind in of_quotes))


def lines(session: Session, project_id: int, *, with_quotes: bool = True) -> tuple[Line, ...]:
    """The journal of a project, newest first."""
    rows = session.execute(
        select(JournalEntry.at, Person.name, JournalEntry.loom_id, Loom.name, JournalEntry.sentence)
        .outerjoin(Person, Person.id == JournalEntry.person_id)
        .outerjoin(Loom, Loom.id == JournalEntry.loom_id)
        .where(JournalEntry.project_id == project_id, true() if with_quotes else without_quotes())
        .order_by(JournalEntry.id.desc())
    )
    return tuple(
        Line(at, who or "", loom_id, loom_name or "", sentence)
        for at, who, loom_id, loom_name, sentence in rows
    )
