"""What open bench pages of a loom have not seen yet: ticks and meetings, cheaply asked."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from webapp.records.bench import Tick, TickMeeting, Unit
from webapp.records.people import Person
from webapp.stages.building.meetings import Stated, both_words
from webapp.stages.building.units import plan_with


@dataclass(frozen=True)
class NewTick:
    """The last tick of one step of one unit."""

    id: int
    unit_id: int
    step_uid: str
    state: str
    note: str
    who: str
    person_id: int
    device: str
    at: datetime
    height_mm: float | None
    pull_n: float | None


@dataclass(frozen=True)
class NewMeeting:
    """An entry that met another's, in words for both; `key` is that of the second."""

    id: int
    key: str
    unit_id: int
    step_uid: str
    words: str


@dataclass(frozen=True)
class News:
    """`last` and `met` are what to ask with the next time."""

    last: int
    met: int
    ticks: tuple[NewTick, ...]
    meetings: tuple[NewMeeting, ...]


def news(session: Session, loom_id: int, seen: int, met: int) -> News | None:
    """What came after these ids; None where nothing did, which takes two indexed statements."""
    ticks = _ticks(session, loom_id, seen)
    meetings = _meetings(session, loom_id, met)
    if not ticks and not meetings:
        return None
    return News(
        last=max((tick.id for tick in ticks), default=seen),
        met=max((meeting.id for meeting in meetings), default=met),
        ticks=ticks,
        meetings=meetings,
    )


def last_tick(session: Session, loom_id: int) -> int:
    """The highest id of a loom's ticks; 0 before the first."""
    of_unit = (
        select(Tick.id)
        .where(Tick.unit_id == Unit.id)
        .order_by(Tick.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    found = session.scalars(select(of_unit).select_from(Unit).where(Unit.loom_id == loom_id))
    return max((tick_id for tick_id in found if tick_id is not None), default=0)


def last_meeting(session: Session, loom_id: int) -> int:
    """The highest id of a loom's meetings; 0 where there are none."""
    rows = session.scalars(
        select(TickMeeting.id)
        .join(Unit, Unit.id == TickMeeting.unit_id)
        .where(Unit.loom_id == loom_id)
    )
    return max(rows, default=0)


def _ticks(session: Session, loom_id: int, seen: int) -> tuple[NewTick, ...]:
    rows = session.execute(
        select(
            Tick.id,
            Tick.unit_id,
            Tick.step_uid,
            Tick.state,
            Tick.note,
            Person.initials,
            Tick.person_id,
            Tick.device,
            Tick.at,
            Tick.height_mm,
            Tick.pull_n,
        )
        .select_from(Unit)
        .join(Tick, (Tick.unit_id == Unit.id) & (Tick.id > seen))
        .join(Person, Person.id == Tick.person_id)
        .where(Unit.loom_id == loom_id)
        .order_by(Tick.id)
    )
    last = {(row.unit_id, row.step_uid): row for row in rows}
    return tuple(sorted((NewTick(*row) for row in last.values()), key=lambda tick: tick.id))


def _meetings(session: Session, loom_id: int, met: int) -> tuple[NewMeeting, ...]:
    first = aliased(Person)
    rows = session.execute(
        select(TickMeeting, Tick, Person.initials, first.initials, Unit.depth)
        .select_from(Unit)
        .join(TickMeeting, (TickMeeting.unit_id == Unit.id) & (TickMeeting.id > met))
        .join(Tick, Tick.id == TickMeeting.tick_id)
        .join(Person, Person.id == TickMeeting.person_id)
        .join(first, first.id == Tick.person_id)
        .where(Unit.loom_id == loom_id)
        .order_by(TickMeeting.id)
    )
    return tuple(
        NewMeeting(
            meeting.id,
            meeting.key,
            meeting.unit_id,
            meeting.step_uid,
            both_words(
                plan_with(session, tick.revision_id, depth, meeting.step_uid).named(
                    meeting.step_uid
                ),
                Stated(tick.state, tick.note, theirs, tick.device, tick.at),
                Stated(meeting.state, meeting.note, who, meeting.device, meeting.at),
                meeting.outcome,
            ),
        )
        for meeting, tick, who, theirs, depth in rows
    )
