"""A new proposal against what is there: by hand is kept, removed stays removed, typed rows stay."""

from dataclasses import replace
from typing import Any

from webapp.stages.design.cables import SCREEN
from webapp.stages.design.proposal.builder import Builder
from webapp.stages.design.row_words import label
from webapp.stages.design.rows import Bridge, Design, Row, Way, WireEnd

# Tables in the order in which their rows rest on each other.
PROPOSED_TABLES = ("circuit", "fitting", "way", "bridge", "link")
RESTS_ON = {
    "way": ("fitting_uid",),
    "bridge": ("fitting_uid", "way_a_uid", "way_b_uid"),
    "link": ("circuit_uid", "from_way_uid", "to_way_uid"),
}


def merge(current: Design, builder: Builder) -> tuple[Design, list[str]]:
    """The proposed rows in place of the earlier proposal's, and sentences on what was kept."""
    kept: list[str] = []
    tables: dict[str, Any] = {}
    gone: set[str] = set(current.removed)
    for table in PROPOSED_TABLES:
        proposed: dict[str, Row] = getattr(builder, table)
        rows: dict[str, Row] = {}
        for uid, row in proposed.items():
            said: list[str] = []
            held = _with_hand(table, row, current, said)
            if uid in gone or _rests_on_gone(table, held, gone):
                gone.add(uid)
                if uid in current.removed:
                    kept.append(f"{current.removed[uid].what} stays removed.")
                continue
            rows[uid] = held
            kept += said
        for uid, row in current.table(table).items():
            if not row.origin and uid not in rows:
                rows[uid] = row
        tables[table] = rows
    _keep_plugs(current, tables)
    kept += _drop_dangling(current, tables)
    kept += _let_go(current, tables)
    design = replace(current, crossing=_own_crossings(current, tables), **tables)
    return _renumbered(design), kept


def _rests_on_gone(table: str, row: Row, gone: set[str]) -> bool:
    return any(getattr(row, column) in gone for column in RESTS_ON.get(table, ()))


def _with_hand(table: str, row: Row, current: Design, kept: list[str]) -> Row:
    """The proposed row with the fields that a person set on the one before."""
    before = current.table(table).get(row.uid)
    if before is None or not before.by_hand:
        return row if before is None else replace(row, version=before.version)
    values = {field: getattr(before, field) for field in before.by_hand}
    kept.append(f"{_name(before, current)}: {_words(before)} set by hand, kept.")
    return replace(row, by_hand=before.by_hand, version=before.version, **values)


def kept_ends(before: Design, after: Design) -> list[str]:
    """What was set by hand on wire ends that are still there."""
    return [
        f"Wire {after.link[row.link_uid].number}, {_end_name(after, row)}: {_words(row)} set by "
        f"hand, kept."
        for uid, row in before.wire_end.items()
        if row.by_hand and uid in after.wire_end
    ]


def _end_name(design: Design, row: WireEnd) -> str:
    link = design.link[row.link_uid]
    ends = {f"{link.uid}:from": link.from_way_uid, f"{link.uid}:to": link.to_way_uid}
    return f"at {design.way_name(ends[row.uid])}" if row.uid in ends else "at a plug"


def _name(row: Any, design: Design) -> str:
    """What a person knows it by: a fuse-link or a way by its fitting."""
    if isinstance(row, Bridge):
        return design.way_name(row.way_b_uid)
    if isinstance(row, Way):
        return design.way_name(row.uid)
    return str(getattr(row, "name", None) or f"Wire {row.number}")


def _keep_plugs(current: Design, tables: dict[str, Any]) -> None:
    """Plugs of the earlier proposal stay while a wire ends on one of their ways."""
    for link in tables["link"].values():
        for uid in (link.from_way_uid, link.to_way_uid):
            if uid in tables["way"] or uid not in current.way:
                continue
            half = current.fitting[current.way[uid].fitting_uid]
            if half.mate_uid is None:
                continue
            for each in (half, current.fitting[half.mate_uid]):
                tables["fitting"][each.uid] = each
                tables["way"] |= {way.uid: way for way in current.ways_of[each.uid]}


def _own_crossings(current: Design, tables: dict[str, Any]) -> dict[str, Any]:
    """Ways through plugs that were put in by hand, of the links that are still there."""
    return {
        uid: row
        for uid, row in current.crossing.items()
        if not row.origin
        and row.link_uid in tables["link"]
        and {row.way_a_uid, row.way_b_uid} <= tables["way"].keys()
    }


def _drop_dangling(current: Design, tables: dict[str, Any]) -> list[str]:
    """Typed rows that rested on a row of the earlier proposal which is no longer proposed."""
    said: list[str] = []
    for table, columns in RESTS_ON.items():
        for uid, row in list(tables[table].items()):
            for column in columns:
                target = getattr(row, column)
                where = "way" if "way" in column else column.removesuffix("_uid")
                if target is not None and target not in tables[where] and uid in tables[table]:
                    del tables[table][uid]
                    if not row.origin and table == "link":
                        lost = _lost(current, where, target)
                        said.append(
                            f"{_name(row, current)} was put in by hand and led to {lost}, which is "
                            f"no longer proposed: it is taken out."
                        )
    return said


def _lost(current: Design, table: str, uid: str) -> str:
    """What a row rested on, in the words of the design before."""
    row = current.table(table).get(uid)
    if row is None:
        return "something"
    if table == "way":
        return current.way_name(uid)
    return _name(row, current)


def _let_go(current: Design, tables: dict[str, Any]) -> list[str]:
    """What was set by hand on rows that no need asks for any more."""
    return [
        f"{_name(row, current)}: {_words(row)} was set by hand, but nothing asks for it any more."
        for table in ("circuit", "fitting", "bridge", "link")
        for uid, row in current.table(table).items()
        if row.origin
        and row.by_hand
        and uid not in tables[table]
        and uid not in current.removed
        and not _laid_later(row)
    ]


def _laid_later(row: Any) -> bool:
    """Plugs and screens come after the needs' own wires."""
    return getattr(row, "mate_uid", None) is not None or getattr(row, "core", "") == SCREEN


def _words(row: Row) -> str:
    return ", ".join(label(field) for field in row.by_hand)


def _renumbered(design: Design) -> Design:
    """Wire and circuit numbers are unique: a number set by hand keeps its owner."""
    return replace(
        design,
        link=_numbered(design.link),
        circuit=_numbered(design.circuit),
    )


def _numbered(rows: dict[str, Any]) -> dict[str, Any]:
    taken = {row.number for row in rows.values() if "number" in row.by_hand or not row.origin}
    numbered, following = {}, 0
    for uid, row in rows.items():
        if "number" in row.by_hand or not row.origin:
            numbered[uid] = row
            continue
        following = next(n for n in range(following + 1, 10**6) if n not in taken)
        numbered[uid] = replace(row, number=following)
    return numbered
