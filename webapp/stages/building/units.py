"""Units: the copies of a loom, each built to one signed-off revision at one depth of steps."""

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.design import Revision
from webapp.records.jobs import Loom, Project
from webapp.stages import codes, journal, stage_line
from webapp.stages.building import kept_plans
from webapp.stages.building.steps import DEPTHS, WorkPlan
from webapp.stages.building.superseding import undone_steps
from webapp.stages.design import revisions
from webapp.stages.one_moment import once
from webapp.stages.refusals import NotThere, Refused


@dataclass(frozen=True)
class UnitRow:
    id: int
    loom_id: int
    number: int
    serial: str
    code: str
    depth: str
    revision_id: int
    revision: str
    revision_number: int
    stage: str


def get(session: Session, unit_id: int) -> Unit:
    """
    Raises:
        NotThere: no such unit.
    """
    unit = session.get(Unit, unit_id)
    if unit is None:
        raise NotThere
    return unit


def row(session: Session, unit_id: int) -> UnitRow:
    """One unit as plain values.

    Raises:
        NotThere: no such unit.
    """
    return _row(session, get(session, unit_id))


def of_loom(session: Session, loom_id: int) -> list[UnitRow]:
    """The units of a loom by number."""
    found = session.scalars(select(Unit).where(Unit.loom_id == loom_id).order_by(Unit.number))
    return [_row(session, unit) for unit in found]


def _row(session: Session, unit: Unit) -> UnitRow:
    number = session.scalars(select(Revision.number).where(Revision.id == unit.revision_id)).one()
    return UnitRow(
        id=unit.id,
        loom_id=unit.loom_id,
        number=unit.number,
        serial=unit.serial,
        code=unit.code,
        depth=unit.depth,
        revision_id=unit.revision_id,
        revision=revisions.letter(number),
        revision_number=number,
        stage=stage_line.stage_of_unit(session, unit.id),
    )


def plan_of(session: Session, unit: Unit | UnitRow) -> WorkPlan:
    """The work steps of the unit's revision at the unit's depth."""
    return plan_at(session, unit.revision_id, unit.depth)


def plan_at(session: Session, revision_id: int, depth: str) -> WorkPlan:
    """The work steps of a revision at a depth, worked out once for a page."""
    return once(
        session,
        ("work plan", revision_id, depth),
        lambda: kept_plans.plan_at(session, revision_id, depth),
    )


def plan_with(session: Session, revision_id: int, depth: str, step_uid: str) -> WorkPlan:
    """The plan of a revision that has this step: of this depth, or of the other where the unit was
    ticked in that before."""
    plan = plan_at(session, revision_id, depth)
    if step_uid not in plan.by_uid:
        for other in DEPTHS:
            found = plan_at(session, revision_id, other)
            if step_uid in found.by_uid:
                return found
    return plan


def start(session: Session, loom_id: int, person_id: int, depth: str) -> list[int]:
    """One unit for each of the quantity that is not there yet. Returns the new ids.

    Raises:
        NotThere: no such loom.
        Refused: no revision is signed off, the depth is none, or all units are there already.
    """
    loom = session.get(Loom, loom_id)
    if loom is None:
        raise NotThere
    if depth not in DEPTHS:
        raise Refused("depth", "Choose short or full.")
    revision = revisions.latest_signed_off(session, loom_id)
    if revision is None:
        raise Refused("", "Sign the design off for the bench first.")
    there = session.scalar(select(func.count()).where(Unit.loom_id == loom_id)) or 0
    if there >= loom.quantity:
        raise Refused("", f"All units of this loom ({loom.quantity}) are started.")
    made = []
    for number in range(there + 1, loom.quantity + 1):
        unit = Unit(
            loom_id=loom_id,
            revision_id=revision.id,
            number=number,
            serial=_next_serial(session, loom.project_id),
            code=codes.new_code(session, codes.UNIT),
            depth=depth,
        )
        session.add(unit)
        session.flush()
        stage_line.move(session, loom_id, unit.id, "build", person_id)
        made.append(unit.id)
    return made


def _next_serial(session: Session, project_id: int) -> str:
    """Serials run over the whole job, so that two looms of it never share one."""
    project = session.get_one(Project, project_id)
    there = session.scalar(
        select(func.count()).select_from(Unit).join(Loom).where(Loom.project_id == project_id)
    )
    return f"{project.number}-{(there or 0) + 1:02d}"


def send_back(session: Session, unit_id: int, to_stage: str, reason: str, person_id: int) -> None:
    """Back to build or test, with a reason; everything recorded is kept.

    Raises:
        NotThere: no such unit.
        Refused: it is not past that stage, or the reason is missing.
    """
    unit = get(session, unit_id)
    now = stage_line.stage_of_unit(session, unit_id)
    stages = stage_line.UNIT_STAGES
    if to_stage not in stages or stages.index(to_stage) >= stages.index(now):
        raise Refused("", f"Unit {unit.serial} is at {now}: it cannot go back to {to_stage}.")
    stage_line.move(session, unit.loom_id, unit_id, to_stage, person_id, reason)


def newer_revision(session: Session, unit: UnitRow) -> revisions.RevisionState | None:
    """The latest signed-off revision when the unit is built to an older one."""
    latest = revisions.latest_signed_off(session, unit.loom_id)
    return latest if latest is not None and latest.id != unit.revision_id else None


def move_to_revision(
    session: Session, unit_id: int, revision_id: int, reason: str, person_id: int
) -> int:
    """Builds the unit to another signed-off revision from now on.

    Each tick that the new revision undoes is kept, and an entry after it says that it is
    superseded, by which revision and why. Returns how many there are.

    Raises:
        NotThere: no such unit.
        Refused: no reason, not a signed-off revision of this loom, or not at build.
    """
    unit = get(session, unit_id)
    revision = session.get(Revision, revision_id)
    reason = reason.strip()
    if revision is None or revision.loom_id != unit.loom_id or revision.signed_off_at is None:
        raise Refused("revision", "Choose a signed-off revision of this loom.")
    if revision_id == unit.revision_id:
        raise Refused("revision", "The unit is built to this revision already.")
    if not reason:
        raise Refused("reason", "Say why the unit goes to another revision.")
    if stage_line.stage_of_unit(session, unit_id) != "build":
        raise Refused("", "Send the unit back to build first.")
    before = plan_of(session, unit)
    unit.revision_id = revision_id
    session.flush()
    letter = revisions.letter(revision.number)
    count = _supersede(session, unit, before, letter, person_id)
    loom = session.get_one(Loom, unit.loom_id)
    sentence = f"Unit {unit.serial} is built to revision {letter} from now on: {reason}"
    journal.write(session, loom.project_id, sentence, person_id, loom_id=loom.id, unit_id=unit.id)
    session.flush()
    return count


def _supersede(session: Session, unit: Unit, before: WorkPlan, letter: str, person_id: int) -> int:
    after = plan_of(session, unit)
    entries = session.execute(
        select(Tick.step_uid, Tick.state).where(Tick.unit_id == unit.id).order_by(Tick.id)
    )
    states = {row.step_uid: row.state for row in entries}
    last_id = session.scalar(select(func.max(Tick.id))) or 0
    undone = undone_steps(before, after, states)
    session.add_all(
        Tick(
            key=f"revision/{unit.id}/{last_id}/{number}",
            unit_id=unit.id,
            revision_id=unit.revision_id,
            step_uid=one.step.uid,
            state="superseded",
            note=f"revision {letter} {one.why}",
            person_id=person_id,
        )
        for number, one in enumerate(undone)
    )
    return len(undone)
