"""Solves a network, and says in words where it cannot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from webapp.sizing.network.checking import check
from webapp.sizing.network.equations import Equations, Singular
from webapp.sizing.network.model import (
    Load,
    LoadFlow,
    Network,
    Solution,
    SupplyFlow,
    WireFlow,
)
from webapp.sizing.network.newton import Collapse, Demand, with_demand, without_demand
from webapp.sizing.network.places import Numbered
from webapp.sizing.reasons import (
    EXTRA_LOW_VOLTAGE_LIMIT_V,
    LARGEST_CURRENT_A,
    Reason,
    SizingError,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

KIRCHHOFF = "Kirchhoff's laws and Ohm's law"
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

    Source: Kirchhoff's laws by modified nodal analysis; Newton's method for constant power.
    """
    places = check(network)
    return solve_checked(network, places, [wire.resistance_ohm for wire in network.wires])


def solve_checked(network: Network, places: Numbered, wire_ohm: Sequence[float]) -> Solution:
    """As `solve`, for a network that `check` has passed, with the wires' resistances given."""
    equations = Equations(network, places, wire_ohm)
    demand = Demand(network)
    try:
        idle, idle_factors = without_demand(equations, demand)
    except Singular as problem:
        raise SizingError("supplies", "The supplies leave no one solution.") from problem
    _refuse_shorts(network, equations, idle)
    _refuse_unfed(network, equations.load_voltages(idle), demand)
    try:
        found = with_demand(equations, demand, idle, idle_factors)
    except Collapse as collapse:
        raise _cannot_be_met(network, equations, idle, demand, collapse) from collapse
    _refuse_shorts(network, equations, found)
    _refuse_high_voltage(equations, found)
    return _named(network, equations, demand, found)


def wire_reasons(wire_ohm: float, flow: WireFlow) -> tuple[Reason, ...]:
    """Why a wire of that resistance [Ω] drops and loses what it does.

    Returns:
        Reasons for the current [A], the drop [V] and the loss [W].

    Source: Ohm's law; power = current × voltage.
    """
    inputs = {"current_a": flow.current_a, "resistance_ohm": wire_ohm}
    return (
        Reason(
            text="The current divides so that as much comes to each joint as leaves it.",
            name="current_a",
            value=flow.current_a,
            unit="A",
            source=KIRCHHOFF,
        ),
        Reason(
            text="Drop along the wire.",
            name="drop_v",
            value=flow.drop_v,
            unit="V",
            formula="current_a * resistance_ohm",
            inputs=inputs,
            source="Ohm's law",
        ),
        Reason(
            text="Lost as heat in the wire.",
            name="loss_w",
            value=flow.loss_w,
            unit="W",
            formula="current_a * current_a * resistance_ohm",
            inputs=inputs,
            source="power = current × voltage",
        ),
    )


def _refuse_shorts(network: Network, equations: Equations, found: Vector) -> None:
    given_a = equations.branch_currents(found)[: len(network.supplies)].tolist()
    for place, (supply, current_a) in enumerate(zip(network.supplies, given_a, strict=True)):
        lost_v = current_a * supply.resistance_ohm
        if lost_v > SHORTED_SHARE * supply.voltage_v and _wires_join_poles(
            network, place, equations
        ):
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


def _wires_join_poles(network: Network, supply: int, equations: Equations) -> bool:
    places = equations.places
    wires = slice(len(network.supplies), None)
    group = places.groups(places.plus[wires], places.minus[wires])
    return bool(group[places.plus[supply]] == group[places.minus[supply]])


def _refuse_unfed(network: Network, volts: Vector, demand: Demand) -> None:
    for place, load in enumerate(network.loads):
        if not demand.asks[place]:
            continue
        if abs(volts[place]) < NO_VOLTAGE_V:
            raise SizingError(
                _asked(load, place),
                f"Load {load.name} cannot be met: no voltage comes to it.",
            )
        if load.current_a is not None and volts[place] < 0:
            raise SizingError(
                _asked(load, place),
                f"Load {load.name} cannot be met: {load.to_node} stands at the higher voltage, so "
                f"it would push its current backwards. Swap its two nodes.",
            )


