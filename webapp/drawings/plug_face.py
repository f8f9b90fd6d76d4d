"""A plug or socket half seen from either side: its ways in rows and columns, each with its wire."""

from collections.abc import Sequence
from dataclasses import dataclass

from .ink import CARD, INK, LINE, SOFT, checked_hex, num
from .shapes import attributes, circle, line, path, rect, svg, symbol, text, used

CELL_W, CELL_H, GAP, EDGE = 78.0, 52.0, 4.0, 8.0


@dataclass(frozen=True)
class FaceWay:
    """One way: its number and the wire in it (empty wire_number: a spare way)."""

    number: str
    wire_number: str = ""
    letters: str = ""
    main: str | None = None
    tracer: str | None = None


SIDES = ("wire", "mating")


def columns_for(ways: int) -> int:
    """Housings of up to 4 ways are drawn in two columns, larger ones in three."""
    return 2 if ways <= 4 else 3


def plug_face_svg(
    name: str, ways: Sequence[FaceWay], columns: int, *, socket: bool = False, side: str = "wire"
) -> str:
    """The face as an <svg>; ways in order, row by row.

    A plug from its wire side runs left to right. Its mating side is the mirror image, and so is a
    socket's wire side: put together, each way of the one meets the same way of the other, so a
    socket's mating side shows as the plug's wire side.
    Raises ValueError for fewer than one column, or a side that is none of SIDES.
    """
    body = _face(ways, columns, socket=socket, side=side)
    return svg(*face_size(len(ways), columns), _in_words(name, ways, side), body, "face")


def face_symbol(uid: str, ways: Sequence[FaceWay], columns: int, *, socket: bool, side: str) -> str:
    """The same face as a <symbol>, for a page that shows it often."""
    body = _face(ways, columns, socket=socket, side=side)
    return symbol(uid, *face_size(len(ways), columns), body)


def marked_face_svg(
    uid: str,
    name: str,
    ways: Sequence[FaceWay],
    columns: int,
    *,
    socket: bool,
    side: str,
    marked: int,
) -> str:
    """The face of a symbol with one of its ways marked: by a heavy frame and a pointer, and in
    its name in words."""
    words = f"{name}, seen from the {side} side: way {ways[marked].number} marked"
    x, y = _corner(marked, columns, mirrored=_mirrored(socket=socket, side=side))
    return used(uid, *face_size(len(ways), columns), "face", words, "".join(_mark(x, y)))


def pointing_face_svg(
    uid: str,
    name: str,
    ways: Sequence[FaceWay],
    columns: int,
    *,
    socket: bool,
    side: str,
    marks: Sequence[str],
    now: str | None,
) -> str:
    """The face of a symbol with a mark for each way, named by `marks`; shown is the one of `now`.

    A mark that is shown has the attribute data-now, so that a script can turn to another.
    """
    mirrored = _mirrored(socket=socket, side=side)
    over = []
    for index, mark in enumerate(marks):
        shapes = _mark(*_corner(index, columns, mirrored=mirrored))
        about: dict[str, str | float] = {"data_way_mark": mark}
        if mark == now:
            about["data_now"] = ""
        over.append(f"<g{attributes(about)}>{''.join(shapes)}</g>")
    size = face_size(len(ways), columns)
    return used(uid, *size, "face", _in_words(name, ways, side), "".join(over))


