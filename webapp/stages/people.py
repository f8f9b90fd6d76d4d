"""The people of the workshop. Nobody is removed: ticks and signatures name them for ever."""

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.people import ROLES, Person
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required


@dataclass(frozen=True)
class PersonRow:
    id: int
    name: str
    initials: str
    role: str
    active: bool


def everybody(session: Session) -> tuple[PersonRow, ...]:
    """All people, the active ones first, by name."""
    people = session.scalars(select(Person).order_by(Person.active.desc(), Person.name))
    return tuple(PersonRow(p.id, p.name, p.initials, p.role, p.active) for p in people)


def add(session: Session, *, name: str, initials: str, role: str) -> int:
    """Adds a person; returns the id.

    Raises:
        Refused: name or initials missing or taken, role unknown.
    """
    person = Person(active=True)
    _set(session, person, name, initials, role)
    session.add(person)
    session.flush()
    return person.id


def edit(
    session: Session, person_id: int, *, name: str, initials: str, role: str, active: bool
) -> None:
    """Changes a person.

    Raises:
        NotThere: no such person.
        Refused: as `add`, or the workshop would be left without an owner who is active.
    """
    person = session.get(Person, person_id)
    if person is None:
        raise NotThere
    with session.no_autoflush:
        _set(session, person, name, initials, role)
        person.active = active
        if not (active and role == "owner") and not _another_owner(session, person_id):
            raise Refused(
                "active" if not active else "role",
                "The workshop needs one active owner: make somebody else an owner first.",
            )
    session.flush()


def _set(session: Session, person: Person, name: str, initials: str, role: str) -> None:
    name = required("name", name, "a name")
    initials = required("initials", initials, "initials, as they stand beside a tick")
    if len(initials) > 4:
        raise Refused("initials", "Use at most 4 characters.")
    if role not in ROLES:
        raise Refused("role", "Choose owner, office or bench.")
    for field, column, value in (
        ("name", Person.name, name),
        ("initials", Person.initials, initials),
    ):
        taken = select(Person.name).where(func.lower(column) == value.lower())
        if person.id is not None:
            taken = taken.where(Person.id != person.id)
        other = session.scalar(taken)
        if other is not None:
            raise Refused(field, f"{other} already has this: the two must be told apart.")
    person.name, person.initials, person.role = name, initials, role


def _another_owner(session: Session, person_id: int) -> bool:
    return (
        session.scalar(
            select(Person.id)
            .where(Person.role == "owner", Person.active, Person.id != person_id)
            .limit(1)
        )
        is not None
    )
