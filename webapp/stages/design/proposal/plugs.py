"""Plugs and sockets where the job asks for them: passing links get ways, heaviest first."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.commands import new_uid
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
    """`earlier` has the crossings of an earlier proposal: ways chosen by hand are kept."""

    def __init__(
        self,
        design: Design,
        catalogue: Catalogue,
        earlier: Mapping[str, Crossing] | None = None,
    ) -> None:
        self.design = design
        self.catalogue = catalogue
        self.earlier = earlier or {}
        self.said: list[Named] = []

    def fit(self) -> Design:
        for place_uid in self.design.basis.plug_place_uids:
            if place_uid in self.design.place:
                self._proposed_at(place_uid)
        return self.design

    def _proposed_at(self, place_uid: str) -> None:
        run_uid = self._run_towards_supply(place_uid)
        if run_uid is None:
            name = self.design.place[place_uid].name
            self.said.append(Named(f"No wire comes to {name} along a run: it gets no plug."))
            return
        self.insert(place_uid, run_uid, origin=f"plug/{place_uid}")

    def insert(self, place_uid: str, run_uid: str, *, origin: str = "") -> None:
        """Plugs and sockets at one end of a run, for all links that pass there and have none.

        Without an origin they are a person's own: rows with uids of their own.
        """
        name = self.design.place[place_uid].name
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
            here = f"{origin}/{number}" if origin else ""
            if here and uid_of(f"{here}/socket") in self.design.removed:
                self.said.append(Named(f"{title} stays removed."))
                continue
            self._pair(place_uid, run_uid, here, self._free(title, here), part, links)

    def _free(self, title: str, origin: str) -> str:
        own = uid_of(f"{origin}/socket") if origin else ""
        taken = {each.name for uid, each in self.design.fitting.items() if uid != own}
        names = (title, *(f"{title} {letter}" for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
        return next((name for name in names if f"{name}, socket half" not in taken), title)

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
        crossed = self._crossed(place_uid, run_uid)
        for link in self.design.link.values():
            for run, far in travelled(self.design, link):
                if run != run_uid or link.uid in crossed:
                    continue
                if link.own_lead or link.starter_cable or (link.csa_mm2 or 0) > most:
                    uncut.append(link)
                else:
                    amps = figures.heat_a(link.uid)
                    passing.append(_Passing(link, far == place_uid, amps))
        passing.sort(key=lambda item: (-item.amps, item.link.number))
        return passing, uncut

    def _crossed(self, place_uid: str, run_uid: str) -> set[str]:
        """The links that have a plug at this end of this run already."""
        here = {
            fitting.uid
            for fitting in self.design.fitting.values()
            if fitting.run_uid == run_uid and fitting.place_uid == place_uid
        }
        return {
            crossing.link_uid
            for crossing in self.design.crossing.values()
            for uid in (crossing.way_a_uid, crossing.way_b_uid)
            if self.design.way[uid].fitting_uid in here
        }

    def _contacts(self) -> list[CatalogPart]:
        pairs = self.catalogue.kind("plug and socket")
        contacts = {part.text("plug_contact") for part in pairs}
        return [
            part for part in self.catalogue.kind("terminal") if part.text("contact") in contacts
        ]

    def _takes(self, part: CatalogPart, item: _Passing) -> bool:
        return takes(self.catalogue, part, item.link, item.amps)

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
        origin: str,
        title: str,
        part: CatalogPart,
        links: list[_Passing],
    ) -> None:
        """The socket half stands on the supply's side: no live pin is bare when they are parted."""
        socket_uid = uid_of(f"{origin}/socket") if origin else new_uid()
        plug_uid = uid_of(f"{origin}/plug") if origin else new_uid()
        fittings, ways = dict(self.design.fitting), dict(self.design.way)
        for uid, mate, half, run in (
            (socket_uid, plug_uid, "socket", run_uid),
            (plug_uid, socket_uid, "plug", None),
        ):
            fittings[uid] = Fitting(
                uid=uid,
                position=max((row.position for row in fittings.values()), default=0) + 1,
                origin=f"{origin}/{half}" if origin else "",
                place_uid=place_uid,
                name=f"{title}, {half} half",
                kind=half,
                part_uid=part.uid,
                mate_uid=mate,
                run_uid=run,
            )
            for way in plug_ways(part, uid, half, origin):
                ways[way.uid] = way
        self.design = replace(self.design, fitting=fittings, way=ways)
        near = {way.label: way.uid for way in self.design.ways_of[socket_uid]}
        far = {way.label: way.uid for way in self.design.ways_of[plug_uid]}
        crossings = dict(self.design.crossing)
        label_of = {uid: label for half in (near, far) for label, uid in half.items()}
        for label, item in self._labelled(list(near), label_of, place_uid, links):
            crossing = self._crossing(place_uid, origin, item, near[label], far[label])
            crossings[crossing.uid] = replace(crossing, position=int(label))
        self.design = replace(self.design, crossing=crossings)

    def _crossing(
        self, place_uid: str, origin: str, item: _Passing, near: str, far: str
    ) -> Crossing:
        through = f"{item.link.uid}/through {place_uid}" if origin else ""
        uid = uid_of(through) if origin else new_uid()
        earlier = self.earlier.get(uid)
        return Crossing(
            uid=uid,
            origin=through,
            by_hand=earlier.by_hand if earlier else (),
            version=earlier.version if earlier else 1,
            link_uid=item.link.uid,
            way_a_uid=near if item.forward else far,
            way_b_uid=far if item.forward else near,
        )

    def _labelled(
        self, labels: list[str], label_of: dict[str, str], place_uid: str, links: list[_Passing]
    ) -> list[tuple[str, _Passing]]:
        """Each link with its way's label: one chosen by hand where it is still there."""
        kept: dict[str, _Passing] = {}
        for item in links:
            earlier = self.earlier.get(uid_of(f"{item.link.uid}/through {place_uid}"))
            if earlier is not None and earlier.by_hand and earlier.way_a_uid in label_of:
                kept.setdefault(label_of[earlier.way_a_uid], item)
        ended_on = self._ended_on()
        busy = {label for uid, label in label_of.items() if uid in ended_on}
        free = [label for label in labels if label not in kept and label not in busy]
        rest = [item for item in links if item not in kept.values()]
        for item in rest[len(free) :]:
            self.said.append(
                Named(f"Wire {item.link.number} passes its plug uncut: its ways are taken.")
            )
        return [*kept.items(), *zip(free, rest, strict=False)]

    def _ended_on(self) -> set[str | None]:
        """Ways that a wire of its own ends on."""
        return {
            uid
            for link in self.design.link.values()
            for uid in (link.from_way_uid, link.to_way_uid)
        }


