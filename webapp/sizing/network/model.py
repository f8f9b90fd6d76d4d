"""A loom as an electrical network, and its solution."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from webapp.sizing.reasons import Reason


@dataclass(frozen=True, slots=True)
class Supply:
    """A battery, charger or alternator: a voltage behind a resistance.

    voltage_v: between its poles with nothing connected. [V]
    resistance_ohm: inside it; 0 for an ideal supply. [Ω]
    """

    name: str
    positive: str
    negative: str
    voltage_v: float
    resistance_ohm: float


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire, closed contact, joint, fuse-link or diode between two nodes.

    resistance_ohm: of the whole of it, at its own temperature. [Ω]
    forward_v: of a diode what it loses besides, from its anode `from_node`; current that would go
        backwards finds it open. 0 for what is no diode. [V]
    """

    name: str
    from_node: str
    to_node: str
    resistance_ohm: float
    forward_v: float = 0.0


@dataclass(frozen=True, slots=True)
class Load:
    """What takes current between two nodes; exactly one of its three figures is given.

    current_a: the same at any voltage, out of `from_node` into `to_node`. [A]
    power_w: the same at any voltage. [W]
    resistance_ohm: the same at any voltage. [Ω]
    """

    name: str
    from_node: str
    to_node: str
    current_a: float | None = None
    power_w: float | None = None
    resistance_ohm: float | None = None


@dataclass(frozen=True, slots=True)
class Network:
    """A loom in one operating state; voltages count from `return_node`."""

    return_node: str
    supplies: tuple[Supply, ...]
    wires: tuple[Wire, ...] = ()
    loads: tuple[Load, ...] = ()


class WireFlow(NamedTuple):
    """Current in a wire, positive from `from_node` to `to_node`, and what it costs."""

    current_a: float
    drop_v: float
    loss_w: float


class LoadFlow(NamedTuple):
    """What a load gets: voltage of `from_node` against `to_node`, and current between them."""

    voltage_v: float
    current_a: float


class SupplyFlow(NamedTuple):
    """What a supply gives: current, positive when delivering, and voltage between its poles."""

    current_a: float
    terminal_v: float


@dataclass(frozen=True)
class Solution:
    """Volts at every node against the return, and the flow in every part, by name."""

    nodes: Mapping[str, float]
    wires: Mapping[str, WireFlow]
    loads: Mapping[str, LoadFlow]
    supplies: Mapping[str, SupplyFlow]
    reasons: tuple[Reason, ...]
