"""A unit at the bench goes from short to full steps or back, and keeps what is ticked."""

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.jobs import Loom
from webapp.stages import journal, stage_line
from webapp.stages.building import bench, units
from webapp.stages.building.carrying_over import Carried, Ticked, to_full, to_short
from webapp.stages.building.steps import DEPTHS
from webapp.stages.building.tick_rules import LONGEST_NOTE
from webapp.stages.building.tick_states import TAKEN_BACK
from webapp.stages.refusals import Refused


def other(depth: str) -> str:
    """short for full, full for short."""
    return DEPTHS[1 - DEPTHS.index(depth)]


def preview(session: Session, unit_id: int) -> Carried:
    """What going to the other depth would carry over.

    Raises:
        NotThere: no such unit.
    """
    unit = units.get(session, unit_id)
    return _carried(session, unit, other(unit.depth))


def change(session: Session, unit_id: int, depth: str, reason: str, person_id: int) -> Carried:
    """Ticks the unit in this depth from now on; what is ticked is carried over by entries of the
    journal that say so.

    Raises:
        NotThere: no such unit.
        Refused: it is ticked so already, it is not at build, or the reason is missing.
    """
    unit = units.get(session, unit_id)
    reason = reason.strip()
    if depth not in DEPTHS:
        raise Refused("depth", "Choose short or full.")
    if depth == unit.depth:
        raise Refused("depth", f"The unit is ticked in {depth} steps already.")
    if not reason:
        raise Refused("reason", "Say why the unit is ticked in other steps.")
    if stage_line.stage_of_unit(session, unit_id) != "build":
        raise Refused("", "Send the unit back to build first.")
    carried = _carried(session, unit, depth)
    unit.depth = depth
    _write(session, unit, carried, reason, person_id)
    loom = session.get_one(Loom, unit.loom_id)
    sentence = f"Unit {unit.serial} is ticked in {depth} steps from now on: {reason}"
    journal.write(session, loom.project_id, sentence, person_id, loom_id=loom.id, unit_id=unit.id)
    session.flush()
    return carried


def _carried(session: Session, unit: Unit, depth: str) -> Carried:
    short, full = (units.plan_at(session, unit.revision_id, each) for each in DEPTHS)
    opened = session.execute(
        select(Tick.step_uid, func.max(Tick.id))
        .where(Tick.unit_id == unit.id, Tick.state.in_(TAKEN_BACK))
        .group_by(Tick.step_uid)
    )
    ticked = Ticked(bench.state(session, unit.id), {row[0]: row[1] for row in opened})
    return (to_full if depth == "full" else to_short)(short, full, ticked)


def _write(session: Session, unit: Unit, carried: Carried, reason: str, person_id: int) -> None:
    last_id = session.scalar(select(func.max(Tick.id))) or 0
    why = f"carried over to {unit.depth} steps: {reason}"
    session.add_all(
        Tick(
            key=f"depth/{unit.id}/{last_id}/{number}",
            unit_id=unit.id,
            revision_id=unit.revision_id,
            step_uid=carry.step.uid,
            state=carry.state,
            note="; ".join(filter(None, (carry.note, why)))[:LONGEST_NOTE],
            person_id=person_id,
            client_at=carry.made_at,
        )
        for number, carry in enumerate(carried.entries)
    )
