"""What the design asks of each wire and gives each load: current, protection, temperature, drop.

Heat is reckoned at the charging voltage, drop at the discharged battery. Lasting loads are all on
together; of the loads with a duty, the one that asks most of a wire is on as well, in full.
"""

import math
from dataclasses import dataclass, replace
from functools import cached_property

from webapp.sizing.conductors import (
    COPPER_OFFSET_C,
    Conductor,
    conductor,
    resistance_mohm_per_m,
)
from webapp.sizing.fuse_gates import FUSE_KIND_IDS
from webapp.sizing.fuses import required_wire_current_a
from webapp.sizing.heat.mixed_bundle import BundledWire, bundle_temperatures
from webapp.sizing.load_current import LOAD_KINDS, load_current_a
from webapp.sizing.paths import LoadPath
from webapp.sizing.permitted import Permitted, permitted
from webapp.sizing.reasons import Reason, SizingError
from webapp.stages.design.graph import Circuitry
from webapp.stages.design.operating import Operating
from webapp.stages.design.rows import Bridge, Design, Link, Need
from webapp.stages.design.wires import wires

COIL_W = 2.0  # a relay's coil: common practice
UNFUSED = math.inf
# A duty up to this long counts by its root mean square in a starter cable: common practice.
RMS_ON_S = 30.0
# Coverings as runs name them, and as the capacity rules do.
COVERINGS = {
    "": "none",
    "none": "none",
    "tape": "tape",
    "masking tape": "tape",
    "spiral tape": "tape",
    "pvc sleeve": "pvc-sleeve",
    "braid": "braid",
    "split conduit": "split-conduit",
}


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


@dataclass(frozen=True)
class Surroundings:
    """The hottest place that a link passes, for its capacity."""

    where: str
    ambient_c: float
    covering: str
    wires: int
    # Share of the bundle's whole capacity in use, as the tables ask; and the others' heat as the
    # heat balance asks: the share of them that counts as loaded like this wire.
    loaded_percent: float
    heat_percent: float = 100.0


@dataclass(frozen=True)
class WireFigures:
    """One link's figures, the same for all the wires that plugs cut it into."""

    link: Link
    heat_a: float
    # The operating state that asks most of it.
    state: str
    drop_a: float
    fuse_a: float | None
    fuse_kind: str
    needed_a: float
    capacity: Permitted | None
    surroundings: Surroundings
    temperature_c: float | None
    drop_v: float | None
    drop_percent: float | None
    reasons: tuple[Reason, ...]
    trouble: str = ""


@dataclass(frozen=True)
class LoadDrop:
    load: LoadFigures
    drop_v: float
    drop_percent: float
    limit_percent: float


def _duty_share(need: Need | None) -> float:
    """Root mean square of a duty over its cycle, as a share of the current while it is on."""
    if need is None or need.on_s is None or need.off_s is None or need.on_s > RMS_ON_S:
        return 1.0
    return math.sqrt(need.on_s / (need.on_s + need.off_s))


