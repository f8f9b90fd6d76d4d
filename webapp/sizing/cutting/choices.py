"""Which pieces of stock could be used up for a given length, and the least length that could do.

Sums of lengths are sets of bits in one long integer: bit n is set when n is a sum.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from webapp.sizing.cutting.task import Task, common_measure

# Bits of all sets together. [1]
MOST_BITS = 200_000_000
MOST_LENGTHS = 300


@dataclass(frozen=True)
class Choices:
    """The ways to choose stock, by the length that they use up, as far as `most_mm`."""

    task: Task
    most_mm: int

    @cached_property
    def measure(self) -> int:
        return common_measure(self.task.stock_mm)

    @cached_property
    def countable(self) -> bool:
        """False when there are more sums than can be listed."""
        lengths = len(self.task.stock_mm)
        return lengths <= MOST_LENGTHS and self.most_mm // self.measure * lengths <= MOST_BITS

    @cached_property
    def _sums(self) -> tuple[int, ...]:
        """What the stock from each place on can add up to, in measures."""
        mask = (1 << (self.most_mm // self.measure + 1)) - 1
        sums = [1]
        for length_mm, count in reversed(
            [*zip(self.task.stock_mm, self.task.stock_count, strict=True)]
        ):
            reached, left, step = sums[-1], count, 1
            while left:
                taken = min(step, left)
                reached |= (reached << (length_mm // self.measure * taken)) & mask
                left -= taken
                step *= 2
            sums.append(reached)
        return tuple(reversed(sums))

    def used_mm(self, from_mm: int = 0) -> Iterator[int]:
        """The lengths that could do, from the least that is not below another."""
        task = self.task
        # Each piece brings room for one kerf more than its length.
        pieces = min(task.cuts, sum(task.stock_count))
        least_mm = max(from_mm, task.wanted_size - pieces * task.kerf_mm, 0)
        first = -(-least_mm // self.measure)
        if not self.countable:
            yield first * self.measure
            return
        above = self._sums[0] >> first
        while above:
            step = (above & -above).bit_length() - 1
            first += step
            yield first * self.measure
            first += 1
            above >>= step + 1

    def at(self, used_mm: int) -> Iterator[tuple[int, ...]]:
        """Every choice of that length with room for all: how many of each stock."""
        task = self.task
        for choice in self._from(0, used_mm):
            if sum(task.room(at) * count for at, count in enumerate(choice)) >= task.wanted_size:
                yield choice

    def _from(self, stock: int, used_mm: int) -> Iterator[tuple[int, ...]]:
        if not self._sums[stock] >> used_mm // self.measure & 1:
            return
        if stock == len(self.task.stock_mm):
            yield ()
            return
        length_mm = self.task.stock_mm[stock]
        # Many of the longest first: those are the choices of few pieces.
        for count in range(min(self.task.stock_count[stock], used_mm // length_mm), -1, -1):
            for rest in self._from(stock + 1, used_mm - count * length_mm):
                yield (count, *rest)
