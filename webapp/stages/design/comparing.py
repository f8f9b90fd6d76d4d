"""Two revisions of a loom side by side: what was added, removed and changed, value by value.

Pure: two designs in, plain values out. Rows are joined on their uids, which survive from revision
to revision; wires are derived, so theirs is the link's and the segment.
"""

import hashlib
import json
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from typing import Any

from webapp.stages.building.parts import Parts
from webapp.stages.building.wire_colours import letters
from webapp.stages.design.fused import Fused
from webapp.stages.design.row_words import KEEPING, NOTHING, facts, row_name
from webapp.stages.design.rows import ROW_TYPES, Bridge, Design, Row, row_values
from webapp.stages.design.wires import End, Wire, wires

ADDED, REMOVED, CHANGED = "added", "removed", "changed"


@dataclass(frozen=True)
class Value:
    """One value that differs, as it was and as it is."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class RowDifference:
    """A row that differs. `before` is None where it was added, `after` where it was removed."""

    uid: str
    name: str
    what: str
    before: Row | None
    after: Row | None
    values: tuple[Value, ...]


@dataclass(frozen=True)
class WireDifference:
    """A wire that differs. `values` of an added or removed one is what it is, or was."""

    uid: str
    number: str
    what: str
    before: Wire | None
    after: Wire | None
    values: tuple[Value, ...]


@dataclass(frozen=True)
class Section:
    title: str
    rows: tuple[RowDifference, ...]


@dataclass(frozen=True)
class Comparison:
    wires: tuple[WireDifference, ...]
    sections: tuple[Section, ...]

    @property
    def empty(self) -> bool:
        return not self.wires and not self.sections

    def counted(self, what: str) -> int:
        """How many wires were added, removed or changed."""
        return sum(1 for wire in self.wires if wire.what == what)


def compare(before: Design, after: Design, parts: Parts) -> Comparison:
    """What leads from one design to the other. A design compared with itself gives nothing."""
    if before == after:
        return Comparison((), ())
    sections = (
        Section(title, tuple(_rows(before, after, parts, table, wanted)))
        for title, table, wanted in SECTIONS
    )
    return Comparison(
        wires=_wires(before, after, parts),
        sections=tuple(section for section in sections if section.rows),
    )


# --- wires ----------------------------------------------------------------------------------------


def _wires(before: Design, after: Design, parts: Parts) -> tuple[WireDifference, ...]:
    old, new = _told(before, parts), _told(after, parts)
    found = []
    for uid in [*new, *(uid for uid in old if uid not in new)]:
        was, was_told = old.get(uid, (None, None))
        now, now_told = new.get(uid, (None, None))
        wire = now or was
        values = _differing(was_told, now_told)
        if values and wire is not None:
            order = (wire.link.number, wire.link.uid, wire.segment)
            what = _what(was, now)
            found.append((order, WireDifference(uid, wire.number, what, was, now, values)))
    return tuple(difference for _, difference in sorted(found, key=lambda one: one[0]))


def _told(design: Design, parts: Parts) -> dict[str, tuple[Wire, dict[str, str]]]:
    fused = Fused(design)
    return {wire.uid: (wire, wire_facts(design, parts, fused, wire)) for wire in wires(design)}


def wire_facts(design: Design, parts: Parts, fused: Fused, wire: Wire) -> dict[str, str]:
    """All that a wire is, in words by label: conductor, colour, length, ends, route, fuse-link."""
    link = wire.link
    told = {"number": wire.number, "colour": letters(design, link) or NOTHING}
    told["length"] = NOTHING if wire.length_mm is None else f"{wire.length_mm:,} mm"
    told["fuse-link"] = _fuse_words(fused.fuse_a(link))
    route = None if wire.route is None else [design.run[uid] for uid in wire.route]
    if route is None:
        told["route"] = "not routed"
    else:
        told["route"] = ", ".join(row_name(design, run) for run in route) or "at one place"
    told |= facts(
        design, parts, link, "number", "main", "tracer", "route", "lengths_mm", "from_way_uid",
        "to_way_uid",
    )  # fmt: skip
    for side, end in (("left end", wire.left), ("right end", wire.right)):
        told |= _end_facts(design, parts, side, end)
    return told


def _end_facts(design: Design, parts: Parts, side: str, end: End) -> dict[str, str]:
    made = facts(design, parts, end.made, "link_uid")
    return {f"{side}, to": design.way_name(end.way_uid)} | {
        f"{side}, {name}": value for name, value in made.items()
    }


def _fuse_words(rating_a: float | None) -> str:
    if rating_a is None:
        return NOTHING
    return "none before it" if math.isinf(rating_a) else f"{rating_a:g} A"


# --- rows -----------------------------------------------------------------------------------------


def _is_fuse(row: Any) -> bool:
    return isinstance(row, Bridge) and row.kind == "fuse"


def _any_row(row: Any) -> bool:
    return True


# Links, wire ends and crossings are told with the wires; markers of removed rows say nothing new.
SECTIONS: tuple[tuple[str, str, Callable[[Any], bool]], ...] = (
    ("Fittings", "fitting", _any_row),
    ("Fuse-links", "bridge", _is_fuse),
    ("Circuits", "circuit", _any_row),
    ("Runs", "run", _any_row),
    ("Cables", "cable", _any_row),
    ("Needs", "need", _any_row),
    ("Places", "place", _any_row),
    ("Ways of fittings", "way", _any_row),
    ("Inside fittings", "bridge", lambda row: not _is_fuse(row)),
    ("Basis", "basis", _any_row),
)


def _rows(
    before: Design, after: Design, parts: Parts, table: str, wanted: Callable[[Any], bool]
) -> Iterable[RowDifference]:
    old = {uid: row for uid, row in _joined(before, table).items() if wanted(row)}
    new = {uid: row for uid, row in _joined(after, table).items() if wanted(row)}
    for uid in [*new, *(uid for uid in old if uid not in new)]:
        was, now = old.get(uid), new.get(uid)
        values = _differing(
            facts(before, parts, was) if was else None, facts(after, parts, now) if now else None
        )
        if values:
            name = row_name(after, now) if now else row_name(before, was or before.basis)
            yield RowDifference(uid, name, _what(was, now), was, now, values)


def _joined(design: Design, table: str) -> Mapping[str, Row]:
    """The basis is one row a revision, whatever its uid."""
    return {"basis": design.basis} if table == "basis" else design.table(table)


def _what(before: object, after: object) -> str:
    return ADDED if before is None else REMOVED if after is None else CHANGED


def _differing(
    before: Mapping[str, str] | None, after: Mapping[str, str] | None
) -> tuple[Value, ...]:
    old, new = before or {}, after or {}
    labels = [*new, *(label for label in old if label not in new)]
    pairs = ((label, old.get(label, NOTHING), new.get(label, NOTHING)) for label in labels)
    return tuple(Value(*pair) for pair in pairs if pair[1] != pair[2])


# --- is it the same design? -----------------------------------------------------------------------


def fingerprint(design: Design) -> str:
    """The same text for two designs that ask for the same loom, whoever typed them and in what
    order. Values that a row starts from do not count, so that a new column changes nothing."""
    told: dict[str, Any] = {
        "supply": [design.nominal_v, design.polarity, design.setting],
        **{
            table: sorted(
                ([uid, _content(row)] for uid, row in _joined(design, table).items()),
                key=lambda one: str(one[0]),
            )
            for table in ROW_TYPES
            if table != "removed"
        },
    }
    text = json.dumps(told, sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _content(row: Row) -> dict[str, Any]:
    values = row_values(row)
    return {
        item.name: values[item.name]
        for item in fields(row)
        if item.name not in KEEPING and getattr(row, item.name) != _first_value(item)
    }


def _first_value(item: Any) -> Any:
    return item.default_factory() if item.default_factory is not MISSING else item.default
