"""The voltages and currents at which every load of a network gets what it asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from webapp.sizing.network.equations import Equations, Singular
from webapp.sizing.network.model import Network

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    Vector = NDArray[np.float64]

MOST_STEPS = 60
# Largest change in a step, as a share of the largest value.
SETTLED = 1e-10
EXACT = 1e-11
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
    """What the loads take at a voltage, by kind."""

    def __init__(self, network: Network) -> None:
        import numpy as np

        self.steady_a = np.array([load.current_a or 0.0 for load in network.loads])
        self.power_w = np.array([load.power_w or 0.0 for load in network.loads])
        self.siemens = np.array([1 / (load.resistance_ohm or np.inf) for load in network.loads])
        self.asks = (self.steady_a > 0) | (self.power_w > 0)

    def at(self, volts: Vector, share: float) -> tuple[Vector, Vector]:
        """Current of each load and its slope, when asking for a share of it. [A], [S]"""
        import numpy as np

        safe = np.where(self.power_w > 0, volts, 1.0)
        power_a = share * self.power_w / safe
        taken_a = share * self.steady_a + power_a + self.siemens * volts
        return taken_a, self.siemens - power_a / safe


def without_demand(equations: Equations, demand: Demand) -> tuple[Vector, SuperLU]:
    """The solution with only the resistances connected, and the system's factors there.

    Raises:
        Singular: there is no one solution.
    """
    import numpy as np

    factors = equations.factors(demand.siemens)
    idle = np.zeros(equations.size)
    for _refined in range(2):
        load_a = demand.siemens * equations.load_voltages(idle)
        idle = idle + factors.solve(equations.lacking(idle, load_a))
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
        import numpy as np

        factors = self.idle_factors
        moved = last = np.inf
        for step in range(MOST_STEPS):
            volts = self.equations.load_voltages(here)
            if np.any(self.demand.asks & (volts * self.polarity <= 0)):
                return None
            taken_a, slope = self.demand.at(volts, share)
            if step > 1 and (moved > SLOPE_SERVES or moved > last * SLOW):
                try:
                    factors = self.equations.factors(slope)
                except Singular:
                    return None
            change = factors.solve(self.equations.lacking(here, taken_a))
            here = here + change
            last, moved = moved, float(np.max(np.abs(change)) / np.max(np.abs(here)))
            if not np.isfinite(moved):
                return None
            # Once settled, steps go on for as long as they still mend the last digits.
            if moved < EXACT or (moved < SETTLED and moved > last / 4):
                return here
        return None
