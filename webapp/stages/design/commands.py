"""Every write to a design is one journalled command: rows before and after. Undo replays it."""

import secrets
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import delete, func, insert, select, update
from sqlalchemy.orm import Session, defer

from webapp.records.design import DESIGN_TABLES, DesignCommand, Revision
from webapp.stages.design.rows import (
    ROW_TYPES,
    TABLE_OF,
    Design,
    Row,
    load,
    row_values,
)
from webapp.stages.refusals import Refused


class Clash(Exception):
    """Somebody else changed the same field since it was read."""

    def __init__(self, field: str, seen: Any, current: Any, wanted: Any) -> None:
        super().__init__(f"{field} was {seen!r} when you read it and is {current!r} now")
        self.field, self.seen, self.current, self.wanted = field, seen, current, wanted


@dataclass(frozen=True)
class Change:
    """One row before and after a command; None where it did not or does not exist."""

    table: str
    uid: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


def new_uid() -> str:
    return secrets.token_hex(5)


def added(row: Row) -> Change:
    return Change(TABLE_OF[type(row)], row.uid, None, row_values(row))


def removed(row: Row) -> Change:
    return Change(TABLE_OF[type(row)], row.uid, row_values(row), None)


def changed(row: Row, *, by_hand: bool = True, **new: Any) -> Change:
    """`row` with new values. What a person sets is listed in by_hand, so proposals keep it."""
    marks = {*row.by_hand, *new} if by_hand else {*row.by_hand}
    after = replace(row, **new, by_hand=tuple(sorted(marks)), version=row.version + 1)
    return Change(TABLE_OF[type(row)], row.uid, row_values(row), row_values(after))


def write(
    session: Session,
    revision_id: int,
    sentence: str,
    changes: Iterable[Change],
    person_id: int | None,
    **links: int,
) -> int | None:
    """Apply the changes and journal them. Returns the entry's id, or None when nothing changes."""
    real = [change for change in changes if change.before != change.after]
    if not real:
        return None
    if session.get_one(Revision, revision_id).signed_off_at is not None:
        raise Refused("", "This revision is signed off for the bench and cannot be changed.")
    for change in real:
        _apply(session, revision_id, change)
    entry = DesignCommand(
        revision_id=revision_id,
        sentence=sentence,
        changes=[[c.table, c.uid, c.before, c.after] for c in real],
        person_id=person_id,
        **links,
    )
    session.add(entry)
    session.flush()
    return entry.id


def _apply(session: Session, revision_id: int, change: Change) -> None:
    model = DESIGN_TABLES[change.table]
    here = (model.revision_id == revision_id) & (model.uid == change.uid)
    if change.after is None:
        session.execute(delete(model).where(here))
    elif change.before is None:
        session.execute(insert(model).values(revision_id=revision_id, **change.after))
    else:
        before = change.before
        new = {name: value for name, value in change.after.items() if value != before[name]}
        session.execute(update(model).where(here).values(**new))


def set_fields(
    session: Session,
    revision_id: int,
    table: str,
    uid: str,
    wanted: dict[str, Any],
    seen: dict[str, Any],
    person_id: int | None,
    sentence: str,
) -> None:
    """Set fields that were read as `seen`. A field that has changed since raises Clash."""
    design = load(session, revision_id)
    row = design.table(table).get(uid)
    if row is None:
        raise Refused("", "This row is no longer there: somebody has removed it.")
    for field, value in wanted.items():
        current = getattr(row, field)
        if field in seen and current not in (seen[field], value):
            raise Clash(field, seen[field], current, value)
    new = {field: value for field, value in wanted.items() if getattr(row, field) != value}
    write(session, revision_id, sentence, [changed(row, **new)] if new else [], person_id)


def _stacks(session: Session, revision_id: int) -> tuple[list[DesignCommand], list[DesignCommand]]:
    entries = session.scalars(
        select(DesignCommand)
        # What a command changed is read only of the one that is replayed: a proposal's is long.
        .options(defer(DesignCommand.changes))
        .where(DesignCommand.revision_id == revision_id)
        .order_by(DesignCommand.id)
    )
    done: list[DesignCommand] = []
    undone: list[DesignCommand] = []
    for entry in entries:
        if entry.undoes_id is not None:
            undone.append(done.pop())
        elif entry.redoes_id is not None:
            done.append(undone.pop())
        else:
            done.append(entry)
            undone.clear()
    return done, undone


def last_id(session: Session, revision_id: int) -> int:
    """The number of the last command, 0 for none: tells whether a design changed meanwhile."""
    newest = select(func.max(DesignCommand.id)).where(DesignCommand.revision_id == revision_id)
    return session.scalar(newest) or 0


def next_undo(session: Session, revision_id: int) -> str | None:
    """The sentence of what undo would take back."""
    done, _ = _stacks(session, revision_id)
    return done[-1].sentence if done else None


def next_redo(session: Session, revision_id: int) -> str | None:
    _, undone = _stacks(session, revision_id)
    return undone[-1].sentence if undone else None


def undo(session: Session, revision_id: int, person_id: int | None) -> str:
    done, _ = _stacks(session, revision_id)
    if not done:
        raise Refused("", "There is nothing to undo in this revision.")
    last = done[-1]
    changes = [
        Change(table, uid, after, before) for table, uid, before, after in reversed(last.changes)
    ]
    write(session, revision_id, f"Undo: {last.sentence}", changes, person_id, undoes_id=last.id)
    return last.sentence


def redo(session: Session, revision_id: int, person_id: int | None) -> str:
    _, undone = _stacks(session, revision_id)
    if not undone:
        raise Refused("", "There is nothing to redo in this revision.")
    last = undone[-1]
    changes = [Change(*change) for change in last.changes]
    write(session, revision_id, f"Redo: {last.sentence}", changes, person_id, redoes_id=last.id)
    return last.sentence


def difference(before: Design, after: Design) -> list[Change]:
    """The changes that lead from one design to another."""
    changes = []
    for table in ROW_TYPES:
        old, new = before.table(table), after.table(table)
        for uid in old.keys() | new.keys():
            if old.get(uid) == new.get(uid):
                continue
            change = Change(
                table,
                uid,
                row_values(old[uid]) if uid in old else None,
                row_values(new[uid]) if uid in new else None,
            )
            if change.before != change.after:
                changes.append(change)
    return changes
