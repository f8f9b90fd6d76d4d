"""Main colour and tracer for every wire: one pair for all that is joined, none twice otherwise."""

from collections import Counter
from dataclasses import dataclass, field, replace

from webapp.sizing.colours import (
    FUNCTIONS,
    NoColourLeft,
    Pair,
    Palette,
    colour_for,
    colours_in_turn,
)
from webapp.sizing.tables.colours import ColourCode
from webapp.stages.design.names import listed
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, Link


def colour_wires(design: Design, palette: Palette) -> tuple[Design, list[Named]]:
    """The design with colours by the job's code, and what had to be said about them.

    A core keeps its cable's colour; what a person chose stays, and holds for all that is joined.
    """
    links = dict(design.link)
    nets = joined_links(design)
    returns = _return_ways(design)
    met = fittings_met(design)
    used = _Used(
        palette.code(design.basis.colour_code),
        palette,
        [set().union(*(met[uid] for uid in net)) for net in nets],
    )
    for number, net in enumerate(nets):
        for link in (links[uid] for uid in net):
            if _fixed(link) and link.main:
                used.take(number, (link.main, link.tracer or None))
    for number, net in enumerate(nets):
        free = [uid for uid in net if not _fixed(links[uid])]
        if not free:
            continue
        function = _function(design, links[free[0]], returning=_ends_on(links, net, returns))
        pair = _kept_pair(links, net) or used.next_pair(number, function, links[free[0]].number)
        used.take(number, pair)
        for uid in free:
            links[uid] = replace(links[uid], main=pair[0], tracer=pair[1] or "")
    return replace(design, link=links), used.said()


def _ends_on(links: dict[str, Link], net: list[str], ways: set[str]) -> bool:
    return any({links[uid].from_way_uid, links[uid].to_way_uid} & ways for uid in net)


def _fixed(link: Link) -> bool:
    return bool(link.core) or bool({"main", "tracer"} & {*link.by_hand})


def _kept_pair(links: dict[str, Link], net: list[str]) -> Pair | None:
    """What a person chose for one wire of a net holds for the wires joined to it."""
    for uid in net:
        if "main" in links[uid].by_hand and links[uid].main:
            return links[uid].main, links[uid].tracer or None
    return None


@dataclass
class _Used:
    """Which pairs are taken, and where: nets that meet in one plug or fitting must differ."""

    code: ColourCode
    palette: Palette
    # The fittings that each net meets.
    fittings: list[set[str]]
    at: dict[str, set[tuple[int, Pair]]] = field(default_factory=dict)
    nets_of: dict[Pair, set[int]] = field(default_factory=dict)
    shared: int = 0
    alike: list[int] = field(default_factory=list)
    to_buy: list[int] = field(default_factory=list)

    def take(self, net: int, pair: Pair) -> None:
        self.nets_of.setdefault(pair, set()).add(net)
        for uid in self.fittings[net]:
            self.at.setdefault(uid, set()).add((net, pair))

    def next_pair(self, net: int, function: str, number: int) -> Pair:
        """The next free pair; when all are taken, one that none of the same plugs has."""
        barred = {
            pair
            for uid in self.fittings[net]
            for other, pair in self.at.get(uid, ())
            if other != net
        }
        for stocked in dict.fromkeys((self.palette.stocked, None)):
            pair = self._free(function, barred, stocked) or self._reused(function, barred, stocked)
            if pair is not None:
                if self.palette.lacks(pair):
                    self.to_buy.append(number)
                return pair
        self.alike.append(number)
        own = self.code.functions[function]
        return own.main, own.tracer

    def _free(
        self, function: str, barred: set[Pair], stocked: frozenset[Pair] | None
    ) -> Pair | None:
        try:
            found = colour_for(self.code, function, self.nets_of, barred=barred, stocked=stocked)
        except NoColourLeft:
            return None
        return found.pair

    def _reused(
        self, function: str, barred: set[Pair], stocked: frozenset[Pair] | None
    ) -> Pair | None:
        """The pair that the fewest circuits have."""
        offered = [
            pair for pair in colours_in_turn(self.code, function, stocked) if pair not in barred
        ]
        if not offered:
            return None
        self.shared += 1
        uses = Counter({pair: len(nets) for pair, nets in self.nets_of.items()})
        return min(offered, key=lambda pair: uses[pair])

    def said(self) -> list[Named]:
        said = []
        if self.shared:
            what = "colour code" if self.palette.stocked is None else "wire in stock"
            said.append(
                Named(
                    f"The {what} has no free pair left: some circuits share a colour, none of them "
                    f"in one plug or fitting, and their wires are told apart by the numbers on "
                    f"their tags."
                )
            )
        if self.alike:
            numbers = listed([f"wire {number}" for number in self.alike])
            said.append(
                Named(
                    f"No pair of the code is left in a plug or fitting that they meet: {numbers} "
                    f"look like another wire there, and only the numbers on their tags tell them "
                    f"apart."
                )
            )
        if self.to_buy:
            numbers = listed([f"wire {number}" for number in self.to_buy])
            said.append(
                Named(
                    f"No wire in stock has a colour that would do for {numbers}: the code's own "
                    f"is proposed, and must be bought."
                )
            )
        return said


