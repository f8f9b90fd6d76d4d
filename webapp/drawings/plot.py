"""A small line plot with axes: figures against figures, each line named where it runs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .ink import CARD, INK, LINE, SOFT, checked_hex, num
from .shapes import circle, line, path, rect, svg, text

LEFT, RIGHT, TOP, BOTTOM = 58.0, 16.0, 26.0, 44.0
TICK_SIZE = 12.0
STEPS = (1, 2, 5, 10)
FEW_DECADES = 2
ROOM_FOR_NAME = 100.0


@dataclass(frozen=True)
class Axis:
    """What an axis shows and from where to where; `log` needs a `low` above nought."""

    label: str
    low: float
    high: float
    log: bool = False


@dataclass(frozen=True)
class Series:
    """A line through points. `name_at` is the point that its name stands at, from 0 to 1."""

    name: str
    points: Sequence[tuple[float, float]]
    colour: str = INK
    dash: str = ""
    name_at: float = 1.0
    name_below: bool = False


@dataclass(frozen=True)
class Mark:
    """One point with its name."""

    x: float
    y: float
    name: str


def plot_svg(
    title: str,
    x: Axis,
    y: Axis,
    series: Sequence[Series],
    *,
    marks: Sequence[Mark] = (),
    width: float = 600,
    height: float = 320,
) -> str:
    """The plot as an <svg>; what lies beyond the axes is left out.

    title: what it shows, in words for those who cannot see it.
    Raises ValueError for an axis without length, a log axis from nought, or a colour that is none.
    """
    frame = _Frame(_checked(x), _checked(y), width, height)
    body = [rect(LEFT, TOP, frame.inner_w, frame.inner_h, fill=CARD, stroke="none")]
    body += frame.grid()
    for each in series:
        body += _drawn(frame, each)
    for mark in marks:
        body += _marked(frame, mark)
    return svg(width, height, title, body, "plot")


def ticks(axis: Axis, about: int = 6) -> list[float]:
    """Round values along an axis: 1, 2 and 5 times powers of ten; few decades are filled in."""
    if axis.log:
        return _log_ticks(axis)
    span = axis.high - axis.low
    power = 10.0 ** math.floor(math.log10(span / about))
    step = next(power * each for each in STEPS if power * each * about >= span)
    first = math.ceil(axis.low / step - 1e-9)
    return [step * n for n in range(first, math.floor(axis.high / step + 1e-9) + 1)]


def _log_ticks(axis: Axis) -> list[float]:
    low, high = math.log10(axis.low), math.log10(axis.high)
    steps = STEPS[:3] if high - low <= FEW_DECADES else STEPS[:1]
    decades = range(math.floor(low + 1e-9), math.ceil(high - 1e-9) + 1)
    values = [each * 10.0**decade for decade in decades for each in steps]
    return [v for v in values if axis.low * (1 - 1e-9) <= v <= axis.high * (1 + 1e-9)]


def _checked(axis: Axis) -> Axis:
    if not axis.low < axis.high or (axis.log and axis.low <= 0):
        raise ValueError(f"The axis {axis.label!r} runs from {axis.low} to {axis.high}.")
    return axis


class _Frame:
    """Places values on the paper."""

    def __init__(self, x: Axis, y: Axis, width: float, height: float) -> None:
        self.x, self.y = x, y
        self.width, self.height = width, height
        self.inner_w = width - LEFT - RIGHT
        self.inner_h = height - TOP - BOTTOM

    def at_x(self, value: float) -> float:
        return LEFT + self.inner_w * _share(self.x, value)

    def at_y(self, value: float) -> float:
        return TOP + self.inner_h * (1 - _share(self.y, value))

    def holds(self, x: float, y: float) -> bool:
        return _within(self.x, x) and _within(self.y, y)

    def grid(self) -> list[str]:
        foot, right = TOP + self.inner_h, LEFT + self.inner_w
        drawn = []
        for value in ticks(self.x):
            at = self.at_x(value)
            drawn.append(line(at, TOP, at, foot, stroke=LINE))
            drawn.append(_tick(at, foot + 16, value, "middle"))
        for value in ticks(self.y):
            at = self.at_y(value)
            drawn.append(line(LEFT, at, right, at, stroke=LINE))
            drawn.append(_tick(LEFT - 7, at + 4, value, "end"))
        drawn.append(path(f"M{num(LEFT)} {num(TOP)}V{num(foot)}H{num(right)}", **_STROKE))
        drawn.append(text(right, self.height - 8, self.x.label, 13, text_anchor="end", fill=SOFT))
        drawn.append(text(6, 16, self.y.label, 13, fill=SOFT))
        return drawn


_STROKE: dict[str, str | float] = {"fill": "none", "stroke": INK, "stroke_width": 1.2}


def _share(axis: Axis, value: float) -> float:
    if axis.log:
        return math.log(value / axis.low) / math.log(axis.high / axis.low)
    return (value - axis.low) / (axis.high - axis.low)


def _within(axis: Axis, value: float) -> bool:
    slack = 1e-9 * (abs(axis.low) + abs(axis.high))
    return axis.low - slack <= value <= axis.high + slack


def _tick(x: float, y: float, value: float, anchor: str) -> str:
    words = f"{value:,.6g}".replace("-", "−")
    return text(x, y, words, TICK_SIZE, condensed=True, text_anchor=anchor, fill=SOFT)


def _drawn(frame: _Frame, series: Series) -> list[str]:
    seen = [(x, y) for x, y in series.points if frame.holds(x, y)]
    if not seen:
        return []
    placed = [(frame.at_x(x), frame.at_y(y)) for x, y in seen]
    look: dict[str, str | float] = {
        **_STROKE,
        "stroke": checked_hex(series.colour),
        "stroke_width": 2,
        "stroke_linejoin": "round",
    }
    if series.dash:
        look["stroke_dasharray"] = series.dash
    d = "M" + "L".join(f"{num(x)} {num(y)}" for x, y in placed)
    return [path(d, **look), _name(frame, series, placed)]


def _name(frame: _Frame, series: Series, placed: list[tuple[float, float]]) -> str:
    x, y = placed[round(series.name_at * (len(placed) - 1))]
    late = x > LEFT + frame.inner_w / 2
    name_y = min(max(y + (16 if series.name_below else -7), TOP + 12), TOP + frame.inner_h - 5)
    return _words(x - 6 if late else x + 6, name_y, series.name, late, series.colour, 400)


def _words(x: float, y: float, words: str, ends: bool, colour: str, weight: int) -> str:
    """A name that can be read where a line runs through it; `ends`: it ends at x."""
    return text(
        x,
        y,
        words,
        13,
        text_anchor="end" if ends else "start",
        fill=colour,
        font_weight=weight,
        paint_order="stroke",
        stroke=CARD,
        stroke_width=4,
    )


def _marked(frame: _Frame, mark: Mark) -> list[str]:
    if not frame.holds(mark.x, mark.y):
        return []
    x, y = frame.at_x(mark.x), frame.at_y(mark.y)
    late = x > LEFT + ROOM_FOR_NAME
    words = _words(x - 9 if late else x + 9, max(y - 7, TOP + 12), mark.name, late, INK, 600)
    return [circle(x, y, 4.5, fill=CARD, stroke=INK, stroke_width=2), words]
