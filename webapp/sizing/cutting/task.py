"""The task in its plainest form: each size and each stock length once, the kerf reckoned in.

A piece of stock with its n cuts needs n - 1 saw cuts if it ends with the last of them. Cuts and
stock alike are therefore taken one kerf longer than they are, and then simply add up. Such a length
is called a room or a size here, and is in mm like any other.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Task:
    """Sizes with how many of each are wanted, and stock lengths with how many there are.

    Both run from the longest to the shortest. No stock is counted beyond what the cuts could fill.
    """

    sizes: tuple[int, ...]
    wanted: tuple[int, ...]
    stock_mm: tuple[int, ...]
    stock_count: tuple[int, ...]
    kerf_mm: int
    keep_mm: int

    @property
    def wanted_size(self) -> int:
        """All sizes together. [mm]"""
        return sum(size * count for size, count in zip(self.sizes, self.wanted, strict=True))

    @property
    def all_stock_mm(self) -> int:
        """All stock end to end. [mm]"""
        return sum(mm * count for mm, count in zip(self.stock_mm, self.stock_count, strict=True))

    @property
    def cuts(self) -> int:
        return sum(self.wanted)

    def room(self, stock: int) -> int:
        """What a piece of that stock holds. [mm]"""
        return self.stock_mm[stock] + self.kerf_mm

    def left_mm(self, stock: int, filled: int) -> int:
        """What is left of a piece that is filled so far. [mm]"""
        return max(0, self.stock_mm[stock] - filled)

    def charged_mm(self, stock: int, filled: int) -> int:
        """What a piece counts for: its length, less a remainder that is long enough to keep."""
        left_mm = self.left_mm(stock, filled)
        returned = left_mm if 0 < self.keep_mm <= left_mm else 0
        return self.stock_mm[stock] - returned


@dataclass(frozen=True)
class Filled:
    """A piece of stock and the sizes that it holds, both by their place in the task."""

    stock: int
    holds: tuple[int, ...]


Packing = tuple[Filled, ...]


@dataclass(frozen=True)
class Outcome:
    """What a search came to: its best packing, if any, and what no packing uses less than. [mm]

    impossible: the cuts do not go into the stock in any way.
    """

    packing: Packing | None
    least_mm: int
    impossible: bool = False


@dataclass(frozen=True, order=True)
class Score:
    """What a packing is judged by: length used [mm], then number of pieces."""

    used_mm: int
    pieces: int


def make_task(
    stock: Iterable[tuple[int, int | None]],
    cuts: Iterable[tuple[int, int]],
    *,
    kerf_mm: int,
    keep_mm: int,
) -> Task:
    """Put equal lengths together, and leave out stock that not even the shortest cut fits."""
    wanted: Counter[int] = Counter()
    for length_mm, count in cuts:
        wanted[length_mm] += count
    shortest_mm, all_cuts = min(wanted), wanted.total()
    there: Counter[int] = Counter()
    for length_mm, limit in stock:
        if length_mm >= shortest_mm:
            # No piece is opened for less than one cut.
            there[length_mm] = min(
                all_cuts, there[length_mm] + (all_cuts if limit is None else limit)
            )
    sizes = sorted(wanted, reverse=True)
    stock_mm = sorted((length for length in there if there[length]), reverse=True)
    return Task(
        sizes=tuple(length + kerf_mm for length in sizes),
        wanted=tuple(wanted[length] for length in sizes),
        stock_mm=tuple(stock_mm),
        stock_count=tuple(there[length] for length in stock_mm),
        kerf_mm=kerf_mm,
        keep_mm=keep_mm,
    )


def score(task: Task, packing: Packing) -> Score:
    """What a packing uses."""
    used_mm = sum(
        task.charged_mm(piece.stock, sum(task.sizes[size] for size in piece.holds))
        for piece in packing
    )
    return Score(used_mm, len(packing))


def better(task: Task, one: Packing | None, other: Packing | None) -> Packing | None:
    """The better of two packings, the first when they are alike."""
    if one is None or other is None:
        return one or other
    return other if score(task, other) < score(task, one) else one


def is_valid(task: Task, packing: Packing) -> bool:
    """Whether every size is there as often as wanted, and every piece exists and holds its own."""
    held = Counter(size for piece in packing for size in piece.holds)
    taken = Counter(piece.stock for piece in packing)
    return (
        all(held[size] == count for size, count in enumerate(task.wanted))
        and all(count <= task.stock_count[stock] for stock, count in taken.items())
        and all(
            piece.holds and sum(task.sizes[size] for size in piece.holds) <= task.room(piece.stock)
            for piece in packing
        )
    )


def common_measure(lengths: Sequence[int]) -> int:
    """The greatest length that measures all of them."""
    return math.gcd(*lengths)
