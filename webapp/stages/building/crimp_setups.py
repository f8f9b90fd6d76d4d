"""Crimp set-ups: tool, die and lots for one terminal on one conductor, before anything is crimped.

A set-up belongs to a loom and holds for all its units until the next one of its group. Its
first-offs and the crimps measured at the last are readings that name it.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import CrimpSetup, CrimpWaiver
from webapp.records.people import Person
from webapp.records.testing import Reading
from webapp.stages.building.crimp_groups import group_key as group_key
from webapp.stages.testing.first_off import FIRST, LAST, SAMPLES

NONE_YET = "no set-up yet"
WANTED = 2 * SAMPLES


@dataclass(frozen=True)
class Sample:
    """A spare piece as it was measured last. `earlier` counts the readings before."""

    item_uid: str
    reading: str
    passed: bool
    limit_text: str
    instrument: str
    instrument_id: int | None
    note: str
    person: str
    at: datetime
    earlier: int = 0

    @property
    def kind(self) -> str:
        """height or pull"""
        return self.item_uid.rsplit(":", 2)[1]


@dataclass(frozen=True)
class Samples:
    """The three heights and three pulls, as far as they are taken."""

    taken: tuple[Sample, ...] = ()

    @property
    def passed(self) -> int:
        return sum(1 for one in self.taken if one.passed)

    @property
    def failed(self) -> int:
        return len(self.taken) - self.passed

    @property
    def open(self) -> int:
        return WANTED - len(self.taken)

    @property
    def all_passed(self) -> bool:
        return self.passed == WANTED

    @property
    def by_uid(self) -> dict[str, Sample]:
        return {one.item_uid: one for one in self.taken}

    def since(self, moment: datetime | None) -> "Samples":
        """Those taken since then; one that failed counts whenever it was."""
        if moment is None:
            return self
        return Samples(tuple(one for one in self.taken if one.at >= moment or not one.passed))


@dataclass(frozen=True)
class Waiver:
    """Why a set-up holds without its last measurements, or in spite of them."""

    reason: str
    person: str
    at: datetime


@dataclass(frozen=True)
class SetUp:
    """A set-up and its samples, each by its last reading."""

    id: int
    group: str
    terminal_uid: str
    tool: str
    die: str
    wire_lot: str
    terminal_lot: str
    note: str
    person: str
    unit_id: int
    at: datetime
    first: Samples = Samples()
    last: Samples = Samples()
    waiver: Waiver | None = None

    @property
    def ready(self) -> bool:
        """May crimp: all first-offs passed, and no crimp measured at the last has failed.

        Saying that the crimps so far hold does not make a tool good that failed.
        """
        return self.first.all_passed and not self.last.failed

    @property
    def named(self) -> str:
        """tool 3, die B"""
        die = self.die if self.die.lower().startswith("die") else f"die {self.die}"
        return f"{self.tool}, {die}" if self.die else self.tool

    @property
    def lots(self) -> str:
        """wire lot W12, terminal lot T7"""
        known = (("wire lot", self.wire_lot), ("terminal lot", self.terminal_lot))
        return ", ".join(f"{name} {lot}" for name, lot in known if lot)

    @property
    def words(self) -> str:
        """The tool, and what is left to do before it may crimp."""
        if self.ready:
            return self.named
        if self.first.failed:
            return f"{self.named}: a first-off failed"
        if not self.first.all_passed:
            return f"{self.named}: {self.first.open} of {WANTED} first-offs to take"
        return f"{self.named}: a crimp measured at the last failed"


def of_loom(session: Session, loom_id: int) -> dict[str, SetUp]:
    """The set-up that holds for each group which has one, by the group's key."""
    return {found.group: found for found in history(session, loom_id)}


def ready_groups(session: Session, loom_id: int) -> set[str]:
    """The keys of the groups that may be crimped."""
    return {key for key, found in of_loom(session, loom_id).items() if found.ready}


def words_for(found: Mapping[str, SetUp], keys: Collection[str]) -> dict[str, dict[str, object]]:
    """How each of these groups stands, for a script."""
    return {
        key: {"ready": found[key].ready, "words": found[key].words}
        if key in found
        else {"ready": False, "words": NONE_YET}
        for key in keys
    }


def history(session: Session, loom_id: int) -> list[SetUp]:
    """Every set-up of a loom, in order: the last one of a group holds."""
    rows = session.execute(
        # Columns and no entities: a moment is read as it is kept, to the millisecond.
        select(*CrimpSetup.__table__.columns, Person.name.label("person"))
        .join(Person, Person.id == CrimpSetup.person_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(CrimpSetup.id)
    ).all()
    if not rows:
        return []
    samples = _samples(session, loom_id)
    waivers = _waivers(session, loom_id)
    return [
        SetUp(
            id=row.id,
            group=group_key(row.terminal_uid, row.csa_mm2),
            terminal_uid=row.terminal_uid,
            tool=row.tool,
            die=row.die,
            wire_lot=row.wire_lot,
            terminal_lot=row.terminal_lot,
            note=row.note,
            person=row.person,
            unit_id=row.unit_id,
            at=row.at,
            first=_of(samples.get(row.id, {}), FIRST),
            last=_of(samples.get(row.id, {}), LAST),
            waiver=waivers.get(row.id),
        )
        for row in rows
    ]


def _samples(session: Session, loom_id: int) -> dict[int, dict[str, Sample]]:
    """The last reading of each sample, by set-up and item."""
    rows = session.execute(
        select(*Reading.__table__.columns, Person.name.label("person"))
        .join(CrimpSetup, CrimpSetup.id == Reading.crimp_setup_id)
        .join(Person, Person.id == Reading.person_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(Reading.id)
    )
    found: dict[int, dict[str, Sample]] = {}
    for row in rows:
        own = found.setdefault(row.crimp_setup_id, {})
        before = own.get(row.item_uid)
        value = "" if row.value is None else f"{row.value:g} {row.value_unit}"
        own[row.item_uid] = Sample(
            item_uid=row.item_uid,
            reading=value,
            passed=row.result == "pass",
            limit_text=row.limit_text,
            instrument=row.instrument_text,
            instrument_id=row.instrument_id,
            note=row.note,
            person=row.person,
            at=row.at,
            earlier=before.earlier + 1 if before else 0,
        )
    return found


def _of(samples: Mapping[str, Sample], when: str) -> Samples:
    return Samples(tuple(one for uid, one in samples.items() if uid.startswith(f"{when}:")))


def _waivers(session: Session, loom_id: int) -> dict[int, Waiver]:
    rows = session.execute(
        select(CrimpWaiver.crimp_setup_id, CrimpWaiver.reason, Person.name, CrimpWaiver.at)
        .join(CrimpSetup, CrimpSetup.id == CrimpWaiver.crimp_setup_id)
        .join(Person, Person.id == CrimpWaiver.person_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(CrimpWaiver.id)
    )
    return {setup_id: Waiver(reason, person, at) for setup_id, reason, person, at in rows}
