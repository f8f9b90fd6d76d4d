"""First-fit decreasing: the plan that a careful person makes by hand, and the least that is kept.

Source: D. S. Johnson, "Near-optimal bin packing algorithms" (1973), from memory.
"""

from collections.abc import Callable

from webapp.sizing.cutting.task import Filled, Packing, Task, better

Opening = Callable[[list[int]], int]


def first_fit_decreasing(task: Task) -> Packing | None:
    """Each cut, longest first, into the first open piece with room; a new piece where none has.

    Of two ways to choose the new piece, the longest there is or the shortest that holds the cut,
    the better; None when the stock did not suffice this way.
    """
    longest, shortest = (_first_fit(task, opening) for opening in (min, max))
    return better(task, longest, shortest)


def _first_fit(task: Task, opening: Opening) -> Packing | None:
    import numpy as np

    there = list(task.stock_count)
    rooms = np.zeros(task.cuts, dtype=np.int64)
    opened: list[tuple[int, list[int]]] = []
    for size, (size_mm, wanted) in enumerate(zip(task.sizes, task.wanted, strict=True)):
        place = 0
        for _cut in range(wanted):
            # Equal cuts need not look again at pieces that had no room for the last.
            place += int(np.argmax(rooms[place:] >= size_mm))
            if rooms[place] < size_mm:
                fitting = [
                    stock
                    for stock, count in enumerate(there)
                    if count and task.room(stock) >= size_mm
                ]
                if not fitting:
                    return None
                stock = opening(fitting)
                there[stock] -= 1
                place = len(opened)
                opened.append((stock, []))
                rooms[place] = task.room(stock)
            opened[place][1].append(size)
            rooms[place] -= size_mm
    return tuple(Filled(stock, tuple(holds)) for stock, holds in opened)