def _cannot_be_met(
    network: Network, equations: Equations, idle: Vector, demand: Demand, collapse: Collapse
) -> SizingError:
    """Names the load that has lost most of its voltage where the solution ends."""
    import numpy as np

    idle_v = equations.load_voltages(idle)
    kept = np.where(demand.asks, collapse.voltages / np.where(demand.asks, idle_v, 1.0), np.inf)
    place = int(np.argmin(kept))
    load = network.loads[place]
    return SizingError(
        _asked(load, place),
        f"Load {load.name} cannot be met: its voltage collapses once the loads get "
        f"{collapse.share:.0%} of what they ask for.",
    )


def _asked(load: Load, place: int) -> str:
    return f"loads.{place}.{'power_w' if load.current_a is None else 'current_a'}"


def _refuse_high_voltage(equations: Equations, found: Vector) -> None:
    volts = equations.node_voltages(found)
    highest, lowest = int(volts.argmax()), int(volts.argmin())
    spread_v = float(volts[highest] - volts[lowest])
    if spread_v > EXTRA_LOW_VOLTAGE_LIMIT_V * ROUNDING:
        nodes = equations.places.nodes
        raise SizingError(
            "supplies",
            f"Between {nodes[highest]} and {nodes[lowest]} stand {spread_v:.3g} V: looms above "
            f"{EXTRA_LOW_VOLTAGE_LIMIT_V:g} V DC are outside what can be sized here.",
        )


def _named(network: Network, equations: Equations, demand: Demand, found: Vector) -> Solution:
    volts = equations.load_voltages(found)
    taken_a, _slope = demand.at(volts, 1.0)
    branch_a = equations.branch_currents(found)
    drop_v = branch_a * equations.ohm
    terminal_v = equations.own_v - drop_v
    first_wire = len(network.supplies)
    supplies = map(SupplyFlow, branch_a[:first_wire].tolist(), terminal_v[:first_wire].tolist())
    wires = map(
        WireFlow,
        branch_a[first_wire:].tolist(),
        drop_v[first_wire:].tolist(),
        (branch_a * drop_v)[first_wire:].tolist(),
    )
    loads = map(LoadFlow, volts.tolist(), taken_a.tolist())
    lost_w = float(branch_a[first_wire:] @ drop_v[first_wire:])
    given_w = float(branch_a[:first_wire] @ terminal_v[:first_wire])
    return Solution(
        nodes=dict(
            zip(equations.places.nodes, equations.node_voltages(found).tolist(), strict=True)
        ),
        wires=dict(zip([each.name for each in network.wires], wires, strict=True)),
        loads=dict(zip([each.name for each in network.loads], loads, strict=True)),
        supplies=dict(zip([each.name for each in network.supplies], supplies, strict=True)),
        reasons=_reasons(network, lost_w, float(volts @ taken_a), given_w),
    )


def _reasons(
    network: Network, wires_w: float, loads_w: float, supplies_w: float
) -> tuple[Reason, ...]:
    return (
        Reason(
            text=f"{len(network.supplies)} supplies, {len(network.wires)} wires and "
            f"{len(network.loads)} loads solved "
            "together: as much current comes to each node as leaves it.",
            name="loads_w",
            value=loads_w,
            unit="W",
            source=f"{KIRCHHOFF} (modified nodal analysis)",
        ),
        Reason(
            text="Lost in the wires.",
            name="wires_w",
            value=wires_w,
            unit="W",
            source="power = current × voltage",
        ),
        Reason(
            text="What the supplies give and neither loads nor wires take: rounding alone.",
            name="unbalanced_w",
            value=supplies_w - loads_w - wires_w,
            unit="W",
            formula="supplies_w - loads_w - wires_w",
            inputs={"supplies_w": supplies_w, "loads_w": loads_w, "wires_w": wires_w},
            source="conservation of energy",
        ),
    )
