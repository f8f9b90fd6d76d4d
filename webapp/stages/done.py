"""Who signed for what. A certificate is made from the readings as they were kept."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.records.design import Revision
from webapp.records.jobs import StageMove
from webapp.records.people import Person
from webapp.stages import stage_line
from webapp.stages.building import bench, crimp_standing, gate, units
from webapp.stages.refusals import Refused
from webapp.stages.testing import readings, standing
from webapp.stages.testing.first_off import SAMPLES
from webapp.stages.testing.items import KINDS
from webapp.stages.testing.standing import Line


@dataclass(frozen=True)
class Counted:
    """The reading of a test that counts, and how many were taken before it."""

    line: Line
    earlier: int


@dataclass(frozen=True)
class UsedInstrument:
    name: str
    calibrated_on: date | None


@dataclass(frozen=True)
class TestRecord:
    """`left_out` names what was tested against figures that nobody has confirmed."""

    __test__ = False

    number: str
    signed_by: str
    signed_at: datetime
    groups: tuple[tuple[str, tuple[Counted, ...]], ...]
    instruments: tuple[UsedInstrument, ...]
    waived: tuple[str, ...]
    left_out: tuple[str, ...]


def test_record(session: Session, unit_id: int) -> TestRecord:
    """
    Raises:
        NotThere: no such unit.
        Refused: the unit is not done, so nobody has signed for its tests.
    """
    unit = units.get(session, unit_id)
    if stage_line.stage_of_unit(session, unit_id) != "done":
        raise Refused("", f"Unit {unit.serial} is not signed off: its tests are not all passed.")
    signed_by, signed_at, times = _signature(session, unit_id)
    counted = _counted(session, unit)
    shown = [one for one in counted if not one.line.limit_text.endswith(readings.UNCONFIRMED)]
    plan = units.plan_of(session, unit)
    return TestRecord(
        number=f"{unit.serial}-C{times}",
        signed_by=signed_by,
        signed_at=signed_at,
        groups=_groups(shown),
        instruments=_instruments(shown),
        waived=(
            *gate.waived(plan, bench.state(session, unit_id)),
            *crimp_standing.waived(session, unit),
        ),
        left_out=_names(one for one in counted if one not in shown),
    )


test_record.__test__ = False  # type: ignore[attr-defined]


def design_signature(session: Session, revision_id: int) -> tuple[str, datetime] | None:
    """Who signed a revision off for the bench, and when; None for a draft."""
    row = session.execute(
        select(Person.name, Revision.signed_off_at)
        .join(Person, Person.id == Revision.signed_off_by_id)
        .where(Revision.id == revision_id, Revision.signed_off_at.is_not(None))
    ).first()
    return None if row is None or row.signed_off_at is None else (row.name, row.signed_off_at)


def _signature(session: Session, unit_id: int) -> tuple[str, datetime, int]:
    """Who signed last, when, and how many times the unit was signed for."""
    rows = session.execute(
        select(Person.name, StageMove.at)
        .join(Person, Person.id == StageMove.person_id)
        .where(StageMove.unit_id == unit_id, StageMove.to_stage == "done")
        .order_by(StageMove.id)
    ).all()
    return rows[-1].name, rows[-1].at, len(rows)


def _counted(session: Session, unit: Unit) -> list[Counted]:
    plan = standing.plan_of(session, unit)
    last: dict[str, Counted] = {}
    for line in standing.lines(session, unit):
        if line.item_uid in plan.by_uid:
            before = last.get(line.item_uid)
            last[line.item_uid] = Counted(line, before.earlier + 1 if before else 0)
    order = list(plan.by_uid)
    return sorted(last.values(), key=lambda one: order.index(one.line.item_uid))


def _names(counted: Iterable[Counted]) -> tuple[str, ...]:
    """What was tested; the samples of one crimp are named once."""
    names = (re.sub(rf" [0-9]+ of {SAMPLES}$", "s", one.line.what) for one in counted)
    return tuple(dict.fromkeys(names))


def _groups(counted: list[Counted]) -> tuple[tuple[str, tuple[Counted, ...]], ...]:
    found = (
        (title, tuple(one for one in counted if one.line.kind == kind))
        for kind, title in KINDS.items()
    )
    return tuple((title, group) for title, group in found if group)


def _instruments(counted: list[Counted]) -> tuple[UsedInstrument, ...]:
    texts = dict.fromkeys(one.line.instrument for one in counted if one.line.instrument)
    return tuple(used_instrument(text) for text in texts)


def used_instrument(text: str) -> UsedInstrument:
    """An instrument as the reading kept it: "Meter, M1, calibrated 2026-01-05"."""
    name, found, rest = text.rpartition(f", {readings.CALIBRATED}")
    if not found:
        return UsedInstrument(text.removesuffix(f", {readings.NOT_CALIBRATED}"), None)
    return UsedInstrument(name, date.fromisoformat(rest[:10]))
