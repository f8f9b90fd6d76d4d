"""A list of wires: each line read by the rules of the wire pages, and shown before it is kept."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from webapp.pages.forms import Form
from webapp.pages.import_rows import NO, YES
from webapp.pages.wire_cells import MOST_ALLOWANCE_MM
from webapp.sizing.colours import FUNCTIONS
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.wires import MOST_MM, MOST_NUMBER, read_colour, read_section
from webapp.stages.design.imports import Line, ReadList, plain_cell
from webapp.stages.design.names import listed as in_words
from webapp.stages.design.rows import Design
from webapp.stages.design.wire_list.lines import (
    COLUMNS,
    LABELS,
    Listed,
    WireLine,
    line_cells,
    line_values,
    listed,
)
from webapp.stages.design.wire_list.taking import TakenIn, take_in
from webapp.stages.refusals import Refused

NUMBER = re.compile(r"0*([0-9]{1,5})\s*([A-Za-z]?)", re.ASCII)
UID = re.compile(r"[\w.-]{1,80}\.[0-9]{1,3}", re.ASCII)
GAUGE = re.compile(r"(?:awg\s*)?([0-9]+(?:/0)?)(?:\s*awg)?", re.I)
Read = Callable[[Form, str, str], None]


@dataclass
class WireRow:
    """One line of the preview."""

    line: Line
    name: str
    is_new: bool
    refused: list[tuple[str, str]] = field(default_factory=list)
    changes: list[tuple[str, str, str]] = field(default_factory=list)
    words: str = ""
    look: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    unclear: tuple[str, ...] = ()

    @property
    def state(self) -> str:
        """refused, new, changes or same."""
        if self.refused:
            return "refused"
        if self.is_new:
            return "new"
        return "changes" if self.changes else "same"


@dataclass(frozen=True)
class WireRows:
    """The rows of the preview, and what taking them in makes of the design."""

    rows: list[WireRow]
    taken: TakenIn


def known_by_number(design: Design, read: ReadList) -> ReadList:
    """A list that was pasted into the table: a number there is names that wire, and an empty cell
    leaves what stands."""
    known = {each.wire.number.casefold(): each.wire.uid for each in listed(design)}
    lines = []
    for line in read.lines:
        uid = known.get(line.cells.get("number", "").replace(" ", "").casefold())
        told = {name: text for name, text in line.cells.items() if text}
        lines.append(replace(line, cells=told | {"uid": uid}) if uid else line)
    return replace(read, lines=tuple(lines))


def wire_rows(
    design: Design,
    catalogue: Catalogue,
    read: ReadList,
    *,
    make_fittings: bool,
    take_out: bool,
) -> WireRows:
    """What every line means."""
    now = {each.wire.uid: each for each in listed(design)}
    lines = [read_wire(design, line, now) for line in read.lines]
    taken = take_in(design, catalogue, lines, make_fittings=make_fittings, take_out=take_out)
    later = {each.wire.uid: each for each in listed(taken.after)}
    by_link: dict[str, list[Listed]] = {}
    for each in later.values():
        by_link.setdefault(each.wire.link.uid, []).append(each)
    rows = []
    for line, wire in zip(read.lines, lines, strict=True):
        row = WireRow(
            line,
            f"Wire {line.cells.get('number') or '?'}",
            wire.link_uid not in design.link,
            look=tuple(wire.look),
        )
        row.refused = [(LABELS.get(name, "The line"), said) for name, said in wire.refused]
        link_uid = taken.links.get(wire.at)
        if wire.good and link_uid is not None:
            if row.is_new:
                _tell_new(taken.after, row, by_link[link_uid])
            elif wire.uid in later:
                row.changes = _changes(design, taken.after, now[wire.uid], later[wire.uid])
        rows.append(row)
    return WireRows(rows, taken)


def sentence(found: WireRows, take_out: bool) -> str:
    """Wires from a list: 3 added, 1 changed; made: Horn and Bell."""
    wires = [(row.state, row.line.number) for row in found.rows]
    links = {
        state: {found.taken.links[at] for each, at in wires if each == state}
        for state in ("new", "changes")
    }
    counts = (
        (len(links["new"]), "added"),
        (len(links["changes"]), "changed"),
        (len(found.taken.left_out) if take_out else 0, "taken out"),
    )
    said = ", ".join(f"{count} {what}" for count, what in counts if count)
    made = [fitting.name for fitting in found.taken.fittings]
    return f"Wires from a list: {said}" + (f"; made: {in_words(made)}" if made else "")


def _tell_new(after: Design, row: WireRow, parts: list[Listed]) -> None:
    number = (row.line.cells.get("number") or parts[0].wire.number).replace(" ", "").upper()
    each = next((part for part in parts if part.wire.number == number), parts[0])
    values = line_values(after, each)
    row.name = f"Wire {each.wire.number}"
    ends = [
        after.way_name(end.way_uid)
        if end.way_uid
        else f"left loose{' at ' if values[f'{side}_place'] else ''}{values[f'{side}_place']}"
        for side, end in zip(("from", "to"), each.wire.ends, strict=True)
    ]
    csa = f"{values['section_mm2']:g} mm²" if values["section_mm2"] else "no section"
    colours = "/".join(filter(None, (values["main"], values["tracer"])))
    length = f"{each.wire.length_mm:,} mm" if each.wire.length_mm else "no length yet"
    circuit = f"circuit {values['circuit_number']} {values['circuit']}"
    words = [" to ".join(ends), csa, colours, length, circuit, values["note"]]
    row.words = " · ".join(filter(None, words))


def _changes(
    design: Design, after: Design, before: Listed, later: Listed
) -> list[tuple[str, str, str]]:
    was, now = line_cells(design, before), line_cells(after, later)
    return [
        (LABELS[name], plain_cell(was[name]), plain_cell(now[name]))
        for name in COLUMNS
        if was[name] != now[name]
    ]


# Reading


def read_wire(design: Design, line: Line, now: Mapping[str, Listed]) -> WireLine:
    """One line. Of a wire that is there, only what differs from what stands."""
    uid = line.cells.get("uid", "")
    wire = WireLine(line.number, uid, {})
    if line.problem:
        wire.refuse("", line.problem)
        return wire
    if uid and not UID.fullmatch(uid):
        wire.refuse("uid", "This uid is none of a wire: leave it empty for a new wire.")
        return wire
    cells = dict(line.cells)
    _spread(cells)
    known = now.get(uid)
    if known is not None:
        standing = line_cells(design, known)
        cells = {
            name: text
            for name, text in cells.items()
            if name not in standing or text != plain_cell(standing[name])
        }
    values = line_values(design, known) if known is not None else {}
    form = Form(cells)
    for name in cells:
        if name in COLUMNS:
            _read(form, design, name, wire)
    for name, sentence in form.errors.items():
        wire.refuse(name, sentence)
    wire.values = {
        name: value
        for name, value in form.values.items()
        if name not in values or not _same(name, value, values[name])
    }
    return wire


def _same(name: str, value: Any, now: Any) -> bool:
    if name == "number":
        return bool(value) and f"{value[0]}{value[1]}" == now
    return (value or None) == (now or None)


def _spread(cells: dict[str, str]) -> None:
    """A gauge stands for the section; brown/black in one cell is main and tracer."""
    gauge = GAUGE.fullmatch(cells.pop("awg", "").strip())
    if gauge and not cells.get("section_mm2"):
        cells["section_mm2"] = f"AWG {gauge.group(1)}"
    elif cells.get("section_mm2", "").casefold().endswith("awg"):
        cells["section_mm2"] = f"AWG {cells['section_mm2'][:-3].strip()}"
    main = cells.get("main", "")
    if "/" in main and not cells.get("tracer"):
        first, _, second = main.partition("/")
        cells |= {"main": first.strip(), "tracer": second.strip()}


def _read(form: Form, design: Design, name: str, wire: WireLine) -> None:
    plain = name.removeprefix("from_").removeprefix("to_")
    label = LABELS[name]
    try:
        if name == "section_mm2":
            form.values[name], said = read_section(design, form.typed(name))
            wire.look += [said] if said else []
        elif name in ("main", "tracer"):
            form.values[name] = read_colour(design.basis.colour_code, form.typed(name))
        else:
            READERS[plain](form, name, label)
    except Refused as refused:
        form.refuse(name, refused.sentence)


def _number(form: Form, name: str, label: str) -> None:
    text = form.typed(name)
    match = NUMBER.fullmatch(text)
    if not text:
        form.values[name] = None
    elif match is None or not 1 <= int(match.group(1)) <= MOST_NUMBER:
        form.refuse(
            name,
            f"{label} must be 1 to {MOST_NUMBER:,}, with a letter where a plug cuts it (12A), "
            f"not “{text[:20]}”.",
        )
    else:
        form.values[name] = (int(match.group(1)), match.group(2).upper())


def _words(most: int) -> Read:
    def read(form: Form, name: str, label: str) -> None:
        form.text(name, label, most=most, needed=False)

    return read


def _name(most: int) -> Read:
    def read(form: Form, name: str, label: str) -> None:
        form.text(name, label, most=most, needed=False)
        form.values[name] = " ".join(form.values[name].split())

    return read


def _mm(least: int, most: int) -> Read:
    def read(form: Form, name: str, label: str) -> None:
        form.mm(name, label, least=least, most=most, needed=False)

    return read


def _yes(form: Form, name: str, label: str) -> None:
    text = form.typed(name).casefold()
    if text in YES | NO:
        form.values[name] = text in YES if text else None
    else:
        form.refuse(name, f"{label}: write yes or no.")


def _service(form: Form, name: str, label: str) -> None:
    text = " ".join(form.typed(name).split()).casefold()
    if text and text not in FUNCTIONS:
        form.refuse(name, f"No service “{text[:40]}”. Take one of: {', '.join(FUNCTIONS)}.")
    form.values[name] = text or None


READERS: dict[str, Read] = {
    "number": _number,
    "circuit_number": lambda form, name, label: form.whole(
        name, label, least=1, most=MOST_NUMBER, needed=False
    ),
    "circuit": _words(120),
    "service": _service,
    "place": _name(60),
    "fitting": _words(160),
    "way": _words(60),
    "contact": _words(60),
    "route": _words(4000),
    "cable_part": _words(200),
    "length_by_hand_mm": _mm(10, MOST_MM),
    "starter_cable": _yes,
    "own_lead": _yes,
    "cable": _words(120),
    "cable_kind": _words(60),
    "cable_of_part": _words(200),
    "core": _words(60),
    "note": lambda form, name, label: form.text(name, label, most=400, needed=False, lines=True),
    "loose_mm": _mm(10, MOST_ALLOWANCE_MM),
    "terminal": _words(200),
    "strip_mm": lambda form, name, label: form.number(
        name, label, unit="mm", above=0, most=100, needed=False
    ),
    "solder": _yes,
    "heat_shrink": _words(200),
    "heat_shrink_mm": _mm(1, 1000),
    "allowance_mm": _mm(0, MOST_ALLOWANCE_MM),
    "tag": _words(40),
}
