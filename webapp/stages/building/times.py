"""How long each step took, told from the ticks: from one tick of a person to the next.

What took longer than the workshop's set gap was a pause and is not counted. The order is the
journal's. A device that sends late has kept the times of its ticks; they are taken by its own clock
as long as both ticks come from it, since a clock that is wrong is wrong by the same for both; not
where it was set in between. What went into work that is undone later was spent all the same, and so
was undoing it.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby

from sqlalchemy import ColumnElement, Select, func, select
from sqlalchemy.orm import Session, aliased

from webapp.records.bench import Tick, Unit
from webapp.records.people import Person
from webapp.records.workshop import Workshop

# Ticks of the same step of several units, made with one tap.
ONE_TAP_S = 2.0
# A tablet keeps the ticks of a day's work at most: a clock that goes on by more was set.
LONGEST_KEPT_S = 12 * 3600.0


@dataclass(frozen=True)
class Ticked:
    """An entry of the journal, as far as its time goes."""

    tick_id: int
    key: str
    unit_id: int
    revision_id: int
    step_uid: str
    state: str
    person_id: int
    person: str
    device: str
    client_at: datetime | None
    at: datetime


@dataclass(frozen=True)
class Span:
    """An entry with the time that led to it; None where that was a pause, or nothing is known."""

    ticked: Ticked
    seconds: float | None

    @property
    def operation(self) -> str:
        return operation_of(self.ticked.step_uid)


def of_units(session: Session, unit_ids: Iterable[int]) -> list[Span]:
    """Every entry of these units, in the journal's order.

    Read are the ticks of their looms, as one tap may be for several units, and of each person the
    tick before: no more of the journal, however long it is.
    """
    ids = frozenset(unit_ids)
    looms = select(Unit.loom_id).where(Unit.id.in_(ids))
    batch = select(Unit.id).where(Unit.loom_id.in_(looms))
    earlier = aliased(Tick)
    before = (
        select(earlier.id)
        .where(earlier.person_id == Tick.person_id, earlier.id < Tick.id, *_by_hand(earlier))
        .order_by(earlier.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    led_to = select(before).select_from(Tick).where(Tick.unit_id.in_(batch))
    rows = session.execute(_ticks().where(Tick.unit_id.in_(batch) | Tick.id.in_(led_to)))
    found = spans([Ticked(*row) for row in rows], gap_s(session))
    return [span for span in found if span.ticked.unit_id in ids]


def of_looms(session: Session, loom_ids: Iterable[int]) -> list[Span]:
    """Every entry of all units of these looms."""
    return of_units(
        session, session.scalars(select(Unit.id).where(Unit.loom_id.in_(tuple(loom_ids))))
    )


def of_workshop(session: Session, most: int) -> list[Span]:
    """The last entries of all."""
    last = session.scalar(select(func.max(Tick.id))) or 0
    rows = session.execute(_ticks().where(Tick.id > last - most))
    return spans([Ticked(*row) for row in rows], gap_s(session))


def gap_s(session: Session) -> int:
    """What is longer than this is a pause. [s]"""
    return session.scalar(select(Workshop.pause_gap_s)) or 0


def _ticks() -> Select[int, str, int, int, str, str, int, str, str, datetime | None, datetime]:
    return (
        select(
            Tick.id,
            Tick.key,
            Tick.unit_id,
            Tick.revision_id,
            Tick.step_uid,
            Tick.state,
            Tick.person_id,
            Person.name,
            Tick.device,
            Tick.client_at,
            Tick.at,
        )
        .join(Person, Person.id == Tick.person_id)
        .where(*_by_hand(Tick))
        .order_by(Tick.id)
    )


def _by_hand(tick: type[Tick]) -> tuple[ColumnElement[bool], ...]:
    """Superseded is stated by the app; what is undone with another step has that one's key."""
    return tick.state != "superseded", ~tick.key.contains("/")


def spans(ticks: Sequence[Ticked], gap_s: float) -> list[Span]:
    """Each entry with its time, for entries of any people in the journal's order. [s]"""
    found: dict[int, Span] = {}
    by_person = sorted(ticks, key=lambda each: (each.person_id, each.tick_id))
    for _, own in groupby(by_person, key=lambda each: each.person_id):
        before: Ticked | None = None
        for tap in _taps(own):
            taken = None if before is None else _between(before, tap[0])
            if taken is not None and not 0 <= taken <= gap_s:
                taken = None
            for each in tap:
                found[each.tick_id] = Span(each, None if taken is None else taken / len(tap))
            before = tap[-1]
    return [found[each.tick_id] for each in ticks]


def _taps(ticks: Iterable[Ticked]) -> Iterator[list[Ticked]]:
    """The entries of a person, those that were made with one tap together."""
    tap: list[Ticked] = []
    for each in ticks:
        if tap and not _same_tap(tap, each):
            yield tap
            tap = []
        tap.append(each)
    if tap:
        yield tap


def _same_tap(tap: Sequence[Ticked], each: Ticked) -> bool:
    first = tap[0]
    return (
        (each.step_uid, each.state) == (first.step_uid, first.state)
        and each.unit_id not in {one.unit_id for one in tap}
        and abs(_between(first, each)) <= ONE_TAP_S
    )


def _between(before: Ticked, after: Ticked) -> float:
    by_server = (after.at - before.at).total_seconds()
    if before.device == after.device and before.client_at and after.client_at:
        own = (after.client_at - before.client_at).total_seconds()
        if 0 <= own <= by_server + LONGEST_KEPT_S:
            return own
    return by_server


def operation_of(step_uid: str) -> str:
    """The operation of a step, also of one that is in no plan any more."""
    last = step_uid.rsplit(":", 1)[-1]
    if last.startswith("sheath-"):
        return "sheath"
    return {"inserted": "insert", "made": "make", "loose": "tag"}.get(last, last)
