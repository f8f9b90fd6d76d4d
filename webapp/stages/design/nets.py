"""What is joined: links that meet at ways, splices, bars and the return, and what each is for."""

from webapp.sizing.colours import FUNCTIONS
from webapp.stages.design.rows import Design, Link


def fittings_met(design: Design) -> dict[str, set[str]]:
    """By link, the fittings that it ends at and the plugs it passes: one uid for both halves."""
    found: dict[str, set[str]] = {uid: set() for uid in design.link}
    for link in design.link.values():
        for way_uid in filter(None, (link.from_way_uid, link.to_way_uid)):
            found[link.uid].add(one_of_both(design, way_uid))
    for crossing in design.crossing.values():
        found[crossing.link_uid].add(one_of_both(design, crossing.way_a_uid))
    return found


def one_of_both(design: Design, way_uid: str) -> str:
    """The fitting of a way; for a plug and its socket one uid of the two."""
    fitting = design.fitting[design.way[way_uid].fitting_uid]
    return min(fitting.uid, fitting.mate_uid or fitting.uid)


def function_of(design: Design, link: Link, *, returning: bool) -> str:
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
    joints = _Joints(design)
    returning = sorted(return_ways(design))
    for uid in returning:
        joints.join(uid, returning[0])
    for link in design.link.values():
        ends = [uid for uid in (link.from_way_uid, link.to_way_uid) if uid]
        for uid in ends:
            joints.join(uid, ends[0])
    nets: dict[str, list[str]] = {}
    for link in sorted(design.link.values(), key=lambda link: (link.number, link.uid)):
        way = link.from_way_uid or link.to_way_uid
        nets.setdefault(joints.root(way) if way else link.uid, []).append(link.uid)
    return list(nets.values())


def joint_of_way(design: Design) -> dict[str, str]:
    """For each way the joint that it is part of: a splice, bar or stud, or the way alone."""
    joints = _Joints(design)
    return {uid: joints.root(uid) for uid in design.way}


class _Joints:
    """Ways that are joined inside splices, bars and studs, and whatever is joined to them."""

    def __init__(self, design: Design) -> None:
        self._parent: dict[str, str] = {}
        for bridge in design.bridge.values():
            if bridge.kind == "joined" and design.fitting[bridge.fitting_uid].kind in _JOINING:
                self.join(bridge.way_a_uid, bridge.way_b_uid)

    def root(self, uid: str) -> str:
        top = uid
        while (above := self._parent.get(top, top)) != top:
            top = above
        while (above := self._parent.get(uid, uid)) != top:
            self._parent[uid], uid = top, above
        return top

    def join(self, one: str, other: str) -> None:
        self._parent[self.root(one)] = self.root(other)


_JOINING = frozenset({"splice", "bar", "main bar", "earth stud"})


def return_ways(design: Design) -> set[str]:
    """The ways of bars and earth studs, and the battery's return pole; not of a bar that is fed."""
    feed, back = ("+", "−") if design.polarity != "positive earth" else ("−", "+")
    kind_of = {way.uid: design.fitting[way.fitting_uid].kind for way in design.way.values()}
    bars = {uid for uid, kind in kind_of.items() if kind == "bar"}
    fed = _led_to(design, _poles(design, feed)) if bars else set()
    studs = {uid for uid, kind in kind_of.items() if kind == "earth stud"}
    return (bars - fed) | studs | _poles(design, back)


def _poles(design: Design, label: str) -> set[str]:
    return {
        way.uid
        for way in design.way.values()
        if way.label == label and design.fitting[way.fitting_uid].kind == "supply"
    }


_LEADS_ON = frozenset({"joined", "contact", "fuse", "meter"})


def _led_to(design: Design, start: set[str]) -> set[str]:
    """The ways that are joined to these with nothing between that takes current."""
    beside: dict[str, list[str]] = {}
    pairs = [(link.from_way_uid, link.to_way_uid) for link in design.link.values()]
    pairs += [
        (bridge.way_a_uid, bridge.way_b_uid)
        for bridge in design.bridge.values()
        if bridge.kind in _LEADS_ON
    ]
    for a, b in pairs:
        if a and b:
            beside.setdefault(a, []).append(b)
            beside.setdefault(b, []).append(a)
    found, waiting = set(start), list(start)
    while waiting:
        new = [uid for uid in beside.get(waiting.pop(), ()) if uid not in found]
        found.update(new)
        waiting += new
    return found
