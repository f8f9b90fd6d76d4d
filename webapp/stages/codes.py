"""Short permanent codes for labels and search, and job numbers.

A code is a letter for its kind and five random characters. The characters that a person mistakes
for one another when reading a label (0 and O, 1 and I) are left out.
"""

import re
import secrets
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.records.jobs import Loom, Project, ReceivedPart
from webapp.records.quotes import Quote

ALPHABET = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
RANDOM_CHARACTERS = 5

Coded = Project | Loom | Unit | ReceivedPart | Quote
type_of_letter: dict[str, type[Coded]] = {
    "J": Project,
    "L": Loom,
    "U": Unit,
    "P": ReceivedPart,
    "Q": Quote,
}
JOB, LOOM, UNIT, RECEIVED, QUOTE = type_of_letter


@dataclass(frozen=True)
class Named:
    """What a code names: the letter of its kind, and the ids that lead to its page."""

    kind: str
    project_id: int
    loom_id: int | None = None
    unit_id: int | None = None
    quote_id: int | None = None


def new_code(session: Session, kind: str) -> str:
    """A code of this kind that nothing carries yet."""
    model = type_of_letter[kind]
    while True:
        code = kind + "".join(secrets.choice(ALPHABET) for _ in range(RANDOM_CHARACTERS))
        if session.scalar(select(model.id).where(model.code == code)) is None:
            return code


def as_code(text: str) -> str | None:
    """`text` as a code, however it was typed; None when it cannot be one."""
    code = re.sub(r"[\s-]", "", text).upper()
    fits = (
        len(code) == 1 + RANDOM_CHARACTERS
        and code[0] in type_of_letter
        and all(character in ALPHABET for character in code[1:])
    )
    return code if fits else None


def find(session: Session, text: str) -> Named | None:
    """What the code names, or None."""
    code = as_code(text)
    if code is None:
        return None
    model: Any = type_of_letter[code[0]]
    row: Coded | None = session.scalar(select(model).where(model.code == code))
    return None if row is None else _named(session, code[0], row)


def _named(session: Session, kind: str, row: Project | Loom | Unit | ReceivedPart | Quote) -> Named:
    if isinstance(row, Project):
        return Named(kind, row.id)
    if isinstance(row, ReceivedPart):
        return Named(kind, row.project_id)
    if isinstance(row, Loom):
        return Named(kind, row.project_id, row.id)
    project_id = session.scalars(select(Loom.project_id).where(Loom.id == row.loom_id)).one()
    if isinstance(row, Unit):
        return Named(kind, project_id, row.loom_id, unit_id=row.id)
    return Named(kind, project_id, row.loom_id, quote_id=row.id)


def next_job_number(session: Session, day: date) -> str:
    """The year and a running number, e.g. 26-041."""
    year = f"{day.year % 100:02d}-"
    taken = session.scalars(select(Project.number).where(Project.number.startswith(year)))
    last = max((int(number.removeprefix(year)) for number in taken), default=0)
    return f"{year}{last + 1:03d}"
