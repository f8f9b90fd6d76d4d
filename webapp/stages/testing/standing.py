"""How each test of a unit stands: its last reading counts, if it still fits the unit."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.people import Person
from webapp.records.testing import Reading
from webapp.stages import catalogue
from webapp.stages.building import crimped_with, units
from webapp.stages.design import rows
from webapp.stages.refusals import NotThere
from webapp.stages.testing.first_off import key_of_item
from webapp.stages.testing.items import FIRST_OFF, Item
from webapp.stages.testing.plan import TestPlan, test_plan


@dataclass(frozen=True)
class Line:
    """A reading as it was taken."""

    id: int
    item_uid: str
    kind: str
    what: str
    limit_text: str
    reading: str
    passed: bool
    method: str
    instrument: str
    note: str
    person: str
    at: datetime
    unit_id: int


@dataclass(frozen=True)
class ItemState:
    """An item with its last reading that counts, and how many were taken before it.

    `word` is passed, failed, open, or again: there is a reading, but it no longer counts, and
    `why` says why.
    """

    item: Item
    word: str
    last: Line | None = None
    earlier: int = 0
    why: str = ""


@dataclass
class _History:
    """What happened to the unit, as far as it decides which readings still count."""

    lines: dict[str, list[Line]] = field(default_factory=dict)
    ticked_at: dict[str, datetime] = field(default_factory=dict)

    def last_tick(self, wires: tuple[str, ...]) -> datetime | None:
        times = [at for uid, at in self.ticked_at.items() if not wires or uid in wires]
        return max(times, default=None)


def plan_of(session: Session, unit: Unit | units.UnitRow) -> TestPlan:
    """The test plan of the unit's revision."""
    return test_plan(rows.load(session, unit.revision_id), catalogue.read(session).parts)


def lines(session: Session, unit: Unit | units.UnitRow) -> list[Line]:
    """Every reading that concerns the unit, in order.

    Crimp samples belong to a set-up, which serves a batch: those of the set-up that the unit is
    crimped with are there, whichever unit they were taken with.
    """
    shared = (Unit.loom_id == unit.loom_id) & (Reading.kind.in_(FIRST_OFF))
    found = session.execute(
        select(Reading, Person.name)
        .join(Person, Person.id == Reading.person_id)
        .join(Unit, Unit.id == Reading.unit_id)
        .where((Reading.unit_id == unit.id) | shared)
        .order_by(Reading.id)
    ).all()
    setups = crimped_with.counting(session, unit)
    return [
        _line(reading, person)
        for reading, person in found
        if reading.kind not in FIRST_OFF or _concerns(reading, unit, setups)
    ]


def _concerns(reading: Reading, unit: Unit | units.UnitRow, setups: Mapping[str, int]) -> bool:
    """Whether a crimp sample counts for the unit. Those of before there were set-ups belong to a
    revision, and count as long as their group has none."""
    holding = setups.get(key_of_item(reading.item_uid))
    if holding is None and reading.crimp_setup_id is None:
        return reading.revision_id == unit.revision_id
    return reading.crimp_setup_id == holding


def _line(reading: Reading, person: str) -> Line:
    passed = reading.result == "pass"
    value = "" if reading.value is None else f"{reading.value:g} {reading.value_unit}".strip()
    return Line(
        id=reading.id,
        item_uid=reading.item_uid,
        kind=reading.kind,
        what=reading.what,
        limit_text=reading.limit_text,
        reading=value or ("passes" if passed else "fails"),
        passed=passed,
        method=reading.method,
        instrument=reading.instrument_text,
        note=reading.note,
        person=person,
        at=reading.at,
        unit_id=reading.unit_id,
    )


def states(session: Session, unit: Unit | units.UnitRow, plan: TestPlan) -> list[ItemState]:
    """How each item of the plan stands."""
    history = _history(session, unit)
    return [_item_state(item, history) for item in plan.items]


def _history(session: Session, unit: Unit | units.UnitRow) -> _History:
    history = _History()
    for line in lines(session, unit):
        history.lines.setdefault(line.item_uid, []).append(line)
    work_of = units.plan_of(session, unit).work_of
    ticks = session.execute(select(Tick.step_uid, Tick.at).where(Tick.unit_id == unit.id))
    for step_uid, at in ticks:
        work = work_of.get(step_uid, "")
        history.ticked_at[work] = max(at, history.ticked_at.get(work, at))
    return history


def _item_state(item: Item, history: _History) -> ItemState:
    taken = history.lines.get(item.uid, [])
    if not taken:
        return ItemState(item, "open")
    last, earlier = taken[-1], len(taken) - 1
    if why := _no_longer_counts(item, last, history):
        return ItemState(item, "again", last, earlier, why)
    return ItemState(item, "passed" if last.passed else "failed", last, earlier)


def _no_longer_counts(item: Item, last: Line, history: _History) -> str:
    if last.what != item.what:
        return f"the design has changed since ({last.what}): test again"
    if item.kind in FIRST_OFF:
        return ""
    worked = history.last_tick(item.wires)
    if worked is not None and worked > last.at:
        return "worked on since the reading: test again"
    return ""


def one_state(
    session: Session, unit: Unit | units.UnitRow, plan: TestPlan, item_uid: str
) -> ItemState:
    """
    Raises:
        NotThere: the plan has no such item.
    """
    if item_uid not in plan.by_uid:
        raise NotThere
    return _item_state(plan.by_uid[item_uid], _history(session, unit))
