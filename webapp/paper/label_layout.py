"""One label as SVG shapes in millimetres: the same family of layout for every size.

A low label (tape) has its title on the left and small rows beside it; a higher one has its rows
below each other. A QR code stands on the right where there is room for one that can be read.
"""

from dataclasses import dataclass, replace

from webapp.drawings.ink import CARD, INK, SOFT, checked_hex
from webapp.drawings.qr import qr_group, qr_path
from webapp.drawings.shapes import line, rect, text

from .label_values import Label, LabelKind
from .text_fit import ELLIPSIS, cut_to_fit, size_to_fit, width_em, wrap_to_fit

LOW_MM = 11.0  # below this height rows stand beside the title
LEAST_TYPE_MM = 1.75  # about 5 pt
LARGEST_TYPE_MM = 4.4
LARGEST_TYPE_SHARE = 0.13  # of the label's height, on large labels
LEADING = 1.2
TITLE_SCALE = 2.0
WIRE_NUMBER_SCALE = 3.0
# Rows are left whole unless breaking them prints this much larger.
RATHER_WHOLE = 0.7
LEAST_TEXT_WIDTH_MM = 18.0
LEAST_HEADING_WIDTH_MM = 19.0  # for the kind of label and its code side by side
LARGEST_QR_MM = 26.0
COLUMN_MM = 32.0
VERDICTS = (LabelKind.PASSED, LabelKind.FAILED)


@dataclass(frozen=True)
class Area:
    """A rectangle in mm, its upper left corner at x, y."""

    x: float
    y: float
    width: float
    height: float


def label_shapes(label: Label, width_mm: float, height_mm: float, margin_mm: float) -> list[str]:
    """Everything printed on one label whose upper left corner is the origin."""
    pad = max(margin_mm, min(2.5, 0.06 * min(width_mm, height_mm), 0.1 * height_mm))
    area = Area(pad, pad, width_mm - 2 * pad, height_mm - 2 * pad)
    side = _qr_side(label, area)
    shapes = []
    if side and label.qr_text:
        right = area.x + area.width - side
        shapes.append(qr_group(label.qr_text, right, area.y + (area.height - side) / 2, side))
        area = Area(area.x, area.y, area.width - side - 0.8, area.height)
    return shapes + (_low(label, area) if area.height < LOW_MM else _high(label, area))


def _qr_side(label: Label, area: Area) -> float:
    """The size of the QR code, 0 where there is no room for it."""
    if not label.qr_text:
        return 0.0
    least = qr_path(label.qr_text).least_size_mm
    if area.height < least or area.width - least < LEAST_TEXT_WIDTH_MM:
        return 0.0
    return max(least, min(area.height, 0.36 * area.width, LARGEST_QR_MM))


def _low(label: Label, area: Area) -> list[str]:
    """Title in full height on the left, the rest in rows on the right."""
    title_width = 0.42 * area.width
    size = max(LEAST_TYPE_MM, size_to_fit(label.title, title_width, area.height, 700))
    title = cut_to_fit(label.title, title_width, size, 700)
    middle = area.y + area.height / 2
    shapes = [_words(area.x, middle + 0.35 * size, title, size, weight=700)]
    gap = width_em(title, 700) * size + 0.35 * area.height if title else 0.0
    beside = Area(area.x + gap, area.y, area.width - gap, area.height)
    named = label.kind is not LabelKind.WIRE_TAG and label.kind not in VERDICTS
    first = " ".join(filter(None, (label.kind.value if named else "", label.code)))
    rows = [row for row in (first, *label.lines) if row]
    share = 0.32 if len(rows) > 1 else 0.42
    band = Area(beside.x, beside.y, beside.width, area.height * share)
    if label.kind in VERDICTS:
        shapes += _verdict(label.kind, band)
    elif label.stripe or label.letters:
        shapes += _stripe(label, band)
    else:
        return shapes + _rows(rows, beside, LARGEST_TYPE_MM)
    below = Area(beside.x, band.y + band.height, beside.width, area.height - band.height)
    return shapes + _rows(rows, below, LARGEST_TYPE_MM)


