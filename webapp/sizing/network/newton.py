"""The voltages and currents at which every load of a network gets what it asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.sizing.network.equations import Equations, Singular
from webapp.sizing.network.model import Load

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    Vector = NDArray[np.float64]

MOST_STEPS = 60
# Largest change in a step, as a share of the largest value.
SETTLED = 1e-10
EXACT = 1e-11
# Down to here, rounding in the branches is left for later steps to mend.
ROUGH = 1e-9
SLOPE_SERVES = 0.01
# Change of a step against the step before, from which a better slope is worth its while.
SLOW = 0.2
# Below this share of the loads, what is lacking is told; it need not be found any closer.
FINEST_SHARE = 1e-3


class Collapse(Exception):
    """The loads cannot all be met."""

    def __init__(self, share: float, voltages: Vector) -> None:
        super().__init__(share)
        self.share = share
        """How much of what the loads ask for can be met. [1]"""
        self.voltages = voltages
        """Voltage of each load at that share. [V]"""


class Demand:
    """What the loads without a constant resistance take at a voltage."""

    def __init__(self, loads: Sequence[Load]) -> None:
        import numpy as np

        self.among = np.array([load.resistance_ohm is None for load in loads], dtype=bool)
        self.places = np.flatnonzero(self.among).tolist()
        self.loads = [loads[place] for place in self.places]
        self.steady_a = np.array([load.current_a or 0.0 for load in self.loads])
        self.power_w = np.array([load.power_w or 0.0 for load in self.loads])
        self.asks = (self.steady_a > 0) | (self.power_w > 0)

    def current(self, volts: Vector, share: float) -> Vector:
        """Current of each load, when asking for a share of it. [A]"""
        taken_a: Vector = share * (self.steady_a + self.power_w / self._safe(volts))
        return taken_a

    def slope(self, volts: Vector, share: float) -> Vector:
        """How each load's current rises with its voltage. [S]"""
        siemens: Vector = -share * self.power_w / self._safe(volts) ** 2
        return siemens

    def among_loads(self, own: Vector, others: Vector) -> Vector:
        """A figure of each of these loads and of each of the others, in order of the network."""
        import numpy as np

        found = np.empty(len(self.among))
        found[self.among] = own
        found[~self.among] = others
        return found

    def _safe(self, volts: Vector) -> Vector:
        import numpy as np

        return np.where(self.power_w > 0, volts, 1.0)


def without_demand(equations: Equations, demand: Demand) -> tuple[Vector, SuperLU]:
    """The solution with only the resistances connected, and the system's factors there.

    Raises:
        Singular: there is no one solution.
    """
    import numpy as np

    factors = equations.factors()
    idle = np.zeros(equations.size + 1)
    nothing_a = np.zeros(len(demand.asks))
    for _refined in range(2):
        idle[:-1] += factors.solve(equations.lacking(idle, nothing_a))
    if not np.all(np.isfinite(idle)):
        raise Singular
    return idle, factors


def with_demand(
    equations: Equations, demand: Demand, idle: Vector, idle_factors: SuperLU
) -> Vector:
    """The solution with every load met, followed from that without demand.

    Of two solutions for a load of constant power the one of higher voltage is followed: from no
    load Newton's method comes down to it and does not pass it, because the current of such a load
    is a convex function of its voltage (Ortega and Rheinboldt, "Iterative Solution of Nonlinear
    Equations in Several Variables" (1970), 13.3, from memory).

    Raises:
        Collapse: there is none.
    """
    import numpy as np

    if not demand.asks.any():
        return idle
    way = _Way(equations, demand, np.sign(equations.load_voltages(idle)), idle_factors)
    met, share_step = 0.0, 1.0
    here = idle
    while met < 1.0:
        share = min(1.0, met + share_step)
        found = way.to(share, here)
        if found is not None:
            met, here = share, found
        elif share_step < FINEST_SHARE:
            raise Collapse(met, equations.load_voltages(here))
        else:
            share_step /= 2
    return here


@dataclass(frozen=True)
class _Way:
    """From no load to the whole demand."""

    equations: Equations
    demand: Demand
    polarity: Vector
    idle_factors: SuperLU

    def to(self, share: float, here: Vector) -> Vector | None:
        """The solution at a share of the demand, or None where the way to it is lost.

        The slope is worked out anew only where the last one does not serve.
        """
        factors = self.idle_factors
        here, largest = here.copy(), float(abs(here).max())
        taken_a = self.demand.steady_a
        moved = last = math.inf
        for step in range(MOST_STEPS):
            volts = self.equations.load_voltages(here)
            if (self.demand.asks & (volts * self.polarity <= 0)).any():
                return None
            if step > 1 and (moved > SLOPE_SERVES or moved > last * SLOW):
                try:
                    factors = self.equations.factors(self.demand.slope(volts, share))
                except Singular:
                    return None
            before_a, taken_a = taken_a, self.demand.current(volts, share)
            # Branches are straight lines: since a step at their slope only the loads have changed.
            rough = step > 0 and moved > ROUGH and factors is self.idle_factors
            if rough:
                lacking = self.equations.lacking_more(taken_a - before_a)
            else:
                lacking = self.equations.lacking(here, taken_a)
            change = factors.solve(lacking)
            here[:-1] += change
            last, moved = moved, float(abs(change).max()) / largest
            if not math.isfinite(moved):
                return None
            # Once settled, steps go on for as long as they still mend the last digits.
            if not rough and (moved < EXACT or SETTLED > moved > last / 4):
                return here
        return None
