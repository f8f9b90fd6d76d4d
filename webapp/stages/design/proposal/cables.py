"""Lays wires as one where a need asks for it: twisted pairs, cables of cores, screened cables.

`Cables.lay` chooses what lies together, before plugs are fitted: a screen needs a way through them
as well. `fit_cables` gives every cable its part and its cores their section and colours, once the
wires are sized.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design.cables import SCREEN, SCREENED, SINGLE, TWISTED
from webapp.stages.design.choices import cable_of_cores, most_cores
from webapp.stages.design.figures import Figures
from webapp.stages.design.nets import return_ways
from webapp.stages.design.proposal.builder import Named, uid_of
from webapp.stages.design.proposal.sizes import Sizer
from webapp.stages.design.rows import Cable, Crossing, Design, Link, Need

# What a person may set on a wire that a core of a cable cannot keep.
OF_ITS_OWN = frozenset({"csa_mm2", "cable_part_uid", "main", "tracer"})
NAMES = {TWISTED: "Pair"}
RETURNS_TO = frozenset({"bar", "earth stud"})


@dataclass(frozen=True)
class _Group:
    """Wires of one need, or of needs on one switch, between the same places along the same runs."""

    need: Need
    links: tuple[Link, ...]


class Cables:
    """`earlier` is the design before this proposal: what a person set on its cables is kept."""

    def __init__(self, design: Design, catalogue: Catalogue, earlier: Design) -> None:
        self.design = design
        self.catalogue = catalogue
        self.earlier = earlier
        self.said: list[Named] = []
        self.kept: list[str] = []

    def lay(self) -> Design:
        """The design with cables as its needs ask for them, and those laid by hand."""
        held = {link.cable_uid for link in self.design.link.values()}
        self.design = replace(
            self.design,
            cable={
                uid: row for uid, row in self.earlier.cable.items() if not row.origin or uid in held
            },
        )
        if any(need.laid_as != SINGLE for need in self.design.need.values()):
            self._as_asked()
        used = {link.cable_uid for link in self.design.link.values()}
        cables = {uid: row for uid, row in self.design.cable.items() if uid in used}
        self.design = replace(self.design, cable=cables)
        return self.design

    # What is asked for

    def _as_asked(self) -> None:
        figures = Figures(self.design)
        taken: set[str] = set()
        met: set[str] = set()
        asked = [need for need in self.design.need.values() if need.laid_as != SINGLE]
        for need in asked:
            for group in self._groups(figures, need, taken):
                if self._lay_group(group):
                    met.add(need.uid)
                    met |= {load.uid for load in self._also(figures, group, need.laid_as)}
                taken |= {link.uid for link in group.links}
        for need in asked:
            if need.uid not in met and all(named.need_uid != need.uid for named in self.said):
                self._say(need, "no feed and return of it take the same runs")

    def _also(self, figures: Figures, group: _Group, laid_as: str) -> list[Need]:
        """The needs whose current passes a group's wires too, laid the same way."""
        return [
            load.need
            for link in group.links
            for load in figures.loads_through.get(link.uid, ())
            if load.need is not None and load.need.laid_as == laid_as
        ]

    def _groups(self, figures: Figures, need: Need, taken: set[str]) -> list[_Group]:
        found: dict[tuple[object, ...], list[Link]] = {}
        for link in sorted(self._candidates(figures, need), key=lambda link: link.number):
            if link.uid not in taken and link.route:
                places = frozenset(
                    self.design.place_of_way(uid)
                    for uid in (link.from_way_uid, link.to_way_uid)
                    if uid is not None
                )
                found.setdefault((places, frozenset(link.route)), []).append(link)
        return [_Group(need, tuple(links)) for links in found.values() if len(links) > 1]

    def _candidates(self, figures: Figures, need: Need) -> list[Link]:
        """The links of the need's own circuits that its current passes, or that join its loads."""
        ways = {
            way.uid
            for bridge in self.design.bridge.values()
            if bridge.need_uid == need.uid
            for way in self.design.ways_of[bridge.fitting_uid]
        }
        own = {
            link.circuit_uid
            for link in self.design.link.values()
            if {link.from_way_uid, link.to_way_uid} & ways
        }
        found = []
        for link in self.design.link.values():
            passes = {
                load.need.uid
                for load in figures.loads_through.get(link.uid, ())
                if load.need is not None
            }
            joins = {link.from_way_uid, link.to_way_uid} & ways
            own_circuit = self.design.circuit[link.circuit_uid].need_uid is not None
            if (
                link.circuit_uid in own
                and own_circuit
                and (need.uid in passes or joins)
                and not (link.starter_cable or link.own_lead)
                and "cable_uid" not in link.by_hand
            ):
                found.append(link)
        return found

    # Laying a group

    def _lay_group(self, group: _Group) -> bool:
        if group.need.laid_as == TWISTED:
            laid = [self._lay(group.need, pair) for pair in self._pairs(group)]
            return any(laid)
        free = []
        for link in group.links:
            own = OF_ITS_OWN & {*link.by_hand}
            if own:
                self._say(
                    group.need, f"something of wire {link.number} is set by hand", wire=link.number
                )
            else:
                free.append(link)
        screened = group.need.laid_as == SCREENED
        most = most_cores(self.design, self.catalogue, screened=screened)
        if most < 2:
            self._say(group.need, "the stores have no such cable for this job's conductor")
            return False
        parts = [free[start : start + most] for start in range(0, len(free), most)]
        laid = [self._lay(group.need, part) for part in parts if len(part) > 1]
        return any(laid)

    def _pairs(self, group: _Group) -> list[list[Link]]:
        """Each feed with a return; what is left over stays single."""
        back = [link for link in group.links if is_return(self.design, link)]
        feed = [link for link in group.links if link not in back]
        if not feed or not back:
            return [list(group.links[n : n + 2]) for n in range(0, len(group.links) - 1, 2)]
        return [[one, other] for one, other in zip(feed, back, strict=False)]

    def _lay(self, need: Need, links: list[Link]) -> bool:
        origin = f"{links[0].uid}/cable"
        uid = uid_of(origin)
        if uid in self.earlier.removed:
            self.kept.append(f"{self.earlier.removed[uid].what} stays removed.")
            return False
        cable = self._held(Cable(uid=uid, origin=origin, name="", kind=need.laid_as))
        screened = cable.kind == SCREENED
        if cable.kind != TWISTED:
            part = self._part(cable, links)
            if part is None or not self._takes(part, links):
                self._say(need, _none_takes(links, part))
                return False
            cable = replace(cable, part_uid=part.uid)
        rows = dict(self.design.link)
        for link in links:
            rows[link.uid] = replace(link, cable_uid=uid)
        named = self._named(cable)
        design = replace(self.design, link=rows, cable={**self.design.cable, uid: named})
        if screened:
            joined = self._screen(design, named, [rows[link.uid] for link in links])
            if joined is None:
                self._say(need, "nothing is free to join the screen to")
                return False
            design = joined
        self.design = design
        return True

    def _held(self, cable: Cable) -> Cable:
        """The cable with what a person set on it before."""
        before = self.earlier.cable.get(cable.uid)
        if before is None:
            return cable
        values = {field: getattr(before, field) for field in before.by_hand}
        if before.by_hand:
            words = ", ".join(field.removesuffix("_uid") for field in before.by_hand)
            self.kept.append(f"{before.name}: {words} set by hand, kept.")
        return replace(cable, by_hand=before.by_hand, version=before.version, **values)

    def _named(self, cable: Cable) -> Cable:
        """Cable 1, Pair 2: the next number of its sort that no other has."""
        position = len(self.design.cable) + 1
        if cable.name:
            return replace(cable, position=position)
        others = {row.name for uid, row in self.design.cable.items() if uid != cable.uid}
        return replace(cable, position=position, name=next_name(cable.kind, others))

    def _part(self, cable: Cable, links: list[Link]) -> CatalogPart | None:
        if "part_uid" in cable.by_hand:
            return self.catalogue.get(cable.part_uid)
        return cable_of_cores(
            self.design,
            self.catalogue,
            cores=len(links),
            csa_mm2=max(link.csa_mm2 or 0.0 for link in links),
            screened=cable.kind == SCREENED,
        )

    def _takes(self, part: CatalogPart, links: list[Link]) -> bool:
        """Whether what the wires go to takes the cable's section."""
        sizer = Sizer(Figures(self.design), self.catalogue)
        return all(part.number("csa_mm2") <= sizer.most_mm2(link) + 1e-9 for link in links)

    def _say(self, need: Need, why: str, *, wire: int | None = None) -> None:
        as_what = "single wires" if wire is None else "a single wire"
        self.said.append(
            Named(
                f"{need.name}, asked for as a {need.laid_as}: {why}. Laid as {as_what}.", need.uid
            )
        )

    # Screens

    def _screen(self, design: Design, cable: Cable, links: list[Link]) -> Design | None:
        """The screen as a link of its own: joined where the return ends, loose at the far end."""
        origin = f"{cable.uid}/screen"
        uid = uid_of(origin)
        if uid in self.earlier.removed:
            self.kept.append(f"{self.earlier.removed[uid].what} stays removed.")
            return design
        screen = screen_of(design, self.catalogue, cable, links, uid, origin)
        if screen is None:
            return None
        return self._with_earlier(design, screen)

    def _with_earlier(self, design: Design, screen: Link) -> Design:
        """What a person did to the screen before: fields, ends, plugs put into it."""
        before = self.earlier.link.get(screen.uid)
        if before is not None:
            values = {field: getattr(before, field) for field in before.by_hand}
            taken = {row.number for row in design.link.values()}
            if values.get("number") in taken:
                del values["number"]
            screen = replace(screen, by_hand=before.by_hand, version=before.version, **values)
        ends = {
            uid: row for uid, row in self.earlier.wire_end.items() if row.link_uid == screen.uid
        }
        plugs = {
            uid: row
            for uid, row in self.earlier.crossing.items()
            if row.link_uid == screen.uid and not row.origin and _stands(design, row)
        }
        return replace(
            design,
            link={**design.link, screen.uid: screen},
            wire_end={**design.wire_end, **ends},
            crossing={**design.crossing, **plugs},
        )


