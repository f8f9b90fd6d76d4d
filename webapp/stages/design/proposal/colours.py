"""Main colour and tracer for every wire: one pair for all that is joined, none twice otherwise."""

from collections import Counter
from dataclasses import dataclass, field, replace

from webapp.sizing.colours import (
    NoColourLeft,
    Pair,
    Palette,
    colour_for,
    colours_in_turn,
)
from webapp.sizing.tables.colours import ColourCode
from webapp.stages.design.names import listed
from webapp.stages.design.nets import fittings_met, function_of, joined_links, return_ways
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, Link


def colour_wires(design: Design, palette: Palette) -> tuple[Design, list[Named]]:
    """The design with colours by the job's code, and what had to be said about them.

    A core keeps its cable's colour; what a person chose stays, and holds for all that is joined.
    """
    links = dict(design.link)
    nets = joined_links(design)
    returns = return_ways(design)
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
        function = function_of(design, links[free[0]], returning=_ends_on(links, net, returns))
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
