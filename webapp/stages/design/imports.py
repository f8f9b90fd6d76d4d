"""Reads pasted or uploaded lists: which columns they have, what each line's cells are.

Commas, semicolons or tabs part the cells; where it is not a comma, a comma in a number is taken
for the point. Every line keeps its number, and what cannot be read is named with it.
"""

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from webapp.stages.design.csv_out import GUARDED

MOST_BYTES = 1024 * 1024
MOST_ROWS = 2000
# The widest list, of wires, has 45.
MOST_COLUMNS = 200
SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs"}


@dataclass(frozen=True)
class ListKind:
    """What one sort of list may hold: its fields, the spellings of their columns."""

    id: str
    title: str
    columns: Mapping[str, tuple[str, ...]]
    needed: tuple[str, ...]
    numbers: frozenset[str] = frozenset()
    # What has nothing but these columns: a column besides is refused, not passed over.
    only_known: str = ""


NEEDS = ListKind(
    "needs",
    "Needs",
    {
        "name": ("need", "load", "what", "item"),
        "quantity": ("how many", "qty", "number", "pieces"),
        "place": ("where", "location"),
        "kind": ("kind of load", "type"),
        "rating": ("rated",),
        "rating_unit": ("unit",),
        "rated_at_v": ("at v", "rated at", "volts"),
        "control": ("controlled by",),
        "control_place": ("where controlled", "control at", "where the control sits"),
        "duty": (),
        "max_drop_percent": ("drop at most", "max drop", "drop percent"),
        "inrush_a": ("inrush",),
        "inrush_s": ("inrush for", "inrush time"),
        "max_fuse_a": ("fuse at most", "max fuse"),
        "note": ("notes", "remark", "remarks"),
        "service": ("what it is for", "colour function"),
        "switched_with": ("same switch as",),
        "second_place": ("override_place", "override at", "second control place"),
        "before_isolator": ("before the isolator",),
        "only_in_neutral": (),
        "own_lead": ("its own lead",),
        "to_field_terminal": ("to the field terminal",),
        "relay_place": ("relay at", "where the relay sits"),
        "also_with": ("also lit with",),
        "live_when": ("live",),
        "apart_from": ("not together with",),
        "laid_as": (),
        "feeds": ("feeds side by side",),
        "extra_sizes": ("sizes above",),
        "uid": (),
    },
    needed=("name", "place", "kind", "rating"),
    numbers=frozenset(
        ("rating", "rated_at_v", "max_drop_percent", "inrush_a", "inrush_s", "max_fuse_a")
    ),
)
RUNS = ListKind(
    "runs",
    "Runs",
    {
        "from_place": ("from",),
        "to_place": ("to",),
        "length_mm": ("length",),
        "plus_minus_mm": ("plus minus", "±", "tolerance", "tolerance_mm"),
        # A bare "measured_by" says tape or string; a person has a column of their own.
        "measured_how": ("measured_by", "measured", "measured with"),
        "measured_by": ("by_whom", "person"),
        "covering": (),
        "surround_c": ("surround", "surroundings", "ambient_c"),
        "through": ("passes through",),
        "covering_part_uid": ("covering_part",),
        "through_part_uid": ("through_part",),
        "bend_at_mm": ("bend at",),
        "bend_radius_mm": ("bend radius",),
        "uid": (),
    },
    needed=("from_place", "to_place"),
    numbers=frozenset(("surround_c",)),
)
FACTS = ListKind(
    "facts",
    "Facts of the job",
    {"field": ("fact",), "value": ("is",)},
    needed=("field", "value"),
)
WIRES = ListKind(
    "wires",
    "Wires",
    {
        "uid": (),
        "number": ("wire", "no", "wire number"),
        "circuit_number": (),
        "circuit": ("circuit name",),
        "service": ("what it is for", "colour function"),
        "route": ("runs",),
        "section_mm2": ("section", "csa", "csa_mm2", "size", "mm2", "mm²"),
        "awg": ("gauge",),
        "main": ("colour", "main colour"),
        "tracer": (),
        "cable_part": ("cable type",),
        "length_by_hand_mm": ("length", "length_mm"),
        "starter_cable": (),
        "own_lead": ("its own lead",),
        "cable": ("laid in",),
        "cable_kind": ("laid as",),
        "cable_of_part": (),
        "core": (),
        "note": ("notes", "remark", "remarks"),
        **{
            f"{side}_{name}": tuple(f"{side} {each}" for each in others)
            for side in ("from", "to")
            for name, others in {
                "place": ("where", "location"),
                "fitting": ("item", "component"),
                "way": ("pin", "cavity", "stud", "connection"),
                "contact": (),
                "loose_mm": ("loose",),
                "terminal": (),
                "strip_mm": ("strip",),
                "solder": ("soldered",),
                "heat_shrink": (),
                "heat_shrink_mm": (),
                "allowance_mm": ("allowance",),
                "tag": (),
            }.items()
        },
        "from_fitting": ("from", "from item", "from component"),
        "to_fitting": ("to", "to item", "to component"),
    },
    needed=("from_fitting", "to_fitting"),
    numbers=frozenset(("section_mm2", "from_strip_mm", "to_strip_mm")),
)
KINDS = {kind.id: kind for kind in (NEEDS, RUNS, WIRES, FACTS)}


