"""The equations of a network: Kirchhoff's two laws as one sparse system.

Unknown are the voltage of each node against the return and the current of each branch that hardly
resists: such a current would be lost in the last digits of a voltage difference. All other branches
are conductances (modified nodal analysis: Ho, Ruehli and Brennan, "The modified nodal approach to
network analysis", IEEE Transactions on Circuits and Systems 22 (1975) 504, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from webapp.sizing.network.model import Network
from webapp.sizing.network.places import Numbered

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    Vector = NDArray[np.float64]

# From here up a branch is a conductance.
STIFF_BELOW_OHM = 1e-4


class Singular(Exception):
    """The system has no one solution."""


class Equations:
    """The supplies and wires of a network, and where its loads stand.

    A branch gives (volts of its own - voltage from minus to plus) / ohm, out of its plus.
    """

    def __init__(self, network: Network, places: Numbered, wire_ohm: Sequence[float]) -> None:
        """Set the system up; `wire_ohm` holds the resistance of each wire. [Ω]"""
        import numpy as np
        from scipy.sparse import csc_array

        self.places = places
        supplies = network.supplies
        self.ohm = np.array([*(each.resistance_ohm for each in supplies), *wire_ohm], dtype=float)
        self.own_v = np.zeros(len(self.ohm))
        self.own_v[: len(supplies)] = [each.voltage_v for each in supplies]
        self.stiff = np.flatnonzero(self.ohm < STIFF_BELOW_OHM)
        self.siemens = 1 / np.where(self.ohm < STIFF_BELOW_OHM, np.inf, self.ohm)
        self.size = places.home + len(self.stiff)
        self._row = self._rows_of_nodes()
        rows, columns, self._fixed = self._stamps()
        # The return's row and column are left out; equal places are added up.
        self._kept = (rows >= 0) & (columns >= 0)
        key = columns[self._kept] * self.size + rows[self._kept]
        slots, self._slot = np.unique(key, return_inverse=True)
        starts = np.searchsorted(slots, np.arange(self.size + 1) * self.size)
        self._matrix = csc_array(
            (np.zeros(len(slots)), (slots % self.size).astype(np.int32), starts.astype(np.int32)),
            shape=(self.size, self.size),
        )

    def _rows_of_nodes(self) -> NDArray[np.intp]:
        """The row of each node, -1 for the return.

        Nodes with the fewest neighbours come first: a loom is nearly a tree, and solved from its
        ends inwards it takes hardly any new entries.
        """
        import numpy as np

        places = self.places
        ends = np.concatenate([places.plus, places.minus, places.load_from, places.load_to])
        neighbours = np.bincount(ends, minlength=len(places.nodes))[: places.home]
        rows = np.full(len(places.nodes), -1)
        rows[np.argsort(neighbours, kind="stable")] = np.arange(places.home)
        return rows

    def _stamps(self) -> tuple[NDArray[np.intp], NDArray[np.intp], Vector]:
        """Row, column and value of what never changes; the loads' places stand at the end."""
        import numpy as np

        places = self.places
        plus, minus = self._row[places.plus], self._row[places.minus]
        load_from, load_to = self._row[places.load_from], self._row[places.load_to]
        own = np.arange(places.home, self.size)
        stiff_plus, stiff_minus = plus[self.stiff], minus[self.stiff]
        ones = np.ones(len(own))
        siemens = self.siemens
        rows = [plus, minus, plus, minus, stiff_plus, stiff_minus, own, own, own]
        columns = [plus, minus, minus, plus, own, own, stiff_plus, stiff_minus, own]
        values = [siemens, siemens, -siemens, -siemens]
        # Signed so that the matrix stays symmetric: v+ - v- + R i = own volts.
        values += [-ones, ones, -ones, ones, -self.ohm[self.stiff]]
        rows += [load_from, load_to, load_from, load_to]
        columns += [load_from, load_to, load_to, load_from]
        return np.concatenate(rows), np.concatenate(columns), np.concatenate(values)

    def factors(self, load_siemens: Vector) -> SuperLU:
        """The system's slope where the loads' currents rise by `load_siemens`, factorised. [S]

        Raises:
            Singular: it has no inverse.
        """
        import numpy as np
        from scipy.sparse.linalg import splu

        values = np.concatenate(
            [self._fixed, load_siemens, load_siemens, -load_siemens, -load_siemens]
        )
        self._matrix.data[:] = np.bincount(self._slot, weights=values[self._kept])
        try:
            return splu(
                self._matrix,
                permc_spec="NATURAL",
                diag_pivot_thresh=0.01,
                relax=1,
                panel_size=1,
                options={"SymmetricMode": True},
            )
        except RuntimeError as problem:
            raise Singular from problem

    def lacking(self, at: Vector, load_a: Vector) -> Vector:
        """What each equation lacks at a state where the loads take `load_a`. [A], [V]"""
        import numpy as np

        places = self.places
        branch_a = self.branch_currents(at)
        lacking = np.bincount(places.plus, weights=branch_a, minlength=len(places.nodes))
        lacking -= np.bincount(places.minus, weights=branch_a, minlength=len(places.nodes))
        lacking -= np.bincount(places.load_from, weights=load_a, minlength=len(places.nodes))
        lacking += np.bincount(places.load_to, weights=load_a, minlength=len(places.nodes))
        stiff = self.stiff
        over_v = self._across(at)[stiff] + self.ohm[stiff] * branch_a[stiff] - self.own_v[stiff]
        found = np.empty(self.size)
        found[self._row[: places.home]] = lacking[: places.home]
        found[places.home :] = over_v
        return found

    def branch_currents(self, at: Vector) -> Vector:
        """Current of each branch out of its plus. [A]"""
        found: Vector = (self.own_v - self._across(at)) * self.siemens
        found[self.stiff] = at[self.places.home :]
        return found

    def load_voltages(self, at: Vector) -> Vector:
        """Voltage of each load's `from_node` against its `to_node`. [V]"""
        volts = self.node_voltages(at)
        found: Vector = volts[self.places.load_from] - volts[self.places.load_to]
        return found

    def node_voltages(self, at: Vector) -> Vector:
        """Voltage of each node against the return, the return last. [V]"""
        volts: Vector = at[self._row]
        volts[-1] = 0.0
        return volts

    def _across(self, at: Vector) -> Vector:
        volts = self.node_voltages(at)
        found: Vector = volts[self.places.plus] - volts[self.places.minus]
        return found
