"""How far the units of looms are: steps that are finished, of all that there are."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.stages import stage_line
from webapp.stages.building import bench, units
from webapp.stages.building.units import UnitRow


@dataclass(frozen=True)
class UnitProgress:
    unit: UnitRow
    done: int
    total: int
    held: int

    @property
    def percent(self) -> int:
        """Whole percent; 100 only when nothing is left."""
        return percent(self.done, self.total)


def percent(done: int, total: int) -> int:
    """Whole percent, rounded down: 100 only when nothing is left."""
    return done * 100 // total if total else 100


def of_loom(session: Session, loom_id: int) -> list[UnitProgress]:
    """Each unit of a loom, by number."""
    return [_of_unit(session, unit) for unit in units.of_loom(session, loom_id)]


def _of_unit(session: Session, unit: UnitRow) -> UnitProgress:
    plan = units.plan_of(session, unit)
    states = {uid: now.state for uid, now in bench.state(session, unit.id).items()}
    done, total = bench.counts(plan, states.items())
    held = sum(1 for uid, now in states.items() if now == "held" and uid in plan.by_uid)
    return UnitProgress(unit, done, total, held)


def being_built(session: Session, loom_ids: Iterable[int]) -> dict[int, int]:
    """The looms of these that have a unit at build, with the percent of all their units' steps."""
    ids = tuple(loom_ids)
    stages = stage_line.stages_of_units(session, ids)
    at_build = [unit_id for unit_id, stage in stages.items() if stage == "build"]
    rows = session.scalars(select(Unit.loom_id).where(Unit.id.in_(at_build)).distinct())
    found = {}
    for loom_id in rows:
        each = of_loom(session, loom_id)
        found[loom_id] = percent(sum(one.done for one in each), sum(one.total for one in each))
    return found
