"""Where the parts of a network stand, as arrays."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import accumulate, chain, count, pairwise
from operator import itemgetter
from typing import TYPE_CHECKING

from webapp.sizing.network.model import Load, Network, Wire

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Places = NDArray[np.intp]


HOME = 0
"""Number of the return."""
EVERY = slice(None)


@dataclass(frozen=True)
class Numbered:
    """The nodes by number, the return first, and the nodes of each part.

    A branch is a supply, a wire or a load of constant resistance, in this order; its current comes
    in at `minus` and goes out at `plus`, so that a supply delivers and the others lead from their
    first node to their second. All other loads stand between `load_from` and `load_to`.
    """

    nodes: tuple[str, ...]
    plus: Places
    minus: Places
    load_from: Places
    load_to: Places

    def joined(self, branch: int, others: slice | list[int]) -> bool:
        """Whether other branches lead from one end of a branch to its other end."""
        reached = self.reached(self.plus[branch], others)
        return bool(reached[self.minus[branch]])

    def reached(self, start: int, branches: slice | list[int]) -> NDArray[np.bool_]:
        """For each node whether these branches lead to it from the node `start`."""
        import numpy as np
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import breadth_first_order

        size = len(self.nodes)
        plus, minus = self.plus[branches], self.minus[branches]
        here, there = np.concatenate([plus, minus]), np.concatenate([minus, plus])
        turn, starts = lines(here, size)
        ways = csr_array((np.ones(len(here)), there[turn].astype(np.int32), starts), (size, size))
        found = np.zeros(size, dtype=np.bool_)
        found[breadth_first_order(ways, start, return_predecessors=False)] = True
        return found


def lines(line_of: Places, count: int) -> tuple[Places, NDArray[np.int32]]:
    """How to sort the entries of a sparse matrix by their line, and where each line begins then."""
    import numpy as np

    starts = np.zeros(count + 1, dtype=np.int32)
    np.cumsum(np.bincount(line_of, minlength=count), out=starts[1:])
    # Short whole numbers are sorted in the time that it takes to look at them.
    short = line_of.astype(np.min_scalar_type(count))
    return short.argsort(kind="stable"), starts


Ends = tuple[list[str], list[str], list[str], list[str]]


def ends(network: Network) -> Ends:
    """The nodes at plus and minus of the branches, and at both ends of all other loads."""
    supplies = network.supplies
    resistances = [each for each in network.loads if each.resistance_ohm is not None]
    from_to: list[Wire | Load] = [*network.wires, *resistances]
    loads = [each for each in network.loads if each.resistance_ohm is None]
    return (
        [each.positive for each in supplies] + [each.to_node for each in from_to],
        [each.negative for each in supplies] + [each.from_node for each in from_to],
        [each.from_node for each in loads],
        [each.to_node for each in loads],
    )


def numbered(return_node: str, listed: Ends) -> Numbered:
    """Number the nodes that `ends` lists."""
    import numpy as np

    number = defaultdict(count(1).__next__, {return_node: HOME})
    # There are at least two, the poles of a supply.
    until = [*accumulate(map(len, listed), initial=0)]
    places = np.fromiter(itemgetter(*chain.from_iterable(listed))(number), np.intp, until[-1])
    return Numbered(tuple(number), *(places[begin:end] for begin, end in pairwise(until)))
