"""What a line of the list holds: each wire of a design as values by column, and as text."""

import csv
import io
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from webapp.stages.design.csv_out import Cell, cell, table_text
from webapp.stages.design.names import place_name
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End, Wire, start_place, travelled, wires

# What both ends have; their columns begin with from_ or to_.
END_COLUMNS = (
    "place",
    "fitting",
    "way",
    "contact",
    "loose_mm",
    "terminal",
    "strip_mm",
    "solder",
    "heat_shrink",
    "heat_shrink_mm",
    "allowance_mm",
    "tag",
)
# What the rows of the design call it.
END_ROW_FIELDS = {
    "loose_mm": "loose_mm",
    "terminal": "terminal_part_uid",
    "strip_mm": "strip_mm",
    "solder": "solder",
    "heat_shrink": "shrink_part_uid",
    "heat_shrink_mm": "shrink_mm",
    "allowance_mm": "allowance_mm",
    "tag": "tag",
}
SIDES = ("from", "to")
LEADING = ("number", "circuit_number", "circuit", "service")
WIRE = (
    "route",
    "section_mm2",
    "main",
    "tracer",
    "cable_part",
    "length_by_hand_mm",
    "starter_cable",
    "own_lead",
    "cable",
    "cable_kind",
    "cable_of_part",
    "core",
    "note",
)
COLUMNS = (
    *LEADING,
    *(f"{side}_{name}" for side in SIDES for name in END_COLUMNS[:3]),
    *WIRE,
    *(f"{side}_{name}" for side in SIDES for name in END_COLUMNS[3:]),
)
LABELS = {
    "number": "Number",
    "circuit_number": "Circuit's number",
    "circuit": "Circuit",
    "service": "Service",
    "route": "Route",
    "section_mm2": "Section",
    "main": "Main colour",
    "tracer": "Tracer",
    "cable_part": "Cable",
    "length_by_hand_mm": "Length by hand",
    "starter_cable": "Starter cable",
    "own_lead": "Customer's own lead",
    "cable": "Laid in",
    "cable_kind": "Laid as",
    "cable_of_part": "Cable that it is laid in",
    "core": "Core",
    "note": "Note",
    **{
        f"{side}_{name}": f"{side.capitalize()}: {words}"
        for side in SIDES
        for name, words in {
            "place": "place",
            "fitting": "fitting",
            "way": "way",
            "contact": "contact",
            "loose_mm": "left loose",
            "terminal": "terminal",
            "strip_mm": "strip",
            "solder": "soldered",
            "heat_shrink": "heat-shrink",
            "heat_shrink_mm": "heat-shrink cut",
            "allowance_mm": "allowance",
            "tag": "tag",
        }.items()
    },
}


@dataclass
class WireLine:
    """A line as it was read: only the columns that the list has. `refused` says why it cannot be
    taken in."""

    at: int
    uid: str
    values: dict[str, Any]
    refused: list[tuple[str, str]] = field(default_factory=list)
    look: list[str] = field(default_factory=list)

    @property
    def good(self) -> bool:
        return not self.refused

    @property
    def link_uid(self) -> str:
        return self.uid.rpartition(".")[0]

    def given(self, name: str) -> Any:
        """The value of a column; None where the list has none or it is empty."""
        value = self.values.get(name)
        return None if value == "" else value

    def refuse(self, name: str, sentence: str) -> None:
        self.refused.append((name, sentence))


@dataclass(frozen=True)
class Listed:
    """A wire and the places that it passes, its ends with them; None when it has no route."""

    wire: Wire
    places: tuple[str, ...] | None


def listed(design: Design) -> Iterator[Listed]:
    """Every wire, in the order of the list."""
    link_uid, passed = "", 0
    for wire in wires(design):
        if wire.link.uid != link_uid:
            link_uid, passed = wire.link.uid, 0
        places = None
        if wire.route is not None:
            along = [start_place(design, wire.link)]
            along += [to for _, to in travelled(design, wire.link)]
            until = passed + len(wire.route)
            places = tuple(place for place in along[passed : until + 1] if place)
            passed = until
        yield Listed(wire, places)


def wires_csv(design: Design, discreet: Callable[[str], str] = str) -> str:
    """Every wire of the design, a line each; beside its columns the length as it is now.

    What was noted goes through `discreet`: who takes the list may not be meant to read all.
    """
    header = (*COLUMNS, "length_now_mm", "uid")
    rows = (
        [
            *(line_cells(design, each) | {"note": cell(discreet(each.wire.link.note))}).values(),
            cell(each.wire.length_mm),
            cell(each.wire.uid),
        ]
        for each in listed(design)
    )
    return table_text(header, rows)


def line_cells(design: Design, each: Listed) -> dict[str, Cell]:
    """The cells of a wire, by column."""
    return {name: cell(value) for name, value in line_values(design, each).items()}


def line_values(design: Design, each: Listed) -> dict[str, Any]:
    """What stands in each column for a wire."""
    wire, link = each.wire, each.wire.link
    circuit = design.circuit[link.circuit_uid]
    cable = design.cable.get(link.cable_uid or "")
    found: dict[str, Any] = {
        "number": wire.number,
        "circuit_number": circuit.number,
        "circuit": circuit.name,
        "service": circuit.service,
        "route": route_text(design, each.places),
        "section_mm2": link.csa_mm2,
        "main": link.main,
        "tracer": link.tracer,
        "cable_part": link.cable_part_uid,
        "length_by_hand_mm": link.lengths_mm.get(str(wire.segment)),
        "starter_cable": link.starter_cable,
        "own_lead": link.own_lead,
        "cable": cable.name if cable else "",
        "cable_kind": cable.kind if cable else "",
        "cable_of_part": cable.part_uid if cable else None,
        "core": link.core,
        "note": link.note,
    }
    for side, end, at in zip(SIDES, wire.ends, (0, -1), strict=True):
        place = each.places[at] if each.places else end.place_uid
        for name, value in _end_values(design, end, place).items():
            found[f"{side}_{name}"] = value
    return {name: found[name] for name in COLUMNS}


def _end_values(design: Design, end: End, place_uid: str | None) -> dict[str, Any]:
    way = None if end.way_uid is None else design.way[end.way_uid]
    made = {name: getattr(end.made, kept) for name, kept in END_ROW_FIELDS.items()}
    return made | {
        "place": place_name(design, place_uid),
        "fitting": design.fitting[way.fitting_uid].name if way else "",
        "way": way.label if way else "",
        "contact": way.contact if way else "",
    }


def route_text(design: Design, places: Sequence[str] | None) -> str:
    """battery box > helm > bow; a name that holds the sign itself stands in quotes."""
    if places is None:
        return ""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=">", lineterminator="")
    writer.writerow(place_name(design, uid) for uid in places)
    return re.sub(r">(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)", " > ", out.getvalue())


def read_route(text: str) -> list[str]:
    """The names of the places in the text of a route; empty for no text."""
    cells = next(csv.reader([text], delimiter=">", skipinitialspace=True), [])
    return [" ".join(name.split()) for name in cells]
