"""The people of the workshop. Nobody is removed: ticks and signatures name them for ever."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.people import ROLES, Person
from webapp.stages.access import devices
from webapp.stages.editing import merged
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


def get(session: Session, person_id: int) -> PersonRow:
    """One person.

    Raises:
        NotThere: no such person.
    """
    person = session.get(Person, person_id)
    if person is None:
        raise NotThere
    return PersonRow(person.id, person.name, person.initials, person.role, person.active)


def edit(
    session: Session, person_id: int, opened: Mapping[str, Any], typed: Mapping[str, Any]
) -> None:
    """Changes a person; values are name, initials, role and active.

    Raises:
        NotThere: no such person.
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: as `add`, or the workshop would be left without an owner who is active.
    """
    now = asdict(get(session, person_id))
    del now["id"]
    result = merged(now=now, opened=opened, typed=typed)
    owner_stays = result["active"] and result["role"] == "owner"
    if not owner_stays and not _another_owner(session, person_id):
        raise Refused(
            "role" if result["active"] else "active",
            "The workshop needs one active owner: make somebody else an owner first.",
        )
    person = session.get_one(Person, person_id)
    with session.no_autoflush:
        _set(session, person, result["name"], result["initials"], result["role"])
    if person.active and not result["active"]:
        # Or the log-ins that were open would be open again, should the person come back.
        devices.log_out_everywhere(session, person_id)
    person.active = result["active"]
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
