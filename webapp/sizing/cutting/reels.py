"""Long reels and short offcuts: the stock is chosen first, and then whether the cuts go into it.

A reel holds so many cuts that they fill it to the millimetre in countless ways: it is filled by
`filling`. An offcut holds few, and is wasted as the cuts fall: all its fillings are listed, and
HiGHS tells whether some of them can be had together.
"""

import random
import time
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from typing import TypeVar

from webapp.sizing.cutting.choices import Choices
from webapp.sizing.cutting.filling import fill_in_order
from webapp.sizing.cutting.offcuts import Fillings, fillings_of
from webapp.sizing.cutting.task import Filled, Outcome, Packing, Score, Task, score

T = TypeVar("T")

MOST_CHOICES = 500
SHUFFLES = 12
INFEASIBLE = 2


def search(task: Task, best: Score | None, deadline: float) -> Outcome:
    """Go through the choices of stock from the least length up, until one holds the cuts.

    Args:
        task: The cuts and the stock; without remainders to keep.
        best: What is known to be possible; only better is looked for.
        deadline: When to stop, by `time.monotonic`. [s]
    """
    most_mm = best.used_mm if best else task.all_stock_mm
    choices = Choices(task, most_mm)
    first_open_mm: int | None = None
    packer = _Packer(task, most_mm, deadline)
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
class _Packer:
    """Finds out whether the cuts go into a choice of stock."""

    task: Task
    most_mm: int
    deadline: float

    @cached_property
    def fillings(self) -> tuple[Fillings, ...]:
        """For each stock its fillings that waste little enough."""
        task = self.task
        pieces = min(task.cuts, sum(task.stock_count))
        spare_mm = max(0, self.most_mm + task.kerf_mm * pieces - task.wanted_size)
        return tuple(fillings_of(task, stock, spare_mm) for stock in range(len(task.stock_mm)))

    def pack(self, choice: tuple[int, ...]) -> tuple[Packing | None, bool]:
        """A packing, or None and whether there may be one for all that."""
        spare_mm = sum(self.task.room(at) * count for at, count in enumerate(choice))
        spare_mm -= self.task.wanted_size
        if sum(self.fillings[at].least_mm * count for at, count in enumerate(choice)) > spare_mm:
            return None, False
        everything = list(enumerate(self.task.wanted))
        if packing := self._filled(everything, _each(enumerate(choice))):
            return packing, True
        short = [
            at
            for at, count in enumerate(choice)
            if count and self.fillings[at].complete_to_mm >= spare_mm
        ]
        return self._exact(choice, short, spare_mm) if short else (None, True)

    def _exact(
        self, choice: tuple[int, ...], short: list[int], spare_mm: int
    ) -> tuple[Packing | None, bool]:
        """As `pack`, by HiGHS for the short pieces and by filling for the others."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import csr_array

        columns = [
            (row, each)
            for row, at in enumerate(short)
            for each in self.fillings[at].listed
            if each.waste_mm <= spare_mm
        ]
        waste = np.array([each.waste_mm for _row, each in columns])
        size, column = np.array(
            [(size, at) for at, (_row, each) in enumerate(columns) for size in each.holds]
        ).T
        sizes = csr_array(
            (np.ones(len(size)), (size, column)), shape=(len(self.task.sizes), len(columns))
        )
        pieces = csr_array(
            (np.ones(len(columns)), ([row for row, _each in columns], range(len(columns)))),
            shape=(len(short), len(columns)),
        )
        there = [choice[at] for at in short]
        found = milp(
            waste,
            integrality=np.ones(len(columns), dtype=np.int8),
            bounds=Bounds(0, [there[row] for row, _each in columns]),
            constraints=[
                LinearConstraint(sizes, 0, self.task.wanted),
                LinearConstraint(pieces, there, there),
                LinearConstraint(waste[np.newaxis, :], 0, spare_mm),
            ],
            options={"time_limit": max(0.1, self.deadline - time.monotonic()), "mip_rel_gap": 0.0},
        )
        if found.x is None:
            return None, found.status != INFEASIBLE
        times = np.rint(found.x).astype(int).tolist()
        taken = _each(zip(((short[row], each) for row, each in columns), times, strict=True))
        packing = tuple(Filled(at, filling.holds) for at, filling in taken)
        left = Counter(dict(enumerate(self.task.wanted)))
        left.subtract(size for piece in packing for size in piece.holds)
        others = _each((at, n) for at, n in enumerate(choice) if at not in short)
        rest = self._filled(sorted(left.items()), others)
        return None if rest is None else (*packing, *rest), True

    def _filled(self, wanted: list[tuple[int, int]], stocks: list[int]) -> Packing | None:
        """So many of each size in these pieces, by filling them in several orders."""
        task = replace(self.task, wanted=tuple(count for _size, count in wanted))
        if not task.cuts:
            return ()
        rng = random.Random(len(stocks))
        # The shortest pieces are the hardest to fill: they come first, and later any order.
        order = sorted(stocks, reverse=True)
        for turn in range(SHUFFLES):
            packing = fill_in_order(task, order, self.deadline, rng=rng if turn else None)
            if packing is not None or time.monotonic() > self.deadline:
                return packing
            if turn > SHUFFLES // 2:
                rng.shuffle(order)
        return None


def _each(counted: Iterable[tuple[T, int]]) -> list[T]:
    """Each thing as often as it is counted."""
    return [thing for thing, count in counted for _one in range(count)]
