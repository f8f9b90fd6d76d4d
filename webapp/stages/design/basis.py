"""What the sizing rests on: where the supply sits, its voltages, the standards followed."""

from collections.abc import Collection, Iterator
from typing import Any

from webapp.sizing.capacity import standards
from webapp.sizing.colours import colour_codes
from webapp.sizing.conductors import (
    CLASS_5,
    DEFAULT_INSULATION,
    FINISHES,
    INSULATIONS,
    VEHICLE,
)
from webapp.sizing.reasons import EXTRA_LOW_VOLTAGE_LIMIT_V
from webapp.stages.design.names import Names, place_name
from webapp.stages.design.rows import Basis, Design

STANDARDS = tuple((each.id, each.title) for each in standards())
COLOUR_CODES = colour_codes()
CABLE_KINDS = (
    (VEHICLE, "vehicle cable (ISO 6722)"),
    (CLASS_5, "flexible cable (IEC 60228 class 5)"),
)
CABLE_FINISHES = tuple((finish, f"{finish} copper") for finish in FINISHES)
INSULATION_NAMES = {
    "pvc": "PVC",
    "pvc-thin": "PVC, thin wall",
    "xlpe": "XLPE",
    "xlpe-thin": "XLPE, thin wall",
}
CABLE_INSULATIONS = tuple((each, INSULATION_NAMES.get(each, each)) for each in INSULATIONS)
TERMINAL_FINISHES = ("crimp only", "crimp, then solder the barrel")
FUSE_SHARING = (
    ("own", "one for each circuit"),
    ("by place", "shared by circuits controlled at one place"),
)
PLACES = ("supply_place", "isolator_place", "fuse_board_place")
MOST_MOHM = 10_000.0
COLDEST_C, HOTTEST_C = -40.0, 150.0
LEAST_LIMIT_C, MOST_LIMIT_C = 60.0, 260.0
LEAST_SECTION_MM2, MOST_SECTION_MM2 = 0.1, 120.0

# The row's uid, the field, and a sentence.
Problem = tuple[str, str, str]


def values(design: Design, basis: Basis) -> dict[str, Any]:
    """The basis as it is typed: places by name."""
    return {
        **{place: place_name(design, getattr(basis, f"{place}_uid")) for place in PLACES},
        "plug_places": [place_name(design, uid) for uid in basis.plug_place_uids],
        "battery": basis.battery,
        "supply_mohm_new": basis.supply_mohm_new,
        "supply_mohm_old_cold": basis.supply_mohm_old_cold,
        "heat_at_v": basis.heat_at_v,
        "drop_at_v": basis.drop_at_v,
        "ambient_c": basis.ambient_c,
        "standard": basis.standard,
        "colour_code": basis.colour_code,
        "cable_kind": basis.cable_kind,
        "cable_finish": basis.cable_finish,
        "insulation": basis.insulation,
        "limit_c": basis.limit_c,
        "min_section_mm2": basis.min_section_mm2,
        "terminal_finish": basis.terminal_finish,
        "fuse_sharing": basis.fuse_sharing,
    }


def columns(changed: dict[str, Any], whole: dict[str, Any], names: Names) -> dict[str, Any]:
    """What the table keeps of what was typed. A change of cable brings its own insulation."""
    kept = dict(changed)
    for place in PLACES:
        if place in kept:
            kept[f"{place}_uid"] = names.place_if_any(kept.pop(place))
    if "plug_places" in kept:
        found = dict.fromkeys(names.place(name) for name in kept.pop("plug_places"))
        kept["plug_place_uids"] = tuple(found)
    if "cable_kind" in kept and "insulation" not in kept:
        kept["insulation"] = DEFAULT_INSULATION[kept["cable_kind"]]
    return kept


def problems(design: Design, uids: Collection[str]) -> Iterator[Problem]:
    """What is wrong with the basis in the design as it would be."""
    for uid in uids:
        for field, sentence in _problems(design.basis):
            yield uid, field, sentence


def _problems(basis: Basis) -> Iterator[tuple[str, str]]:
    for field, value in (("heat_at_v", basis.heat_at_v), ("drop_at_v", basis.drop_at_v)):
        if value > EXTRA_LOW_VOLTAGE_LIMIT_V:
            limit = f"{EXTRA_LOW_VOLTAGE_LIMIT_V:g} V DC"
            yield field, f"Looms are designed here up to {limit}; above that other rules hold."
    if basis.drop_at_v > basis.heat_at_v:
        yield "drop_at_v", "The discharged voltage cannot be above the charging voltage."
    if basis.supply_mohm_old_cold < basis.supply_mohm_new:
        yield (
            "supply_mohm_old_cold",
            "An old, cold battery has no less resistance than a new, warm one.",
        )


def uses(design: Design, uid: str) -> list[str]:
    """The basis is never taken out."""
    return []
