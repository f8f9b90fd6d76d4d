"""Cells pasted into a table that is edited in place: which cell each goes to, and what it changes.

The page sends its table as it shows it: what each row is called, and for each of its cells the
address that the cell itself would be sent to and the value that was seen. So a pasted cell is read
and edited by the same functions as a typed one, whichever table it stands in.
"""

import csv
import io
import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from fastapi import HTTPException
from pydantic import BaseModel, Field, ValidationError

from webapp.pages import circuits, fitting_cells, wire_cells
from webapp.pages.cells import UNREADABLE, Cell
from webapp.pages.forms import Form
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.edit import Edit, Editing
from webapp.stages.design.editing.pasting import Pasted, put_cells
from webapp.stages.design.imports import MOST_BYTES, NotAList, plain_cell
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

MOST_CELLS = 3000
DECIMAL_COMMA = re.compile(r"[+-]?\d+,(?!\d{3}\b)\d+")
CellsOf = Callable[[Design, Catalogue, Mapping[str, str], int], Mapping[str, Cell]]
# Where the cells of a table are sent to, and which cells answer there.
ADDRESSES: tuple[tuple[re.Pattern[str], CellsOf], ...] = tuple(
    (re.compile(pattern), cells)
    for pattern, cells in (
        (
            r"wires/(?P<uid>[^/]+)",
            lambda design, _parts, at, segment: wire_cells.wire_cells(design, at["uid"], segment),
        ),
        (
            r"wires/[^/]+/ends/(?P<uid>[^/]+)",
            lambda _design, _parts, at, _: wire_cells.end_cells(at["uid"]),
        ),
        (
            r"circuits/(?P<uid>[^/]+)",
            lambda _design, _parts, at, _: circuits.circuit_cells(at["uid"]),
        ),
        (
            r"(?:circuits/[^/]+/fuse|fittings/[^/]+/inside)/(?P<uid>[^/]+)",
            lambda _design, _parts, at, _: fitting_cells.inside_cells(at["uid"]),
        ),
        (
            r"fittings/(?P<uid>[^/]+)",
            lambda design, parts, at, _: fitting_cells.fitting_cells(design, parts, at["uid"]),
        ),
        (
            r"fittings/[^/]+/through/(?P<uid>[^/]+)",
            lambda _design, _parts, at, _: fitting_cells.through_cells(at["uid"]),
        ),
    )
)


class GridCell(BaseModel):
    """A cell of the page: where it is sent to, and what was seen in it."""

    to: str = Field(max_length=400)
    seen: str = Field(max_length=4000)


class GridRow(BaseModel):
    """A row by its name and by what a pasted line may call it."""

    name: str = Field(max_length=200)
    key: str = Field("", max_length=200)
    cells: dict[str, GridCell]


class Grid(BaseModel):
    """The table as the page shows it, `first` and `columns` from the focused cell on.

    `key` is the field by which a pasted line with a header finds its row.
    """

    titles: dict[str, str]
    columns: list[str]
    key: str = ""
    first: int = Field(0, ge=0)
    rows: list[GridRow]


@dataclass
class PastedRow:
    """A line of the preview."""

    name: str
    number: int
    refused: list[tuple[str, str]] = field(default_factory=list)
    changes: list[tuple[str, str, str]] = field(default_factory=list)

    @property
    def state(self) -> str:
        """refused, changes or same. One may change in some cells and be refused in others."""
        if self.refused:
            return "refused"
        return "changes" if self.changes else "same"


@dataclass(frozen=True)
class CellPaste:
    """What a paste would do. `columns` are the heads, with the field that each was taken for."""

    rows: Sequence[PastedRow]
    columns: Sequence[tuple[str, str]]
    edit: Edit
    beyond: int

    @property
    def cells(self) -> int:
        return sum(len(row.changes) for row in self.rows)

    @property
    def refused(self) -> int:
        return sum(len(row.refused) for row in self.rows)

    @property
    def sentence(self) -> str:
        rows = [row.name for row in self.rows if row.changes]
        cells = "1 cell" if self.cells == 1 else f"{self.cells} cells"
        where = rows[0] if len(rows) == 1 else f"{len(rows)} rows"
        return f"Paste {cells} into {where}"


def read_grid(text: str) -> Grid:
    """The table as the page sent it."""
    try:
        return Grid.model_validate(json.loads(text))
    except (ValueError, ValidationError, RecursionError):
        raise HTTPException(422) from None


def read_cells(text: str) -> list[list[str]]:
    """Lines of cells with tabs between them, as a spreadsheet copies them.

    Raises:
        NotAList: nothing there, or too much.
    """
    if len(text.encode()) > MOST_BYTES:
        raise NotAList("What was pasted is larger than 1 MB.")
    if not text.strip():
        raise NotAList("Nothing was pasted.")
    try:
        lines = list(csv.reader(io.StringIO(text.rstrip("\r\n"), newline=""), delimiter="\t"))
    except csv.Error:
        raise NotAList("A quoted cell is not closed.") from None
    if sum(len(line) for line in lines) > MOST_CELLS:
        raise NotAList(f"More than {MOST_CELLS:,} cells: paste them in parts.")
    return [[plain_cell(cell) for cell in line] for line in lines]