class Figures:
    """Works out the figures of one design. Nothing is kept between designs."""

    def __init__(self, design: Design) -> None:
        self.design = design
        self.circuitry = Circuitry(design)
        self._wire_cache: dict[str, WireFigures] = {}
        self._capacity_cache: dict[tuple[object, ...], Permitted] = {}
        self._run_heat_cache: dict[str, list[tuple[str, float]]] = {}
        self._needed_cache: dict[str, float] = {}
        self._stands_cache: dict[tuple[str, Conductor], tuple[Permitted, Surroundings] | None] = {}
        self._reached_cache: dict[str, dict[str, float]] = {}
        self._r20_cache: dict[Conductor, float] = {}

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
            load.heat_a * (_duty_share(load.need) if starter else 1.0)
            for load in through
            if not load.lasting
        ]
        return self.lasting_a(uid) + max(duties, default=0.0)

    def lasting_a(self, uid: str) -> float:
        through = self.loads_through.get(uid, [])
        lasting = sum(load.heat_a for load in through if load.lasting)
        return max(self._source_a.get(uid, 0.0), lasting)

    def drop_a(self, uid: str, load: LoadFigures) -> float:
        """Current through a link while `load` is on with everything that lasts."""
        through = self.loads_through.get(uid, [])
        return sum(other.drop_a for other in through if other.lasting or other.uid == load.uid)

    @cached_property
    def _source_a(self) -> dict[str, float]:
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

    @cached_property
    def operating(self) -> Operating:
        return Operating(self)

    def carried_a(self, link: Link) -> tuple[float, str]:
        """What the wire carries in its worst state as the current really divides, and that state.

        Where the loom cannot be solved yet, the traced current stands in.
        """
        worst = self.operating.worst.get(link.uid)
        if worst is None:
            return self.heat_a(link.uid), ""
        charging = self._source_a.get(link.uid, 0.0)
        return (charging, "charging") if charging > worst[0] else worst

    def duty_share(self, load_uid: str) -> float:
        return _duty_share(self.loads[load_uid].need)

    def is_charging(self, uid: str) -> bool:
        return uid in self._source_a

    # Protection

    def fuse_of_load(self, load: LoadFigures) -> Bridge | None:
        """The first fuse-link between a load and the supply."""
        for uid in load.path.feed or ():
            if self._is_fuse(uid):
                return self.design.bridge[uid]
        return None

    def fuse_a(self, link: Link) -> float | None:
        """Rating of the fuse-link that a wire must stand; infinite where none stands before it.

        A return wire stands the fuse-links of the loads that it serves, together, but no more than
        the largest fuse-link that all of them share.
        """
        fed = self._fed_fuse_a(link)
        if fed is not None:
            return fed
        through = self.loads_through.get(link.uid, [])
        charging = self._charging_fuse_a(link)
        if not through and charging is None:
            return None
        ratings: dict[str, float] = {}
        for load in through:
            fuse = self.fuse_of_load(load)
            if fuse is None or fuse.fuse_a is None:
                return UNFUSED
            ratings[fuse.uid] = fuse.fuse_a
        served = min(sum(ratings.values()), self._shared_fuse_a(through)) if through else 0.0
        return served + (charging or 0.0)

    def _fed_fuse_a(self, link: Link) -> float | None:
        protection = self.circuitry.protection_a
        found = [
            protection[uid] for uid in (link.from_way_uid, link.to_way_uid) if uid in protection
        ]
        return min(found) if len(found) == 2 else None

    def _charging_fuse_a(self, link: Link) -> float | None:
        """A charging source's return stands the fuse-link of its feed."""
        if link.uid not in self._source_a:
            return None
        feeds = [
            fuse
            for uid in self._source_a
            if (other := self.design.link.get(uid)) is not None
            and (fuse := self._fed_fuse_a(other)) is not None
            and math.isfinite(fuse)
        ]
        return max(feeds, default=None)

    def _shared_fuse_a(self, through: list[LoadFigures]) -> float:
        shared: set[str] | None = None
        for load in through:
            fuses = {uid for uid in load.path.feed or () if self._is_fuse(uid)}
            shared = fuses if shared is None else shared & fuses
        ratings = [self.design.bridge[uid].fuse_a or UNFUSED for uid in shared or ()]
        return min(ratings, default=UNFUSED)

    def fuse_kind(self, link: Link) -> str:
        """The family of the fuse-link before a wire, for its gates."""
        rating = self.fuse_a(link)
        for bridge in self.design.bridge.values():
            if bridge.kind == "fuse" and bridge.fuse_a == rating and bridge.fuse_kind:
                return bridge.fuse_kind
        return "blade-medium"

    def needed_a(self, link: Link) -> float:
        """What the wire must carry for ever: its current, and what its fuse-link asks."""
        if link.uid not in self._needed_cache:
            self._needed_cache[link.uid] = self._work_out_needed_a(link)
        return self._needed_cache[link.uid]

    def _work_out_needed_a(self, link: Link) -> float:
        heat = self.heat_a(link.uid)
        rating = self.fuse_a(link)
        kind = self.fuse_kind(link)
        if rating is not None and math.isinf(rating):
            rating, kind = self._next_fuses_a(link), "bolt-down"
        if link.starter_cable or rating is None or math.isinf(rating) or rating <= 0:
            return heat
        if kind not in FUSE_KIND_IDS:
            return max(heat, 1.35 * rating)
        return max(heat, required_wire_current_a(rating, kind).value)

    def _next_fuses_a(self, link: Link) -> float:
        """The fuse-links that a wire between the supply and its first fuse-links leads to."""
        ratings: dict[str, float] = {}
        for load in self.loads_through.get(link.uid, []):
            fuses = [uid for uid in load.path.feed or () if self._is_fuse(uid)]
            if fuses:
                ratings[fuses[-1]] = self.design.bridge[fuses[-1]].fuse_a or 0.0
        return sum(ratings.values()) + (self._charging_fuse_a(link) or 0.0)

    def _is_fuse(self, uid: str) -> bool:
        bridge = self.design.bridge.get(uid)
        return bridge is not None and bridge.kind == "fuse"

    # Surroundings

    @cached_property
    def _wires_in_run(self) -> dict[str, list[Link]]:
        found: dict[str, list[Link]] = {}
        for wire in wires(self.design):
            for run_uid in wire.route or ():
                found.setdefault(run_uid, []).append(wire.link)
        return found

    def surroundings(self, link: Link) -> list[Surroundings]:
        return [around for _, around in self._along(link)]

    def _along(self, link: Link) -> list[tuple[str, Surroundings]]:
        """The runs that a link passes, or its place, each with what is around it there."""
        if not link.route:
            here = Surroundings("at its place", self.design.basis.ambient_c, "none", 1, 100.0)
            return [("", here)]
        runs = [run_uid for run_uid in link.route if run_uid in self.design.run]
        return [(run_uid, self._in_run(run_uid)) for run_uid in runs]

    def _in_run(self, run_uid: str) -> Surroundings:
        if run_uid not in self._run_cache:
            run = self.design.run[run_uid]
            names = self.design.place
            where = f"{names[run.from_place_uid].name} to {names[run.to_place_uid].name}"
            links = self._wires_in_run.get(run_uid, [])
            self._run_cache[run_uid] = Surroundings(
                where,
                run.surround_c,
                COVERINGS.get(run.covering.lower(), "tape"),
                max(1, len(links)),
                self._loaded_percent(links),
            )
        return self._run_cache[run_uid]

    @cached_property
    def _run_cache(self) -> dict[str, Surroundings]:
        return {}

    def _loaded_percent(self, links: list[Link]) -> float:
        """Share of the bundle's whole capacity that is in use at once."""
        carried, able = 0.0, 0.0
        for link in links:
            free = self._free_capacity_a(link)
            if free:
                carried += min(self.lasting_a(link.uid), free)
                able += free
        return round(min(100.0, max(1.0, 100.0 * carried / able)), 0) if able else 100.0

    def _free_capacity_a(self, link: Link) -> float | None:
        wire = self.conductor(link)
        if wire is None:
            return None
        try:
            return self._capacity(wire, Surroundings("", 30.0, "none", 1, 100.0)).current_a
        except SizingError:
            return None

    # Conductors

    def conductor(self, link: Link, csa_mm2: float | None = None) -> Conductor | None:
        csa = csa_mm2 or link.csa_mm2
        if csa is None:
            return None
        basis = self.design.basis
        try:
            return conductor(
                basis.cable_kind,
                csa_mm2=csa,
                finish=basis.cable_finish,
                insulation=basis.insulation,
            )
        except SizingError:
            return None

    def _capacity(self, wire: Conductor, around: Surroundings) -> Permitted:
        basis = self.design.basis
        key = (wire, replace(around, where=""))
        if key not in self._capacity_cache:
            self._capacity_cache[key] = permitted(
                wire,
                standard=basis.standard,
                system_voltage_v=self.design.nominal_v,
                limit_c=basis.limit_c,
                ambient_c=around.ambient_c,
                bundle_wires=around.wires,
                bundle_loaded_percent=around.loaded_percent,
                bundle_heat_percent=around.heat_percent,
                covering=around.covering,
            )
        return self._capacity_cache[key]

    def worst_capacity(self, link: Link, wire: Conductor) -> tuple[Permitted, Surroundings]:
        """The least capacity along a link's route, and where that is. Raises SizingError."""
        found = []
        for run_uid, around in self._along(link):
            shared = self._heat_percent(run_uid, link, wire)
            here = replace(around, heat_percent=shared)
            found.append((self._capacity(wire, here), here))
        return min(found, key=lambda pair: pair[0].current_a)

    def _heat_percent(self, run_uid: str, link: Link, wire: Conductor) -> float:
        """How many of a run's other wires count as loaded like this one: each by its heat, at most
        whole, against what this wire makes at the current that it must stand."""
        others = [heat for uid, heat in self._run_heat(run_uid) if uid != link.uid]
        own = self.needed_a(link) ** 2 * self._r20_mohm_per_m(wire)
        if not others:
            return 0.0
        if own <= 0:
            return 100.0
        loaded = sum(min(1.0, heat / own) for heat in others) / len(others)
        return float(min(100, math.ceil(100 * loaded)))

    def heat_w_per_m(self, link: Link) -> float:
        """Heat that the wire makes at its own worst, cold. [W/m]"""
        wire = self.conductor(link)
        if wire is None:
            return 0.0
        return self.heat_a(link.uid) ** 2 * self._r20_mohm_per_m(wire) / 1000

    def _run_heat(self, run_uid: str) -> list[tuple[str, float]]:
        """Lasting heat that each wire of a run makes, cold [mW/m], by the uid of its link."""
        if run_uid not in self._run_heat_cache:
            found = []
            for link in self._wires_in_run.get(run_uid, []):
                wire = self.conductor(link)
                if wire is not None:
                    heat = self.lasting_a(link.uid) ** 2 * self._r20_mohm_per_m(wire)
                    found.append((link.uid, heat))
            self._run_heat_cache[run_uid] = found
        return self._run_heat_cache[run_uid]

    def _r20_mohm_per_m(self, wire: Conductor) -> float:
        if wire not in self._r20_cache:
            self._r20_cache[wire] = resistance_mohm_per_m(wire, 20.0).value
        return self._r20_cache[wire]

    # Wires and loads

    def wire(self, link_uid: str) -> WireFigures:
        if link_uid not in self._wire_cache:
            self._wire_cache[link_uid] = self._work_out(self.design.link[link_uid])
        return self._wire_cache[link_uid]

    def _work_out(self, link: Link) -> WireFigures:
        heat, state = self.carried_a(link)
        drop_a = self.worst_drop_a(link)
        rating, kind = self.fuse_a(link), self.fuse_kind(link)
        wire = self.conductor(link)
        around = self.surroundings(link)[0] if self.surroundings(link) else _NOWHERE
        stands, trouble = None, ""
        if wire is None:
            trouble = (
                "No conductor size is given yet."
                if link.csa_mm2 is None
                else (f"{link.csa_mm2:g} mm² is not a size of this cable.")
            )
        else:
            try:
                stands, around = self.worst_capacity(link, wire)
            except SizingError as error:
                trouble = str(error)
        temperature_c = self.reached_c(link)
        drop_v = self.link_drop_v(link, wire, drop_a) if wire else None
        needed = self.needed_a(link)
        reasons = stands.reasons if stands else ()
        stands_fuse = rating is not None and 0 < rating < UNFUSED and kind in FUSE_KIND_IDS
        if stands_fuse and rating is not None and not link.starter_cable:
            reasons = (*required_wire_current_a(rating, kind).reasons, *reasons)
        reasons = (_carried_reason(heat, state), *reasons)
        return WireFigures(
            link=link,
            heat_a=heat,
            state=state,
            drop_a=drop_a,
            fuse_a=rating,
            fuse_kind=kind,
            needed_a=needed,
            capacity=stands,
            surroundings=around,
            temperature_c=temperature_c,
            drop_v=drop_v,
            drop_percent=None if drop_v is None else 100 * drop_v / self.design.basis.drop_at_v,
            reasons=reasons,
            trouble=trouble,
        )

    def worst_drop_a(self, link: Link) -> float:
        through = self.loads_through.get(link.uid, [])
        most = max((self.drop_a(link.uid, load) for load in through), default=0.0)
        return max(most, self._source_a.get(link.uid, 0.0))

    def reached_c(self, link: Link) -> float | None:
        """About what its copper comes to where it lies hottest, beside the wires that lie there."""
        found = [self._in_company_c(run_uid, around, link) for run_uid, around in self._along(link)]
        known = [each for each in found if each is not None]
        return max(known) if known and len(known) == len(found) else None

    def _in_company_c(self, run_uid: str, around: Surroundings, link: Link) -> float | None:
        if run_uid not in self._reached_cache or not run_uid:
            links = self._wires_in_run.get(run_uid, []) if run_uid else [link]
            self._reached_cache[run_uid] = self._temperatures_c(links, around)
        return self._reached_cache[run_uid].get(link.uid)

    def _temperatures_c(self, links: list[Link], around: Surroundings) -> dict[str, float]:
        """Of each wire of a bundle, in the operating state that heats it most."""
        sized = [(link, wire) for link in links if (wire := self.conductor(link)) is not None]
        hottest: dict[str, float] = {}
        if not sized:
            return hottest
        passing = {load.uid: load for link, _ in sized for load in self._duties(link)}
        for duty in (None, *passing.values()):
            wires = [BundledWire(wire, self._state_a(link, duty)) for link, wire in sized]
            try:
                found = bundle_temperatures(
                    wires, ambient_c=around.ambient_c, covering=around.covering
                )
            except SizingError:  # a current that would melt one of them
                return {}
            for (link, _), one in zip(sized, found, strict=True):
                hottest[link.uid] = max(one.temperature_c, hottest.get(link.uid, -273.0))
        return hottest

    def _duties(self, link: Link) -> list[LoadFigures]:
        return [load for load in self.loads_through.get(link.uid, []) if not load.lasting]

    def _state_a(self, link: Link, duty: LoadFigures | None) -> float:
        """Current while everything that lasts is on, and one load with a duty besides."""
        lasting = self.lasting_a(link.uid)
        if duty is None or all(load.uid != duty.uid for load in self._duties(link)):
            return lasting
        share = _duty_share(duty.need) if link.starter_cable else 1.0
        return lasting + duty.heat_a * share

    def _temperature_c(
        self, heat_a: float, stands: Permitted | None, around: Surroundings
    ) -> float | None:
        """For the drop: the rise over the surroundings goes with the square of the current."""
        if stands is None or stands.current_a <= 0:
            return None
        limit_c = self.design.basis.limit_c
        share = heat_a / stands.current_a
        return around.ambient_c + (limit_c - around.ambient_c) * share**2

    def link_drop_v(self, link: Link, wire: Conductor, current_a: float) -> float:
        length_mm = self.circuitry.lengths_mm.get(link.uid, 0)
        return current_a * self.link_ohm(link, wire) if length_mm else 0.0

    def link_ohm(self, link: Link, wire: Conductor, current_a: float | None = None) -> float:
        """Resistance at the temperature that a current brings it to, at most its limit. [Ω]

        Without a current, the traced one of its worst state is taken.
        """
        length_mm = self.circuitry.lengths_mm.get(link.uid, 0)
        amps = self.heat_a(link.uid) if current_a is None else current_a
        at_c = self._drop_temperature_c(link, wire, amps)
        r20_mohm_per_m = self._r20_mohm_per_m(wire)
        warm = (COPPER_OFFSET_C + at_c) / (COPPER_OFFSET_C + 20.0)
        return r20_mohm_per_m * warm * length_mm / 1e6

    def _drop_temperature_c(self, link: Link, wire: Conductor, amps: float) -> float:
        limit_c = self.design.basis.limit_c
        if (link.uid, wire) not in self._stands_cache:
            self._stands_cache[link.uid, wire] = self._stands_or_none(link, wire)
        found = self._stands_cache[link.uid, wire]
        if found is None:
            return limit_c
        reached = self._temperature_c(amps, *found)
        return min(limit_c, limit_c if reached is None else reached)

    def _stands_or_none(self, link: Link, wire: Conductor) -> tuple[Permitted, Surroundings] | None:
        try:
            return self.worst_capacity(link, wire)
        except SizingError:
            return None

    @cached_property
    def drops(self) -> list[LoadDrop]:
        """The drop from the battery to each load and back."""
        return [self.load_drop(load) for load in self.loads.values() if load.path.complete]

    def load_drop(self, load: LoadFigures) -> LoadDrop:
        limit = load.need.max_drop_percent if load.need else 10.0
        lost_v = self.operating.lost_v.get(load.uid)
        if lost_v is not None:
            return LoadDrop(load, lost_v, 100 * lost_v / self.design.basis.drop_at_v, limit)
        total = 0.0
        for uid in load.path.edges:
            link = self.design.link.get(uid)
            wire = self.conductor(link) if link else None
            if link is not None and wire is not None:
                total += self.link_drop_v(link, wire, self.drop_a(uid, load))
        return LoadDrop(load, total, 100 * total / self.design.basis.drop_at_v, limit)


def _carried_reason(amps: float, state: str) -> Reason:
    """Where the current of a wire comes from."""
    solved = f"It carries most while {state} is on." if state else "Traced: the loom is not whole."
    return Reason(
        text=solved,
        name="current_a",
        value=amps,
        unit="A",
        source="DC solution of the loom, Kirchhoff's laws" if state else "traced to the supply",
    )


_NOWHERE = Surroundings("not routed", 30.0, "none", 1, 100.0)
