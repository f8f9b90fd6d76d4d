"""A published table and ours side by side, and how far they lie apart."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from webapp.sizing.heat.compare import Comparison, Spread, share_within, spread
from webapp.stages.method.published import Row


@dataclass(frozen=True)
class Held:
    """One published value held against ours.

    read: whether it was seen on the page that `source` names, or only remembered.
    """

    what: str
    values: Comparison
    source: str
    read: bool
    note: str


@dataclass(frozen=True)
class Subject:
    """One table of published values.

    unit: of the values; empty for a bare number.
    model: what ours is worked out from, with what was assumed.
    plus: what it means that ours lies above.
    within: the difference that the share is counted by, in % or in the unit.
    by_percent: whether differences are judged in per cent of what is published.
    basis: why they are likely to differ.
    left_out: which rows of the source are not here, and why.
    also: a further sentence about the spread.
    """

    slug: str
    title: str
    unit: str
    model: str
    plus: str
    within: float
    rows: Sequence[Held]
    by_percent: bool = True
    basis: str = ""
    left_out: str = ""
    also: str = ""

    def off(self, row: Held) -> float:
        """How far a row lies off, in % or in the unit; positive where ours lies above."""
        return row.values.difference_percent if self.by_percent else row.values.difference

    @cached_property
    def spread(self) -> Spread:
        return spread([self.off(row) for row in self.rows])

    @cached_property
    def share_within(self) -> float:
        return share_within([self.off(row) for row in self.rows], self.within)

    @cached_property
    def worst(self) -> Held:
        return max(self.rows, key=lambda row: abs(self.off(row)))

    @cached_property
    def sources(self) -> list[str]:
        """Each source once, in the order of the rows."""
        return list(dict.fromkeys(row.source for row in self.rows))


@dataclass(frozen=True)
class Chapter:
    """The subjects of one heading."""

    title: str
    subjects: Sequence[Subject]


def held(what: str, row: Row, values: Comparison, note: str = "") -> Held:
    """A row of a published table; `note` adds to its own."""
    notes = "; ".join(each for each in (note, row["note"]) if each)
    return Held(what, values, row["source"], row["how"] == "read", notes)