def takes(catalogue: Catalogue, part: CatalogPart, link: Link, amps: float) -> bool:
    """Whether a plug and its contacts take a link's conductor and current."""
    csa = link.csa_mm2 or 0.0
    fits = any(
        terminal.text("contact") == part.text("plug_contact")
        and terminal.number("csa_min_mm2") <= csa <= terminal.number("csa_max_mm2")
        and terminal.number("current_a") >= amps
        for terminal in catalogue.kind("terminal")
    )
    return fits and part.number("max_a") >= amps


def plug_ways(part: CatalogPart, fitting_uid: str, half: str, origin: str) -> list[Way]:
    """The ways of one half, `plug` or `socket`; without an origin with uids of their own."""
    found = []
    for number in range(1, int(part.number("plug_ways")) + 1):
        way_origin = f"{origin}/{half}/{number}" if origin else ""
        found.append(
            Way(
                uid=uid_of(way_origin) if origin else new_uid(),
                position=number,
                origin=way_origin,
                fitting_uid=fitting_uid,
                label=str(number),
                contact=part.text(f"{half}_contact"),
                max_a=part.number("max_a"),
            )
        )
    return found


def _near(design: Design, run_uid: str, far: str) -> str:
    run = design.run[run_uid]
    return run.from_place_uid if run.to_place_uid == far else run.to_place_uid


def _first_run(design: Design, place_uid: str, supply_uid: str | None) -> str | None:
    """The first run on the way from a place to the supply."""
    route = shortest(list(design.run.values()), place_uid, supply_uid or place_uid)
    return route[0] if route else None
