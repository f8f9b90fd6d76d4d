"""What a wire may carry where it lies, and how warm it gets beside the wires that lie there."""

import math
from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import accumulate

from webapp.sizing.conductors import (
    COPPER_OFFSET_C,
    Conductor,
    conductor,
    resistance_mohm_per_m,
)
from webapp.sizing.heat.mixed_bundle import BundledWire, bundle_temperatures
from webapp.sizing.permitted import Permitted, permitted
from webapp.sizing.reasons import SizingError
from webapp.stages.design.cables import is_sheathed
from webapp.stages.design.fused import Fused
from webapp.stages.design.rows import Design, Link, Run

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
SHEATH = "pvc-sleeve"
ROUNDING = 1e-9


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


class RunHeat:
    """Lasting heat that each wire of a run makes, cold [mW/m], by the uid of its link."""

    def __init__(self, heats: list[tuple[str, float]]) -> None:
        self._own: dict[str, list[float]] = {}
        for uid, heat in heats:
            self._own.setdefault(uid, []).append(heat)
        self._rising = sorted(heat for _, heat in heats)
        self._up_to = [0.0, *accumulate(self._rising)]

    def loaded_percent(self, uid: str, heat: float) -> float:
        """Share of a run's other wires that counts as loaded like one that makes this heat: each
        by its own, at most whole."""
        own = self._own.get(uid, [])
        others = len(self._rising) - len(own)
        if not others:
            return 0.0
        if heat <= 0:
            return 100.0
        below = bisect_left(self._rising, heat)
        # Heats are added up once for all wires of the run, so that it may be a long one.
        loaded = len(self._rising) - below + self._up_to[below] / heat
        loaded -= sum(min(1.0, each / heat) for each in own)
        return float(min(100, math.ceil(100 * loaded / others - ROUNDING)))


