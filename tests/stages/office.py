"""A workshop with one person, one customer and one job, for tests of the stages."""

from dataclasses import replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.jobs import Loom
from webapp.records.people import Person
from webapp.stages import jobs, people
from webapp.stages.jobs import JobValues

CARD = JobValues(
    customer_id=0,
    title="Day launch",
    equipment="6.4 m with inboard diesel",
    setting="craft",
    nominal_v=12,
    polarity="insulated return",
    due_on=None,
    notes="",
)


def somebody(session: Session) -> int:
    """An owner, made once."""
    found = session.scalar(select(Person.id))
    return found or people.add(session, name="Ada Quill", initials="AQ", role="owner")


def begin_job(
    session: Session, customer: str = "Dunlin Day Boats", **card: Any
) -> tuple[int, int, int]:
    """A job with one loom of six; returns the ids of job, loom and person."""
    person_id = somebody(session)
    project_id = jobs.new(
        session,
        replace(CARD, **card),
        new_customer=customer,
        loom_name="main loom",
        loom_quantity=6,
        person_id=person_id,
    )
    loom_id = session.scalars(select(Loom.id).where(Loom.project_id == project_id)).one()
    return project_id, loom_id, person_id
