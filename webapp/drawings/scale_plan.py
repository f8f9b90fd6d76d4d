"""The loom to scale, as the vehicle wants it: every run as long as it is, at its own angle.

Each run is a group that holds all that hangs on it, so that a page can swing a branch whole while
it is dragged; data attributes name the run and where it turns.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .ink import CARD, INK, LINE, METAL_LIGHT, SOFT, num
from .plan_values import PlanRun
from .scale_layout import Layout, Lying
from .shapes import attributes, circle, line, path, svg, text

MARGIN_PX, TOP_PX, FOOT_PX = 110.0, 40.0, 64.0
NAME_PX, NOTE_PX, LINE_PX = 15.0, 12.5, 14.0
GRIP_PX = 9.0
SCALE_BARS_MM = (50, 100, 200, 250, 500, 1000, 2000, 5000, 10_000, 20_000)


@dataclass(frozen=True)
class _Sheet:
    """From mm on the loom to px on the drawing."""

    left_px: float
    left_mm: float
    top_mm: float
    px_per_mm: float
    turnable: bool

    def at(self, lying: Lying) -> tuple[float, float]:
        x = self.left_px + (lying.at[0] - self.left_mm) * self.px_per_mm
        return x, TOP_PX + (self.top_mm - lying.at[1]) * self.px_per_mm


def scale_plan_svg(
    layout: Layout, width: float = 1180, most_height: float = 540, *, turnable: bool = True
) -> str:
    """The layout as an <svg> of this width, to one scale that a bar shows.

    Its branches have ends to turn them by where the plan is `turnable`.
    """
    places = layout.places
    xs, ys = [each.at[0] for each in places] or [0.0], [each.at[1] for each in places] or [0.0]
    wide, high = max(xs) - min(xs) or 1.0, max(ys) - min(ys) or 1.0
    px_per_mm = min((width - 2 * MARGIN_PX) / wide, (most_height - TOP_PX - FOOT_PX) / high)
    spare_px = width - 2 * MARGIN_PX - wide * px_per_mm
    sheet = _Sheet(MARGIN_PX + spare_px / 2, min(xs), max(ys), px_per_mm, turnable)
    height = TOP_PX + high * px_per_mm + FOOT_PX
    at = {each.place.uid: sheet.at(each) for each in places}
    body = [_ring(run, at) for run in layout.closing]
    for root in layout.roots:
        body += [*(_branch(child, sheet) for child in root.children), *_place(root, sheet)]
    body += _scale_bar(height, px_per_mm, width)
    return svg(width, height, _in_words(layout), body, "plan to-scale", role="group")


def _branch(lying: Lying, sheet: _Sheet) -> str:
    """A run, the place that it leads to, and all that hangs on that."""
    assert lying.parent is not None
    assert lying.run is not None
    (x1, y1), (x2, y2) = sheet.at(lying.parent), sheet.at(lying)
    thick = 1.8 + 0.75 * math.sqrt(lying.run.wires)
    parts = [
        line(x1, y1, x2, y2, stroke_width=thick, stroke_linecap="round"),
        *_splices(lying, (x1, y1), (x2, y2)),
        *_run_words(lying, (x1, y1), (x2, y2)),
        *(_branch(child, sheet) for child in lying.children),
        *_place(lying, sheet),
    ]
    named = attributes(
        {
            "class": "branch",
            "data-run": lying.run.uid,
            "data-x": x1,
            "data-y": y1,
            "data-angle": lying.run_angle_deg,
            "data-forward": "1" if lying.forward else "0",
        }
    )
    return f"<g{named}>{''.join(parts)}</g>"


def _splices(lying: Lying, a: tuple[float, float], b: tuple[float, float]) -> list[str]:
    """Splices where they lie in the run."""
    run = lying.run
    if run is None or not run.length_mm:
        return []
    signs = []
    for at_mm in run.splices_mm:
        share = min(max(at_mm / run.length_mm, 0.0), 1.0)
        share = share if lying.forward else 1.0 - share
        x, y = (a[axis] + share * (b[axis] - a[axis]) for axis in (0, 1))
        signs.append(circle(x, y, 4, fill=METAL_LIGHT, stroke=INK, stroke_width=2))
    return signs


def _run_words(lying: Lying, a: tuple[float, float], b: tuple[float, float]) -> list[str]:
    """Its length and wires beside the middle of the run, on the side that is further up."""
    run = lying.run
    assert run is not None
    long_px = math.dist(a, b)
    words = run.length if run.length_mm else "not measured"
    if run.wires:
        words += f" · {run.wires}"
    angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    upright = angle - 180 if angle > 90 else angle + 180 if angle <= -90 else angle
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if long_px < len(words) * NOTE_PX * 0.43 + 2 * GRIP_PX:
        return []
    turn = f"rotate({num(upright)} {num(middle[0])} {num(middle[1])})"
    above = middle[1] - 5 - 0.4 * math.sqrt(run.wires)
    return [
        text(middle[0], above, words, NOTE_PX, condensed=True, text_anchor="middle",
             fill=SOFT, font_weight=500, transform=turn)
    ]  # fmt: skip


def _place(lying: Lying, sheet: _Sheet) -> list[str]:
    x, y = sheet.at(lying)
    parts = []
    if lying.run is not None and sheet.turnable:
        name = attributes(
            {
                "class": "grip",
                "data-grip": lying.run.uid,
                "tabindex": "0",
                "role": "slider",
                "aria-label": f"Angle of the run to {lying.place.name}",
                "aria-valuemin": "-180",
                "aria-valuemax": "180",
                "aria-valuenow": f"{lying.run_angle_deg:.0f}",
            }
        )
        parts.append(f"<g{name}>{circle(x, y, 24, fill='transparent')}{_mark(lying, x, y)}</g>")
    else:
        parts.append(_mark(lying, x, y))
    return [*parts, *_place_words(lying, x, y)]


def _mark(lying: Lying, x: float, y: float) -> str:
    ground = INK if lying.place.mark in ("", "plug") else CARD
    size = GRIP_PX if lying.run is not None else GRIP_PX - 2
    return circle(x, y, size - 2, fill=ground, stroke=INK, stroke_width=2)


def _place_words(lying: Lying, x: float, y: float) -> list[str]:
    """The name beyond the end of a branch; beside the line where the loom goes on."""
    words = [(lying.place.name, NAME_PX, INK, 600)]
    if lying.place.fittings and not lying.children:
        shown = ", ".join(lying.place.fittings)
        words.append((shown if len(shown) < 34 else shown[:32].rstrip(", ") + " …",
                      NOTE_PX, SOFT, 500))  # fmt: skip
    dx, dy, anchor = _words_at(lying)
    return [
        text(x + dx, y + dy + index * LINE_PX, said, size, condensed=True, text_anchor=anchor,
             fill=ink, font_weight=weight)
        for index, (said, size, ink, weight) in enumerate(words)
    ]  # fmt: skip


def _words_at(lying: Lying) -> tuple[float, float, str]:
    if lying.run is None:
        return -14.0, 4.0, "end"
    if lying.children:
        below = math.sin(math.radians(lying.angle_deg)) >= 0
        return 8.0, 24.0 if below else -14.0, "start"
    across, up = math.cos(math.radians(lying.angle_deg)), math.sin(math.radians(lying.angle_deg))
    if abs(across) < 0.35:
        return 0.0, -16.0 - (LINE_PX if lying.place.fittings else 0) if up > 0 else 24.0, "middle"
    return (14.0, 4.0 - 4 * up, "start") if across > 0 else (-14.0, 4.0 - 4 * up, "end")


def _ring(run: PlanRun, at: dict[str, tuple[float, float]]) -> str:
    (x1, y1), (x2, y2) = at[run.from_uid], at[run.to_uid]
    x, y = (x1 + x2) / 2 + (y2 - y1) * 0.2, (y1 + y2) / 2 - (x2 - x1) * 0.2
    d = f"M{num(x1)} {num(y1)}Q{num(x)} {num(y)} {num(x2)} {num(y2)}"
    return path(d, fill="none", stroke=LINE, stroke_width=2, stroke_dasharray="6 4")


def _scale_bar(height: float, px_per_mm: float, width: float) -> list[str]:
    fitting = [mm for mm in SCALE_BARS_MM if mm * px_per_mm <= width / 4]
    mm = fitting[-1] if fitting else SCALE_BARS_MM[0]
    long_px, y = mm * px_per_mm, height - 16
    return [
        line(MARGIN_PX, y, MARGIN_PX + long_px, y, stroke=SOFT, stroke_width=1.5),
        *(
            line(x, y - 4, x, y + 4, stroke=SOFT, stroke_width=1.5)
            for x in (MARGIN_PX, MARGIN_PX + long_px)
        ),
        text(MARGIN_PX + long_px + 8, y + 4, f"{mm:,} mm", NOTE_PX, condensed=True, fill=SOFT,
             font_weight=500),
    ]  # fmt: skip


def _in_words(layout: Layout) -> str:
    runs: Sequence[str] = [
        f"{lying.parent.place.name} to {lying.place.name} at {lying.run_angle_deg:.0f} degrees"
        for lying in layout.places
        if lying.parent is not None
    ]
    return f"The loom to scale: {'; '.join(runs) or 'no runs yet'}"
