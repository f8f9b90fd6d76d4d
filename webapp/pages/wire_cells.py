"""The cells of a wire and of its ends: how each is read and which edit it makes."""

from collections.abc import Callable, Mapping
from typing import Any

from webapp.pages import cells
from webapp.pages.cells import UNREADABLE, Cell
from webapp.pages.forms import Form
from webapp.pages.wording import fine_mm, length_unit, with_unit
from webapp.stages.design.editing import ends, wires
from webapp.stages.design.editing.edit import Editing
from webapp.stages.design.names import key
from webapp.stages.design.rows import Design

YES_NO = (("1", "yes"), ("", "no"))
MOST_ALLOWANCE_MM = 20_000


def wire_cells(design: Design, link_uid: str, segment: int) -> dict[str, Cell]:
    """Every cell of one wire, by field."""
    code = design.basis.colour_code
    return {
        "number": Cell(
            cells.whole("The number", least=1, most=wires.MOST_NUMBER),
            lambda value, seen: wires.number(link_uid, value, seen),
        ),
        "main": Cell(_colour(code), _colour_edit(link_uid, "main")),
        "tracer": Cell(_colour(code), _colour_edit(link_uid, "tracer")),
        "csa_mm2": Cell(
            lambda form: _read_section(design, form),
            lambda value, seen: wires.section(link_uid, value[0], _first(seen), value[1]),
            lambda value: "" if value is None else f"{value:g} mm²",
        ),
        "length_mm": Cell(
            cells.mm("The length", least=10, most=wires.MOST_MM, needed=False),
            lambda value, seen: wires.length(link_uid, segment, value, seen),
            lambda value: "" if value is None else with_unit(value),
        ),
        "note": Cell(
            cells.text("The note", most=400, needed=False, lines=True),
            lambda value, seen: wires.note(link_uid, value, seen),
        ),
        "circuit_uid": Cell(
            cells.found("The circuit", circuits_by_name(design)),
            lambda value, seen: wires.circuit(link_uid, value, seen),
            lambda uid: design.circuit[uid].name if uid in design.circuit else "another",
        ),
        "cable_part_uid": Cell(
            cells.as_is, lambda value, seen: wires.cable(link_uid, value or None, _none(seen))
        ),
        "route": Cell(
            _read_route, lambda value, seen: wires.route(link_uid, value, seen), _route_words
        ),
        "starter_cable": Cell(_yes, _flag(link_uid, "starter_cable"), _yes_words),
        "own_lead": Cell(_yes, _flag(link_uid, "own_lead"), _yes_words),
        "from": Cell(cells.as_is, _goes_to(design, link_uid, "from"), _way_words(design)),
        "to": Cell(cells.as_is, _goes_to(design, link_uid, "to"), _way_words(design)),
    }


def end_cells(end_uid: str) -> dict[str, Cell]:
    """Every cell of one end, by field."""

    def cell(name: str, read: Callable[[Form], None]) -> Cell:
        return Cell(read, lambda value, seen: ends.field(end_uid, name, value, seen), _shown)

    return {
        "terminal_part_uid": cell("terminal_part_uid", _read_part),
        "shrink_part_uid": cell("shrink_part_uid", _read_part),
        "shrink_mm": cell(
            "shrink_mm", _or_chosen(cells.mm("It", least=1, most=1000, needed=False))
        ),
        "strip_mm": cell("strip_mm", _or_chosen(_read_strip)),
        "solder": cell("solder", _read_solder),
        "allowance_mm": cell(
            "allowance_mm",
            _or_chosen(cells.mm("The allowance", least=0, most=MOST_ALLOWANCE_MM, needed=False)),
        ),
        "loose_mm": cell(
            "loose_mm", cells.mm("The length left loose", least=10, most=MOST_ALLOWANCE_MM)
        ),
        "tag": cell("tag", _or_chosen(cells.text("The tag", most=40, needed=False))),
    }


def circuits_by_name(design: Design) -> dict[str, str]:
    """Circuits by name, and by number."""
    by_number = {str(each.number): each.uid for each in design.circuit.values()}
    return by_number | {key(each.name): each.uid for each in design.circuit.values()}


def _colour(code: str) -> Callable[[Form], None]:
    def read(form: Form) -> None:
        form.values["value"] = wires.read_colour(code, form.typed("value"))

    return read


def _colour_edit(link_uid: str, field: str) -> Callable[[Any, Any], Editing]:
    return lambda value, seen: wires.colour(link_uid, field, value, seen)


def _read_section(design: Design, form: Form) -> None:
    form.values["value"] = wires.read_section(design, form.typed("value"))


def _first(seen: Any) -> Any:
    return seen[0] if isinstance(seen, tuple) else seen


def _none(seen: Any) -> Any:
    return seen if seen is UNREADABLE else seen or None


def _read_route(form: Form) -> None:
    typed = form.typed("value").strip()
    if not typed:
        form.values["value"] = None
    else:
        form.values["value"] = () if typed == "-" else tuple(typed.split(","))


def _route_words(value: Any) -> str:
    return "the shortest way" if value is None else "another route"


def _yes(form: Form) -> None:
    form.yes("value")


def _yes_words(value: Any) -> str:
    return "yes" if value else "no"


def _flag(link_uid: str, field: str) -> Callable[[Any, Any], Editing]:
    return lambda value, seen: wires.flag(link_uid, field, value, seen)


def _goes_to(design: Design, link_uid: str, side: str) -> Callable[[Any, Any], Editing]:
    """A way's uid, or loose:<place uid>."""

    def editing(value: str, seen: Any) -> Editing:
        was = None if isinstance(seen, str) and seen.startswith("loose:") else seen
        if value.startswith("loose:"):
            return ends.to_loose(link_uid, side, value.removeprefix("loose:"), was)
        return ends.to_way(link_uid, side, value, was)

    return editing


def _way_words(design: Design) -> Callable[[Any], str]:
    return lambda uid: design.way_name(uid) if uid is None or uid in design.way else "another way"


def _read_part(form: Form) -> None:
    """A part's uid; `none` for no part; empty to have it chosen."""
    typed = form.typed("value").strip()
    form.values["value"] = None if typed == "none" else typed or ends.CHOSEN


def _or_chosen(read: Callable[[Form], None]) -> Callable[[Form], None]:
    def reading(form: Form) -> None:
        read(form)
        if form.values.get("value") in (None, ""):
            form.values["value"] = ends.CHOSEN

    return reading


def _read_strip(form: Form) -> None:
    form.fine_mm("value", "The strip length", most=100, needed=False)


def _read_solder(form: Form) -> None:
    typed = form.typed("value").strip()
    known: Mapping[str, Any] = {"1": True, "0": False, "": ends.CHOSEN}
    if typed not in known:
        form.refuse("value", "Soldered: choose one from the list.")
    form.values["value"] = known.get(typed)


def _shown(value: Any) -> str:
    if value == ends.CHOSEN:
        return "what is proposed"
    if isinstance(value, float):
        return f"{fine_mm(value)} {length_unit()}"
    return with_unit(value) if type(value) is int else str(value)
