"""Plugs and sockets at a place: the links that pass there get ways, heaviest first."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.figures import Figures
from webapp.stages.design.halves import halves_at, spare_labels
from webapp.stages.design.proposal.builder import Named, shortest, uid_of
from webapp.stages.design.proposal.plug_filling import (
    Filled,
    Passing,
    into_plugs,
    neighbouring,
    side_by_side,
    takes,
)
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, Way
from webapp.stages.design.wires import travelled


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
        """Where the job asks for plugs; and links that are new get a way of those by hand."""
        for place_uid in self.design.basis.plug_place_uids:
            if place_uid in self.design.place:
                self._proposed_at(place_uid)
        for place_uid, run_uid in self._spots_by_hand():
            self._through_spare_ways(place_uid, run_uid, proposed=True)
        return self.design

    def _proposed_at(self, place_uid: str) -> None:
        run_uid = self._run_towards_supply(place_uid)
        if run_uid is None:
            name = self.design.place[place_uid].name
            self.said.append(Named(f"No wire comes to {name} along a run: it gets no plug."))
            return
        self.insert(place_uid, run_uid, origin=f"plug/{place_uid}")

    def _spots_by_hand(self) -> list[tuple[str, str]]:
        """The ends of runs that have a plug put in by a person."""
        return list(
            dict.fromkeys(
                (half.place_uid, half.run_uid)
                for half in self.design.fitting.values()
                if half.run_uid and half.mate_uid and not half.origin
            )
        )

    def insert(
        self, place_uid: str, run_uid: str, *, origin: str = "", sealed: bool = False
    ) -> None:
        """A way for every link that passes one end of a run and has none there.

        Without an origin they are a person's own: spare ways of plugs that are there come first,
        and rows have uids of their own.
        """
        passing, uncut = self._passing(place_uid, run_uid)
        for link, why in uncut:
            self._say_uncut(link, place_uid, why)
        if not origin:
            passing = self._into_spare_ways(place_uid, run_uid, passing)
        kind = "sealed plug" if sealed else "plug"
        offered = [part for part in self._pairs() if bool(part.text("sealed")) == sealed]
        groups = side_by_side(self.design, passing)
        plugs, refused = into_plugs(self.catalogue, offered, groups)
        for item in refused:
            size = f"{item.link.csa_mm2 or 0:g} mm² and {item.amps:.3g} A"
            why = f"no {kind} in the catalogue takes its {size}"
            self._say_uncut(item.link, place_uid, why)
        self._put_in(place_uid, run_uid, plugs, origin)

    def _put_in(self, place_uid: str, run_uid: str, plugs: Sequence[Filled], origin: str) -> None:
        name = self.design.place[place_uid].name
        for number, plug in enumerate(plugs, start=1):
            title = f"{name[:1].upper()}{name[1:]} plug"
            title += f" {number}" if len(plugs) > 1 else ""
            here = f"{origin}/{number}" if origin else ""
            if here and uid_of(f"{here}/socket") in self.design.removed:
                self.said.append(Named(f"{title} stays removed."))
                continue
            self._pair(place_uid, run_uid, here, self._free(title, here), plug)

    def _say_uncut(self, link: Link, place_uid: str, why: str) -> None:
        name = self.design.place[place_uid].name
        self.said.append(Named(f"Wire {link.number} passes the plug at {name} uncut: {why}."))

    def _pairs(self) -> list[CatalogPart]:
        return self.catalogue.kind("plug and socket")

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
        self, place_uid: str, run_uid: str
    ) -> tuple[list[Passing], list[tuple[Link, str]]]:
        """The links that want a way, and those that stay whole, each with why."""
        figures = Figures(self.design)
        crossed = self._crossed(place_uid, run_uid)
        passing, uncut = [], []
        for link in self.design.link.values():
            for run, far in travelled(self.design, link):
                if run != run_uid or link.uid in crossed:
                    continue
                if why := stays_whole(link):
                    uncut.append((link, why))
                else:
                    passing.append(Passing(link, far == place_uid, figures.heat_a(link.uid)))
        return passing, uncut

    def _crossed(self, place_uid: str, run_uid: str) -> set[str]:
        """The links that have a plug at this end of this run already."""
        here = {half.uid for half in halves_at(self.design, run_uid, place_uid)}
        return {
            crossing.link_uid
            for crossing in self.design.crossing.values()
            for uid in (crossing.way_a_uid, crossing.way_b_uid)
            if self.design.way[uid].fitting_uid in here
        }

    # Spare ways of plugs that are there

    def _through_spare_ways(self, place_uid: str, run_uid: str, *, proposed: bool) -> None:
        """Links that have no plug at this end of the run, by the spare ways of those there."""
        passing, uncut = self._passing(place_uid, run_uid)
        left = self._into_spare_ways(place_uid, run_uid, passing, proposed=proposed)
        for link, why in uncut:
            self._say_uncut(link, place_uid, why)
        for item in left:
            self._say_uncut(item.link, place_uid, "none there has a spare way that takes it")

    def _into_spare_ways(
        self, place_uid: str, run_uid: str, passing: Sequence[Passing], *, proposed: bool = False
    ) -> list[Passing]:
        """Fills spare ways; returns what is left."""
        left = list(passing)
        for half in halves_at(self.design, run_uid, place_uid):
            part = self.catalogue.get(half.part_uid)
            if part is None:
                continue
            for group in side_by_side(self.design, left):
                free = spare_labels(self.design, half)
                some = [item for item in group if takes(self.catalogue, part, item.link, item.amps)]
                labels = [way.label for way in self.design.ways_of[half.uid]]
                ways = neighbouring(free, labels, len(some))
                for label, item in zip(ways, some, strict=False):
                    through = f"{item.link.uid}/through {half.uid}" if proposed else ""
                    self._cross(half, label, item, through)
                    left.remove(item)
                    self.said.append(
                        Named(f"Wire {item.link.number} goes through way {label} of {half.name}.")
                    )
        return left

    def _cross(self, half: Fitting, label: str, item: Passing, through: str) -> None:
        near = next(way.uid for way in self.design.ways_of[half.uid] if way.label == label)
        mates = self.design.ways_of[half.mate_uid or ""]
        far = next(way.uid for way in mates if way.label == label)
        crossing = self._crossing(through, item, near, far)
        self.design = replace(
            self.design, crossing={**self.design.crossing, crossing.uid: crossing}
        )

    def _pair(
        self,
        place_uid: str,
        run_uid: str,
        origin: str,
        title: str,
        plug: Filled,
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
                part_uid=plug.part.uid,
                mate_uid=mate,
                run_uid=run,
            )
            for way in plug_ways(plug.part, uid, half, origin):
                ways[way.uid] = way
        self.design = replace(self.design, fitting=fittings, way=ways)
        near = {way.label: way.uid for way in self.design.ways_of[socket_uid]}
        far = {way.label: way.uid for way in self.design.ways_of[plug_uid]}
        crossings = dict(self.design.crossing)
        label_of = {uid: label for half in (near, far) for label, uid in half.items()}
        for label, item in self._labelled(list(near), label_of, place_uid, plug.items):
            through = f"{item.link.uid}/through {place_uid}" if origin else ""
            crossing = self._crossing(through, item, near[label], far[label])
            crossings[crossing.uid] = replace(crossing, position=int(label))
        self.design = replace(self.design, crossing=crossings)

    def _crossing(self, through: str, item: Passing, near: str, far: str) -> Crossing:
        """`through` is the origin of a proposed crossing; empty for a person's own."""
        uid = uid_of(through) if through else new_uid()
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
        self,
        labels: list[str],
        label_of: dict[str, str],
        place_uid: str,
        groups: list[list[Passing]],
    ) -> list[tuple[str, Passing]]:
        """Each link with its way's label: one chosen by hand where it is still there."""
        kept: dict[str, Passing] = {}
        for item in (item for group in groups for item in group):
            earlier = self.earlier.get(uid_of(f"{item.link.uid}/through {place_uid}"))
            if earlier is not None and earlier.by_hand and earlier.way_a_uid in label_of:
                kept.setdefault(label_of[earlier.way_a_uid], item)
        ended_on = self._ended_on()
        busy = {label for uid, label in label_of.items() if uid in ended_on}
        free = [label for label in labels if label not in kept and label not in busy]
        found = list(kept.items())
        for group in groups:
            rest = [item for item in group if item not in kept.values()]
            ways = neighbouring(free, labels, len(rest))
            free = [label for label in free if label not in ways]
            found += zip(ways, rest, strict=False)
            for item in rest[len(ways) :]:
                self._say_uncut(item.link, place_uid, "its ways are taken")
        return found

    def _ended_on(self) -> set[str | None]:
        """Ways that a wire of its own ends on."""
        return {
            uid
            for link in self.design.link.values()
            for uid in (link.from_way_uid, link.to_way_uid)
        }


def stays_whole(link: Link) -> str:
    """Why a link is not cut at a plug; nothing where it may be."""
    if link.own_lead:
        return "it is the customer's own lead"
    if link.starter_cable:
        return "it is a starter cable"
    return "" if link.csa_mm2 else "it has no section yet"


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
