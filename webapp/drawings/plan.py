"""The loom as it lies on the bench: trunk from left to right, branches breaking out above and
below.

Lengths are drawn in proportion as far as the words beside them leave room.
"""

import math
from collections.abc import Sequence
from textwrap import wrap

from .ink import CARD, INK, LINE, METAL_LIGHT, SOFT, num
from .plan_tree import Forest, Node, plant
from .plan_values import PlanPlace, PlanRun
from .shapes import circle, path, rect, svg, text

__all__ = ["PlanPlace", "PlanRun", "least_width", "plan_svg"]

ROW_PX, TOP_PX, MARGIN_PX, BREAKOUT_PX = 86.0, 42.0, 8.0, 24.0
NAME_PX, NOTE_PX = 15.0, 12.5
NOTE_LINE = 20
# Barlow Condensed: a middling character's share of the type size.
CHARACTER_WIDTH = 0.43


def plan_svg(places: Sequence[PlanPlace], runs: Sequence[PlanRun], width: float = 980) -> str:
    """The plan as an <svg>, at least `width` px wide (wider if the words need it).

    Raises ValueError for a run to an unknown place.
    """
    forest = plant(places, runs)
    needed = _set_out(forest, width)
    height = TOP_PX + max(forest.rows - 1, 0) * ROW_PX + 54
    body = [_ring(run, forest) for run in forest.closing]
    body += [_cord(node) for node in forest.nodes if node.run]
    for node in forest.nodes:
        body += [*_run_words(node), *_splices(node), *_mark(node), *_place_words(node)]
    return svg(max(width, needed), height, _in_words(forest, runs), body, "plan")


def least_width(places: Sequence[PlanPlace], runs: Sequence[PlanRun]) -> float:
    """The width in px that the words of the plan need, whatever the lengths."""
    return _place_at(plant(places, runs), 0.0)


def _set_out(forest: Forest, width: float) -> float:
    """Set every x_px with the largest scale that fits the width; returns the width needed."""
    low, high = 0.0, 1.0
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if _place_at(forest, middle) <= width else (low, middle)
    return _place_at(forest, low)


def _place_at(forest: Forest, px_per_mm: float) -> float:
    right = 0.0
    for node in forest.nodes:
        if node.parent is None:
            node.x_px = MARGIN_PX + 18 + _own_width(node)
        else:
            node.x_px = node.parent.x_px + max(_least_px(node), node.length_mm * px_per_mm)
        beyond = 18 + _own_width(node) if not node.children else 0.0
        right = max(right, node.x_px + beyond)
    return right + MARGIN_PX


def _least_px(node: Node) -> float:
    """Room for the run's own words, and for the name of a place where the loom goes on."""
    words = [_width(_length(node), NAME_PX), _width(_covering(node), NOTE_PX)]
    if node.children:
        words.append(_own_width(node))
    return max(words) + BREAKOUT_PX + 16


def _own_width(node: Node) -> float:
    return max(_width(node.place.name, NAME_PX), *(_width(n, NOTE_PX) for n in _notes(node)), 0.0)


def _width(words: str, size: float) -> float:
    return len(words) * size * CHARACTER_WIDTH


def _length(node: Node) -> str:
    if node.run is None:
        return f"{node.length_mm:,} mm"
    words = node.run.length
    if not node.run.wires:
        return words
    return f"{words} · {node.run.wires} wire{'s' if node.run.wires != 1 else ''}"


def _covering(node: Node) -> str:
    run = node.run
    return " · ".join(part for part in (run.covering, run.through) if part) if run else ""


def _notes(node: Node) -> list[str]:
    """Where a ring closes, and what sits at the place: two short lines at most."""
    words = ", ".join([*node.ring_words, *node.place.fittings])
    return wrap(words, NOTE_LINE, max_lines=2, placeholder="…")


def _y(node: Node) -> float:
    return TOP_PX + node.row * ROW_PX


def _cord(node: Node) -> str:
    parent, run = node.parent, node.run
    if parent is None or run is None:
        return ""
    bend = f"L{num(parent.x_px + BREAKOUT_PX)} {num(_y(node))}" if node.is_branch else ""
    d = f"M{num(parent.x_px)} {num(_y(parent))}{bend}H{num(node.x_px)}"
    thick = 1.8 + 0.75 * math.sqrt(run.wires)
    return path(d, fill="none", stroke=INK, stroke_width=thick, stroke_linejoin="round")


