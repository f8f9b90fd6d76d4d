"""What each load takes and what passes each wire, traced from every load to the supply.

Lasting loads are all on together, but of a change-over's outputs the one that asks most; of the
loads with a duty, the moment that asks most of a wire is on as well, in full (see together.py).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property

from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.sizing.paths import NEGATIVE, POSITIVE, WHILE_CHARGING, LoadPath
from webapp.stages.design.controls import ACCESSORY
from webapp.stages.design.graph import Circuitry
from webapp.stages.design.rows import Bridge, Design, Link, Need
from webapp.stages.design.together import Moment, apart, moments, most_at_once

COIL_W = 2.0  # a relay's coil: common practice
# A duty up to this long counts by its root mean square in a starter cable: common practice.
RMS_ON_S = 30.0


@dataclass(frozen=True, eq=False)
class LoadFigures:
    """One load of one design: made once, and the same only as itself."""

    bridge: Bridge
    need: Need | None
    path: LoadPath
    heat_a: float
    drop_a: float
    lasting: bool
    name: str = ""
    # For each change-over that feeds it, by the change-over: the contact that it is fed through.
    positions: dict[str, str] = field(default_factory=dict)
    # Live with the key at accessory, and so not while the engine is cranked.
    accessory: bool = False

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
        self._heat_cache: dict[tuple[str, Moment], float] = {}
        self._drop_cache: dict[tuple[object, ...], float] = {}

    @cached_property
    def loads(self) -> dict[str, LoadFigures]:
        found = {}
        for path in self.circuitry.paths:
            bridge = self.design.bridge[path.load_uid]
            need = self.design.need.get(bridge.need_uid or "")
            heat_a, drop_a = self._load_current(bridge, need)
            lasting = bridge.kind == "coil" or need is None or need.continuous
            name = self.design.fitting[bridge.fitting_uid].name
            found[bridge.uid] = LoadFigures(
                bridge,
                need,
                path,
                heat_a,
                drop_a,
                lasting,
                name,
                self._positions(path),
                self._at_accessory(path, need),
            )
        return found

    def _at_accessory(self, path: LoadPath, need: Need | None) -> bool:
        """As the need says, or because its feed passes the key switch's accessory terminal."""
        through = (self.design.bridge.get(uid) for uid in path.feed or ())
        return (need is not None and need.live_when == ACCESSORY) or any(
            bridge.kind == "contact" and self.design.way[bridge.way_b_uid].label == "75"
            for bridge in through
            if bridge is not None
        )

    def _positions(self, path: LoadPath) -> dict[str, str]:
        edges = self.circuitry.graph.edges
        return {edges[uid].change_over: uid for uid in path.edges if edges[uid].change_over}

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
        """The loads whose current passes each edge, by the uid of the link or bridge.

        A load that two change-overs feed by either of two wires passes each of them whole.
        """
        found: dict[str, list[LoadFigures]] = {}
        for load in self.loads.values():
            others = (uid for path in self._other_paths.get(load.uid, ()) for uid in path.edges)
            for uid in dict.fromkeys((*load.path.edges, *others)):
                found.setdefault(uid, []).append(load)
        return found

    def other_positions(self, load: LoadFigures) -> list[dict[str, str]]:
        """Other positions of its change-overs that feed a load too."""
        return [self._positions(path) for path in self._other_paths.get(load.uid, ())]

    @cached_property
    def _other_paths(self) -> dict[str, list[LoadPath]]:
        """The loads' paths while change-overs stand in their other positions."""
        found: dict[str, list[LoadPath]] = {}
        for way_uid, contacts in self.circuitry.change_overs.items():
            for contact in contacts:
                moved = {
                    uid
                    for uid, load in self.loads.items()
                    if load.positions.get(way_uid, contact) != contact
                }
                if not moved:
                    continue
                others = [uid for uid in contacts if uid != contact]
                for path in self.circuitry.paths_in(self.circuitry.graph.without(others), moved):
                    if path.complete and contact in path.edges:
                        found.setdefault(path.load_uid, []).append(path)
        return found

    # What is on at once

    @cached_property
    def moments(self) -> list[Moment]:
        return moments(self.loads.values())

    def heat_a(self, uid: str) -> float:
        """Lasting current through a link or bridge, plus the moment that adds most.

        A starter cable is heavy enough to take a duty of seconds by its root mean square; no other
        wire is credited with pauses.
        """
        through = self.loads_through.get(uid, [])
        return max([self.lasting_a(uid), *(self._heat_a(uid, m) for m in self.moments_of(through))])

    def moments_of(self, loads: Iterable[LoadFigures]) -> list[Moment]:
        """The moments in which some of these loads are on."""
        some = {self._moment_of[load] for load in loads if load in self._moment_of}
        return [moment for moment in self.moments if moment in some]

    def _heat_a(self, uid: str, moment: Moment) -> float:
        """Current through a link or bridge in a moment; worked out once."""
        known = (uid, moment)
        if known not in self._heat_cache:
            self._heat_cache[known] = self._work_out_heat_a(uid, moment)
        return self._heat_cache[known]

    def _work_out_heat_a(self, uid: str, moment: Moment) -> float:
        through = self.loads_through.get(uid, [])
        link = self.design.link.get(uid)
        starter = link is not None and link.starter_cable
        on = [load for load in moment.on if load in through]
        duties = sum(load.heat_a * (duty_share_of(load.need) if starter else 1.0) for load in on)
        lasting = self._lasting_with(through, moment)
        charging = self.source_a.get(uid, 0.0) if moment.charging else 0.0
        return max(charging, _sum_heat_a(lasting)) + duties

    def _lasting_with(self, through: list[LoadFigures], moment: Moment) -> list[LoadFigures]:
        """The most of what lasts that can be on in a moment."""
        free = [
            load
            for load in through
            if load.lasting
            and load.uid not in moment.off
            and not any(apart(load, other) for other in moment.on)
        ]
        return most_at_once(free, _heat_of)

    def lasting_a(self, uid: str) -> float:
        return self._heat_a(uid, _LASTING)

    def drop_a(self, uid: str, load: LoadFigures) -> float:
        """Current through a link while `load` is on with everything that lasts."""
        moment = self.moment_of(load)
        known = (uid, moment, tuple(load.positions.items()))
        if known not in self._drop_cache:
            self._drop_cache[known] = self._work_out_drop_a(uid, load, moment)
        return self._drop_cache[known]

    def _work_out_drop_a(self, uid: str, load: LoadFigures, moment: Moment) -> float:
        through = self.loads_through.get(uid, [])
        lasting = [
            other
            for other in through
            if other.lasting and other.uid not in moment.off and not apart(other, load)
        ]
        on = [other for other in moment.on if other in through]
        return sum(other.drop_a for other in (*on, *most_at_once(lasting, _drop_of)))

    def moment_of(self, load: LoadFigures) -> Moment:
        """The moment in which a load with a duty is on; one without a name for what lasts."""
        return self._moment_of.get(load, _LASTING)

    @cached_property
    def _moment_of(self) -> dict[LoadFigures, Moment]:
        return {load: moment for moment in self.moments for load in moment.on}

    # Charging

    @cached_property
    def charging_edges(self) -> dict[str, tuple[float, set[str]]]:
        """For each charging source its current, and every edge between it and the battery."""
        supply = self.circuitry.supply
        if supply is None:
            return {}
        graph = self.circuitry.graph
        # Charging current comes in at the battery's positive pole.
        reaches = [
            graph.reach(supply.way_a_uid, NEGATIVE, WHILE_CHARGING),
            graph.reach(supply.way_b_uid, POSITIVE, WHILE_CHARGING),
        ]
        found = {}
        for bridge in self.design.bridge.values():
            if bridge.kind != "source" or bridge.uid == supply.uid:
                continue
            edges: set[str] = set()
            for reach, way_uid in zip(reaches, (bridge.way_a_uid, bridge.way_b_uid), strict=True):
                if way_uid in reach:
                    edges |= set(graph.path(reach, way_uid))
            found[bridge.uid] = (self._charging_a(bridge), edges)
        return found

    def _charging_a(self, bridge: Bridge) -> float:
        need = self.design.need.get(bridge.need_uid or "")
        if need and need.rating_unit == "W":
            return need.rating / need.rated_at_v
        return bridge.load_a or (need.rating if need and need.rating_unit == "A" else 0.0)

    @cached_property
    def source_a(self) -> dict[str, float]:
        """Charging current through each edge between the charging sources and the battery."""
        found: dict[str, float] = {}
        for amps, edges in self.charging_edges.values():
            for uid in edges:
                found[uid] = found.get(uid, 0.0) + amps
        return found

    def is_charging(self, uid: str) -> bool:
        return uid in self.source_a

    def state_a(self, link: Link, moment: Moment | None) -> float:
        """Current while everything that lasts is on, and in a moment what it adds."""
        return self.lasting_a(link.uid) if moment is None else self._heat_a(link.uid, moment)


_LASTING = Moment("")


def _heat_of(load: LoadFigures) -> float:
    return load.heat_a


def _drop_of(load: LoadFigures) -> float:
    return load.drop_a


def _sum_heat_a(loads: Iterable[LoadFigures]) -> float:
    return sum(load.heat_a for load in loads)
