"""Gives every wire of a proposal its conductor: first what heat asks, then what the drops ask."""

from dataclasses import replace
from functools import cached_property

from webapp.sizing.capacity import minimum_section_mm2
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import SCREEN
from webapp.stages.design.choices import battery_cables, by_contact, cables, is_battery_cable
from webapp.stages.design.currents import LoadFigures
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, Link
from webapp.stages.design.wires import wires

ROUNDS = 8
COOLING_STEPS = 12
# Aim a little under each limit: sizes are chosen on traced currents, and the network solution that
# judges them lets loads of constant power take more at the voltage that is left.
DROP_AIM = 0.92
# A short wire in a size of its own is a nuisance worth this much cable: common practice.
ONE_MORE_SIZE_MM = 1000


class Sizer:
    def __init__(self, figures: Figures, catalogue: Catalogue) -> None:
        design = figures.design
        self.design = design
        self.catalogue = catalogue
        self.cables = cables(design, catalogue)
        self.battery = battery_cables(design, catalogue)
        self.troubles: list[Named] = []
        self._figures = figures

    @property
    def figures(self) -> Figures:
        """Of the design as it is sized by now."""
        if self._figures.design is not self.design:
            self._figures = self._figures.of(self.design)
        return self._figures

    def size(self) -> Design:
        if not self.cables:
            basis = self.design.basis
            self.troubles.append(
                Named(
                    f"The catalogue has no {basis.cable_finish} cable of the kind "
                    f"{basis.cable_kind} that stands {basis.limit_c:g} °C: no wire is sized."
                )
            )
            return self.design
        floor: dict[str, float] = {}
        for _ in range(ROUNDS):
            before = self.design.link
            self.troubles = []
            self._for_heat(floor)
            self._for_drop()
            if self.design.link == before:
                break
            # Sizes change how much of a bundle is in use; from now on they only grow.
            floor = {uid: link.csa_mm2 or 0.0 for uid, link in self.design.link.items()}
        self._as_chosen()
        self._for_company()
        return self.design

    def warm(self) -> Figures:
        """Of the design sized for heat alone, as the neighbours are sized now: `size` begins so,
        and only makes wires thicker."""
        if self.cables:
            self._for_heat({})
        return self.figures

    def _as_chosen(self) -> None:
        """A need's own wires as many sizes above the least as a person chose for it."""
        chosen = {}
        for link in self.design.link.values():
            need = self.design.need.get(self._need(link) or "")
            if need is None or not need.extra_sizes or not self._free(link) or link.own_lead:
                continue
            most = self.most_mm2(link)
            larger = [size for size in self.cables if (link.csa_mm2 or 0.0) < size <= most]
            if larger:
                chosen[link.uid] = larger[: need.extra_sizes][-1]
        self._set(chosen)

    def _free(self, link: Link) -> bool:
        # A screen is as thick as its cable has it.
        return "csa_mm2" not in link.by_hand and link.core != SCREEN

    def _set(self, sizes: dict[str, float]) -> None:
        links = dict(self.design.link)
        for uid, csa in sizes.items():
            heavy = is_battery_cable(self.design, links[uid], csa)
            part = (heavy and self.battery.get(csa)) or self.cables.get(csa)
            links[uid] = replace(links[uid], csa_mm2=csa, cable_part_uid=part.uid if part else None)
        self.design = replace(self.design, link=links)

    # Heat

    def _for_heat(self, floor: dict[str, float]) -> None:
        figures = self.figures
        chosen = {}
        for link in self.design.link.values():
            if self._free(link):
                chosen[link.uid] = max(self._least(figures, link), floor.get(link.uid, 0.0))
        self._set(chosen)

    def _least(self, figures: Figures, link: Link) -> float:
        basis = self.design.basis
        minimum = max(
            basis.min_section_mm2, minimum_section_mm2(basis.standard), self._plugged_mm2(link)
        )
        needed = figures.needed_a(link)
        allowed = [csa for csa in self.cables if csa >= minimum - 1e-9]
        said = ""
        for csa in allowed:
            wire = figures.conductor(link, csa)
            if wire is None:
                continue
            try:
                stands, _ = figures.worst_capacity(link, wire)
            except SizingError as error:
                said = str(error)
                continue
            carries = self._ends_carry(link, csa, figures.heat_a(link.uid))
            if stands.current_a >= needed and (carries or csa == allowed[-1]):
                return self._within_terminals(link, csa, needed)
            said = f"it must carry {needed:.3g} A and {csa:g} mm² carries {stands.current_a:.3g} A"
        self.troubles.append(
            Named(f"Wire {link.number}: no size of this cable will do ({said}).", self._need(link))
        )
        return max(self.cables)

    def _within_terminals(self, link: Link, csa: float, needed: float) -> float:
        most = self.most_mm2(link)
        if csa > most:
            self.troubles.append(
                Named(
                    f"Wire {link.number} must carry {needed:.3g} A and so be {csa:g} mm², but what "
                    f"it goes to takes {most:g} mm² at most.",
                    self._need(link),
                )
            )
        return csa

    def most_mm2(self, link: Link) -> float:
        """The largest section that terminals for both ends, and for its plugs, can take."""
        ways = (link.from_way_uid, link.to_way_uid, *self._crossed.get(link.uid, ()))
        return min(
            (self._contact_mm2(self.design.way[uid].contact) for uid in ways if uid), default=0
        )

    def _plugged_mm2(self, link: Link) -> float:
        """The smallest section that contacts of the plugs which it passes grip."""
        contacts = {self.design.way[uid].contact for uid in self._crossed.get(link.uid, ())}
        return max(
            (
                min(part.number("csa_min_mm2") for part in self._terminals[contact])
                for contact in contacts
                if self._terminals.get(contact)
            ),
            default=0.0,
        )

    @cached_property
    def _crossed(self) -> dict[str, list[str]]:
        """The ways of plugs that each link passes: sizing changes none of them."""
        found: dict[str, list[str]] = {}
        for crossing in self.design.crossing.values():
            found.setdefault(crossing.link_uid, []).extend((crossing.way_a_uid, crossing.way_b_uid))
        return found

    def _ends_carry(self, link: Link, csa: float, amps: float) -> bool:
        """Whether the terminals of this section, where there are any, carry the current."""
        for uid in filter(None, (link.from_way_uid, link.to_way_uid)):
            contact = self.design.way[uid].contact
            fitting = [
                part.number("current_a")
                for part in self._terminals.get(contact, ())
                if part.number("csa_min_mm2") <= csa <= part.number("csa_max_mm2")
            ]
            if contact != "splice" and fitting and max(fitting) < amps:
                return False
        return True

    def _contact_mm2(self, contact: str) -> float:
        if contact == "splice":
            return max(self.cables)
        sizes = [part.number("csa_max_mm2") for part in self._terminals.get(contact, ())]
        return max(sizes, default=0.0)

    @cached_property
    def _terminals(self) -> dict[str, list[CatalogPart]]:
        return by_contact(self.catalogue)

    def _need(self, link: Link) -> str | None:
        return self.design.circuit[link.circuit_uid].need_uid

    # Neighbours

    def _for_company(self) -> None:
        """Thicken what makes most heat in a bundle that comes too hot, a size at a time."""
        for _ in range(COOLING_STEPS):
            figures = self.figures
            limit_c = self.design.basis.limit_c
            hot = [
                link
                for link in self.design.link.values()
                if not link.own_lead and (figures.reached_c(link) or 0.0) > limit_c
            ]
            thicker = {
                uid: csa
                for link in hot
                if (step := self._cooling(figures, link)) is not None
                for uid, csa in [step]
            }
            if not thicker:
                return
            self._set(thicker)

    def _cooling(self, figures: Figures, hot: Link) -> tuple[str, float] | None:
        """The wire of the hot one's runs that makes most heat, and its next size."""
        runs = set(hot.route or ())
        company = [
            link
            for link in self.design.link.values()
            if link.uid == hot.uid or runs & set(link.route or ())
        ]
        for link in sorted(company, key=lambda one: -figures.heat_w_per_m(one)):
            most = self.most_mm2(link)
            larger = [size for size in self.cables if (link.csa_mm2 or 0) < size <= most]
            if larger and self._free(link) and not link.own_lead:
                return link.uid, larger[0]
        return None

    # Drop

    def _for_drop(self) -> None:
        figures = self.figures
        sizes = {uid: link.csa_mm2 or 0.0 for uid, link in self.design.link.items()}
        for load in figures.loads.values():
            if load.path.complete:
                self._mend_drop(figures, load, sizes)
        self._set({uid: csa for uid, csa in sizes.items() if self._free(self.design.link[uid])})

    def _mend_drop(self, figures: Figures, load: LoadFigures, sizes: dict[str, float]) -> None:
        """Thicken, one size at a time, the wire that gains most volts for its copper."""
        limit_v = self._limit_v(load)
        path = [uid for uid in load.path.edges if uid in self.design.link]
        drops = {uid: self._drop_v(figures, uid, load, sizes[uid]) for uid in path}
        if sum(drops.values()) <= limit_v:
            return
        steps = {uid: self._step(figures, uid, load, sizes[uid], drops[uid]) for uid in path}
        while sum(drops.values()) > limit_v:
            best = max((step for step in steps.values() if step is not None), default=None)
            if best is None:
                self._cannot(load, sum(drops.values()), limit_v)
                return
            _, uid, csa = best
            sizes[uid] = csa
            drops[uid] = self._drop_v(figures, uid, load, csa)
            steps[uid] = self._step(figures, uid, load, csa, drops[uid])

    def _limit_v(self, load: LoadFigures) -> float:
        percent = load.need.max_drop_percent if load.need else 10.0
        return self.design.basis.drop_at_v * percent / 100 * DROP_AIM

    def _drop_v(self, figures: Figures, uid: str, load: LoadFigures, csa: float) -> float:
        link = self.design.link[uid]
        wire = figures.conductor(link, csa)
        return 0.0 if wire is None else figures.link_drop_v(link, wire, figures.drop_a(uid, load))

    def _step(
        self, figures: Figures, uid: str, load: LoadFigures, csa: float, drop_v: float
    ) -> tuple[float, str, float] | None:
        link = self.design.link[uid]
        length_mm = figures.circuitry.lengths_mm.get(uid, 0)
        larger = [size for size in self.cables if csa < size <= self.most_mm2(link)]
        if not larger or not length_mm or not self._free(link) or link.own_lead:
            return None
        gain = drop_v - self._drop_v(figures, uid, load, larger[0])
        copper = (larger[0] - csa) * (length_mm + ONE_MORE_SIZE_MM)
        return gain / copper, uid, larger[0]

    def _cannot(self, load: LoadFigures, drop_v: float, limit_v: float) -> None:
        name = load.need.name if load.need else self.design.fitting[load.bridge.fitting_uid].name
        self.troubles.append(
            Named(
                f"{name}: {drop_v:.2f} V are lost on the way and {limit_v:.2f} V are allowed; no "
                f"thicker wire will go into its terminals.",
                load.need.uid if load.need else None,
            )
        )