def _ring(run: PlanRun, forest: Forest) -> str:
    """A run that closes a ring: a dashed bow behind all else; its words stand at its ends."""
    at = {node.place.uid: node for node in forest.nodes}
    a, b = at[run.from_uid], at[run.to_uid]
    x, y = (a.x_px + b.x_px) / 2, max(_y(a), _y(b)) + 34
    d = f"M{num(a.x_px)} {num(_y(a))}Q{num(x)} {num(y)} {num(b.x_px)} {num(_y(b))}"
    return path(d, fill="none", stroke=LINE, stroke_width=2, stroke_dasharray="6 4")


def _run_words(node: Node) -> list[str]:
    if node.parent is None or node.run is None:
        return []
    start = node.parent.x_px + (BREAKOUT_PX if node.is_branch else 0)
    middle, y = (start + node.x_px) / 2, _y(node)
    parts = [
        _words(middle, y - 21, _length(node), NAME_PX, "middle"),
        _words(middle, y - 8, _covering(node), NOTE_PX, "middle"),
    ]
    if node.run.through:
        ring = f"M{num(start + 9)} {num(y - 6)}v12"
        parts.append(path(ring, stroke=CARD, stroke_width=7))
        parts.append(path(ring, stroke=INK, stroke_width=3.4, stroke_linecap="round"))
    return parts


def _splices(node: Node) -> list[str]:
    """Splices where they lie in the run that leads here."""
    parent, run = node.parent, node.run
    if parent is None or run is None or not run.length_mm:
        return []
    start = parent.x_px + (BREAKOUT_PX if node.is_branch else 0)
    signs = []
    for at_mm in run.splices_mm:
        share = min(max(at_mm / run.length_mm, 0.0), 1.0)
        if run.from_uid == node.place.uid:
            share = 1.0 - share
        x = start + share * (node.x_px - start)
        signs.append(circle(x, _y(node), 4.5, fill=METAL_LIGHT, stroke=INK, stroke_width=2))
    return signs


def _mark(node: Node) -> list[str]:
    x, y = node.x_px, _y(node)
    match node.place.mark:
        case "plug":
            return [
                rect(x - 6, y - 8, 10, 16, rx=1.5, fill=INK),
                *(
                    rect(x + 4, y + dy, 6, 3, fill=METAL_LIGHT, stroke=INK, stroke_width=0.8)
                    for dy in (-5.5, 2.5)
                ),
            ]
        case "splice":
            return [circle(x, y, 6, fill=METAL_LIGHT, stroke=INK, stroke_width=2)]
        case "load":
            return [circle(x, y, 5, fill=CARD, stroke=INK, stroke_width=2)]
    return [circle(x, y, 4.5, fill=INK)]


def _place_words(node: Node) -> list[str]:
    x, y = node.x_px, _y(node)
    if node.parent is None:
        at, down, anchor = x - 12, y + 4, "end"
    elif node.children:
        at, down, anchor = x - 7, y + 19, "end"
    else:
        at, down, anchor = x + 14, y + 4, "start"
    return [
        _words(at, down, node.place.name, NAME_PX, anchor),
        *(
            _words(at, down + 14 + 13 * index, note, NOTE_PX, anchor)
            for index, note in enumerate(_notes(node))
        ),
    ]


def _words(x: float, y: float, words: str, size: float, anchor: str) -> str:
    look: dict[str, str | float] = (
        {"font_weight": 600} if size == NAME_PX else {"font_weight": 500, "fill": SOFT}
    )
    return text(x, y, words, size, condensed=True, text_anchor=anchor, **look)


def _in_words(forest: Forest, runs: Sequence[PlanRun]) -> str:
    names = {node.place.uid: node.place.name for node in forest.nodes}
    each = (f"{names[r.from_uid]} to {names[r.to_uid]} {r.length}" for r in runs)
    return f"Plan of the loom: {'; '.join(each) or 'no runs yet'}"