def _high(label: Label, area: Area) -> list[str]:
    """Heading, title, stripe and lines below each other."""
    if label.code and area.width < LEAST_HEADING_WIDTH_MM:
        label = replace(label, code="", lines=(label.code, *label.lines))
    shares = _shares(label)
    columns = 2 if len(label.lines) > 4 and area.width >= 2 * COLUMN_MM else 1
    line_rows = -(-len(label.lines) // columns)
    unit = area.height / (LEADING * (sum(shares) + line_rows))
    unit = max(unit, min(LEAST_TYPE_MM, _unit_without_lines(area, shares)))
    unit = min(unit, max(LARGEST_TYPE_MM, LARGEST_TYPE_SHARE * area.height))
    heading, title, stripe = (LEADING * unit * share for share in shares)
    y = area.y
    shapes = _heading(label, Area(area.x, y, area.width, heading))
    y += heading
    shapes += _title(label, Area(area.x, y, area.width, title))
    y += title
    if stripe:
        shapes += _stripe(label, Area(area.x, y, area.width, stripe))
        y += stripe
    below = Area(area.x, y, area.width, area.y + area.height - y)
    return shapes + _columns(label.lines, columns, below, unit)


def _shares(label: Label) -> tuple[float, float, float]:
    """Heights of heading, title and stripe in units of a line."""
    stripe = 1.2 if label.stripe or label.letters else 0.0
    if label.kind is LabelKind.WIRE_TAG:
        return 1.0 if label.code else 0.0, WIRE_NUMBER_SCALE, stripe
    return 1.5 if label.kind in VERDICTS else 1.0, TITLE_SCALE, stripe


def _unit_without_lines(area: Area, shares: tuple[float, ...]) -> float:
    return area.height / (LEADING * sum(shares))


def _heading(label: Label, area: Area) -> list[str]:
    """What kind of label it is, and its code on the right."""
    if not area.height:
        return []
    size = area.height / LEADING
    kind = "" if label.kind is LabelKind.WIRE_TAG else label.kind.value
    share = 0.3 if label.kind in VERDICTS else 0.5
    code_size = size_to_fit(label.code, area.width * share, size)
    code = _words(area.x + area.width, area.y + 0.8 * size, label.code, code_size, anchor="end")
    room = area.width - width_em(label.code) * code_size - (size * 0.4 if label.code else 0)
    if label.kind in VERDICTS:
        return [*_verdict(label.kind, Area(area.x, area.y, room, area.height)), code]
    kind_size = size_to_fit(kind, room, size)
    return [_words(area.x, area.y + 0.8 * size, kind, kind_size, fill=SOFT), code]


def _verdict(kind: LabelKind, area: Area) -> list[str]:
    """PASSED in a frame, FAILED white on black: told apart without colour."""
    height = area.height * 0.94
    pad = min(0.25 * height, 0.08 * area.width)
    size = size_to_fit(kind.value, area.width - 2 * pad - 0.2, height * 0.86, 700)
    width = width_em(kind.value, 700) * size + 2 * pad
    failed = kind is LabelKind.FAILED
    frame = rect(
        area.x + 0.1, area.y + 0.1, width, height - 0.2,
        fill=INK if failed else CARD, stroke=INK, stroke_width=0.2,
    )  # fmt: skip
    base = area.y + height / 2 + 0.35 * size
    colour = CARD if failed else INK
    return [
        frame,
        _words(area.x + 0.1 + pad, base, kind.value, size, weight=700, fill=colour),
    ]


def _title(label: Label, area: Area) -> list[str]:
    size = size_to_fit(label.title, area.width, area.height / LEADING, 700)
    size = max(size, min(LEAST_TYPE_MM, area.height / LEADING))
    words = cut_to_fit(label.title, area.width, size, 700)
    return [_words(area.x, area.y + area.height / 2 + 0.35 * size, words, size, weight=700)]


def _stripe(label: Label, area: Area) -> list[str]:
    """The wire's colours as a bar, the letters beside it."""
    height = area.height * 0.7
    y = area.y + (area.height - height) / 2
    size = size_to_fit(label.letters, area.width * 0.5, height * 1.15)
    room = width_em(label.letters) * size + (0.3 * height if label.letters else 0)
    base = y + height / 2 + 0.35 * size
    shapes = [_words(area.x + area.width, base, label.letters, size, anchor="end")]
    if label.stripe is None:
        return shapes
    main, tracer = label.stripe
    bar = Area(area.x + 0.1, y, area.width - room - 0.2, height)
    look: dict[str, str | float] = {"fill": checked_hex(main), "stroke": INK, "stroke_width": 0.15}
    shapes.append(rect(bar.x, bar.y, bar.width, bar.height, **look))
    if tracer:
        middle = bar.y + height / 2
        colour: dict[str, str | float] = {"stroke": checked_hex(tracer)}
        end = bar.x + bar.width - 0.1
        shapes.append(line(bar.x + 0.1, middle, end, middle, stroke_width=height * 0.34, **colour))
    return shapes


def _columns(lines: tuple[str, ...], columns: int, area: Area, unit: float) -> list[str]:
    if columns == 1:
        return _rows(list(lines), area, unit)
    half, gap = -(-len(lines) // 2), unit
    width = (area.width - gap) / 2
    right = Area(area.x + width + gap, area.y, width, area.height)
    left = Area(area.x, area.y, width, area.height)
    return _rows(list(lines[:half]), left, unit) + _rows(list(lines[half:]), right, unit)


def _rows(rows: list[str], area: Area, largest: float) -> list[str]:
    """Rows of one size below each other, broken into more rows where that prints larger."""
    rows = [row for row in rows if row.strip()]
    if not rows or area.width < LEAST_TYPE_MM or area.height < LEAST_TYPE_MM:
        return []
    plain = _largest_size(rows, area, largest, broken=False)
    broken = _largest_size(rows, area, largest, broken=True)
    size = plain if plain >= RATHER_WHOLE * broken else broken
    if not size:
        size = min(LEAST_TYPE_MM, area.height / LEADING)
        rows = _without_the_last(rows, int(area.height / (LEADING * size) + 1e-6))
    elif size == broken:
        rows = [part for row in rows for part in wrap_to_fit(row, area.width, size)]
    return [
        _words(
            area.x, area.y + LEADING * size * (i + 0.72), cut_to_fit(row, area.width, size), size
        )
        for i, row in enumerate(rows)
    ]


def _largest_size(rows: list[str], area: Area, largest: float, *, broken: bool) -> float:
    """The largest type at which all rows fit the area, 0 if even the smallest does not."""
    size = largest
    while size >= LEAST_TYPE_MM:
        parts = rows
        if broken:
            parts = [part for row in rows for part in wrap_to_fit(row, area.width, size)]
        high = LEADING * size * len(parts)
        wide = max(width_em(part) for part in parts) * size
        if high <= area.height + 1e-6 and wide <= area.width + 1e-6:
            return size
        size *= 0.97
    return 0.0


def _without_the_last(rows: list[str], count: int) -> list[str]:
    """The first rows; an ellipsis says that more were left out."""
    if count >= len(rows):
        return rows
    return [*rows[: count - 1], f"{rows[count - 1]} {ELLIPSIS}"]


def _words(
    x: float,
    y: float,
    words: str,
    size: float,
    *,
    weight: int = 600,
    anchor: str = "start",
    fill: str = INK,
) -> str:
    if not words:
        return ""
    return text(
        x, y, words, size, condensed=True, font_weight=weight, text_anchor=anchor, fill=fill
    )
