"""Long reels and short offcuts: the stock is chosen first, and then whether the cuts go into it.

A reel holds so many cuts that they fill it to the millimetre in countless ways: it is filled by
`filling`. An offcut holds few, and is wasted as the cuts fall: all its fillings are listed, and
HiGHS tells whether some of them can be had together.
"""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice

from webapp.sizing.cutting.choices import Choices
from webapp.sizing.cutting.filling import fill_in_order
from webapp.sizing.cutting.task import Packing, Score, Task, score

MOST_FILLINGS = 3000
MOST_LOOKED_AT = 60_000
MOST_CHOICES = 500
SHUFFLES = 12


@dataclass(frozen=True)
class Outcome:
    """The best packing, if one better than the given was found, and the least length there is."""

    packing: Packing | None
    least_mm: int


def search(task: Task, best: Score | None, deadline: float) -> Outcome:
    """Go through the choices of stock from the least length up, until one holds the cuts.

    Args:
        task: The cuts and the stock; without remainders to keep.
        best: What is known to be possible; only better is looked for.
        deadline: When to stop, by `time.monotonic`. [s]
    """
    everything_mm = sum(
        length * count for length, count in zip(task.stock_mm, task.stock_count, strict=True)
    )
    most_mm = best.used_mm if best else everything_mm
    choices = Choices(task, most_mm)
    first_open_mm: int | None = None
    packer = _Packer(task, most_mm)
    for used_mm in choices.used_mm():
        if not choices.countable or time.monotonic() > deadline:
            return Outcome(None, used_mm if first_open_mm is None else first_open_mm)
        listed = sorted(islice(choices.at(used_mm), MOST_CHOICES), key=sum)
        is_open = len(listed) == MOST_CHOICES
        for choice in listed:
            if best and Score(used_mm, sum(choice)) >= best:
                break
            if time.monotonic() > deadline:
                is_open = True
                break
            packing, possible = packer.pack(choice)
            if packing and (best is None or score(task, packing) < best):
                return Outcome(packing, used_mm if first_open_mm is None else first_open_mm)
            is_open = is_open or possible
        if is_open and first_open_mm is None:
            first_open_mm = used_mm
    return Outcome(None, most_mm if first_open_mm is None else first_open_mm)


@dataclass(frozen=True)
class _Filling:
    """How many of each size fill a piece, and what that wastes. [mm]"""

    waste_mm: int
    holds: tuple[int, ...]


