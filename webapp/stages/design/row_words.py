"""The rows of a design in words: what a row is called, and each of its values with its label."""

from collections.abc import Callable
from dataclasses import fields
from typing import Any

from webapp.stages.building.parts import Parts
from webapp.stages.design.rows import (
    Basis,
    Bridge,
    Circuit,
    Crossing,
    Design,
    Fitting,
    Link,
    Need,
    Row,
    Run,
    Way,
    WireEnd,
)

NOTHING = "–"
# What the journal and the proposal keep about a row, not what it is.
KEEPING = ("uid", "position", "origin", "by_hand", "version")
UNITS = {
    "mm": "mm", "mm2": "mm²", "a": "A", "v": "V", "c": "°C", "s": "s", "percent": "%",
    "mohm": "mΩ", "ohm": "Ω",
}  # fmt: skip
LABELS = {
    "place_uid": "place", "control_place_uid": "controlled at", "second_place_uid": "second place",
    "relay_place_uid": "relay at", "switched_with_uid": "switched with",
    "also_with_uid": "also with", "apart_from_uid": "apart from", "from_place_uid": "from",
    "to_place_uid": "to", "covering_part_uid": "size of covering",
    "through_part_uid": "fitted with",
    "bend_at_mm": "tightest bend at", "bend_radius_mm": "radius of the bend",
    "supply_place_uid": "supply at", "isolator_place_uid": "isolator at",
    "fuse_board_place_uid": "fuse board at", "plug_place_uids": "plugs at", "mate_uid": "mate",
    "run_uid": "on run", "along_run_uid": "along run", "along_mm": "along the run by",
    "way_a_uid": "way", "way_b_uid": "other way", "need_uid": "need", "load_a": "load",
    "fuse_a": "fuse-link", "fuse_kind": "kind of fuse-link", "fuse_part_uid": "fuse-link part",
    "max_fuse_a": "largest fuse-link", "csa_mm2": "conductor", "circuit_uid": "circuit",
    "from_way_uid": "from", "to_way_uid": "to", "cable_part_uid": "cable", "cable_uid": "core of",
    "terminal_part_uid": "terminal", "shrink_part_uid": "heat-shrink",
    "shrink_mm": "heat-shrink, length", "strip_mm": "strip", "loose_mm": "left loose",
    "allowance_mm": "allowance", "max_a": "largest current", "takes": "wires it takes",
    "heat_at_v": "heat reckoned at", "drop_at_v": "drop reckoned at",
    "supply_mohm_new": "supply, new", "supply_mohm_old_cold": "supply, old and cold",
    "limit_c": "insulation's limit", "min_section_mm2": "least section", "surround_c": "around it",
    "ambient_c": "air", "length_mm": "length", "plus_minus_mm": "plus or minus",
    "max_drop_percent": "largest drop", "lengths_mm": "lengths set by hand", "on_s": "on for",
    "off_s": "off for", "inrush_a": "inrush", "inrush_s": "inrush lasts",
    "rated_at_v": "rated at", "resistance_ohm": "resistance",
}  # fmt: skip


def label(field: str) -> str:
    """What a field is called on a page."""
    return LABELS.get(field) or field.removesuffix("_part_uid").removesuffix("_uid").replace(
        "_", " "
    )


def facts(design: Design, parts: Parts, row: Row, *leave_out: str) -> dict[str, str]:
    """Every value of a row in words, by its label; what is the row's own to say, not its keeping.

    Args:
        leave_out: Names of fields that are said elsewhere.
    """
    told = {
        label(item.name): value_words(design, parts, item.name, getattr(row, item.name))
        for item in fields(row)
        if item.name not in (*KEEPING, *leave_out)
    }
    if isinstance(row, Need):
        told["rating"] = f"{told['rating']} {told.pop('rating unit')}"
    return told


def value_words(design: Design, parts: Parts, field: str, value: Any) -> str:
    """One value as a person reads it, with its unit; what points at a row by the row's name."""
    if value is None or value == "":
        return NOTHING
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        words = [value_words(design, parts, field.removesuffix("s"), one) for one in value]
        return ", ".join(words) or "none"
    if isinstance(value, dict):
        return ", ".join(f"{key}: {number(one)} mm" for key, one in value.items()) or "none"
    if isinstance(value, int | float):
        unit = UNITS.get(next((w for w in reversed(field.split("_")) if w in UNITS), ""), "")
        return f"{number(value)} {unit}".strip()
    if field == "route":
        return run_name(design, design.run[value]) if value in design.run else "a run that is gone"
    if field.endswith("part_uid"):
        return parts[value].name if value in parts else "a part that is gone"
    if field.endswith("_uid"):
        return pointed_at(design, field, value)
    return str(value)


def number(value: float) -> str:
    """3520 -> 3,520 and 2.50 -> 2.5."""
    return f"{value:,.6f}".rstrip("0").rstrip(".")


# Which table a field points into, by the end of its name; the longest that fits.
POINTS_INTO = {
    "place_uid": "place", "run_uid": "run", "way_uid": "way", "way_a_uid": "way",
    "way_b_uid": "way", "fitting_uid": "fitting", "mate_uid": "fitting", "need_uid": "need",
    "with_uid": "need", "from_uid": "need", "circuit_uid": "circuit", "cable_uid": "cable",
    "link_uid": "link",
}  # fmt: skip


def pointed_at(design: Design, field: str, uid: str) -> str:
    """The name of the row that a field points at."""
    ends = [end for end in POINTS_INTO if field == end or field.endswith(f"_{end}")]
    table = POINTS_INTO[max(ends, key=len)] if ends else ""
    row = design.table(table).get(uid) if table else None
    return "one that is gone" if row is None else row_name(design, row)


def run_name(design: Design, run: Run) -> str:
    """battery box – helm."""
    ends = (run.from_place_uid, run.to_place_uid)
    return " – ".join(design.place[uid].name if uid in design.place else "?" for uid in ends)


def row_name(design: Design, row: Row) -> str:
    """What a row is called where it is not seen in its table."""
    namer = NAMERS.get(type(row))
    return namer(design, row) if namer else str(getattr(row, "name", row.uid))


def _bridge_name(design: Design, bridge: Bridge) -> str:
    fitting = design.fitting[bridge.fitting_uid].name
    ways = (design.way[uid].label for uid in (bridge.way_a_uid, bridge.way_b_uid))
    return f"{fitting} · {' to '.join(ways)}"


def _crossing_name(design: Design, crossing: Crossing) -> str:
    return f"wire {design.link[crossing.link_uid].number} at {design.way_name(crossing.way_a_uid)}"


def _end_name(design: Design, end: WireEnd) -> str:
    return f"an end of wire {design.link[end.link_uid].number}"


def _fitting_name(design: Design, fitting: Fitting) -> str:
    return fitting.name


def _way_name(design: Design, way: Way) -> str:
    return design.way_name(way.uid)


def _circuit_name(design: Design, circuit: Circuit) -> str:
    return f"{circuit.number} {circuit.name}"


def _link_name(design: Design, link: Link) -> str:
    return f"wire {link.number}"


def _basis_name(design: Design, basis: Basis) -> str:
    return "What the sizing rests on"


NAMERS: dict[type[Row], Callable[[Design, Any], str]] = {
    Bridge: _bridge_name,
    Crossing: _crossing_name,
    WireEnd: _end_name,
    Fitting: _fitting_name,
    Way: _way_name,
    Circuit: _circuit_name,
    Link: _link_name,
    Basis: _basis_name,
    Run: run_name,
}