def face_size(ways: int, columns: int) -> tuple[float, float]:
    """Width and height of a face.

    Raises ValueError for fewer than one column.
    """
    if columns < 1:
        raise ValueError("A plug face needs at least one column.")
    rows = -(-ways // columns)
    width = 2 * EDGE + columns * CELL_W + (columns - 1) * GAP
    return width, 2 * EDGE + rows * CELL_H + max(rows - 1, 0) * GAP


def _mirrored(*, socket: bool, side: str) -> bool:
    if side not in SIDES:
        raise ValueError(f"A plug is seen from one of: {', '.join(SIDES)}.")
    return socket != (side == "mating")


def _corner(index: int, columns: int, *, mirrored: bool) -> tuple[float, float]:
    row, column = divmod(index, columns)
    if mirrored:
        column = columns - 1 - column
    return EDGE + column * (CELL_W + GAP), EDGE + row * (CELL_H + GAP)


def _face(ways: Sequence[FaceWay], columns: int, *, socket: bool, side: str) -> list[str]:
    mirrored = _mirrored(socket=socket, side=side)
    width, height = face_size(len(ways), columns)
    body = [rect(1, 1, width - 2, height - 2, rx=7, fill=CARD, stroke=INK, stroke_width=1.6)]
    for index, way in enumerate(ways):
        body += _cell(way, *_corner(index, columns, mirrored=mirrored))
    return body


def _mark(x: float, y: float) -> list[str]:
    """A frame around the way and an arrow that points into its hole."""
    frame = rect(x, y, CELL_W, CELL_H, rx=4, fill="none", stroke=INK, stroke_width=6)
    pointer = f"M{num(x + 12)} {num(y + 4)}h20l-10 16z"
    return [frame, path(pointer, fill=INK)]


def way_svg(way: FaceWay) -> str:
    """One way of a face as an <svg> of its own, for a face whose ways can be pressed."""
    return svg(CELL_W, CELL_H, _way_in_words(way), _cell(way, 0, 0), "face-way")


def rows_seen(ways: int, columns: int, *, socket: bool, side: str) -> list[int | None]:
    """Which way lies in each cell of a face, row by row as it is seen; None for no way."""
    mirrored = _mirrored(socket=socket, side=side)
    places: list[int | None] = [
        at if at < ways else None for at in range(-(-ways // columns) * columns)
    ]
    rows = [places[at : at + columns] for at in range(0, len(places), columns)]
    return [place for row in rows for place in (reversed(row) if mirrored else row)]


def _in_words(name: str, ways: Sequence[FaceWay], side: str) -> str:
    return f"{name}, seen from the {side} side: {', '.join(map(_way_in_words, ways))}"


def _way_in_words(way: FaceWay) -> str:
    if way.wire_number:
        return f"way {way.number} wire {way.wire_number} {way.letters}".rstrip()
    return f"way {way.number} spare"


def _cell(way: FaceWay, x: float, y: float) -> list[str]:
    used = way.main is not None
    edge: dict[str, str | float] = {"stroke": SOFT} if used else {"stroke": LINE}
    parts = [rect(x, y, CELL_W, CELL_H, rx=4, fill="#ffffff", stroke_width=1, **edge)]
    parts.append(text(x + 5, y + 13, way.number, 11, condensed=True, font_weight=600, fill=SOFT))
    middle, hole_y = x + 22, y + 30
    if way.main is None:
        parts.append(circle(middle, hole_y, 9, fill="none", stroke=LINE, stroke_width=1.4))
        if not way.wire_number:
            parts.append(text(x + 36, y + 34, "spare", 9, fill=SOFT))
            return parts
    else:
        parts += _wire_end_on(middle, hole_y, way.main, way.tracer)
    parts.append(text(x + 36, y + 27, way.wire_number, 14, condensed=True, font_weight=700))
    parts.append(text(x + 36, y + 41, way.letters, 11, condensed=True, font_weight=600))
    return parts


def _wire_end_on(x: float, y: float, main: str, tracer: str | None) -> list[str]:
    """The wire end-on: a disc of its main colour with the tracer as a band across."""
    parts = [circle(x, y, 9, fill=checked_hex(main))]
    if tracer:
        band = f"M{x - 8.5} {y - 3}H{x + 8.5}V{y + 3}H{x - 8.5}z"
        parts.append(path(band, fill=checked_hex(tracer)))
        parts.append(line(x - 8.4, y - 3, x + 8.4, y - 3, stroke=CARD, stroke_width=0.5))
        parts.append(line(x - 8.4, y + 3, x + 8.4, y + 3, stroke=CARD, stroke_width=0.5))
    parts.append(circle(x, y, 9, fill="none", stroke=INK, stroke_width=1.2))
    return parts
