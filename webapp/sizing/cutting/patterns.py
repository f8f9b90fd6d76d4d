"""The task as a choice of patterns: the ways to fill one piece, made as they are called for.

Its linear relaxation is a very near bound on the length used, and its patterns, taken a whole
number of times by HiGHS, a very near plan.

Source: P. C. Gilmore and R. E. Gomory, "A linear programming approach to the cutting-stock
problem", Operations Research 9 (1961) 849, from memory.
"""

from __future__ import annotations

import math
import time
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.sizing.cutting.task import Filled, Outcome, Packing, Task

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

# Positions of all sizes together that one round may weigh.
MOST_WEIGHED = 2_000_000
# So much of a measure may be gained by rounding alone.
ROUNDING = 1e-6


@dataclass(frozen=True)
class Pattern:
    """How many of each size one piece of a stock holds."""

    stock: int
    holds: tuple[int, ...]


def suits(task: Task) -> bool:
    """Whether the task is small enough, and without remainders to keep."""
    copies = sum(_copies(task, size) for size in range(len(task.sizes)))
    return not task.keep_mm and copies * task.room(0) <= MOST_WEIGHED


def solve(task: Task, start: Packing, deadline: float) -> Outcome:
    """A packing from the best patterns, and what no packing uses less than.

    Args:
        task: One that this suits.
        start: Any packing, whose patterns are the first.
        deadline: When to stop, by `time.monotonic`. [s]
    """
    patterns = [*dict.fromkeys(_pattern(task, piece) for piece in start)]
    known = set(patterns)
    least_mm = 0.0
    while time.monotonic() < deadline:
        size_worth, stock_worth = _worths(task, patterns)
        found, gain = _best_patterns(task, size_worth, stock_worth)
        # No pattern gains more than this, so no packing of so many pieces gains more in all.
        pieces = min(task.cuts, sum(task.stock_count))
        bound = size_worth @ task.wanted + stock_worth @ task.stock_count - gain * pieces
        least_mm = max(least_mm, float(bound))
        new = [pattern for pattern in found if pattern not in known]
        if not new or gain < ROUNDING:
            break
        patterns += new
        known.update(new)
    packing = _whole(task, patterns, deadline)
    return Outcome(packing, math.ceil(least_mm - ROUNDING * max(1.0, least_mm)))


def _pattern(task: Task, piece: Filled) -> Pattern:
    held = Counter(piece.holds)
    return Pattern(piece.stock, tuple(held[size] for size in range(len(task.sizes))))


def _copies(task: Task, size: int) -> int:
    """How many terms 1 + 2 + 4 ... it takes for as many of a size as a piece may hold."""
    return min(task.wanted[size], task.room(0) // task.sizes[size]).bit_length()


def _worths(task: Task, patterns: list[Pattern]) -> tuple[Vector, Vector]:
    """What one more of each size costs, and one more piece of each stock saves. [mm]"""
    import numpy as np
    from scipy.optimize import linprog

    holds = np.array([pattern.holds for pattern in patterns], dtype=float).T
    of_stock = _of_stock(task, patterns)
    found = linprog(
        [task.stock_mm[pattern.stock] for pattern in patterns],
        A_ub=np.vstack([-holds, of_stock]),
        b_ub=[*(-count for count in task.wanted), *task.stock_count],
        method="highs",
    )
    marginals = np.asarray(found.ineqlin.marginals, dtype=float)
    sizes = len(task.sizes)
    return np.maximum(-marginals[:sizes], 0.0), np.minimum(marginals[sizes:], 0.0)


def _of_stock(task: Task, patterns: list[Pattern]) -> Vector:
    import numpy as np

    stocks = np.array([pattern.stock for pattern in patterns])
    found: Vector = (stocks == np.arange(len(task.stock_mm))[:, np.newaxis]).astype(np.float64)
    return found


def _best_patterns(
    task: Task, size_worth: Vector, stock_worth: Vector
) -> tuple[list[Pattern], float]:
    """The pattern that gains most in each stock, and what the best of them gains. [mm]"""
    import numpy as np

    room = task.room(0)
    # worth[n] is the most that sizes of n together can be worth.
    worth = np.zeros(room + 1)
    steps: list[tuple[int, int, NDArray[np.bool_]]] = []
    for size, size_mm in enumerate(task.sizes):
        left = min(task.wanted[size], room // size_mm)
        copies = 1
        while left and size_worth[size] > 0:
            taken = min(copies, left)
            with_it = worth[: room + 1 - taken * size_mm] + taken * size_worth[size]
            gains = with_it > worth[taken * size_mm :]
            worth[taken * size_mm :][gains] = with_it[gains]
            steps.append((size, taken, gains))
            left -= taken
            copies *= 2
    found, most = [], 0.0
    for stock, length_mm in enumerate(task.stock_mm):
        at = task.room(stock)
        gain = float(worth[at] + stock_worth[stock]) - length_mm
        most = max(most, gain)
        if gain > ROUNDING:
            holds = [0] * len(task.sizes)
            for size, taken, gains in reversed(steps):
                before = at - taken * task.sizes[size]
                if before >= 0 and gains[before]:
                    holds[size] += taken
                    at = before
            found.append(Pattern(stock, tuple(holds)))
    return found, most


def _whole(task: Task, patterns: list[Pattern], deadline: float) -> Packing | None:
    """The least length from whole numbers of these patterns."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    # Length counts before pieces.
    weight = min(task.cuts, sum(task.stock_count)) + 1
    found = milp(
        [task.stock_mm[pattern.stock] * weight + 1 for pattern in patterns],
        integrality=np.ones(len(patterns), dtype=np.int8),
        bounds=Bounds(0, task.cuts),
        constraints=[
            LinearConstraint(
                np.array([pattern.holds for pattern in patterns], dtype=float).T,
                task.wanted,
                np.inf,
            ),
            LinearConstraint(_of_stock(task, patterns), 0, task.stock_count),
        ],
        options={"time_limit": max(0.1, deadline - time.monotonic()), "mip_rel_gap": 0.0},
    )
    if found.x is None:
        return None
    left = list(task.wanted)
    packing = []
    for pattern, times in zip(patterns, np.rint(found.x).astype(int).tolist(), strict=True):
        for _piece in range(times):
            # Patterns together may hold more than is wanted.
            counts = [min(held, more) for held, more in zip(pattern.holds, left, strict=True)]
            left = [more - count for more, count in zip(left, counts, strict=True)]
            holds = tuple(size for size, count in enumerate(counts) for _cut in range(count))
            if holds:
                packing.append(Filled(pattern.stock, holds))
    return tuple(packing)
