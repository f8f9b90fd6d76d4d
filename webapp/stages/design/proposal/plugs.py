"""Plugs and sockets where the job asks for them: passing links get ways, heaviest first."""

from dataclasses import dataclass, replace

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal.builder import Named, shortest, uid_of
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, Way
from webapp.stages.design.wires import travelled


@dataclass(frozen=True)
class _Passing:
    """A link that passes a plug's place on one run. `forward`: from the run into the place."""

    link: Link
    forward: bool
    amps: float


class Plugs:
    def __init__(self, design: Design, catalogue: Catalogue) -> None:
        self.design = design
        self.catalogue = catalogue
        self.said: list[Named] = []

    def fit(self) -> Design:
        for place_uid in self.design.basis.plug_place_uids:
            if place_uid in self.design.place:
                self._at(place_uid)
        return self.design

    def _at(self, place_uid: str) -> None:
        run_uid = self._run_towards_supply(place_uid)
        name = self.design.place[place_uid].name
        if run_uid is None:
            self.said.append(Named(f"No wire comes to {name} along a run: it gets no plug."))
            return
        figures = Figures(self.design)
        passing, uncut = self._passing(place_uid, run_uid, figures)
        for link in uncut:
            self.said.append(
                Named(
                    f"Wire {link.number} passes the plug at {name} uncut: "
                    + (
                        "it is the customer's own lead."
                        if link.own_lead
                        else f"no plug in the catalogue takes its {link.csa_mm2 or 0:g} mm²."
                    )
                )
            )
        groups = self._groups(passing)
        for number, (part, links) in enumerate(groups, start=1):
            title = f"{name[:1].upper()}{name[1:]} plug"
            title += f" {number}" if len(groups) > 1 else ""
            self._pair(place_uid, run_uid, number, title, part, links)

    def _run_towards_supply(self, place_uid: str) -> str | None:
        """The run that most links arrive by, seen from the supply: the plug stands at its end."""
        counts: dict[str, int] = {}
        for link in self.design.link.values():
            for run_uid, far in travelled(self.design, link):
                if place_uid in (far, _near(self.design, run_uid, far)):
                    counts[run_uid] = counts.get(run_uid, 0) + 1
        supply = self.design.basis.supply_place_uid
        towards = _first_run(self.design, place_uid, supply)
        if towards in counts:
            return towards
        return max(counts, key=lambda uid: (counts[uid], uid), default=None)

    def _passing(
        self, place_uid: str, run_uid: str, figures: Figures
    ) -> tuple[list[_Passing], list[Link]]:
        passing, uncut = [], []
        most = max((part.number("csa_max_mm2") for part in self._contacts()), default=0.0)
        for link in self.design.link.values():
            for run, far in travelled(self.design, link):
                if run != run_uid:
                    continue
                if link.own_lead or link.starter_cable or (link.csa_mm2 or 0) > most:
                    uncut.append(link)
                else:
                    amps = figures.heat_a(link.uid)
                    passing.append(_Passing(link, far == place_uid, amps))
        passing.sort(key=lambda item: (-item.amps, item.link.number))
        return passing, uncut

    def _contacts(self) -> list[CatalogPart]:
        pairs = self.catalogue.kind("plug and socket")
        contacts = {part.text("plug_contact") for part in pairs}
        return [
            part for part in self.catalogue.kind("terminal") if part.text("contact") in contacts
        ]

    def _takes(self, part: CatalogPart, item: _Passing) -> bool:
        csa = item.link.csa_mm2 or 0.0
        fits = any(
            terminal.text("contact") == part.text("plug_contact")
            and terminal.number("csa_min_mm2") <= csa <= terminal.number("csa_max_mm2")
            and terminal.number("current_a") >= item.amps
            for terminal in self.catalogue.kind("terminal")
        )
        return fits and part.number("max_a") >= item.amps

    def _groups(self, passing: list[_Passing]) -> list[tuple[CatalogPart, list[_Passing]]]:
        """Links by the least plug family that takes them, then filled into plugs."""
        families: dict[str, list[_Passing]] = {}
        pairs = sorted(
            self.catalogue.kind("plug and socket"),
            key=lambda part: (part.number("max_a"), part.number("plug_ways")),
        )
        for item in passing:
            part = next((pair for pair in pairs if self._takes(pair, item)), None)
            if part is None:
                self.said.append(
                    Named(f"Wire {item.link.number} passes its plug uncut: no plug takes it.")
                )
                continue
            families.setdefault(part.text("plug_contact"), []).append(item)
        groups = []
        for contact, items in families.items():
            sizes = [part for part in pairs if part.text("plug_contact") == contact]
            largest = max(sizes, key=lambda part: part.number("plug_ways"))
            most = int(largest.number("plug_ways"))
            for start in range(0, len(items), most):
                some = items[start : start + most]
                part = next(p for p in sizes if p.number("plug_ways") >= len(some))
                groups.append((part, some))
        return self._share(groups)

    def _share(
        self, groups: list[tuple[CatalogPart, list[_Passing]]]
    ) -> list[tuple[CatalogPart, list[_Passing]]]:
        """A link alone in its plug moves into a spare way of a heavier one, feed beside return."""
        shared = list(groups)
        for lone in groups:
            if len(lone[1]) > 1:
                continue
            for part, items in shared:
                room = part.number("plug_ways") > len(items)
                if lone[1] is not items and room and self._takes(part, lone[1][0]):
                    items.append(lone[1][0])
                    shared.remove(lone)
                    break
        return shared

    def _pair(
        self,
        place_uid: str,
        run_uid: str,
        number: int,
        title: str,
        part: CatalogPart,
        links: list[_Passing],
    ) -> None:
        """The socket half stands on the supply's side: no live pin is bare when they are parted."""
        origin = f"plug/{place_uid}/{number}"
        socket_uid, plug_uid = uid_of(f"{origin}/socket"), uid_of(f"{origin}/plug")
        fittings, ways = dict(self.design.fitting), dict(self.design.way)
        for uid, mate, half, run in (
            (socket_uid, plug_uid, "socket", run_uid),
            (plug_uid, socket_uid, "plug", None),
        ):
            fittings[uid] = Fitting(
                uid=uid,
                position=len(fittings) + 1,
                origin=f"{origin}/{half}",
                place_uid=place_uid,
                name=f"{title}, {half} half",
                kind=half,
                part_uid=part.uid,
                mate_uid=mate,
                run_uid=run,
            )
            for way in range(1, int(part.number("plug_ways")) + 1):
                way_uid = uid_of(f"{origin}/{half}/{way}")
                ways[way_uid] = Way(
                    uid=way_uid,
                    position=way,
                    origin=f"{origin}/{half}/{way}",
                    fitting_uid=uid,
                    label=str(way),
                    contact=part.text(f"{half}_contact"),
                    max_a=part.number("max_a"),
                )
        crossings = dict(self.design.crossing)
        for way, item in enumerate(links, start=1):
            near, far = (uid_of(f"{origin}/{half}/{way}") for half in ("socket", "plug"))
            crossing_origin = f"{item.link.uid}/through {place_uid}"
            uid = uid_of(crossing_origin)
            crossings[uid] = Crossing(
                uid=uid,
                position=way,
                origin=crossing_origin,
                link_uid=item.link.uid,
                way_a_uid=near if item.forward else far,
                way_b_uid=far if item.forward else near,
            )
        self.design = replace(self.design, fitting=fittings, way=ways, crossing=crossings)


def _near(design: Design, run_uid: str, far: str) -> str:
    run = design.run[run_uid]
    return run.from_place_uid if run.to_place_uid == far else run.to_place_uid


def _first_run(design: Design, place_uid: str, supply_uid: str | None) -> str | None:
    """The first run on the way from a place to the supply."""
    route = shortest(list(design.run.values()), place_uid, supply_uid or place_uid)
    return route[0] if route else None