def screen_of(
    design: Design,
    catalogue: Catalogue,
    cable: Cable,
    links: list[Link],
    uid: str,
    origin: str = "",
) -> Link | None:
    """A cable's screen, joined where the return of these links ends, else to a return at one of
    their ends, and loose at the far end; None where none is free to join it to."""
    returns = return_ways(design)
    back = next((link for link in links if {link.from_way_uid, link.to_way_uid} & returns), None)
    if back is None:
        back, at_from, way_uid = _return_beside(design, links[0], returns)
    else:
        at_from = back.from_way_uid in returns
        way_uid = _free_way(design, back.from_way_uid if at_from else back.to_way_uid, returns)
    if way_uid is None or back.route is None:
        return None
    return Link(
        uid=uid,
        origin=origin,
        position=max(row.position for row in design.link.values()) + 1,
        number=max(row.number for row in design.link.values()) + 1,
        circuit_uid=back.circuit_uid,
        from_way_uid=way_uid,
        route=back.route if at_from else back.route[::-1],
        csa_mm2=_drain_mm2(catalogue.get(cable.part_uid)),
        cable_part_uid=cable.part_uid,
        cable_uid=cable.uid,
        core=SCREEN,
        note="screen: joined to earth at this end alone",
    )


def _stands(design: Design, crossing: Crossing) -> bool:
    return {crossing.way_a_uid, crossing.way_b_uid} <= design.way.keys()


