"""Refuses a network that has no sensible solution, naming what is wrong with it."""

import math
from collections.abc import Iterator, Sequence
from itertools import chain

from webapp.sizing.network.model import Load, Network, Supply, Wire
from webapp.sizing.network.places import EVERY, HOME, Numbered, ends, numbered
from webapp.sizing.reasons import LARGEST_CURRENT_A, SizingError, current, number, voltage

MOST_PARTS = 2000
HIGHEST_RESISTANCE_OHM = 1e9
HIGHEST_POWER_W = 100_000.0
HIGHEST_FORWARD_V = 5.0
NAMED_IN_A_MESSAGE = 5


def check(network: Network) -> Numbered:
    """The network with its nodes numbered, if it makes sense.

    Raises:
        SizingError: bad numbers or names, nodes that hang in the air, or supplies without one
            answer. Its field is the part's place, such as `loads.3.power_w`.
    """
    _check_names("supplies", network.supplies)
    _check_names("wires", network.wires)
    _check_names("loads", network.loads)
    _check_supplies(network.supplies)
    check_wire_ohm([wire.resistance_ohm for wire in network.wires])
    _check_diodes(network.wires)
    _check_loads(network.loads)
    places = _number_nodes(network)
    _check_floating(network, places)
    _check_ideal_rings(network, places)
    return places


def check_wire_ohm(wire_ohm: Sequence[float]) -> None:
    """Refuse wires whose resistance [Ω] is not above 0, or no finite number."""
    if not _all_within(wire_ohm, HIGHEST_RESISTANCE_OHM):
        for place, ohm in enumerate(wire_ohm):
            _resistance(ohm, f"wires.{place}.resistance_ohm")


def _check_diodes(wires: Sequence[Wire]) -> None:
    for place, wire in enumerate(wires):
        if wire.forward_v != 0:
            field = f"wires.{place}.forward_v"
            number(wire.forward_v, field, high=HIGHEST_FORWARD_V, unit="V")


def _all_within(values: Sequence[float], high: float) -> bool:
    """True when all are plain finite numbers above 0 and up to `high`: a quick first look."""
    return set(map(type, values)) <= {float, int} and (
        not values or (min(values) > 0 and max(values) <= high and math.isfinite(sum(values)))
    )


def _resistance(value: object, field: str) -> None:
    number(value, field, above_low=True, high=HIGHEST_RESISTANCE_OHM, unit="Ω")


def _check_names(kind: str, parts: Sequence[Supply] | Sequence[Wire] | Sequence[Load]) -> None:
    if len(parts) > MOST_PARTS:
        raise SizingError(kind, f"More than {MOST_PARTS} {kind} cannot be solved at once.")
    names = [part.name for part in parts]
    if (
        set(map(type, names)) <= {str}
        and len(distinct := {*names}) == len(names)
        and "" not in distinct
    ):
        return
    seen: set[str] = set()
    for place, name in enumerate(names):
        field = f"{kind}.{place}.name"
        if not _are_names([name]):
            raise SizingError(field, "Give a name.")
        if name in seen:
            raise SizingError(field, f"Two of the {kind} are called {name}.")
        seen.add(name)


def _are_names(names: Sequence[object]) -> bool:
    return set(map(type, names)) <= {str} and "" not in names


def _check_supplies(supplies: Sequence[Supply]) -> None:
    if not supplies:
        raise SizingError("supplies", "Give at least one supply.")
    for place, supply in enumerate(supplies):
        field = f"supplies.{place}"
        voltage(supply.voltage_v, f"{field}.voltage_v")
        inner = f"{field}.resistance_ohm"
        number(supply.resistance_ohm, inner, high=HIGHEST_RESISTANCE_OHM, unit="Ω")
        if supply.positive == supply.negative:
            raise SizingError(
                f"{field}.negative",
                f"Supply {supply.name} is shorted: both its poles are at {supply.positive}.",
            )


def _check_loads(loads: Sequence[Load]) -> None:
    figures = [(load.current_a, load.power_w, load.resistance_ohm) for load in loads]
    given = [figure for figure in chain.from_iterable(figures) if figure is not None]
    alone = {each.count(None) for each in figures} <= {2}
    # The current's limit is the lowest of the three.
    if alone and _all_within(given, LARGEST_CURRENT_A):
        return
    for place, load in enumerate(loads):
        _check_load(load, f"loads.{place}")


def _check_load(load: Load, field: str) -> None:
    if (load.current_a, load.power_w, load.resistance_ohm).count(None) != 2:
        raise SizingError(
            field,
            f"Load {load.name}: give exactly one of current_a, power_w and resistance_ohm.",
        )
    if load.current_a is not None:
        current(load.current_a, f"{field}.current_a")
    if load.power_w is not None:
        number(load.power_w, f"{field}.power_w", high=HIGHEST_POWER_W, unit="W")
    if load.resistance_ohm is not None:
        _resistance(load.resistance_ohm, f"{field}.resistance_ohm")


def _number_nodes(network: Network) -> Numbered:
    if not _are_names([network.return_node]):
        raise SizingError("return", "Name a node.")
    try:
        places = numbered(network.return_node, ends(network))
        named = _are_names(places.nodes)
    except TypeError:  # what cannot be hashed is no name
        named = False
    if not named:
        field = next(field for node, field in _fields(network) if not _are_names([node]))
        raise SizingError(field, "Name a node.")
    return places


def _fields(network: Network) -> Iterator[tuple[str, str]]:
    """Every node with the field that names it."""
    for place, supply in enumerate(network.supplies):
        yield supply.positive, f"supplies.{place}.positive"
        yield supply.negative, f"supplies.{place}.negative"
    for place, wire in enumerate(network.wires):
        yield wire.from_node, f"wires.{place}.from"
        yield wire.to_node, f"wires.{place}.to"
    for place, load in enumerate(network.loads):
        yield load.from_node, f"loads.{place}.from"
        yield load.to_node, f"loads.{place}.to"


def _check_floating(network: Network, places: Numbered) -> None:
    """A node needs a way to the return that holds its voltage: wires, supplies, resistances."""
    import numpy as np

    hanging = np.flatnonzero(~places.reached(HOME, EVERY))
    if len(hanging) > 0:
        _refuse_floating(network, {places.nodes[at] for at in hanging})


def _refuse_floating(network: Network, floating: set[str]) -> None:
    if network.return_node not in dict(_fields(network)):
        raise SizingError("return", f"No part of the network is at {network.return_node}.")
    # In the order of the parts, each with the first field that names it.
    fields = {node: field for node, field in reversed([*_fields(network)]) if node in floating}
    nodes = [*reversed(fields)]
    named = ", ".join(nodes[:NAMED_IN_A_MESSAGE])
    more = len(nodes) - NAMED_IN_A_MESSAGE
    raise SizingError(
        fields[nodes[0]],
        f"Nothing joins {named}{f' and {more} more' if more > 0 else ''} to the return "
        f"{network.return_node}, so no voltage can be told.",
    )


def _check_ideal_rings(network: Network, places: Numbered) -> None:
    """Supplies without resistance in a ring share their current in no way that can be told."""
    ideal = [at for at, supply in enumerate(network.supplies) if supply.resistance_ohm == 0]
    for count, last in enumerate(ideal[1:], start=1):
        earlier = ideal[:count]
        if places.joined(last, earlier):
            raise SizingError(
                f"supplies.{last}.resistance_ohm",
                f"Supply {network.supplies[last].name} is joined pole to pole with others that "
                "have no resistance either, which is a dead short between them: give each its own "
                "resistance.",
            )