@dataclass(frozen=True)
class Column:
    """A column as it was read: its head or first cell; `field` is "" where it means nothing."""

    head: str
    field: str


class NotAList(ValueError):
    """Why nothing of the text can be read; `columns` as far as they were read."""

    def __init__(self, words: str, columns: Sequence[Column] = ()) -> None:
        super().__init__(words)
        self.columns = tuple(columns)


@dataclass(frozen=True)
class Line:
    """One line: its cells by field, or why it cannot be read."""

    number: int
    cells: Mapping[str, str]
    problem: str = ""


@dataclass(frozen=True)
class ReadList:
    """A list as it was read; `unused` are columns that mean nothing here."""

    kind: ListKind
    separator: str
    fields: tuple[str, ...]
    unused: tuple[str, ...]
    lines: tuple[Line, ...]
    columns: tuple[Column, ...] = ()


def decode(data: bytes) -> str:
    """The text of a file: UTF-8, UTF-16 with its mark, or the old Western European page.

    Raises:
        NotAList: too large, or no text.
    """
    if len(data) > MOST_BYTES:
        raise NotAList("The file is larger than 1 MB. Split it into smaller lists.")
    two_bytes = data[:2] in (b"\xff\xfe", b"\xfe\xff")
    # The old page takes nearly any bytes for letters, but no text holds a zero among them.
    encodings = ("utf-16",) if two_bytes else ("utf-8-sig", "cp1252") if b"\0" not in data else ()
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise NotAList("The file is not text. Save it as CSV and choose that file.")


def read_list(
    kind: ListKind,
    text: str,
    *,
    usual: Sequence[str] = (),
    taken_for: Sequence[str] | None = None,
) -> ReadList:
    """Every line of the text.

    Args:
        usual: The fields of the columns, in order, where the first line names none.
        taken_for: The field of each column as a person has chosen it; the names do not count.

    Raises:
        NotAList: no line can be read: too large, no header, or a column that is needed missing.
    """
    text = text.removeprefix("\ufeff")
    if len(text.encode()) > MOST_BYTES:
        raise NotAList("The list is larger than 1 MB. Split it into smaller lists.")
    if "\0" in text:
        raise NotAList("The list holds characters that are no text. Save it as CSV and try again.")
    if not text.strip():
        raise NotAList("Paste a list, or choose a file.")
    separator = _separator(kind, text)
    records = _records(text, separator)
    header = next(records, None)
    if header is None or isinstance(header[1], str):
        raise NotAList("The first line cannot be read: it has to name the columns.")
    cells = header[1]
    if len(cells) > MOST_COLUMNS:
        raise NotAList(f"The first line has {len(cells):,} columns; {MOST_COLUMNS} fit.")
    named = _names_columns(kind, cells)
    if taken_for is None and not named and usual:
        taken_for = usual
    if taken_for is None:
        fields, unused = _header(kind, cells)
    else:
        fields, unused = _taken_for(kind, cells, taken_for), ()
        if not named:
            records = chain([header], records)
    lines = tuple(_line(kind, record, fields, separator) for record in records)
    if len(lines) > MOST_ROWS:
        raise NotAList(f"The list has {len(lines):,} rows; {MOST_ROWS:,} fit at a time.")
    if not lines:
        raise NotAList("The list names its columns but has no rows below them.")
    columns = _columns(cells, fields)
    return ReadList(kind, separator, tuple(filter(None, fields)), unused, lines, columns)


def _names_columns(kind: ListKind, cells: Sequence[str]) -> bool:
    """Whether a first line is names: most of its cells are."""
    known = spellings(kind)
    filled = [cell for cell in cells if cell.strip()]
    return 2 * sum(1 for cell in filled if _plain(cell) in known) > len(filled)


def _taken_for(kind: ListKind, cells: Sequence[str], taken_for: Sequence[str]) -> list[str]:
    """The chosen field of each column; columns beyond those that are known mean nothing."""
    chosen = [field if field in kind.columns else "" for field in taken_for]
    fields = [*chosen, *[""] * len(cells)][: len(cells)]
    _refuse_header(kind, cells, fields)
    return fields