@dataclass(frozen=True)
class _Packer:
    """Finds out whether the cuts go into a choice of stock."""

    task: Task
    most_mm: int

    @cached_property
    def fillings(self) -> tuple[list[_Filling] | None, ...]:
        """For each stock every filling that wastes little enough; None where there are too many."""
        task = self.task
        pieces = min(task.cuts, sum(task.stock_count))
        spare_mm = max(0, self.most_mm + task.kerf_mm * pieces - task.wanted_size)
        return tuple(_fillings(task, stock, spare_mm) for stock in range(len(task.stock_mm)))

    def pack(self, choice: tuple[int, ...]) -> tuple[Packing | None, bool]:
        """A packing, or None and whether there may be one for all that."""
        task = self.task
        spare_mm = sum(task.room(at) * count for at, count in enumerate(choice)) - task.wanted_size
        chosen = [at for at, count in enumerate(choice) for _piece in range(count)]
        short = [at for at in set(chosen) if self.fillings[at] is not None]
        least_mm = sum(
            min((each.waste_mm for each in self.fillings[at] or ()), default=spare_mm + 1)
            * choice[at]
            for at in short
        )
        if least_mm > spare_mm:
            return None, False
        if packing := _filled(task, chosen):
            return packing, True
        if not short:
            return None, True
        return self._exact(choice, short, spare_mm)

    def _exact(
        self, choice: tuple[int, ...], short: list[int], spare_mm: int
    ) -> tuple[Packing | None, bool]:
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        task = self.task
        columns = [
            (at, each)
            for at in short
            for each in self.fillings[at] or ()
            if each.waste_mm <= spare_mm
        ]
        waste = np.array([each.waste_mm for _at, each in columns])
        holds = np.array([each.holds for _at, each in columns]).T
        of_stock = np.array([[at == stock for at, _each in columns] for stock in short])
        there = [choice[at] for at in short]
        found = milp(
            waste,
            integrality=np.ones(len(columns)),
            bounds=Bounds(0, [choice[at] for at, _each in columns]),
            constraints=[
                LinearConstraint(holds, 0, task.wanted),
                LinearConstraint(of_stock.astype(float), there, there),
                LinearConstraint(waste[np.newaxis, :], 0, spare_mm),
            ],
            options={"time_limit": 1.0, "mip_rel_gap": 0.0},
        )
        if found.x is None:
            return None, found.status != 2
        taken = [
            (at, each)
            for (at, each), times in zip(columns, np.rint(found.x).astype(int), strict=True)
            for _piece in range(times)
        ]
        return self._with_reels(choice, taken), True

    def _with_reels(
        self, choice: tuple[int, ...], taken: list[tuple[int, _Filling]]
    ) -> Packing | None:
        """The chosen fillings of the short pieces, and the rest of the cuts in the long ones."""
        from webapp.sizing.cutting.task import Filled

        task = self.task
        left = list(task.wanted)
        packing = []
        for at, filling in taken:
            sizes = [size for size, count in enumerate(filling.holds) for _cut in range(count)]
            packing.append(Filled(at, tuple(sizes)))
            for size in sizes:
                left[size] -= 1
        reels = [
            at
            for at, count in enumerate(choice)
            if self.fillings[at] is None
            for _piece in range(count)
        ]
        rest = _filled(replace(task, wanted=tuple(left)), reels) if any(left) else ()
        return None if rest is None else (*packing, *rest)


def _filled(task: Task, stocks: list[int]) -> Packing | None:
    """The cuts in these pieces, by filling them in several orders."""
    rng = random.Random(len(stocks))
    ordered = sorted(stocks, reverse=True)
    for turn in range(SHUFFLES):
        if packing := fill_in_order(task, ordered, rng=rng if turn else None):
            return packing
        if turn > SHUFFLES // 2:
            rng.shuffle(ordered)
    return None


def _fillings(task: Task, stock: int, spare_mm: int) -> list[_Filling] | None:
    """Every filling of a piece that wastes no more than that; None when there are too many."""
    walk = _Walk(task, task.room(stock), spare_mm)
    found = list(islice(walk.fillings(), MOST_FILLINGS + 1))
    if len(found) > MOST_FILLINGS or walk.looked_at > MOST_LOOKED_AT:
        return None
    return found


class _Walk:
    """Tries every number of every size in a room."""

    def __init__(self, task: Task, room: int, spare_mm: int) -> None:
        self.task = task
        self.room = room
        self.spare_mm = spare_mm
        self.looked_at = 0
        # What the sizes from each place on can add at most.
        self.rest = [0]
        for size, count in reversed([*zip(task.sizes, task.wanted, strict=True)]):
            self.rest.append(self.rest[-1] + size * count)
        self.rest.reverse()

    def fillings(self, size: int = 0, filled: int = 0) -> Iterator[_Filling]:
        """The fillings with the sizes from this one on; as many of the longer ones are in it."""
        self.looked_at += 1
        if self.looked_at > MOST_LOOKED_AT or self.room - filled - self.rest[size] > self.spare_mm:
            return
        if size == len(self.task.sizes):
            yield _Filling(self.room - filled, ())
            return
        size_mm = self.task.sizes[size]
        most = min(self.task.wanted[size], (self.room - filled) // size_mm)
        for count in range(most, -1, -1):
            for each in self.fillings(size + 1, filled + count * size_mm):
                yield _Filling(each.waste_mm, (count, *each.holds))
