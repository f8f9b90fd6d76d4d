"""Fills pieces one after the other, each as full as the cuts that are left allow.

The fullest filling of one piece is a subset sum, worked out exactly over the bits of one long
integer (bit n is set when some of the cuts add up to n).
"""

import random
import time
from collections.abc import Sequence

from webapp.sizing.cutting.task import Filled, Packing, Task, common_measure

# So many cuts are weighed exactly; of more, the longest go in first without weighing.
MOST_WEIGHED = 120
# While a piece has room for this many of the longest cut, any cut will do.
ROOM_FOR_ANY = 8


def fill_in_order(
    task: Task, stocks: Sequence[int], deadline: float, *, rng: random.Random | None = None
) -> Packing | None:
    """Fill pieces of these stocks in this order; None when cuts are left over, or time is out.

    Args:
        task: The cuts.
        stocks: The pieces on offer; those that stay empty are left out.
        deadline: When to stop, by `time.monotonic`. [s]
        rng: Draws which of several full fillings is taken; without it the longest cuts go first.
    """
    left = [size for size, count in enumerate(task.wanted) for _cut in range(count)]
    measure = common_measure(task.sizes)
    packing = []
    for stock in stocks:
        if not left or time.monotonic() > deadline:
            break
        holds = _fullest(task, stock, left, measure, rng)
        if holds:
            packing.append(Filled(stock, tuple(sorted(holds))))
            for size in holds:
                left.remove(size)
    return None if left else tuple(packing)


def _fullest(
    task: Task, stock: int, left: Sequence[int], measure: int, rng: random.Random | None
) -> list[int]:
    """The sizes that leave least of one piece to be wasted."""
    room = task.room(stock)
    if len(left) <= MOST_WEIGHED:
        loose = rng.sample(left, len(left)) if rng else left
        return _weighed(task, stock, loose, 0, measure)
    # The cuts run from the longest to the shortest.
    holds: list[int] = []
    filled, longest_mm = 0, task.sizes[left[0]]
    for size in left[: len(left) - MOST_WEIGHED]:
        if room - filled <= ROOM_FOR_ANY * longest_mm:
            break
        holds.append(size)
        filled += task.sizes[size]
    rest = left[len(holds) :]
    loose = rng.sample(rest, MOST_WEIGHED) if rng else rest[:: len(rest) // MOST_WEIGHED]
    return holds + _weighed(task, stock, loose, filled, measure)


def _weighed(task: Task, stock: int, loose: Sequence[int], filled: int, measure: int) -> list[int]:
    """Which of these sizes to add to a piece that is filled so far."""
    room = (task.room(stock) - filled) // measure
    mask = (1 << (room + 1)) - 1
    reached = [1]
    for size in loose:
        reached.append((reached[-1] | reached[-1] << (task.sizes[size] // measure)) & mask)
    target = _best_sum(task, stock, reached[-1], filled, measure)
    holds = []
    for place in range(len(loose), 0, -1):
        if not reached[place - 1] >> target & 1:
            holds.append(loose[place - 1])
            target -= task.sizes[loose[place - 1]] // measure
    return holds


def _best_sum(task: Task, stock: int, reached: int, filled: int, measure: int) -> int:
    """The highest sum that wastes least: to the end, or short of a remainder to keep."""
    highest = reached.bit_length() - 1
    left_mm = task.left_mm(stock, filled + highest * measure)
    most = (task.stock_mm[stock] - task.keep_mm - filled) // measure
    if left_mm == 0 or left_mm >= task.keep_mm or most < 0:
        return highest
    short_of_keep = (reached & ((1 << (most + 1)) - 1)).bit_length() - 1
    return short_of_keep or highest
