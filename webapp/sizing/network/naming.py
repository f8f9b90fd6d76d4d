"""The solution by the names of the parts, and its reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import repeat
from typing import TYPE_CHECKING, TypeVar

from webapp.sizing.network.equations import Equations
from webapp.sizing.network.model import (
    Load,
    LoadFlow,
    Network,
    Solution,
    Supply,
    SupplyFlow,
    Wire,
    WireFlow,
)
from webapp.sizing.network.newton import Demand
from webapp.sizing.reasons import Reason

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

Flow = TypeVar("Flow", WireFlow, LoadFlow, SupplyFlow)
KIRCHHOFF = "Kirchhoff's laws and Ohm's law"


@dataclass(frozen=True)
class Solved:
    """The state at which every load of a network gets what it asks for."""

    equations: Equations
    demand: Demand
    state: Vector

    @property
    def wires_a(self) -> Vector:
        """Current of each wire, positive from its `from_node`. [A]"""
        return self.equations.branch_currents(self.state)[self.equations.wires]


def named(network: Network, solved: Solved) -> Solution:
    """The volts and the flow in every part of the network."""
    equations, demand, state = solved.equations, solved.demand, solved.state
    branch_a = equations.branch_currents(state)
    drop_v = branch_a * equations.ohm
    supplies, wires, resistances = equations.supplies, equations.wires, equations.resistances
    terminal_v = (equations.own_v - drop_v)[supplies]
    # A conducting diode has volts of its own against its current.
    drop_v[wires] -= equations.own_v[wires]
    loss_w = branch_a * drop_v
    asking_v = equations.load_voltages(state)
    load_v = demand.among_loads(asking_v, drop_v[resistances])
    load_a = demand.among_loads(demand.current(asking_v, 1.0), branch_a[resistances])
    return Solution(
        nodes=dict(zip(equations.places.nodes, state[equations.node_at].tolist(), strict=True)),
        wires=_by_name(WireFlow, network.wires, branch_a[wires], drop_v[wires], loss_w[wires]),
        loads=_by_name(LoadFlow, network.loads, load_v, load_a),
        supplies=_by_name(SupplyFlow, network.supplies, branch_a[supplies], terminal_v),
        reasons=_reasons(
            network,
            wires_w=float(loss_w[wires].sum()),
            loads_w=float(load_v @ load_a),
            supplies_w=float(branch_a[supplies] @ terminal_v),
        ),
    )


def _by_name(
    flow: type[Flow], parts: Sequence[Supply | Wire | Load], *columns: Vector
) -> dict[str, Flow]:
    rows = zip(*(column.tolist() for column in columns), strict=True)
    # A named tuple's own way of making it is Python, and takes as long as all the rest of this.
    flows = map(tuple.__new__, repeat(flow), rows)
    return dict(zip([part.name for part in parts], flows, strict=True))


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
