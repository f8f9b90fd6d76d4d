"""Where splices lie along a run of loom: apart from each other, from breakouts and from bends."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from webapp.sizing.reasons import COMMON_PRACTICE

# Between the middles of two splices, and from one to a breakout or to the end of a bend.
CLEAR_MM = 40.0
CLEAR_SOURCE = (
    f"40 mm: {COMMON_PRACTICE}; splices staggered: FAA AC 43.13-1B, splice paragraphs, from memory"
)
# A bend is taken as a quarter of a circle, half of it on either side of its middle.
HALF_BEND = math.pi / 4
# Splices are laid out by this much, which leaves the bench half of it to be out by.
LAID_OUT_MM = 60
TIGHTER_MM = 45
STEP_MM = 5
MOST_MM = 2000


@dataclass(frozen=True)
class Stretch:
    """A run for placing splices: its length if it is known, where it breaks out, how it bends."""

    length_mm: float | None
    breakout_at_start: bool = False
    breakout_at_end: bool = False
    bend_at_mm: float | None = None
    bend_radius_mm: float = 0.0

    @property
    def half_bend_mm(self) -> float:
        """Length of the bend on either side of its middle. [mm]"""
        return HALF_BEND * self.bend_radius_mm


def to_breakout_mm(stretch: Stretch, at_mm: float) -> float:
    """Distance from a place along a run to the nearer breakout at its ends; infinite for none.

    Args:
        stretch: The run.
        at_mm: From the start of the run. [mm]

    Returns:
        Distance. [mm]

    Source: geometry.
    """
    distances = [math.inf]
    if stretch.breakout_at_start:
        distances.append(at_mm)
    if stretch.breakout_at_end and stretch.length_mm is not None:
        distances.append(stretch.length_mm - at_mm)
    return min(distances)


def to_bend_mm(stretch: Stretch, at_mm: float) -> float:
    """Distance from a place along a run to its bend, 0 or less within it; infinite for none.

    Args:
        stretch: The run.
        at_mm: From the start of the run. [mm]

    Returns:
        Distance. [mm]

    Source: geometry; the bend as a quarter of a circle.
    """
    if stretch.bend_at_mm is None:
        return math.inf
    return abs(at_mm - stretch.bend_at_mm) - stretch.half_bend_mm


def too_near(places_mm: Iterable[tuple[str, float]]) -> Iterator[tuple[str, str, float]]:
    """Splices of one run that lie nearer than `CLEAR_MM` to the one before.

    Args:
        places_mm: Each splice and where it lies from the start of the run. [mm]

    Returns:
        The splice, the one that it is too near to, and their distance. [mm]

    Source: `CLEAR_SOURCE`.
    """
    in_order = sorted(places_mm, key=lambda each: (each[1], each[0]))
    for (before, at_mm), (after, next_mm) in pairwise(in_order):
        if next_mm - at_mm < CLEAR_MM:
            yield after, before, next_mm - at_mm


def free_place_mm(
    stretch: Stretch, taken_mm: Iterable[float], *, from_end: bool = False
) -> int | None:
    """The place nearest to one end of a run where one more splice may lie.

    Args:
        stretch: The run.
        taken_mm: Where splices lie already, from the start of the run. [mm]
        from_end: Set back from the run's end instead of its start.

    Returns:
        From that end, apart from all others by `LAID_OUT_MM`, or by `TIGHTER_MM` where there is
        no more room; None where there is no room at all. [mm]

    Source: `CLEAR_SOURCE`.
    """
    if from_end and stretch.length_mm is None:
        return None
    taken = list(taken_mm)
    length = stretch.length_mm
    most = int(min(length if length is not None else MOST_MM, MOST_MM))
    for apart_mm in (LAID_OUT_MM, TIGHTER_MM):
        for back_mm in range(apart_mm, most - apart_mm + 1, STEP_MM):
            at_mm = length - back_mm if from_end and length is not None else float(back_mm)
            clear = min(
                to_breakout_mm(stretch, at_mm),
                to_bend_mm(stretch, at_mm),
                *(abs(at_mm - other) for other in taken),
                math.inf,
            )
            if clear >= apart_mm:
                return back_mm
    return None
