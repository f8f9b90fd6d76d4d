"""The cells of a fitting, of what lies inside it, and of wires through a plug."""

from typing import Any

from webapp.pages import cells
from webapp.pages.cells import Cell
from webapp.pages.forms import Form, as_typed
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import runs
from webapp.stages.design.editing import ends, fittings, lying, ways
from webapp.stages.design.names import key
from webapp.stages.design.rows import Design

MOST_A = 10_000


def fitting_cells(design: Design, catalogue: Catalogue, uid: str) -> dict[str, Cell]:
    """Every cell of one fitting, by field."""
    places = {key(place.name): place.uid for place in design.place.values()}
    return {
        "name": Cell(
            cells.text("The name", most=80),
            lambda value, seen: fittings.field(uid, "name", value, seen),
        ),
        "note": Cell(
            cells.text("The note", most=400, needed=False),
            lambda value, seen: fittings.field(uid, "note", value, seen),
        ),
        "supplied_by": Cell(
            cells.as_is, lambda value, seen: fittings.field(uid, "supplied_by", value, seen)
        ),
        "place_uid": Cell(
            cells.found("The place", places),
            lambda value, seen: fittings.move(uid, value, seen),
            lambda place: design.place[place].name if place in design.place else "another place",
        ),
        "part_uid": Cell(
            cells.as_is,
            lambda value, seen: fittings.other_part(uid, value, seen or None),
            lambda part: catalogue.parts[part].name if part in catalogue.parts else "another part",
        ),
        "along_run_uid": Cell(
            cells.as_is,
            lambda value, seen: lying.into_run(uid, value, seen),
            lambda run: runs.name(design, design.run[run]) if run in design.run else "its place",
        ),
        "along_mm": Cell(
            cells.mm("The distance", least=0, most=runs.MOST_MM, needed=False),
            lambda value, seen: lying.set_back(uid, value, seen),
        ),
        "contact": Cell(cells.as_is, lambda value, seen: ways.contact(uid, None, value, seen)),
        "blanked": Cell(
            _read_yes, lambda value, seen: lying.blanked(uid, value, seen), _blanked_words
        ),
    }


def _read_yes(form: Form) -> None:
    form.values["value"] = form.typed("value").strip() == "yes"


def _blanked_words(blanked: Any) -> str:
    return "blanked" if blanked else "left open"


def inside_cells(bridge_uid: str) -> dict[str, Cell]:
    """The fuse-link and the current between two ways of a fitting."""
    return {
        "fuse_a": Cell(
            cells.amps("The fuse-link", most=MOST_A, needed=False),
            lambda value, seen: fittings.fuse(bridge_uid, value, seen),
            _amps,
        ),
        "load_a": Cell(
            cells.amps("The current", most=MOST_A, needed=False),
            lambda value, seen: fittings.load_current(bridge_uid, value, seen),
            _amps,
        ),
    }


def _amps(value: Any) -> str:
    return "" if value is None else f"{as_typed(value)} A"


def way_cells(fitting_uid: str, way_uid: str) -> dict[str, Cell]:
    """The contact of a way that grew from the wires that name it."""
    return {
        "contact": Cell(
            cells.as_is, lambda value, seen: ways.contact(fitting_uid, way_uid, value, seen)
        )
    }


def through_cells(crossing_uid: str) -> dict[str, Cell]:
    """The way of a plug that a wire goes through: half's uid and label."""
    return {
        "way": Cell(
            _read_way,
            lambda value, seen: ends.plug_way(crossing_uid, value[0], value[1], seen),
            lambda value: f"way {value[1]}" if isinstance(value, tuple) else "another way",
        )
    }


def _read_way(form: Form) -> None:
    half, sign, label = form.typed("value").partition("|")
    if not sign:
        form.refuse("value", "Choose a way from the list.")
    form.values["value"] = (half, label)
