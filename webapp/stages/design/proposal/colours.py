"""Main colour and tracer for every wire: one pair for all that is joined, none twice otherwise."""

from dataclasses import replace

from webapp.sizing.colours import FUNCTIONS, NoColourLeft, colour_for
from webapp.stages.design.proposal.builder import Named
from webapp.stages.design.rows import Design, Link

Pair = tuple[str, str | None]


def colour_wires(design: Design) -> tuple[Design, list[Named]]:
    """The design with colours by the job's code, and what had to be said about them."""
    links = dict(design.link)
    used: set[Pair] = {
        (link.main, link.tracer or None) for link in links.values() if "main" in link.by_hand
    }
    said: list[Named] = []
    returns = _returns(design)
    for net in _nets(design):
        free = [uid for uid in net if not {"main", "tracer"} & {*links[uid].by_hand}]
        if not free:
            continue
        function = _function(design, links[free[0]], returning=bool(returns & {*net}))
        pair = _kept_pair(links, net) or _next_pair(design, function, used, said)
        used.add(pair)
        for uid in free:
            links[uid] = replace(links[uid], main=pair[0], tracer=pair[1] or "")
    return replace(design, link=links), said


def _kept_pair(links: dict[str, Link], net: list[str]) -> Pair | None:
    """What a person chose for one wire of a net holds for the wires joined to it."""
    for uid in net:
        if "main" in links[uid].by_hand and links[uid].main:
            return links[uid].main, links[uid].tracer or None
    return None


def _next_pair(design: Design, function: str, used: set[Pair], said: list[Named]) -> Pair:
    code = design.basis.colour_code
    try:
        return colour_for(code, function, used).pair
    except NoColourLeft:
        sentence = (
            "The colour code has no free pair left: some circuits share a colour, and their wires "
            "are told apart by the numbers on their tags."
        )
        if all(named.sentence != sentence for named in said):
            said.append(Named(sentence))
        return colour_for(code, function, ()).pair


def _function(design: Design, link: Link, *, returning: bool) -> str:
    """The codes name colours by what a wire does: feed and return keep theirs on positive earth."""
    if returning:
        return "negative"
    service = design.circuit[link.circuit_uid].service
    if link.starter_cable or service == "positive":
        return "positive"
    return service if service in FUNCTIONS else "other"


def _nets(design: Design) -> list[list[str]]:
    """Links that share a way or meet at a splice, in the order of their numbers."""
    parent: dict[str, str] = {}

    def root(node: str) -> str:
        while parent.setdefault(node, node) != node:
            node = parent[node]
        return node

    for bridge in design.bridge.values():
        if bridge.kind == "joined" and design.fitting[bridge.fitting_uid].kind in _JOINING:
            parent[root(bridge.way_a_uid)] = root(bridge.way_b_uid)
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


def _returns(design: Design) -> set[str]:
    """Links on the return side: joined to a bar, an earth stud or the battery's return pole."""
    label = "−" if design.polarity != "positive earth" else "+"
    ends = {
        way.uid
        for way in design.way.values()
        if (kind := design.fitting[way.fitting_uid].kind) in ("bar", "earth stud")
        or (kind == "supply" and way.label == label)
    }
    return {
        link.uid
        for link in design.link.values()
        if link.from_way_uid in ends or link.to_way_uid in ends
    }
