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
from webapp.stages.testing.first_off import FIRST, HEIGHT, LAST, PULL, SAMPLES

NONE_YET = "no set-up yet"
WANTED = 2 * SAMPLES


@dataclass(frozen=True)
class Samples:
    """How many of the three heights and three pulls have passed, failed, or are not taken."""

    passed: int = 0
    failed: int = 0

    @property
    def open(self) -> int:
        return WANTED - self.passed - self.failed

    @property
    def all_passed(self) -> bool:
        return self.passed == WANTED


@dataclass(frozen=True)
class SetUp:
    """A set-up and its samples, each by its last reading."""

    id: int
    group: str
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
    # Why it holds without its last measurements, or in spite of them, and who said so.
    waived: str = ""

    @property
    def ready(self) -> bool:
        """May crimp: all first-offs passed, and no crimp measured at the last has failed."""
        return self.first.all_passed and (not self.last.failed or bool(self.waived))

    @property
    def named(self) -> str:
        """tool 3, die B"""
        return f"{self.tool}, die {self.die}" if self.die else self.tool

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
        select(CrimpSetup, Person.name)
        .join(Person, Person.id == CrimpSetup.person_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(CrimpSetup.id)
    ).all()
    if not rows:
        return []
    results = _results(session, loom_id)
    waived = _waived(session, loom_id)
    return [
        SetUp(
            id=row.id,
            group=group_key(row.terminal_uid, row.csa_mm2),
            tool=row.tool,
            die=row.die,
            wire_lot=row.wire_lot,
            terminal_lot=row.terminal_lot,
            note=row.note,
            person=person,
            unit_id=row.unit_id,
            at=row.at,
            first=_samples(row, results, FIRST),
            last=_samples(row, results, LAST),
            waived=waived.get(row.id, ""),
        )
        for row, person in rows
    ]


def _results(session: Session, loom_id: int) -> dict[tuple[int | None, str], str]:
    """The result of the last reading of each sample of each set-up."""
    rows = session.execute(
        select(Reading.crimp_setup_id, Reading.item_uid, Reading.result)
        .join(CrimpSetup, CrimpSetup.id == Reading.crimp_setup_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(Reading.id)
    )
    return {(setup_id, item_uid): result for setup_id, item_uid, result in rows}


def _samples(row: CrimpSetup, results: Mapping[tuple[int | None, str], str], when: str) -> Samples:
    group = f"{when}:{row.terminal_uid}:{row.csa_mm2:g}"
    found = [
        results.get((row.id, f"{group}:{kind}:{sample}"))
        for kind in (HEIGHT, PULL)
        for sample in range(1, SAMPLES + 1)
    ]
    return Samples(found.count("pass"), found.count("fail"))


def _waived(session: Session, loom_id: int) -> dict[int, str]:
    rows = session.execute(
        select(CrimpWaiver.crimp_setup_id, CrimpWaiver.reason, Person.name)
        .join(CrimpSetup, CrimpSetup.id == CrimpWaiver.crimp_setup_id)
        .join(Person, Person.id == CrimpWaiver.person_id)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(CrimpWaiver.id)
    )
    return {setup_id: f"{reason} ({person})" for setup_id, reason, person in rows}
