"""Where the parts of a network stand, as arrays."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING

from webapp.sizing.network.model import Network

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Places = NDArray[np.intp]


@dataclass(frozen=True)
class Numbered:
    """The nodes by number, the return last, and the nodes of each part.

    A branch is a supply or a wire, supplies first; its current comes in at `minus` and goes out at
    `plus`, so that a supply delivers and a wire leads from its first node to its second.
    """

    nodes: tuple[str, ...]
    plus: Places
    minus: Places
    load_from: Places
    load_to: Places

    @property
    def home(self) -> int:
        """Number of the return; as many nodes have a voltage to be found."""
        return len(self.nodes) - 1

    def groups(self, one: Places, other: Places) -> NDArray[np.int32]:
        """For each node the number of its group, where pairs of nodes are joined."""
        import numpy as np
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import connected_components

        count = len(self.nodes)
        starts = np.zeros(count + 1, dtype=np.int32)
        np.cumsum(np.bincount(one, minlength=count), out=starts[1:])
        joined = csr_array(
            (np.ones(len(one)), other[np.argsort(one)].astype(np.int32), starts),
            shape=(count, count),
        )
        group: NDArray[np.int32] = connected_components(joined, directed=False)[1]
        return group


Ends = tuple[list[str], list[str], list[str], list[str]]


def ends(network: Network) -> Ends:
    """The node of every branch's plus and minus, and of every load's two ends."""
    supplies, wires, loads = network.supplies, network.wires, network.loads
    return (
        [each.positive for each in supplies] + [each.to_node for each in wires],
        [each.negative for each in supplies] + [each.from_node for each in wires],
        [each.from_node for each in loads],
        [each.to_node for each in loads],
    )


def numbered(return_node: str, listed: Ends) -> Numbered:
    """Number the nodes that `ends` lists."""
    import numpy as np

    names = dict.fromkeys(chain.from_iterable(listed))
    names.pop(return_node, None)
    nodes = (*names, return_node)
    number = dict(zip(nodes, range(len(nodes)), strict=True))
    return Numbered(
        nodes,
        *(np.fromiter(map(number.__getitem__, each), np.intp, len(each)) for each in listed),
    )