def _none_takes(links: list[Link], part: CatalogPart | None) -> str:
    csa = max(link.csa_mm2 or 0.0 for link in links)
    if part is None:
        return f"the stores have none with {len(links)} cores of {csa:g} mm² or more"
    return f"what its wires go to takes no cores of {part.number('csa_mm2'):g} mm²"


def _drain_mm2(part: CatalogPart | None) -> float | None:
    if part is None:
        return None
    drain = part.maybe("drain_mm2")
    return part.number("csa_mm2") if drain is None else drain


def is_return(design: Design, link: Link) -> bool:
    """A wire that goes to a bar or an earth stud."""
    ends = (link.from_way_uid, link.to_way_uid)
    return any(
        design.fitting[design.way[uid].fitting_uid].kind in RETURNS_TO
        for uid in ends
        if uid is not None
    )


def _return_beside(design: Design, link: Link, returns: set[str]) -> tuple[Link, bool, str | None]:
    """A free way of a bar or earth stud at either end of a link, its from-end first, and whether it
    is there."""
    for at_from, end in ((True, link.from_way_uid), (False, link.to_way_uid)):
        place_uid = design.place_of_way(end) if end else None
        for uid in sorted(returns, key=lambda uid: design.way[uid].position):
            if design.place_of_way(uid) == place_uid and (free := _free_way(design, uid, returns)):
                return link, at_from, free
    return link, True, None