def weigh(
    design: Design,
    catalogue: Catalogue,
    loom_id: int,
    grid: Grid,
    text: str,
    chosen: Sequence[str] | None,
) -> CellPaste:
    """What pasting the text would do.

    Raises:
        NotAList: nothing can be read.
    """
    lines = read_cells(text)
    head, fields = _columns(grid, lines[0], max(map(len, lines)))
    heads = lines[0] if head else [cell[:40] for cell in lines[0]]
    if chosen is not None:
        fields = [name if name in grid.titles else "" for name in chosen]
    fields = (fields + [""] * max(map(len, lines)))[: max(map(len, lines))]
    rows: list[PastedRow] = []
    cells: list[tuple[PastedRow, str, str, str, Pasted]] = []
    beyond = 0
    for number, (line, row) in enumerate(_rows(grid, lines[int(head) :], fields, head), 1):
        if row is None:
            beyond += 1
            continue
        shown = PastedRow(row.name, number + int(head))
        rows.append(shown)
        for name, typed in zip(fields, line, strict=False):
            if name and typed and not (head and name == grid.key):
                _take(design, catalogue, loom_id, row, name, typed, grid, shown, cells)
    edit = put_cells(design, catalogue, [cell for *_, cell in cells])
    for shown, name, seen, typed, cell in cells:
        if cell.refused:
            shown.refused.append((grid.titles[name], cell.refused))
        elif cell.changes:
            shown.changes.append((grid.titles[name], seen, typed))
    columns = list(zip([*heads, *[""] * len(fields)], fields, strict=False))
    return CellPaste(rows, columns, edit, beyond)


def _columns(grid: Grid, first: Sequence[str], count: int) -> tuple[bool, list[str]]:
    """Whether the first line names columns, and the field of each column."""
    known = {_plain(title): name for name, title in grid.titles.items()}
    known |= {_plain(name): name for name in grid.titles}
    named = [known.get(_plain(cell), "") for cell in first]
    filled = sum(1 for cell in first if cell.strip())
    if filled > 1 and 2 * sum(map(bool, named)) > filled:
        return True, named
    return False, grid.columns[:count]


def _plain(text: str) -> str:
    return re.sub(r"[\s_.-]+", " ", text.casefold()).strip()


def _rows(
    grid: Grid, lines: Sequence[Sequence[str]], fields: Sequence[str], head: bool
) -> Iterator[tuple[Sequence[str], GridRow | None]]:
    """Each line with the row that it goes to; None where the table has none."""
    if head and grid.key in fields:
        at = list(fields).index(grid.key)
        known = {
            _plain(row.cells[grid.key].seen): row for row in grid.rows if grid.key in row.cells
        }
        known |= {_plain(row.key): row for row in grid.rows if row.key}
        for line in lines:
            yield line, known.get(_plain(line[at])) if at < len(line) else None
        return
    below = grid.rows[grid.first :]
    for number, line in enumerate(lines):
        yield line, below[number] if number < len(below) else None


def _take(
    design: Design,
    catalogue: Catalogue,
    loom_id: int,
    row: GridRow,
    name: str,
    typed: str,
    grid: Grid,
    shown: PastedRow,
    cells: list[tuple[PastedRow, str, str, str, Pasted]],
) -> None:
    there = row.cells.get(name)
    if there is None:
        shown.refused.append((grid.titles[name], "This row has no such cell to type in."))
        return
    cell = cell_at(design, catalogue, loom_id, there.to, name)
    text = typed.replace(",", ".") if DECIMAL_COMMA.fullmatch(typed) else typed
    value, why = _read(cell, text)
    if why:
        shown.refused.append((grid.titles[name], why))
        return
    seen, unreadable = _read(cell, there.seen)
    editing: Editing = partial(_edit, cell, value, UNREADABLE if unreadable else seen)
    cells.append((shown, name, there.seen, text, Pasted(editing)))


def _edit(cell: Cell, value: Any, seen: Any, design: Design, catalogue: Catalogue) -> Edit:
    return cell.editing(value, seen)(design, catalogue)


def _read(cell: Cell, text: str) -> tuple[Any, str]:
    form = Form({"value": text})
    try:
        cell.read(form)
    except Refused as refused:
        form.refuse("value", refused.sentence)
    return form.values.get("value"), form.errors.get("value", "")


def cell_at(design: Design, catalogue: Catalogue, loom_id: int, to: str, name: str) -> Cell:
    """The cell that answers at an address of this loom."""
    path, _, query = to.partition("?")
    segment = re.search(r"(?:^|&)segment=([0-9]{1,3})(?:&|$)", query, re.ASCII)
    start = f"/looms/{loom_id}/"
    for pattern, cells_of in ADDRESSES:
        at = pattern.fullmatch(path.removeprefix(start)) if path.startswith(start) else None
        if at:
            known = cells_of(
                design, catalogue, at.groupdict(), int(segment.group(1)) if segment else 0
            )
            if name in known:
                return known[name]
    raise HTTPException(422)
