"""The columns of the wire table that a person may choose, and how they are laid side by side.

What does not fit beside the others stands on a second line under the wire, so that the table is
never wider than the page.
"""

from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass

from webapp.pages.wire_table import LinkRow, WireLine, WireTable
from webapp.sizing.conductors import awg_label, nearest_awg
from webapp.stages.design.cables import laid_words
from webapp.stages.design.editing.routes import ends_at, route_words
from webapp.stages.design.fused import UNFUSED
from webapp.stages.design.wires import Wire

TABLE = "wires"
# Widths of what is always shown (tick, number, from, wire, to, why) at 1280 and at 800. [px]
FIXED_PX, ROOM_PX = 640, 1216
NARROW_FIXED_PX, NARROW_ROOM_PX = 384, 736


@dataclass(frozen=True)
class Column:
    """One that may be chosen. `kind`: a cell that is edited, a figure that edits elsewhere change,
    or text; `each` for what every wire of a link has of its own."""

    key: str
    head: str
    title: str
    px: int
    narrow_px: int
    kind: str = "text"
    right: bool = False
    each: bool = False


COLUMNS = (
    Column("circuit_uid", "Circuit", "circuit", 128, 100, "cell"),
    Column("service", "Service", "what its circuit is for", 104, 90),
    Column("fuse", "Fuse A", "rating of the fuse-link before it", 54, 48, "figure", right=True),
    Column("main", "Main", "main colour", 52, 44, "cell"),
    Column("tracer", "Tracer", "tracer", 52, 44, "cell"),
    Column("csa_mm2", "mm²", "section", 66, 54, "cell", right=True),
    Column("awg", "AWG", "nearest gauge", 50, 46, right=True),
    Column("length_mm", "Length", "length as it is cut", 78, 66, "cell", right=True, each=True),
    Column("amps", "A", "current in the state that asks most of it", 58, 46, "figure", right=True),
    Column("temperature", "about °C", "how warm it gets", 64, 50, "figure", right=True),
    Column("drop", "drop %", "voltage lost along it", 58, 46, "figure", right=True),
    Column("found", "Findings", "what is found about it", 84, 76, "figure"),
    Column("terminals", "Terminals", "terminals, left and right", 190, 120, each=True),
    Column("tags", "Tags", "tags, left and right", 190, 120, each=True),
    Column("route", "Route", "the places that it passes", 170, 120, "figure"),
    Column("laid", "Cable, core", "the cable or pair that it lies in", 128, 96),
    Column("note", "Note", "note", 150, 110, "cell"),
)
BY_KEY = {column.key: column for column in COLUMNS}
USUAL = ("main", "tracer", "csa_mm2", "length_mm", "amps", "temperature", "drop")


@dataclass(frozen=True)
class Layout:
    """What stands on the first and on the second line. Columns of `wide` leave the first line for
    the second on a narrow screen."""

    first: tuple[Column, ...]
    second: tuple[Column, ...]
    wide: frozenset[str]

    @property
    def keys(self) -> frozenset[str]:
        return frozenset(column.key for column in (*self.first, *self.second))

    @property
    def count(self) -> int:
        """Cells of a row, with those that are always there."""
        return len(self.first) + 6

    @property
    def figures(self) -> tuple[Column, ...]:
        return tuple(each for each in (*self.first, *self.second) if each.kind == "figure")

    @property
    def under(self) -> tuple[Column, ...]:
        """The second line, with what comes there only on a narrow screen."""
        return (*(each for each in self.first if each.key in self.wide), *self.second)


def lay_out(chosen: Iterable[str] | None) -> Layout:
    """Columns in the order of COLUMNS, as many on the first line as fit it."""
    wanted = set(USUAL if chosen is None else chosen)
    columns = [column for column in COLUMNS if column.key in wanted]
    first = _fitting(columns, ROOM_PX - FIXED_PX, lambda column: column.px)
    narrow = _fitting(first, NARROW_ROOM_PX - NARROW_FIXED_PX, lambda column: column.narrow_px)
    return Layout(
        tuple(first),
        tuple(column for column in columns if column not in first),
        frozenset(column.key for column in first if column not in narrow),
    )


def _fitting(
    columns: Collection[Column], room_px: int, width: Callable[[Column], int]
) -> list[Column]:
    """Of columns to be read along the line those that fit; what is short fits sooner."""
    fitting: list[Column] = []
    for column in sorted(columns, key=lambda each: (each.key not in USUAL, width(each))):
        if sum(map(width, fitting)) + width(column) <= room_px:
            fitting.append(column)
    return [column for column in columns if column in fitting]


class ColumnTexts:
    """What stands in the columns that are not edited in the table."""

    def __init__(self, table: WireTable) -> None:
        self.table = table
        self.design = table.design

    def text(self, key: str, row: LinkRow, line: WireLine) -> str:
        texts: dict[str, Callable[[], str]] = {
            "circuit_uid": lambda: row.circuit,
            "service": lambda: self._service(row),
            "fuse": lambda: self._fuse(row),
            "main": lambda: row.main,
            "tracer": lambda: row.tracer,
            "csa_mm2": lambda: row.csa,
            "awg": lambda: self._awg(row),
            "length_mm": lambda: line.length,
            "amps": lambda: row.amps,
            "temperature": lambda: row.temperature,
            "drop": lambda: row.drop,
            "found": lambda: self._found(row),
            "terminals": lambda: " – ".join(self._terminals(row, line)),
            "tags": lambda: " – ".join(
                end.made.tag or "none" for end in self._wire(row, line).ends
            ),
            "route": lambda: self._route(row),
            "laid": lambda: laid_words(self.design, self.design.link[row.uid]),
            "note": lambda: row.note,
        }
        return texts[key]()

    def _wire(self, row: LinkRow, line: WireLine) -> Wire:
        return self.table.view.wires_of[row.uid][line.segment]

    def _service(self, row: LinkRow) -> str:
        return self.design.circuit[self.design.link[row.uid].circuit_uid].service

    def _fuse(self, row: LinkRow) -> str:
        rating = self.table.figures.wire(row.uid).fuse_a
        if rating is None:
            return "–"
        return "none" if rating == UNFUSED else f"{rating:g}"

    def _awg(self, row: LinkRow) -> str:
        csa_mm2 = self.design.link[row.uid].csa_mm2
        return "" if csa_mm2 is None else awg_label(nearest_awg(csa_mm2))

    def _found(self, row: LinkRow) -> str:
        """3 to mend, 1 to look at, 2 accepted."""
        open_ = [each for each in row.findings if each.accepted is None]
        counts = (
            ("to mend", sum(each.finding.severity == "error" for each in open_)),
            ("to look at", sum(each.finding.severity == "warning" for each in open_)),
            ("noted", sum(each.finding.severity == "note" for each in open_)),
            ("accepted", len(row.findings) - len(open_)),
        )
        return ", ".join(f"{count} {words}" for words, count in counts if count) or "none"

    def _terminals(self, row: LinkRow, line: WireLine) -> list[str]:
        parts = [
            self.table.view.catalogue.get(end.made.terminal_part_uid)
            for end in self._wire(row, line).ends
        ]
        return [part.name if part else "none" for part in parts]

    def _route(self, row: LinkRow) -> str:
        link = self.design.link[row.uid]
        start, _ = ends_at(self.design, link)
        if link.route is None or start is None:
            return "none"
        return route_words(self.design, start, link.route)