def splices_by_section(figures: Figures, catalogue: Catalogue) -> Design:
    """Each splice in the size that takes all its wires together and their current."""
    design = figures.design
    total: dict[str, float] = {}
    amps: dict[str, float] = {}
    for wire in wires(design):
        for end in wire.ends:
            if end.way_uid and design.way[end.way_uid].contact == "splice":
                uid = design.way[end.way_uid].fitting_uid
                total[uid] = total.get(uid, 0.0) + (wire.link.csa_mm2 or 0.0)
                amps[uid] = max(amps.get(uid, 0.0), figures.heat_a(wire.link.uid))
    fittings, ways = dict(design.fitting), dict(design.way)
    for uid, csa in total.items():
        part = _splice(catalogue, len(design.ways_of[uid]), csa, amps[uid])
        if part is None or "part_uid" in fittings[uid].by_hand:
            continue
        fittings[uid] = replace(fittings[uid], part_uid=part.uid)
        for way in design.ways_of[uid]:
            ways[way.uid] = replace(way, max_a=part.number("max_a"))
    return replace(design, fitting=fittings, way=ways)


def _splice(catalogue: Catalogue, ways: int, csa: float, amps: float) -> CatalogPart | None:
    for part in sorted(catalogue.kind("splice"), key=lambda part: float(part.text("suits"))):
        enough = float(part.text("suits")) >= csa and part.number("max_a") >= amps
        if len(part.way_plans) == ways and enough:
            return part
    return None
