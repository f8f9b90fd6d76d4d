"""The equations of a network: Kirchhoff's two laws as one sparse system.

Unknown are the voltage of each node against the return and the current of each branch that hardly
resists: such a current would be lost in the last digits of a voltage difference. All other branches
are conductances (modified nodal analysis: Ho, Ruehli and Brennan, "The modified nodal approach to
network analysis", IEEE Transactions on Circuits and Systems 22 (1975) 504, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from webapp.sizing.network.model import Network
from webapp.sizing.network.places import Numbered, lines

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    from webapp.sizing.network.places import Places

    Vector = NDArray[np.float64]

# From here up a branch is a conductance.
STIFF_BELOW_OHM = 1e-4


class Singular(Exception):
    """The system has no one solution."""


class Equations:
    """The branches of a network, and where its other loads stand.

    Of what is told for each branch, `supplies`, `wires` and `resistances` are the three slices. A
    branch gives (volts of its own - voltage from minus to plus) / ohm, out of its plus.

    A state is a vector: the voltage of each node but the return, the current of each stiff branch,
    and a 0 for the return. `plus`, `minus`, `load_from` and `load_to` are places in it.
    """

    def __init__(
        self,
        network: Network,
        places: Numbered,
        wire_ohm: Sequence[float],
        wire_v: Mapping[int, float] | None = None,
    ) -> None:
        """Set the system up; `wire_ohm` holds the resistance of each wire [Ω], `wire_v` by their
        places what conducting diodes lose besides [V]."""
        import numpy as np

        supplies = network.supplies
        self.supplies = slice(len(supplies))
        self.wires = slice(len(supplies), len(supplies) + len(wire_ohm))
        self.resistances = slice(self.wires.stop, None)
        loads_ohm = [each.resistance_ohm for each in network.loads]
        self.ohm = np.array(
            [each.resistance_ohm for each in supplies]
            + [*wire_ohm]
            + [ohm for ohm in loads_ohm if ohm is not None],
            dtype=float,
        )
        self.own_v = np.zeros(len(self.ohm))
        self.own_v[: len(supplies)] = [each.voltage_v for each in supplies]
        for place, volts in (wire_v or {}).items():
            self.own_v[len(supplies) + place] = -volts
        hardly_resists = self.ohm < STIFF_BELOW_OHM
        self.siemens = 1 / np.where(hardly_resists, np.inf, self.ohm)
        self.stiff = np.flatnonzero(hardly_resists)
        self.size = len(places.nodes) - 1 + len(self.stiff)
        self.stiff_at = np.arange(len(places.nodes) - 1, self.size)
        self._place(places)

    def _place(self, places: Numbered) -> None:
        import numpy as np

        self.places = places
        self.node_at = np.append(self.size, _order(places))
        self.plus, self.minus = self.node_at[places.plus], self.node_at[places.minus]
        self.load_from, self.load_to = self.node_at[places.load_from], self.node_at[places.load_to]
        self._load_rows = np.concatenate([self.load_from, self.load_to])
        self._rows = np.concatenate([self.plus, self.minus, self._load_rows, self.stiff_at])

    def factors(self, load_siemens: Vector | None = None) -> SuperLU:
        """The system's slope where the loads' currents rise by `load_siemens`, factorised. [S]

        Raises:
            Singular: it has no inverse.
        """
        import numpy as np
        from scipy.sparse import csc_array
        from scipy.sparse.linalg import splu

        rows, columns, values = self._stamps(load_siemens)
        kept = np.flatnonzero((rows < self.size) & (columns < self.size))
        turn, starts = lines(columns[kept], self.size)
        kept = kept[turn]
        # Entries of equal place are added up on the way.
        matrix = csc_array(
            (values[kept], rows[kept].astype(np.int32), starts), (self.size, self.size)
        )
        try:
            return splu(
                matrix,
                permc_spec="NATURAL",
                diag_pivot_thresh=0.01,
                relax=1,
                panel_size=1,
                options={"SymmetricMode": True},
            )
        except RuntimeError as problem:
            raise Singular from problem

    def _stamps(self, load_siemens: Vector | None) -> tuple[Places, Places, Vector]:
        """Row, column and value of every entry, those of the return too."""
        import numpy as np

        one, other, siemens = self.plus, self.minus, self.siemens
        if load_siemens is not None:
            one = np.concatenate([one, self.load_from])
            other = np.concatenate([other, self.load_to])
            siemens = np.concatenate([siemens, load_siemens])
        # Signed so that the matrix stays symmetric: v+ - v- + R i = own volts.
        diagonal = self._summed(np.concatenate([one, other]), np.tile(siemens, 2))
        diagonal[self.stiff_at] = -self.ohm[self.stiff]
        own, plus, minus = self.stiff_at, self.plus[self.stiff], self.minus[self.stiff]
        ones, every = np.ones(len(own)), np.arange(len(diagonal))
        rows = [one, other, plus, minus, own, own, every]
        columns = [other, one, own, own, plus, minus, every]
        values = [-siemens, -siemens, -ones, ones, -ones, ones, diagonal]
        return np.concatenate(rows), np.concatenate(columns), np.concatenate(values)

    def lacking(self, at: Vector, load_a: Vector) -> Vector:
        """What each equation lacks at a state where the loads take `load_a`. [A], [V]"""
        import numpy as np

        across_v = self._across(at)
        branch_a = self._currents(at, across_v)
        over_v = (across_v + self.ohm * branch_a - self.own_v)[self.stiff]
        weights = np.concatenate([branch_a, -branch_a, -load_a, load_a, over_v])
        return self._summed(self._rows, weights)

    def lacking_more(self, load_a: Vector) -> Vector:
        """What each equation lacks once the loads take `load_a` more than they were solved for."""
        import numpy as np

        return self._summed(self._load_rows, np.concatenate([-load_a, load_a]))

    def _summed(self, rows: Places, values: Vector) -> Vector:
        import numpy as np

        found: Vector = np.bincount(rows, weights=values, minlength=self.size).astype(float)
        return found[: self.size]

    def branch_currents(self, at: Vector) -> Vector:
        """Current of each branch out of its plus. [A]"""
        return self._currents(at, self._across(at))

    def _currents(self, at: Vector, across_v: Vector) -> Vector:
        found: Vector = (self.own_v - across_v) * self.siemens
        found[self.stiff] = at[self.stiff_at]
        return found

    def wire_v(self, at: Vector, wire: int) -> float:
        """Voltage of one wire's `from_node` against its `to_node`. [V]"""
        branch = self.wires.start + wire
        return float(at[self.minus[branch]] - at[self.plus[branch]])

    def load_voltages(self, at: Vector) -> Vector:
        """Voltage of each load's `from_node` against its `to_node`. [V]"""
        found: Vector = at[self.load_from] - at[self.load_to]
        return found

    def _across(self, at: Vector) -> Vector:
        found: Vector = at[self.plus] - at[self.minus]
        return found


def _order(places: Numbered) -> Places:
    """In which turn each node but the return is solved.

    Those with the fewest neighbours come first, loose ends not counted: a loom is nearly a tree,
    and solved from its ends inwards it takes hardly any new entries.
    """
    import numpy as np

    count = len(places.nodes)
    one = np.concatenate([places.plus, places.minus])
    other = np.concatenate([places.minus, places.plus])
    neighbours = np.bincount(one, minlength=count)
    neighbours = np.bincount(one, neighbours[other] > 1, minlength=count)
    turn = np.empty(count - 1, dtype=np.intp)
    turn[np.argsort(neighbours[1:], kind="stable")] = np.arange(count - 1)
    return turn
