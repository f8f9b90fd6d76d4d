"""One end of a wire, in each state that the bench leaves it in.

All shapes are drawn outwards from the edge of the insulation. `at(share)` is the abscissa at that
share of the end's length.
"""

from collections.abc import Callable

from .ends import EndState
from .ink import CARD, COPPER, INK, METAL, METAL_LIGHT, SOFT, SOLDER, num
from .shapes import box, circle, line, path

At = Callable[[float], float]

THIN: dict[str, str | float] = {"stroke": INK, "stroke_width": 0.8}


def draw_end(
    state: EndState, x: float, y: float, outward: int, length: float, thick: float, insulation: str
) -> list[str]:
    """The shapes of one end.

    x, y: middle of the insulation's edge; outward: -1 to the left, 1 to the right; thick: of the
    insulation.
    """

    def at(share: float) -> float:
        return x + outward * length * share

    match state:
        case EndState.PLANNED:
            return []
        case EndState.CUT:
            return [line(x, y - thick * 0.62, x, y + thick * 0.62, stroke_width=1.2)]
        case EndState.STRIPPED:
            return _strands(at, y, thick, 0.34)
        case EndState.CRIMPED:
            return _terminal(at, y, thick)
        case EndState.SOLDERED:
            return _terminal(at, y, thick) + _solder(at, y, thick)
        case EndState.MADE:
            return _terminal(at, y, thick) + _sleeve(at, y, thick)
        case EndState.PLUGGED:
            return _terminal(at, y, thick * 0.8) + _sleeve(at, y, thick) + _plug(at, y, thick)
        case EndState.SPLICED:
            return _splice(at, y, thick, insulation)
        case EndState.LOOSE:
            return _loose(at, y, thick, insulation)


def _strands(at: At, y: float, thick: float, end: float) -> list[str]:
    bundle = box(at(0), at(end), y, thick * 0.56, fill=COPPER, stroke=INK, stroke_width=0.5)
    gaps = [
        line(at(0), y + offset, at(end), y + offset, stroke=INK, stroke_width=0.35)
        for offset in (-thick * 0.1, thick * 0.1)
    ]
    return [bundle, *gaps]


def _terminal(at: At, y: float, thick: float) -> list[str]:
    """Bare strands, then barrel, then the tongue with its hole."""
    return [
        *_strands(at, y, thick, 0.14),
        box(at(0.10), at(0.40), y, thick * 1.2, fill=METAL, rx=1.2, **THIN),
        line(at(0.25), y - thick * 0.4, at(0.25), y + thick * 0.4, stroke_width=0.8),
        box(at(0.40), at(0.96), y, thick * 0.84, fill=METAL_LIGHT, rx=1.5, **THIN),
        line(at(0.52), y, at(0.80), y, stroke=SOFT, stroke_width=0.7),
    ]


def _solder(at: At, y: float, thick: float) -> list[str]:
    return [circle(at(0.40), y, thick * 0.36, fill=SOLDER, stroke=INK, stroke_width=0.7)]


def _sleeve(at: At, y: float, thick: float) -> list[str]:
    # A pale hairline under the sleeve parts it from black insulation.
    return [
        box(at(-0.30), at(0.36), y, thick * 1.42, fill=INK, stroke=CARD, stroke_width=0.6, rx=1.6),
        line(at(-0.22), y - thick * 0.38, at(0.28), y - thick * 0.38, stroke=SOFT, stroke_width=1),
    ]


def _plug(at: At, y: float, thick: float) -> list[str]:
    return [
        box(at(0.38), at(0.99), y, thick * 1.5, fill=CARD, stroke=INK, stroke_width=1.1, rx=1),
        box(at(0.62), at(0.99), y, thick * 0.7, fill=METAL_LIGHT, **THIN),
    ]


def _splice(at: At, y: float, thick: float, insulation: str) -> list[str]:
    """The joint, and the stubs of the two wires that it joins."""
    rise = thick * 0.5
    stub: dict[str, str | float] = {"stroke_linecap": "butt", "fill": "none"}
    ways = [
        f"M{num(at(0.40))} {num(y)}L{num(at(0.62))} {num(y + side * rise)}H{num(at(0.98))}"
        for side in (-1, 1)
    ]
    return [
        *_strands(at, y, thick, 0.2),
        *(path(d, stroke=INK, stroke_width=thick * 0.5 + 1.4, **stub) for d in ways),
        *(path(d, stroke=insulation, stroke_width=thick * 0.5, **stub) for d in ways),
        box(at(0.12), at(0.48), y, thick * 1.25, fill=METAL, rx=thick * 0.5, **THIN),
    ]


def _loose(at: At, y: float, thick: float, insulation: str) -> list[str]:
    """The insulation goes on, hidden under a tag, to a plain cut end."""
    return [
        box(at(0), at(0.94), y, thick, fill=insulation, **THIN),
        box(at(0.22), at(0.66), y, thick * 1.5, fill=CARD, stroke=INK, stroke_width=1, rx=1),
        line(at(0.32), y, at(0.56), y, stroke=SOFT, stroke_width=1),
    ]