def _columns(cells: Sequence[str], fields: Sequence[str]) -> tuple[Column, ...]:
    return tuple(Column(cell.strip(), field) for cell, field in zip(cells, fields, strict=True))


def _separator(kind: ListKind, text: str) -> str:
    """The one that finds most of the columns in the first line; where it names none, a tab, else a
    semicolon, that stands in it."""
    first = text.lstrip().splitlines()[0]
    known = spellings(kind)

    def found(separator: str) -> int:
        try:
            cells = next(csv.reader([first], delimiter=separator), [])
        except csv.Error:
            return 0
        return sum(1 for cell in cells if _plain(cell) in known)

    def likely(separator: str) -> tuple[int, int]:
        return found(separator), (separator in first) * list(SEPARATORS).index(separator)

    return max(SEPARATORS, key=likely)


def _records(text: str, separator: str) -> Iterator[tuple[int, list[str] | str]]:
    """Each line that is not blank: its number, and its cells or why it has none."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    while True:
        number = reader.line_num + 1
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as why:
            yield number, _not_readable(why)
            continue
        if any(cell.strip() for cell in cells):
            yield number, cells


def _not_readable(why: csv.Error) -> str:
    if "field limit" in str(why):
        return f"A cell holds more than {csv.field_size_limit():,} characters: shorten it."
    return "A quoted cell is not closed, or goes on after its closing quote."


def _header(kind: ListKind, cells: Sequence[str]) -> tuple[list[str], tuple[str, ...]]:
    """The field of each column ("" for one that means nothing here), and those columns' names."""
    known = spellings(kind)
    taken = _without_person(kind, [_plain(cell) for cell in cells])
    fields = [known.get(plain, "") for plain in taken]
    _refuse_header(kind, cells, fields)
    names = zip(cells, fields, strict=True)
    unused = tuple(cell.strip() for cell, field in names if not field and cell.strip())
    if unused and kind.only_known:
        raise NotAList(
            f"No {kind.only_known} has a column “{unused[0][:60]}”: put its name right, or take it "
            "out of the list."
        )
    return fields, unused


def _refuse_header(kind: ListKind, cells: Sequence[str], fields: Sequence[str]) -> None:
    columns = _columns(cells, fields)
    for field in filter(None, fields):
        if list(fields).count(field) > 1:
            raise NotAList(f"The column {field} is there more than once.", columns)
    missing = [field for field in kind.needed if field not in fields]
    if missing:
        wanted = ", ".join(_shown(kind, field) for field in missing)
        raise NotAList(
            f"The first line has to name the columns; {wanted} "
            f"{'is' if len(missing) == 1 else 'are'} not there.",
            columns,
        )


def _without_person(kind: ListKind, cells: list[str]) -> list[str]:
    """Beside a column of its own for how it was measured, "measured by" is the person."""
    if kind is RUNS and "measured_how" in cells:
        return ["by_whom" if cell == "measured_by" else cell for cell in cells]
    return cells


def _shown(kind: ListKind, field: str) -> str:
    return {"name": "need"}.get(field, field) if kind is NEEDS else field


def spellings(kind: ListKind) -> dict[str, str]:
    """Every name by which a column is known, and its field."""
    found = {}
    for field, others in kind.columns.items():
        for name in others:
            found[_plain(name)] = field
    for field in kind.columns:
        found.setdefault(_plain(field), field)
    return found


def _plain(name: str) -> str:
    """A column's name without capitals, and blanks as underscores."""
    return re.sub(r"[\s_-]+", "_", name.strip().casefold()).strip("_")


def _line(
    kind: ListKind, record: tuple[int, list[str] | str], fields: Sequence[str], separator: str
) -> Line:
    number, cells = record
    if isinstance(cells, str):
        return Line(number, {}, cells)
    padded = [*cells, *[""] * (len(fields) - len(cells))]
    named = {
        field: _cell(kind, field, cell, separator)
        for field, cell in zip(fields, padded, strict=False)
        if field
    }
    if any(cell.strip() for cell in cells[len(fields) :]):
        said = SEPARATORS[separator]
        return Line(
            number,
            named,
            f"There are {len(cells)} cells, and {len(fields)} columns. Put quotes around a cell "
            f"that holds {said} itself.",
        )
    return Line(number, named)


def plain_cell(cell: str) -> str:
    """What a cell says, without the apostrophe that keeps a spreadsheet from running it."""
    text = GUARDED.sub(lambda match: match.group()[1:], cell)
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def _cell(kind: ListKind, field: str, cell: str, separator: str) -> str:
    text = plain_cell(cell)
    if field in kind.numbers and separator != "," and text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    return text