def fittings_met(design: Design) -> dict[str, set[str]]:
    """By link, the fittings that it ends at and the plugs it passes: one uid for both halves."""
    found: dict[str, set[str]] = {uid: set() for uid in design.link}
    for link in design.link.values():
        for way_uid in filter(None, (link.from_way_uid, link.to_way_uid)):
            found[link.uid].add(_one_of_both(design, way_uid))
    for crossing in design.crossing.values():
        found[crossing.link_uid].add(_one_of_both(design, crossing.way_a_uid))
    return found


def _one_of_both(design: Design, way_uid: str) -> str:
    fitting = design.fitting[design.way[way_uid].fitting_uid]
    return min(fitting.uid, fitting.mate_uid or fitting.uid)


def _function(design: Design, link: Link, *, returning: bool) -> str:
    """The codes name colours by what a wire does: feed and return keep theirs on positive earth."""
    if returning:
        return "negative"
    service = design.circuit[link.circuit_uid].service
    if link.starter_cable or service == "positive":
        return "positive"
    return service if service in FUNCTIONS else "other"


def joined_links(design: Design) -> list[list[str]]:
    """Links that share a way or meet at a splice, in the order of their numbers.

    All that comes to the return side is joined: through its bars and cables, or the metal of the
    vehicle.
    """
    parent: dict[str, str] = {}

    def root(node: str) -> str:
        while parent.setdefault(node, node) != node:
            node = parent[node]
        return node

    for bridge in design.bridge.values():
        if bridge.kind == "joined" and design.fitting[bridge.fitting_uid].kind in _JOINING:
            parent[root(bridge.way_a_uid)] = root(bridge.way_b_uid)
    returning = sorted(_return_ways(design))
    for uid in returning:
        parent[root(uid)] = root(returning[0])
    for link in design.link.values():
        ends = [uid for uid in (link.from_way_uid, link.to_way_uid) if uid]
        for uid in ends:
            parent[root(uid)] = root(ends[0])
    nets: dict[str, list[str]] = {}
    for link in sorted(design.link.values(), key=lambda link: (link.number, link.uid)):
        way = link.from_way_uid or link.to_way_uid
        nets.setdefault(root(way) if way else link.uid, []).append(link.uid)
    return list(nets.values())


_JOINING = frozenset({"splice", "bar", "main bar", "earth stud"})


def _return_ways(design: Design) -> set[str]:
    """The ways of bars and earth studs, and the battery's return pole."""
    label = "−" if design.polarity != "positive earth" else "+"
    return {
        way.uid
        for way in design.way.values()
        if (kind := design.fitting[way.fitting_uid].kind) in ("bar", "earth stud")
        or (kind == "supply" and way.label == label)
    }
