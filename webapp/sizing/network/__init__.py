"""How current divides in a loom: the DC solution of the whole network in one operating state."""

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
from webapp.sizing.network.naming import wire_reasons
from webapp.sizing.network.solving import solve
from webapp.sizing.network.warming import WarmSolution, solve_warm

__all__ = [
    "Load",
    "LoadFlow",
    "Network",
    "Solution",
    "Supply",
    "SupplyFlow",
    "WarmSolution",
    "Wire",
    "WireFlow",
    "solve",
    "solve_warm",
    "wire_reasons",
]