class Warmth(Fused):
    """Capacity, temperature and resistance of each wire of a design."""

    def __init__(self, design: Design) -> None:
        super().__init__(design)
        # A design's wires are of one make: their section tells them apart.
        self._conductor_cache: dict[float, Conductor | None] = {}
        self._r20_cache: dict[float, float] = {}
        self._capacity_cache: dict[tuple[object, ...], Permitted] = {}
        self._run_heat_cache: dict[str, RunHeat] = {}
        self._stands_cache: dict[tuple[str, float], tuple[Permitted, Surroundings] | None] = {}
        self._reached_cache: dict[str, dict[str, float]] = {}

    # Surroundings

    @cached_property
    def wires_in_run(self) -> dict[str, list[Link]]:
        links = self.design.link
        by_run = self.circuitry.links_in_run.items()
        return {run_uid: [links[uid] for uid in uids] for run_uid, uids in by_run}

    def surroundings(self, link: Link) -> list[Surroundings]:
        return [around for _, around in self.along(link)]

    def along(self, link: Link) -> list[tuple[str, Surroundings]]:
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
            links = self.wires_in_run.get(run_uid, [])
            self._run_cache[run_uid] = Surroundings(
                where,
                run.surround_c,
                self._covering(run, links),
                max(1, len(links)),
                self._loaded_percent(links),
            )
        return self._run_cache[run_uid]

    def _covering(self, run: Run, links: list[Link]) -> str:
        """What keeps the heat of a run's wires in. Cores count as wires of the bundle, each one,
        and a sheath as a PVC sleeve round all of them where nothing closer is: common practice,
        and never cooler than they are."""
        covering = COVERINGS.get(run.covering.lower(), "tape")
        open_enough = covering in ("none", "tape", "braid")
        sheathed = any(is_sheathed(self.design, link) for link in links)
        return SHEATH if sheathed and open_enough else covering

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

    # Capacity

    def conductor(self, link: Link, csa_mm2: float | None = None) -> Conductor | None:
        csa = csa_mm2 or link.csa_mm2
        if csa is None:
            return None
        if csa not in self._conductor_cache:
            self._conductor_cache[csa] = self._made(csa)
        return self._conductor_cache[csa]

    def _made(self, csa_mm2: float) -> Conductor | None:
        basis = self.design.basis
        try:
            return conductor(
                basis.cable_kind,
                csa_mm2=csa_mm2,
                finish=basis.cable_finish,
                insulation=basis.insulation,
            )
        except SizingError:
            return None

    def _capacity(
        self, wire: Conductor, around: Surroundings, heat_percent: float = 100.0
    ) -> Permitted:
        basis = self.design.basis
        key = (
            wire.csa_mm2,
            around.ambient_c,
            around.covering,
            around.wires,
            around.loaded_percent,
            heat_percent,
        )
        if key not in self._capacity_cache:
            self._capacity_cache[key] = permitted(
                wire,
                standard=basis.standard,
                system_voltage_v=self.design.nominal_v,
                limit_c=basis.limit_c,
                ambient_c=around.ambient_c,
                bundle_wires=around.wires,
                bundle_loaded_percent=around.loaded_percent,
                bundle_heat_percent=heat_percent,
                covering=around.covering,
            )
        return self._capacity_cache[key]

    def worst_capacity(self, link: Link, wire: Conductor) -> tuple[Permitted, Surroundings]:
        """The least capacity along a link's route, and where that is. Raises SizingError."""
        found = []
        for run_uid, around in self.along(link):
            shared = self._heat_percent(run_uid, link, wire)
            found.append((self._capacity(wire, around, shared), around, shared))
        stands, around, shared = min(found, key=lambda each: each[0].current_a)
        return stands, replace(around, heat_percent=shared)

    def _heat_percent(self, run_uid: str, link: Link, wire: Conductor) -> float:
        """How many of a run's other wires count as loaded like this one: each by its heat, at most
        whole, against what this wire makes at the current that it must stand."""
        own = self.needed_a(link) ** 2 * self._r20_mohm_per_m(wire)
        return self._run_heat(run_uid).loaded_percent(link.uid, own)

    def heat_w_per_m(self, link: Link) -> float:
        """Heat that the wire makes at its own worst, cold. [W/m]"""
        wire = self.conductor(link)
        if wire is None:
            return 0.0
        return self.heat_a(link.uid) ** 2 * self._r20_mohm_per_m(wire) / 1000

    def _run_heat(self, run_uid: str) -> "RunHeat":
        if run_uid not in self._run_heat_cache:
            found = []
            for link in self.wires_in_run.get(run_uid, []):
                wire = self.conductor(link)
                if wire is not None:
                    heat = self.lasting_a(link.uid) ** 2 * self._r20_mohm_per_m(wire)
                    found.append((link.uid, heat))
            self._run_heat_cache[run_uid] = RunHeat(found)
        return self._run_heat_cache[run_uid]

    def _r20_mohm_per_m(self, wire: Conductor) -> float:
        if wire.csa_mm2 not in self._r20_cache:
            self._r20_cache[wire.csa_mm2] = resistance_mohm_per_m(wire, 20.0).value
        return self._r20_cache[wire.csa_mm2]

    # Temperature

    def reached_c(self, link: Link) -> float | None:
        """About what its copper comes to where it lies hottest, beside the wires that lie there."""
        found = [self._in_company_c(run_uid, around, link) for run_uid, around in self.along(link)]
        known = [each for each in found if each is not None]
        return max(known) if known and len(known) == len(found) else None

    def hottest_in(self, run_uid: str) -> tuple[Link, float] | None:
        """The wire that gets hottest in a run, and what its copper comes to there. [°C]"""
        links = self.wires_in_run.get(run_uid, [])
        if not links:
            return None
        around = self._in_run(run_uid)
        reached = [(link, self._in_company_c(run_uid, around, link)) for link in links]
        known = [(link, warm_c) for link, warm_c in reached if warm_c is not None]
        return max(known, key=lambda each: each[1], default=None)

    def _in_company_c(self, run_uid: str, around: Surroundings, link: Link) -> float | None:
        if run_uid not in self._reached_cache or not run_uid:
            links = self.wires_in_run.get(run_uid, []) if run_uid else [link]
            self._reached_cache[run_uid] = self._temperatures_c(links, around)
        return self._reached_cache[run_uid].get(link.uid)

    def _temperatures_c(self, links: list[Link], around: Surroundings) -> dict[str, float]:
        """Of each wire of a bundle, in the operating state that heats it most."""
        sized = [(link, wire) for link in links if (wire := self.conductor(link)) is not None]
        hottest: dict[str, float] = {}
        if not sized:
            return hottest
        passing = [load for link, _ in sized for load in self.loads_through.get(link.uid, ())]
        for moment in (None, *self.moments_of(passing)):
            wires = [BundledWire(wire, self.state_a(link, moment)) for link, wire in sized]
            try:
                found = bundle_temperatures(
                    wires, ambient_c=around.ambient_c, covering=around.covering
                )
            except SizingError:  # a current that would melt one of them
                return {}
            for (link, _), one in zip(sized, found, strict=True):
                hottest[link.uid] = max(one.temperature_c, hottest.get(link.uid, -273.0))
        return hottest

    def square_law_c(
        self, heat_a: float, stands: Permitted | None, around: Surroundings
    ) -> float | None:
        """For the drop: the rise over the surroundings goes with the square of the current."""
        if stands is None or stands.current_a <= 0:
            return None
        limit_c = self.design.basis.limit_c
        share = heat_a / stands.current_a
        return around.ambient_c + (limit_c - around.ambient_c) * share**2

    # Resistance

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
        known = (link.uid, wire.csa_mm2)
        if known not in self._stands_cache:
            self._stands_cache[known] = self._stands_or_none(link, wire)
        found = self._stands_cache[known]
        if found is None:
            return limit_c
        reached = self.square_law_c(amps, *found)
        return min(limit_c, limit_c if reached is None else reached)

    def _stands_or_none(self, link: Link, wire: Conductor) -> tuple[Permitted, Surroundings] | None:
        try:
            return self.worst_capacity(link, wire)
        except SizingError:
            return None
