"""Solves a network, and says in words where it cannot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from webapp.sizing.network.checking import check
from webapp.sizing.network.diodes import OPEN_OHM, Diodes
from webapp.sizing.network.equations import Equations, Singular
from webapp.sizing.network.model import Network, Solution
from webapp.sizing.network.naming import Solved, named
from webapp.sizing.network.newton import Collapse, Demand, with_demand, without_demand
from webapp.sizing.network.places import Numbered
from webapp.sizing.reasons import EXTRA_LOW_VOLTAGE_LIMIT_V, LARGEST_CURRENT_A, SizingError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray
    from scipy.sparse.linalg import SuperLU

    Vector = NDArray[np.float64]

NO_VOLTAGE_V = 1e-9
# A supply that wires short gives up at least this share of its voltage inside itself.
SHORTED_SHARE = 0.5
ROUNDING = 1 + 1e-9


def solve(network: Network) -> Solution:
    """Volts at every node and current in every wire of a loom in one operating state.

    Args:
        network: Supplies [V, Ω], wires [Ω] and loads [A, W or Ω]; up to 2,000 of each.

    Returns:
        Node voltages against the return [V]; current [A], drop [V] and loss [W] of each wire,
        positive from `from_node`; voltage [V] and current [A] of each load; current [A], positive
        when delivering, and terminal voltage [V] of each supply. Of two solutions for a load of
        constant power, the one of higher voltage.

    Raises:
        SizingError: a value out of range, two parts of one name, an unknown return, a node that
            nothing joins to the return, a dead short across a supply, or a load that cannot be
            met. The field is the part's place, such as `loads.3.power_w`; the message names it.

    Source: Kirchhoff's laws by modified nodal analysis; Newton's method for constant power;
        diodes ideal but for a fixed loss.
    """
    places = check(network)
    return named(network, solved(network, places, [wire.resistance_ohm for wire in network.wires]))


def solved(network: Network, places: Numbered, wire_ohm: Sequence[float]) -> Solved:
    """The state of a network that `check` has passed, with the wires' resistances given. [Ω]

    Raises:
        SizingError: as `solve`.
    """
    diodes = Diodes(network)
    for _ in range(diodes.most_rounds):
        equations = Equations(network, places, diodes.wire_ohm(wire_ohm), diodes.wire_v)
        demand = Demand(network.loads)
        try:
            idle, idle_factors = without_demand(equations, demand)
        except Singular as problem:
            raise SizingError("supplies", "The supplies leave no one solution.") from problem
        if diodes.turn(equations, idle):
            continue
        found = _loaded(network, equations, demand, idle, idle_factors)
        if not diodes.turn(equations, found.state):
            return found
    raise SizingError("wires", "The diodes come to no rest: none of their states agrees.")


def _loaded(
    network: Network, equations: Equations, demand: Demand, idle: Vector, idle_factors: SuperLU
) -> Solved:
    """The state under load, from the one with only the resistances connected."""
    _refuse_shorts(network, equations, idle)
    idle_v = equations.load_voltages(idle)
    _refuse_unfed(demand, idle_v)
    try:
        found = with_demand(equations, demand, idle, idle_factors)
    except Collapse as collapse:
        raise _collapsed(demand, idle_v, collapse) from collapse
    _refuse_shorts(network, equations, found)
    _refuse_high_voltage(equations, found)
    return Solved(equations, demand, found)


def _refuse_shorts(network: Network, equations: Equations, found: Vector) -> None:
    given_a = equations.branch_currents(found)[equations.supplies].tolist()
    conducting = [
        equations.wires.start + wire
        for wire, ohm in enumerate(equations.ohm[equations.wires].tolist())
        if ohm < OPEN_OHM  # a diode that blocks joins nothing
    ]
    for place, (supply, current_a) in enumerate(zip(network.supplies, given_a, strict=True)):
        lost_v = current_a * supply.resistance_ohm
        if lost_v > SHORTED_SHARE * supply.voltage_v and equations.places.joined(place, conducting):
            raise SizingError(
                f"supplies.{place}",
                f"Supply {supply.name} is shorted: wires alone join {supply.positive} to "
                f"{supply.negative}, and {current_a:.3g} A would flow.",
            )
        if abs(current_a) > LARGEST_CURRENT_A:
            raise SizingError(
                f"supplies.{place}",
                f"Supply {supply.name} is shorted: {current_a:.3g} A would flow between "
                f"{supply.positive} and {supply.negative}.",
            )


def _refuse_unfed(demand: Demand, volts: Vector) -> None:
    import numpy as np

    unfed = abs(volts) < NO_VOLTAGE_V
    backwards = (demand.steady_a > 0) & (volts < 0)
    for at in np.flatnonzero(demand.asks & (unfed | backwards)).tolist():
        to_node = demand.loads[at].to_node
        raise _unmet(
            demand,
            at,
            "no voltage comes to it."
            if unfed[at]
            else f"{to_node} stands at the higher voltage, so it would push its current "
            "backwards. Swap its two nodes.",
        )


def _collapsed(demand: Demand, idle_v: Vector, collapse: Collapse) -> SizingError:
    """Names the load that has lost most of its voltage where the solution ends."""
    import numpy as np

    kept = np.where(demand.asks, collapse.voltages / np.where(demand.asks, idle_v, 1.0), np.inf)
    return _unmet(
        demand,
        int(kept.argmin()),
        f"its voltage collapses once the loads get {collapse.share:.0%} of what they ask for.",
    )


def _unmet(demand: Demand, at: int, problem: str) -> SizingError:
    load = demand.loads[at]
    figure = "power_w" if load.current_a is None else "current_a"
    return SizingError(
        f"loads.{demand.places[at]}.{figure}", f"Load {load.name} cannot be met: {problem}"
    )


def _refuse_high_voltage(equations: Equations, found: Vector) -> None:
    volts = found[equations.node_at]
    highest, lowest = int(volts.argmax()), int(volts.argmin())
    spread_v = float(volts[highest] - volts[lowest])
    if spread_v > EXTRA_LOW_VOLTAGE_LIMIT_V * ROUNDING:
        nodes = equations.places.nodes
        raise SizingError(
            "supplies",
            f"Between {nodes[highest]} and {nodes[lowest]} stand {spread_v:.3g} V: looms above "
            f"{EXTRA_LOW_VOLTAGE_LIMIT_V:g} V DC are outside what can be sized here.",
        )
