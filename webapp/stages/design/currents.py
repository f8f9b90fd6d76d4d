"""What each load takes and what passes each wire, traced from every load to the supply.

Lasting loads are all on together; of the loads with a duty, the one that asks most of a wire is on
as well, in full.
"""

import math
from dataclasses import dataclass
from functools import cached_property

from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.sizing.paths import LoadPath
from webapp.stages.design.graph import Circuitry
from webapp.stages.design.rows import Bridge, Design, Link, Need

COIL_W = 2.0  # a relay's coil: common practice
# A duty up to this long counts by its root mean square in a starter cable: common practice.
RMS_ON_S = 30.0


@dataclass(frozen=True)
class LoadFigures:
    bridge: Bridge
    need: Need | None
    path: LoadPath
    heat_a: float
    drop_a: float
    lasting: bool

    @property
    def uid(self) -> str:
        return self.bridge.uid


def duty_share_of(need: Need | None) -> float:
    """Root mean square of a duty over its cycle, as a share of the current while it is on."""
    if need is None or need.on_s is None or need.off_s is None or need.on_s > RMS_ON_S:
        return 1.0
    return math.sqrt(need.on_s / (need.on_s + need.off_s))


class Currents:
    """The traced currents of one design."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.circuitry = Circuitry(design)

    @cached_property
    def loads(self) -> dict[str, LoadFigures]:
        found = {}
        for path in self.circuitry.paths:
            bridge = self.design.bridge[path.load_uid]
            need = self.design.need.get(bridge.need_uid or "")
            heat_a, drop_a = self._load_current(bridge, need)
            lasting = bridge.kind == "coil" or need is None or need.continuous
            found[bridge.uid] = LoadFigures(bridge, need, path, heat_a, drop_a, lasting)
        return found

    def _load_current(self, bridge: Bridge, need: Need | None) -> tuple[float, float]:
        if bridge.load_a is not None:
            return bridge.load_a, bridge.load_a
        if bridge.kind == "coil":
            return COIL_W / self.design.nominal_v, COIL_W / self.design.nominal_v
        if need is None:
            return 0.0, 0.0
        kind = need.kind if need.kind in LOAD_KINDS else "resistive"
        heat_a, drop_a = (
            load_current_a(
                kind,
                rating=need.rating,
                rating_unit=need.rating_unit,
                rated_at_v=need.rated_at_v,
                voltage_v=voltage_v,
            ).value
            for voltage_v in (self.design.basis.heat_at_v, self.design.basis.drop_at_v)
        )
        return heat_a, drop_a

    @cached_property
    def loads_through(self) -> dict[str, list[LoadFigures]]:
        """The loads whose current passes each edge, by the uid of the link or bridge."""
        found: dict[str, list[LoadFigures]] = {}
        for load in self.loads.values():
            for uid in load.path.edges:
                found.setdefault(uid, []).append(load)
        return found

    def heat_a(self, uid: str) -> float:
        """Lasting current through a link or bridge, plus the largest load with a duty.

        A starter cable is heavy enough to take a duty of seconds by its root mean square; no other
        wire is credited with pauses.
        """
        through = self.loads_through.get(uid, [])
        link = self.design.link.get(uid)
        starter = link is not None and link.starter_cable
        duties = [
            load.heat_a * (duty_share_of(load.need) if starter else 1.0)
            for load in through
            if not load.lasting
        ]
        return self.lasting_a(uid) + max(duties, default=0.0)

    def lasting_a(self, uid: str) -> float:
        through = self.loads_through.get(uid, [])
        lasting = sum(load.heat_a for load in through if load.lasting)
        return max(self.source_a.get(uid, 0.0), lasting)

    def drop_a(self, uid: str, load: LoadFigures) -> float:
        """Current through a link while `load` is on with everything that lasts."""
        through = self.loads_through.get(uid, [])
        return sum(other.drop_a for other in through if other.lasting or other.uid == load.uid)

    @cached_property
    def source_a(self) -> dict[str, float]:
        """Charging current through each edge between a charging source and the battery."""
        found: dict[str, float] = {}
        supply = self.circuitry.supply
        if supply is None:
            return found
        graph = self.circuitry.graph
        reaches = [graph.reach(supply.way_a_uid), graph.reach(supply.way_b_uid)]
        for bridge in self.design.bridge.values():
            if bridge.kind != "source" or bridge.uid == supply.uid:
                continue
            need = self.design.need.get(bridge.need_uid or "")
            amps = bridge.load_a or (need.rating if need and need.rating_unit == "A" else 0.0)
            if need and need.rating_unit == "W":
                amps = need.rating / need.rated_at_v
            for reach, way_uid in zip(reaches, (bridge.way_a_uid, bridge.way_b_uid), strict=True):
                if way_uid in reach:
                    for uid in graph.path(reach, way_uid):
                        found[uid] = found.get(uid, 0.0) + amps
        return found

    def is_charging(self, uid: str) -> bool:
        return uid in self.source_a

    def duties(self, link: Link) -> list[LoadFigures]:
        return [load for load in self.loads_through.get(link.uid, []) if not load.lasting]

    def state_a(self, link: Link, duty: LoadFigures | None) -> float:
        """Current while everything that lasts is on, and one load with a duty besides."""
        lasting = self.lasting_a(link.uid)
        if duty is None or all(load.uid != duty.uid for load in self.duties(link)):
            return lasting
        share = duty_share_of(duty.need) if link.starter_cable else 1.0
        return lasting + duty.heat_a * share
