"""What an edit is, how rows are changed in one, and how it is saved as one journalled command."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from sqlalchemy.orm import Session

from webapp.stages import catalogue as catalogues
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import commands, entry, revisions
from webapp.stages.design.commands import Change, Clash, difference
from webapp.stages.design.rows import TABLE_OF, Design, Removed, Row
from webapp.stages.refusals import NotThere

AnyRow = TypeVar("AnyRow", bound=Row)
NOT_SEEN = object()


@dataclass(frozen=True)
class Edit:
    """The design after an edit, the journal's sentence, and what else it brought with it."""

    design: Design
    sentence: str
    said: tuple[str, ...] = ()


Editing = Callable[[Design, Catalogue], Edit]


def save(
    session: Session,
    loom_id: int,
    editing: Editing,
    person_id: int | None,
    before: Design | None = None,
    parts: Catalogue | None = None,
) -> Edit:
    """Does an edit on the loom's latest revision, or on its next one when that is signed off.

    `before` is that revision, and `parts` the catalogue, where this transaction has read them
    already. The edit that is returned has the design as it is kept from here on.

    Raises:
        NotThere: no such loom or row.
        Refused: what was asked for cannot be done; nothing was written.
        Clash: somebody else changed the same value meanwhile; nothing was written.
    """
    before = before or entry.latest(session, loom_id)
    edit = editing(before, parts or catalogues.read(session))
    changes = [_counted(change) for change in difference(before, edit.design)]
    if changes:
        revision_id = revisions.open_for_edit(session, loom_id)
        commands.write(session, revision_id, edit.sentence, changes, person_id)
    return replace(edit, design=_as_kept(edit.design, changes))


def _as_kept(design: Design, changes: Iterable[Change]) -> Design:
    """The design as reading it anew would find it: changed rows one version on, tables in order."""
    tables: dict[str, dict[str, Row]] = {}
    for change in changes:
        if change.table == "basis":
            version = (change.after or {})["version"]
            design = replace(design, basis=replace(design.basis, version=version))
            continue
        rows = tables.setdefault(change.table, dict(design.table(change.table)))
        if change.after is not None:
            rows[change.uid] = replace(rows[change.uid], version=change.after["version"])
    ordered = {
        table: dict(sorted(rows.items(), key=lambda item: (item[1].position, item[0])))
        for table, rows in tables.items()
    }
    return replace(design, **ordered)  # type: ignore[arg-type]


def _counted(change: Change) -> Change:
    if change.before is None or change.after is None:
        return change
    return replace(change, after=change.after | {"version": change.before["version"] + 1})


def get(design: Design, table: str, uid: str) -> Any:
    """A row of the design; NotThere when it has none of that uid."""
    row = design.table(table).get(uid)
    if row is None:
        raise NotThere
    return row


def check_seen(field: str, seen: Any, current: Any, wanted: Any) -> None:
    """Raises Clash when the value that was seen is neither what stands nor what is wanted."""
    if seen is not NOT_SEEN and current not in (seen, wanted):
        raise Clash(field, seen, current, wanted)


def by_hand(row: AnyRow, **new: Any) -> AnyRow:
    """The row with values that a person sets: a proposal keeps them."""
    return replace(row, by_hand=tuple(sorted({*row.by_hand, *new})), **new)


def released(row: AnyRow, **new: Any) -> AnyRow:
    """The row with values that are worked out again from here on."""
    return replace(row, by_hand=tuple(name for name in row.by_hand if name not in new), **new)


def put(design: Design, *rows: Row) -> Design:
    """The design with these rows in place of those of the same uid, new ones at the end."""
    tables: dict[str, dict[str, Row]] = {}
    for row in rows:
        table = TABLE_OF[type(row)]
        tables.setdefault(table, dict(design.table(table)))[row.uid] = row
    return replace(design, **tables)  # type: ignore[arg-type]


def take(design: Design, table: str, uids: Iterable[str]) -> Design:
    """The design without these rows."""
    gone = set(uids)
    rows = {uid: row for uid, row in design.table(table).items() if uid not in gone}
    return replace(design, **{table: rows})  # type: ignore[arg-type]


def mark_removed(design: Design, rows: Iterable[tuple[Row, str]]) -> Design:
    """Markers for rows that a proposal made, so that the next one does not bring them back."""
    markers = [Removed(uid=row.uid, what=what) for row, what in rows if row.origin]
    return put(design, *markers) if markers else design


def next_position(rows: Iterable[Row]) -> int:
    return max((row.position for row in rows), default=0) + 1
