"""What a change is, in plain sentences for the customer."""

from collections.abc import Iterator, Sequence

from webapp.stages.building.wire_colours import letters
from webapp.stages.design.comparing import (
    ADDED,
    CHANGED,
    REMOVED,
    Comparison,
    RowDifference,
    Value,
    WireDifference,
)
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire

# What a customer asks after; the rest is how it is made.
TOLD_OF_A_WIRE = (
    "number", "conductor", "colour", "length", "route", "circuit", "cable",
    "left end, to", "right end, to", "left end, left loose", "right end, left loose",
)  # fmt: skip
SECTIONS = {
    "Needs": "",
    "Fittings": "",
    "Fuse-links": "",
    "Runs": "Run ",
    "Cables": "Cable ",
    "Basis": "",
}


def sentences(comparison: Comparison, before: Design, after: Design) -> tuple[str, ...]:
    """A sentence for each need, fitting, fuse-link, run and wire that differs."""
    of_title = {section.title: section.rows for section in comparison.sections}
    found = [
        _row(prefix, row) for title, prefix in SECTIONS.items() for row in of_title.get(title, ())
    ]
    found += _wires(comparison, before, after)
    if not found and not comparison.empty:
        found.append("Only how the loom is made changes, not what it does.")
    return tuple(found)


def _row(prefix: str, row: RowDifference) -> str:
    name = f"{prefix}{row.name}"
    if row.what == CHANGED:
        # A fuse-link of another rating is another part: saying it once is enough.
        told = [value for value in row.values if value.label != "fuse-link part"]
        return f"{name}: {_values(told or row.values)}."
    return f"{name} is {'added' if row.what == ADDED else 'taken out'}."


def _values(values: Sequence[Value]) -> str:
    return "; ".join(f"{value.label} {value.after} instead of {value.before}" for value in values)


def _wires(comparison: Comparison, before: Design, after: Design) -> Iterator[str]:
    remade = []
    for wire in comparison.wires:
        told = _told(wire)
        if {value.label for value in wire.values} == {"fuse-link"}:
            continue  # the fuse-link's own sentence says it
        if wire.what == CHANGED and not told:
            remade.append(wire.number)
        elif wire.what == CHANGED:
            yield f"Wire {wire.number}: {_values(told)}."
        else:
            yield _whole_wire(wire, before, after)
    if remade:
        many = "Wires" if len(remade) > 1 else "Wire"
        yield f"{many} {', '.join(remade)}: ends made differently."


def _told(wire: WireDifference) -> tuple[Value, ...]:
    told = tuple(value for value in wire.values if value.label in TOLD_OF_A_WIRE)
    if any(value.label == "conductor" for value in told):
        # Another size is another cable: saying it once is enough.
        return tuple(value for value in told if value.label != "cable")
    return told


def _whole_wire(difference: WireDifference, before: Design, after: Design) -> str:
    if difference.what == REMOVED and difference.before is not None:
        return f"Wire {difference.number} is taken out: {_as_it_is(before, difference.before)}."
    assert difference.after is not None
    return f"Wire {difference.number} is added: {_as_it_is(after, difference.after)}."


def _as_it_is(design: Design, wire: Wire) -> str:
    ends = f"{design.way_name(wire.left.way_uid)} to {design.way_name(wire.right.way_uid)}"
    size = "" if wire.link.csa_mm2 is None else f"{wire.link.csa_mm2:g} mm²"
    length = "" if wire.length_mm is None else f"{wire.length_mm:,} mm"
    return ", ".join(filter(None, (ends, letters(design, wire.link), size, length)))
