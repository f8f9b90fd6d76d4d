"""The looms of a job: begun, renamed, counted."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.records.design import Revision
from webapp.records.jobs import Loom, Project
from webapp.stages import codes, journal, stage_line
from webapp.stages.design import commands, revisions, rows
from webapp.stages.design.defaults import first_basis
from webapp.stages.editing import merged
from webapp.stages.one_moment import once
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.stage_line import StageLine
from webapp.stages.values import required

MOST_UNITS = 999


@dataclass(frozen=True)
class UnitRow:
    id: int
    number: int
    serial: str
    code: str
    revision: str
    stage: str


@dataclass(frozen=True)
class LoomRow:
    id: int
    project_id: int
    code: str
    name: str
    quantity: int
    line: StageLine
    units: tuple[UnitRow, ...]


def of_jobs(session: Session, project_ids: tuple[int, ...]) -> dict[int, tuple[LoomRow, ...]]:
    """The looms of several jobs, in the order in which they were begun."""
    return once(session, ("looms of jobs", project_ids), lambda: _of_jobs(session, project_ids))


def _of_jobs(session: Session, project_ids: tuple[int, ...]) -> dict[int, tuple[LoomRow, ...]]:
    looms = session.scalars(
        select(Loom).where(Loom.project_id.in_(project_ids)).order_by(Loom.id)
    ).all()
    ids = tuple(loom.id for loom in looms)
    lines = stage_line.of_looms(session, ids)
    units = _units(session, ids)
    found: dict[int, tuple[LoomRow, ...]] = dict.fromkeys(project_ids, ())
    for loom in looms:
        row = LoomRow(
            loom.id,
            loom.project_id,
            loom.code,
            loom.name,
            loom.quantity,
            lines[loom.id],
            units.get(loom.id, ()),
        )
        found[loom.project_id] += (row,)
    return found


def get(session: Session, loom_id: int) -> LoomRow:
    """One loom.

    Raises:
        NotThere: no such loom.
    """
    project_id = _loom(session, loom_id).project_id
    return next(row for row in of_jobs(session, (project_id,))[project_id] if row.id == loom_id)


def loom_of_unit(session: Session, unit_id: int) -> int:
    """The loom that a unit is a copy of.

    Raises:
        NotThere: no such unit.
    """
    unit = session.get(Unit, unit_id)
    if unit is None:
        raise NotThere
    return unit.loom_id


def add(session: Session, project_id: int, *, name: str, quantity: int, person_id: int) -> int:
    """Begins a loom with its first, empty revision, at quote. Returns its id.

    Raises:
        NotThere: no such job.
        Refused: name missing or taken in this job, quantity out of range.
    """
    loom_id = _begin(session, project_id, name, quantity, person_id)
    revisions.start(session, loom_id, person_id)
    return loom_id


def add_copy(session: Session, project_id: int, from_loom_id: int, person_id: int) -> int:
    """Begins a loom that starts from the latest revision of another. Returns its id."""
    source = _loom(session, from_loom_id)
    loom_id = _begin(session, project_id, source.name, source.quantity, person_id)
    latest = revisions.latest(session, from_loom_id)
    revisions.copy_to(session, latest.id, loom_id, person_id)
    return loom_id


def edit(
    session: Session,
    loom_id: int,
    opened: Mapping[str, Any],
    typed: Mapping[str, Any],
    person_id: int,
) -> None:
    """Renames a loom or changes how many are to be made; values are `name` and `quantity`.

    Raises:
        NotThere: no such loom.
        ChangedMeanwhile: somebody else changed the same value since the form was opened.
        Refused: name missing or taken, quantity out of range or less than the units begun.
    """
    loom = _loom(session, loom_id)
    now = {"name": loom.name, "quantity": loom.quantity}
    result = merged(now=now, opened=opened, typed=typed)
    if result == now:
        return
    name = _free_name(session, loom.project_id, result["name"], loom_id)
    quantity = _sensible(result["quantity"])
    begun = session.scalar(select(func.count()).where(Unit.loom_id == loom_id)) or 0
    if quantity < begun:
        raise Refused("quantity", f"{begun} units are begun already: this cannot be less.")
    sentence = (
        f"{loom.name} is now {name}, {quantity} off; it was {loom.name}, {loom.quantity} off."
    )
    loom.name, loom.quantity = name, quantity
    loom.version += 1
    journal.write(session, loom.project_id, sentence, person_id, loom_id=loom_id)
    session.flush()


def follow_voltage(session: Session, loom_id: int, was_v: int, now_v: int, person_id: int) -> None:
    """Takes a design's charging and discharged voltages along when its job's voltage changes.

    What somebody has set by hand stays.
    """
    revision_id = revisions.open_for_edit(session, loom_id)
    design = rows.load(session, revision_id)
    before = first_basis(was_v, design.setting)
    after = first_basis(now_v, design.setting)
    new = {
        field: getattr(after, field)
        for field in ("heat_at_v", "drop_at_v")
        if getattr(design.basis, field) == getattr(before, field)
    }
    if new:
        change = commands.changed(design.basis, by_hand=False, **new)
        sentence = f"Supply voltages follow the job, now {now_v} V."
        commands.write(session, revision_id, sentence, [change], person_id)


def _begin(session: Session, project_id: int, name: str, quantity: int, person_id: int) -> int:
    if session.get(Project, project_id) is None:
        raise NotThere
    loom = Loom(
        project_id=project_id,
        code=codes.new_code(session, codes.LOOM),
        name=_free_name(session, project_id, name, None),
        quantity=_sensible(quantity),
    )
    session.add(loom)
    session.flush()
    stage_line.move(session, loom.id, None, "quote", person_id)
    return loom.id


def _loom(session: Session, loom_id: int) -> Loom:
    loom = session.get(Loom, loom_id)
    if loom is None:
        raise NotThere
    return loom


def _free_name(session: Session, project_id: int, name: str, own_id: int | None) -> str:
    name = required("name", name, "a name, such as main loom")
    other = session.scalar(
        select(Loom.id).where(Loom.project_id == project_id, func.lower(Loom.name) == name.lower())
    )
    if other is not None and other != own_id:
        raise Refused("name", f"This job has a loom named {name} already.")
    return name


def _sensible(quantity: int) -> int:
    if not 1 <= quantity <= MOST_UNITS:
        raise Refused("quantity", f"Make 1 to {MOST_UNITS} of one loom.")
    return quantity


def _units(session: Session, loom_ids: tuple[int, ...]) -> dict[int, tuple[UnitRow, ...]]:
    stages = stage_line.stages_of_units(session, loom_ids)
    found: dict[int, tuple[UnitRow, ...]] = {}
    found_rows = session.execute(
        select(Unit, Revision.number)
        .join(Revision, Revision.id == Unit.revision_id)
        .where(Unit.loom_id.in_(loom_ids))
        .order_by(Unit.number)
    )
    for unit, number in found_rows:
        row = UnitRow(
            id=unit.id,
            number=unit.number,
            serial=unit.serial,
            code=unit.code,
            revision=revisions.letter(number),
            stage=stages.get(unit.id, "build"),
        )
        found[unit.loom_id] = (*found.get(unit.loom_id, ()), row)
    return found
