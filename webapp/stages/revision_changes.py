"""Two revisions of a loom: what differs, what that comes to, and the ticks that it undoes."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from webapp.stages import catalogue, pricing
from webapp.stages.building import bench, units
from webapp.stages.building.loom_steps import work_plan
from webapp.stages.building.superseding import Undone, undone_steps
from webapp.stages.building.units import UnitRow
from webapp.stages.design import rows
from webapp.stages.design.amounts import Amounts, amounts
from webapp.stages.design.comparing import Comparison, compare
from webapp.stages.design.revisions import RevisionState
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import wires
from webapp.stages.pricing import Priced


@dataclass(frozen=True)
class Sums:
    """What one unit of a revision comes to, at today's prices; None where no price can be made."""

    amounts: Amounts
    price_minor: int | None


@dataclass(frozen=True)
class UndoneTick:
    """A tick that building to the newer revision undoes: who made it, and when."""

    undone: Undone
    who: str
    at: datetime


@dataclass(frozen=True)
class UnitUndone:
    unit: UnitRow
    ticks: tuple[UndoneTick, ...]


@dataclass(frozen=True)
class RevisionChange:
    before: RevisionState
    after: RevisionState
    old: Design
    new: Design
    comparison: Comparison
    sums_before: Sums
    sums_after: Sums
    # Each unit built to a revision before the newer one, and its ticks that this undoes.
    units: tuple[UnitUndone, ...]
    currency: str


def between(
    session: Session, loom_id: int, before: RevisionState, after: RevisionState
) -> RevisionChange:
    """How two revisions of a loom differ.

    Raises:
        NotThere: no such loom.
    """
    old, new = rows.load(session, before.id), rows.load(session, after.id)
    priced_after = pricing.read(session, loom_id, after)
    same = before.id == after.id
    priced_before = priced_after if same else pricing.read(session, loom_id, before)
    return RevisionChange(
        before=before,
        after=after,
        old=old,
        new=new,
        comparison=compare(old, new, catalogue.read(session).parts),
        sums_before=_sums(priced_before),
        sums_after=_sums(priced_after),
        units=undone_ticks(session, loom_id, after),
        currency=priced_after.currency,
    )


def _sums(priced: Priced) -> Sums:
    price = priced.price
    unit_minor = None if price is None else price.unit.price.minor
    return Sums(amounts(wires(priced.design)), unit_minor)


def undone_ticks(session: Session, loom_id: int, after: RevisionState) -> tuple[UnitUndone, ...]:
    """Of each unit built to an earlier revision: the ticks that building to `after` undoes."""
    design, parts = rows.load(session, after.id), catalogue.read(session).parts
    found = []
    for unit in units.of_loom(session, loom_id):
        if unit.revision_number >= after.number:
            continue
        plan = work_plan(design, parts, unit.depth)
        standing = bench.state(session, unit.id)
        states = {uid: now.state for uid, now in standing.items()}
        undone = undone_steps(units.plan_of(session, unit), plan, states)
        ticks = (
            UndoneTick(one, standing[one.step.uid].person, standing[one.step.uid].at)
            for one in undone
        )
        found.append(UnitUndone(unit, tuple(ticks)))
    return tuple(found)
