"""Every way to fill a short piece of stock with little waste.

Sums of sizes are sets of bits in one long integer: bit n is set when n is a sum.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from webapp.sizing.cutting.task import Task

MOST_FILLINGS = 3000
# With this many looks a stock's fillings are listed in a few hundredths of a second.
MOST_LOOKED_AT = 30_000
# A piece that holds more than this many of the shortest cut is a reel.
MOST_HELD = 40


@dataclass(frozen=True)
class Filling:
    """What a piece may hold, by size, and what that wastes. [mm]"""

    holds: tuple[int, ...]
    waste_mm: int


@dataclass(frozen=True)
class Fillings:
    """All fillings of one stock that waste no more than `complete_to_mm`; -1 where not even those
    without waste could be listed."""

    listed: tuple[Filling, ...]
    complete_to_mm: int

    @property
    def least_mm(self) -> int:
        """What a piece of it wastes at least. [mm]"""
        return min((each.waste_mm for each in self.listed), default=self.complete_to_mm + 1)


def fillings_of(task: Task, stock: int, most_mm: int) -> Fillings:
    """The fillings of a stock that waste up to `most_mm`, or less where those are too many."""
    room = task.room(stock)
    if room > MOST_HELD * task.sizes[-1]:
        return Fillings((), -1)
    waste_mm = min(most_mm, room - task.sizes[-1])
    walk = _Walk(task, _sums(task, room))
    while walk.looked_at <= MOST_LOOKED_AT:
        found = tuple(islice(walk.fillings(room, waste_mm, 0), MOST_FILLINGS + 1))
        if len(found) <= MOST_FILLINGS and walk.looked_at <= MOST_LOOKED_AT:
            return Fillings(found, waste_mm)
        if waste_mm <= 0:
            break
        waste_mm //= 4
    return Fillings((), -1)


def _sums(task: Task, room: int) -> list[int]:
    """What the sizes from each place on can add up to."""
    mask = (1 << (room + 1)) - 1
    sums = [1]
    for size_mm, count in reversed([*zip(task.sizes, task.wanted, strict=True)]):
        reached = sums[-1]
        for _cut in range(min(count, room // size_mm)):
            reached |= (reached << size_mm) & mask
        sums.append(reached)
    return sums[::-1]


@dataclass
class _Walk:
    """Tries the sizes in a room, as long as what is left can still come near to filling it."""

    task: Task
    sums: list[int]
    looked_at: int = 0

    def fillings(self, room: int, waste_mm: int, size: int) -> Iterator[Filling]:
        """The fillings of what is left of a room, with the sizes from this one on."""
        if room <= waste_mm:
            yield Filling((), room)
        for at in range(size, len(self.task.sizes)):
            self.looked_at += 1
            within = self.sums[at] & ((1 << (room + 1)) - 1)
            if self.looked_at > MOST_LOOKED_AT or not within >> max(1, room - waste_mm):
                return
            size_mm = self.task.sizes[at]
            for count in range(1, min(self.task.wanted[at], room // size_mm) + 1):
                for each in self.fillings(room - count * size_mm, waste_mm, at + 1):
                    yield Filling((at,) * count + each.holds, each.waste_mm)
