"""The wire drawn as itself: left end, insulation in its colours, right end."""

import math
from functools import lru_cache

from .ends import EndState
from .ink import CARD, INK, SOFT, checked_hex, contrast
from .shapes import box, line, svg, symbol
from .wire_end import draw_end

# Below this contrast ratio a tracer is given a pale edge, or nobody would see it (red on brown).
FAINT_TRACER = 1.5
PALE_CLOTH = 0.5


# A table draws the same few wires at every edit.
@lru_cache(maxsize=4096)
def wire_svg(
    main: str,
    tracer: str | None,
    left: EndState,
    right: EndState,
    width: float = 380,
    height: float = 22,
    csa_mm2: float = 1.5,
    label: str = "Wire",
) -> str:
    """One wire as an <svg> of the given size in px.

    main, tracer: insulation colours as #rrggbb. label: what the wire is called, first words of the
    drawing's name.
    Raises ValueError for a colour that is none.
    """
    main = checked_hex(main)
    thick = wire_thickness(csa_mm2, height)
    zone = min(height * 1.7, width * 0.16)
    x1, x2, y = zone, width - zone, height / 2
    body = _insulation(x1, x2, y, thick, main, tracer, planned=EndState.PLANNED in (left, right))
    body += draw_end(left, x1, y, -1, zone - 1, thick, main)
    body += draw_end(right, x2, y, 1, zone - 1, thick, main)
    words = f"{label}: left end {left.value}, right end {right.value}"
    return svg(width, height, words, body, "wire")


def piece_symbol(
    uid: str, main: str, tracer: str | None, width: float, height: float, csa_mm2: float
) -> str:
    """A plain piece of the wire as a <symbol>: its colours, whatever the bench has made of it.

    Raises ValueError for a colour that is none.
    """
    thick = wire_thickness(csa_mm2, height) * 1.3
    body = _insulation(1, width - 1, height / 2, thick, checked_hex(main), tracer, planned=False)
    return symbol(uid, width, height, body)


def wire_thickness(csa_mm2: float, height: float) -> float:
    """Drawn thickness.

    Grows with the conductor's diameter, kept between thin and almost full height.
    """
    return height * min(0.64, 0.27 + 0.1 * math.sqrt(max(csa_mm2, 0.0)))


def _insulation(
    x1: float, x2: float, y: float, thick: float, main: str, tracer: str | None, *, planned: bool
) -> list[str]:
    edge: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.9}
    if planned:  # not cut from its reel yet: an outline, with its colour only hinted at
        edge = {"stroke": SOFT, "stroke_width": 0.9, "stroke_dasharray": "4 3"}
        edge["fill_opacity"] = PALE_CLOTH
    parts = [box(x1, x2, y, thick, fill=main, **edge)]
    if tracer:
        parts += _tracer(x1 + 0.8, x2 - 0.8, y, thick * 0.32, main, checked_hex(tracer), planned)
    return parts


def _tracer(
    x1: float, x2: float, y: float, thick: float, main: str, tracer: str, planned: bool
) -> list[str]:
    opacity = PALE_CLOTH if planned else 1
    parts = []
    if contrast(main, tracer) < FAINT_TRACER:
        parts.append(line(x1, y, x2, y, stroke=CARD, stroke_width=thick * 1.7, opacity=opacity))
    parts.append(line(x1, y, x2, y, stroke=tracer, stroke_width=thick, opacity=opacity))
    return parts
