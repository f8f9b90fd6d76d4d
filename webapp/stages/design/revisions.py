"""Revisions of a design: the first, the next, the one copied to another job, the one signed off."""

from dataclasses import dataclass

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from webapp.records.base import now
from webapp.records.design import DESIGN_TABLES, Revision
from webapp.records.jobs import Loom, Project
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.rows import row_values


@dataclass(frozen=True)
class RevisionState:
    id: int
    number: int
    letter: str
    signed_off: bool


def letter(number: int) -> str:
    """1 is A, 26 is Z, 27 is AA."""
    text = ""
    while number > 0:
        number, digit = divmod(number - 1, 26)
        text = chr(ord("A") + digit) + text
    return text


def start(session: Session, loom_id: int, person_id: int | None) -> int:
    """The first, empty revision of a loom. Returns its id."""
    loom = session.get_one(Loom, loom_id)
    project = session.get_one(Project, loom.project_id)
    revision = Revision(loom_id=loom_id, number=1)
    session.add(revision)
    session.flush()
    basis = first_basis(project.nominal_v, project.setting)
    session.execute(
        insert(DESIGN_TABLES["basis"]).values(revision_id=revision.id, **row_values(basis))
    )
    return revision.id


def latest(session: Session, loom_id: int) -> RevisionState:
    revision = session.scalars(
        select(Revision).where(Revision.loom_id == loom_id).order_by(Revision.number.desc())
    ).first()
    if revision is None:
        raise LookupError(f"Loom {loom_id} has no revision")
    return _state(revision)


def latest_signed_off(session: Session, loom_id: int) -> RevisionState | None:
    revision = session.scalars(
        select(Revision)
        .where(Revision.loom_id == loom_id, Revision.signed_off_at.is_not(None))
        .order_by(Revision.number.desc())
    ).first()
    return None if revision is None else _state(revision)


def get(session: Session, loom_id: int, name: str) -> RevisionState | None:
    """The revision of a loom that has this letter; None for none."""
    rows = session.scalars(select(Revision).where(Revision.loom_id == loom_id))
    return next((_state(row) for row in rows if letter(row.number) == name), None)


def of_loom(session: Session, loom_id: int) -> list[RevisionState]:
    """Every revision of a loom, the first one first."""
    rows = session.scalars(
        select(Revision).where(Revision.loom_id == loom_id).order_by(Revision.number)
    )
    return [_state(row) for row in rows]


def _state(revision: Revision) -> RevisionState:
    return RevisionState(
        revision.id, revision.number, letter(revision.number), revision.signed_off_at is not None
    )


def open_for_edit(session: Session, loom_id: int) -> int:
    """The revision that edits go to: the latest, or a copy of it when that is signed off."""
    current = latest(session, loom_id)
    if not current.signed_off:
        return current.id
    return copy_to(session, current.id, loom_id)


def copy_to(
    session: Session, from_revision_id: int, loom_id: int, person_id: int | None = None
) -> int:
    """Copy a revision to the next one of a loom, its own or another. Rows keep their uids."""
    newest = session.scalar(select(func.max(Revision.number)).where(Revision.loom_id == loom_id))
    revision = Revision(loom_id=loom_id, number=(newest or 0) + 1)
    session.add(revision)
    session.flush()
    for model in DESIGN_TABLES.values():
        columns = [
            column.name for column in model.__table__.columns if column.name != "revision_id"
        ]
        rows = session.execute(
            select(*(getattr(model, column) for column in columns)).where(
                model.revision_id == from_revision_id
            )
        ).mappings()
        values = [{"revision_id": revision.id, **row} for row in rows]
        if values:
            session.execute(insert(model), values)
    return revision.id


def freeze(session: Session, revision_id: int, person_id: int, figures: object) -> None:
    """Sign a revision off. From here on the database itself refuses changes to its rows."""
    revision = session.get_one(Revision, revision_id)
    revision.figures = figures
    revision.signed_off_by_id = person_id
    revision.signed_off_at = now()
    session.flush()
