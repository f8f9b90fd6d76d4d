"""What is one piece of metal on the test bench: fuse-links out, switches on, loads unplugged."""

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.stages.building.parts import Parts, part
from webapp.stages.design.rows import Bridge, Design, Fitting
from webapp.stages.design.wires import Wire, wires

JOINS = ("joined", "contact")
UNPLUGGED = ("load", "source")


@dataclass(frozen=True)
class Net:
    """Wires that are joined to one another."""

    wires: tuple[Wire, ...]

    @property
    def uid(self) -> str:
        """Of its first link, so that it stays the same while the design does."""
        return self.wires[0].link.uid

    @property
    def circuits(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(wire.link.circuit_uid for wire in self.wires))


def nets(design: Design, parts: Parts) -> list[Net]:
    """Every net of the loom, in the order of its first wire."""
    above: dict[str, str] = {}
    found = wires(design)
    for wire in found:
        for end in wire.ends:
            _join(above, wire.uid, end.way_uid or end.uid)
    for crossing in design.crossing.values():
        _join(above, crossing.way_a_uid, crossing.way_b_uid)
    for bridge in design.bridge.values():
        if bridge.kind in JOINS and not _unplugged(design, parts, bridge):
            _join(above, bridge.way_a_uid, bridge.way_b_uid)
    groups: dict[str, list[Wire]] = {}
    for wire in found:
        groups.setdefault(_top(above, wire.uid), []).append(wire)
    return [Net(tuple(group)) for group in groups.values()]


def _unplugged(design: Design, parts: Parts, bridge: Bridge) -> bool:
    return is_load(design, parts, design.fitting[bridge.fitting_uid])


def is_load(design: Design, parts: Parts, fitting: Fitting) -> bool:
    """A load or a source, by its part or by what it does between its ways."""
    known = part(parts, fitting.part_uid)
    if known is not None and known.kind == "load":
        return True
    return any(
        bridge.kind in UNPLUGGED
        for bridge in design.bridge.values()
        if bridge.fitting_uid == fitting.uid
    )


def _top(above: Mapping[str, str], uid: str) -> str:
    while uid in above:
        uid = above[uid]
    return uid


def _join(above: dict[str, str], one: str, other: str) -> None:
    one, other = _top(above, one), _top(above, other)
    if one != other:
        above[one] = other