def _free_way(design: Design, way_uid: str | None, returns: set[str]) -> str | None:
    """The way itself while it takes another terminal, else another of its bar."""
    if way_uid is None:
        return None
    used: dict[str | None, int] = {}
    for link in design.link.values():
        for uid in (link.from_way_uid, link.to_way_uid):
            used[uid] = used.get(uid, 0) + 1
    ways = design.ways_of[design.way[way_uid].fitting_uid]
    spare = [way.uid for way in ways if way.uid in returns and not used.get(way.uid)]
    if spare:
        return spare[0]
    full = used.get(way_uid, 0) >= design.way[way_uid].takes
    return None if full else way_uid


def next_name(kind: str, taken: Iterable[str]) -> str:
    """Cable 3 or Pair 2: the first number that no other cable of the design has."""
    word, there = NAMES.get(kind, "Cable"), set(taken)
    return next(f"{word} {n}" for n in range(1, 10**6) if f"{word} {n}" not in there)


# Parts, sections and colours


def fit_cables(design: Design, catalogue: Catalogue) -> Design:
    """Each cable its part, its cores their section and colours, by the wires as they are sized."""
    links = dict(design.link)
    cables = dict(design.cable)
    for uid, cable in design.cable.items():
        if cable.kind == TWISTED:
            continue
        mine = [link for link in links.values() if link.cable_uid == uid]
        part = _fitting_part(design, catalogue, cable, mine)
        if part is None:
            continue
        cables[uid] = replace(cable, part_uid=part.uid)
        links |= {link.uid: link for link in as_cores(design, part, mine)}
    return replace(design, link=links, cable=cables)


def _fitting_part(
    design: Design, catalogue: Catalogue, cable: Cable, links: list[Link]
) -> CatalogPart | None:
    """The part that a person chose, else the least that takes all the cores."""
    cores = [link for link in links if link.core != SCREEN]
    standing = catalogue.get(cable.part_uid)
    if standing is not None and ("part_uid" in cable.by_hand or not cable.origin):
        return standing
    found = cable_of_cores(
        design,
        catalogue,
        cores=len(cores),
        csa_mm2=max((link.csa_mm2 or 0.0 for link in cores), default=0.0),
        screened=cable.kind == SCREENED,
    )
    return found or standing


def as_cores(design: Design, part: CatalogPart, links: list[Link]) -> list[Link]:
    """The links as cores of this cable: its section, and a colour of its own for each."""
    chosen = _colours(design, part, [link for link in links if link.core != SCREEN])
    found = []
    for link in links:
        if link.core == SCREEN:
            csa, core, main = _drain_mm2(part), SCREEN, ""
        else:
            core = chosen[link.uid]
            csa, main = part.number("csa_mm2"), core
        found.append(
            replace(link, csa_mm2=csa, cable_part_uid=part.uid, core=core, main=main, tracer="")
        )
    return found


def _colours(design: Design, part: CatalogPart, links: list[Link]) -> Mapping[str, str]:
    """A core for each: what a person chose stands, returns take black where it is free, and the
    others take the rest in the cable's order. More links than cores get none."""
    chosen: dict[str, str] = {}
    for link in links:
        own = "core" in link.by_hand and link.core in part.core_colours
        if own and link.core not in chosen.values():
            chosen[link.uid] = link.core
    returns = [link for link in links if is_return(design, link)]
    for link in (*returns[:1], *links):
        if link.uid in chosen:
            continue
        free = [colour for colour in part.core_colours if colour not in chosen.values()]
        if link in returns[:1]:
            free.sort(key=lambda colour: colour != "black")
        else:
            free.sort(key=lambda colour: colour == "black")
        chosen[link.uid] = free[0] if free else ""
    return chosen
