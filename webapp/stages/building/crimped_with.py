"""Which set-up each crimp was made with: the last one of its group when the crimp was ticked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from webapp.records.bench import CrimpSetup, Tick, Unit
from webapp.stages import stage_line
from webapp.stages.building import units
from webapp.stages.building.crimp_groups import group_key
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.tick_states import FINISHED

# A joint that is put on hold after it was made is still there.
STANDS = ("done", "held")
# An entry that is carried over to another depth of steps keeps when the work itself was ticked.
MADE_AT = case(
    (Tick.key.startswith("depth/"), func.coalesce(Tick.client_at, Tick.at)), else_=Tick.at
)


@dataclass(frozen=True)
class Begun:
    """A set-up, and when it was begun."""

    id: int
    at: datetime


@dataclass(frozen=True)
class Crimp:
    """One crimp that a unit asks for. `made_at` is None where it is not made."""

    unit_id: int
    group: str
    where: str
    made_at: datetime | None
    finished: bool


@dataclass(frozen=True)
class UnitCrimps:
    """All crimps of one unit, and the stage that it is at."""

    unit_id: int
    serial: str
    stage: str
    crimps: tuple[Crimp, ...]

    def of(self, group: str) -> tuple[Crimp, ...]:
        return tuple(crimp for crimp in self.crimps if crimp.group == group)

    def finished(self, group: str) -> bool:
        """Nothing of this group is left to crimp."""
        return all(crimp.finished for crimp in self.of(group))


def of_loom(session: Session, loom_id: int) -> list[UnitCrimps]:
    """The crimps of all units of a loom."""
    found = session.scalars(select(Unit).where(Unit.loom_id == loom_id).order_by(Unit.number))
    return [of_unit(session, unit) for unit in found]


def of_unit(session: Session, unit: Unit | units.UnitRow) -> UnitCrimps:
    """The crimps of one unit, each as its last tick left it."""
    plan = units.plan_of(session, unit)
    stage = stage_line.stage_of_unit(session, unit.id)
    return UnitCrimps(unit.id, unit.serial, stage, tuple(_crimps(session, unit.id, plan)))


def _crimps(session: Session, unit_id: int, plan: WorkPlan) -> Iterable[Crimp]:
    made_at: dict[str, datetime] = {}
    state: dict[str, str] = {}
    ticks = session.execute(
        select(Tick.step_uid, Tick.state, MADE_AT).where(Tick.unit_id == unit_id).order_by(Tick.id)
    )
    for uid, now, at in ticks:
        state[uid] = now
        if now == "done":
            made_at[uid] = at
        elif now not in STANDS:
            made_at.pop(uid, None)
    for step in plan:
        if step.setup:
            yield Crimp(
                unit_id,
                step.setup,
                plan.place_of[step.uid],
                made_at.get(step.uid),
                state.get(step.uid) in FINISHED,
            )


def begun(session: Session, loom_id: int) -> dict[str, list[Begun]]:
    """When each set-up of a loom was begun, by group, in order."""
    rows = session.execute(
        select(CrimpSetup.id, CrimpSetup.terminal_uid, CrimpSetup.csa_mm2, CrimpSetup.at)
        .where(CrimpSetup.loom_id == loom_id)
        .order_by(CrimpSetup.id)
    )
    found: dict[str, list[Begun]] = {}
    for setup_id, terminal_uid, csa_mm2, at in rows:
        found.setdefault(group_key(terminal_uid, csa_mm2), []).append(Begun(setup_id, at))
    return found


def used(setups: Iterable[Begun], made_at: datetime) -> int | None:
    """The set-up that a crimp of that moment was made with; None before the first."""
    earlier = [one.id for one in setups if one.at <= made_at]
    return earlier[-1] if earlier else None


def used_by(crimps: UnitCrimps, setups: Mapping[str, list[Begun]]) -> dict[int, list[Crimp]]:
    """The crimps of a unit that stand, by the set-up that each was made with."""
    found: dict[int, list[Crimp]] = {}
    for crimp in crimps.crimps:
        if crimp.made_at is None:
            continue
        setup_id = used(setups.get(crimp.group, ()), crimp.made_at)
        if setup_id is not None:
            found.setdefault(setup_id, []).append(crimp)
    return found


def counting(session: Session, unit: Unit | units.UnitRow) -> dict[str, int]:
    """The set-up of each group whose first-offs count for this unit.

    That of its last crimp where all of them are made, so that a tool which is set up anew for a
    later unit asks nothing of this one; else the last one, with which the rest will be made.
    """
    setups = begun(session, unit.loom_id)
    if not setups:
        return {}
    own = of_unit(session, unit)
    return {group: _counts(own, group, made) for group, made in setups.items()}


def _counts(own: UnitCrimps, group: str, setups: list[Begun]) -> int:
    times = [crimp.made_at for crimp in own.of(group) if crimp.made_at is not None]
    if times and own.finished(group):
        last = used(setups, max(times))
        if last is not None:
            return last
    return setups[-1].id
