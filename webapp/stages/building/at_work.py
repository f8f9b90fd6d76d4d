"""Who ticked last, and where: what is known of who works on what when no bench list tells it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import BindParameter, Select, bindparam, func, select
from sqlalchemy.orm import Session

from webapp.records.base import now
from webapp.records.bench import Tick, Unit
from webapp.records.people import Person

WITHIN = timedelta(minutes=10)
# Nobody's last tick within that time lies deeper in the journal than this.
MOST_TICKS = 5_000


@dataclass(frozen=True)
class LastTick:
    """The last thing that a person stated at the bench."""

    person_id: int
    person: str
    loom_id: int
    unit_id: int
    step_uid: str
    at: datetime


def last_ticks(session: Session) -> tuple[LastTick, ...]:
    """Of each person who ticked something within the last ten minutes, by name.

    Read by the journal's own order, from its end: it is asked every second.
    """
    rows = session.execute(LAST_TICKS, {"since": now() - WITHIN})
    return tuple(LastTick(*row) for row in rows)


def _last_ticks() -> Select[int, str, int, int, str, datetime]:
    newest = select(func.max(Tick.id)).scalar_subquery()
    since: BindParameter[datetime] = bindparam("since", type_=Tick.at.type)
    last = (
        select(func.max(Tick.id))
        .where(Tick.id > newest - MOST_TICKS, Tick.at >= since)
        # The app states that a tick is superseded, when a unit goes to another revision.
        .where(Tick.state != "superseded")
        .group_by(Tick.person_id)
    )
    return (
        select(Tick.person_id, Person.name, Unit.loom_id, Unit.id, Tick.step_uid, Tick.at)
        .join(Person, Person.id == Tick.person_id)
        .join(Unit, Unit.id == Tick.unit_id)
        .where(Tick.id.in_(last))
        .order_by(Person.name)
    )


LAST_TICKS = _last_ticks()
