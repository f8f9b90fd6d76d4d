"""Wires, derived from links: a link is cut at each plug and socket in its path.

A wire's uid is its link's uid and the segment number; its number is the link's, with a letter for
each segment where there is more than one.
"""

from dataclasses import dataclass

from webapp.stages.design.rows import Crossing, Design, Link, WireEnd

ROUND_UP_MM = 10
# Wire that twisting takes up. A lay of 8 pair diameters, the tightest in use, takes up 2 % by its
# geometry; the rest is for the ends in the tool: common practice.
TWIST_TAKES_UP_PERCENT = 5


@dataclass(frozen=True)
class End:
    """One end of a wire: where it goes, and how it is made."""

    uid: str
    way_uid: str | None
    place_uid: str | None
    made: WireEnd

    @property
    def loose(self) -> bool:
        return self.way_uid is None


@dataclass(frozen=True)
class Wire:
    uid: str
    number: str
    link: Link
    segment: int
    left: End
    right: End
    route: tuple[str, ...] | None
    route_mm: int | None
    length_mm: int | None

    @property
    def ends(self) -> tuple[End, End]:
        return self.left, self.right


def wires(design: Design) -> list[Wire]:
    """Every wire of the design, in the order of the links' numbers."""
    crossings: dict[str, list[Crossing]] = {}
    for crossing in design.crossing.values():
        crossings.setdefault(crossing.link_uid, []).append(crossing)
    links = sorted(design.link.values(), key=lambda link: (link.number, link.uid))
    return [
        wire for link in links for wire in wires_of_link(design, link, crossings.get(link.uid, []))
    ]


def wires_of_link(design: Design, link: Link, crossings: list[Crossing]) -> list[Wire]:
    cuts = sorted(
        (
            (place, crossing)
            for crossing in crossings
            if (place := _cut_place(design, link, crossing)) is not None
        ),
        key=lambda cut: (cut[0], cut[1].uid),
    )
    lefts = [_end(design, link, f"{link.uid}:from", link.from_way_uid)]
    rights = []
    for _, crossing in cuts:
        rights.append(_end(design, link, f"{link.uid}:{crossing.uid}.a", crossing.way_a_uid))
        lefts.append(_end(design, link, f"{link.uid}:{crossing.uid}.b", crossing.way_b_uid))
    rights.append(_end(design, link, f"{link.uid}:to", link.to_way_uid))
    bounds = [0, *(index for (index, _), _ in cuts), len(link.route or ())]
    found = []
    for segment, (left, right) in enumerate(zip(lefts, rights, strict=True)):
        route = None if link.route is None else link.route[bounds[segment] : bounds[segment + 1]]
        route_mm = _route_mm(design, route)
        letter = chr(ord("A") + segment) if len(lefts) > 1 else ""
        found.append(
            Wire(
                uid=f"{link.uid}.{segment}",
                number=f"{link.number}{letter}",
                link=link,
                segment=segment,
                left=left,
                right=right,
                route=route,
                route_mm=route_mm,
                length_mm=_length_mm(
                    link, segment, left, right, _laid_mm(design, link, left, right, route)
                ),
            )
        )
    return found


def cut_index(design: Design, link: Link, crossing: Crossing) -> int | None:
    """After how many runs of the link's route the plug stands; None where it does not pass it."""
    place = _cut_place(design, link, crossing)
    return None if place is None else place[0]


def _cut_place(design: Design, link: Link, crossing: Crossing) -> tuple[int, int] | None:
    """The same, and 1 for a plug at the beginning of the next run: it follows one that stands at
    the end of the run before, at the same place.
    """
    halves = {design.way[uid].fitting_uid for uid in (crossing.way_a_uid, crossing.way_b_uid)}
    for index, (run_uid, far_place_uid) in enumerate(travelled(design, link)):
        for half in halves:
            fitting = design.fitting[half]
            if fitting.run_uid == run_uid:
                return (index + 1, 0) if fitting.place_uid == far_place_uid else (index, 1)
    return None


def travelled(design: Design, link: Link) -> list[tuple[str, str]]:
    """The runs of a link's route in order, each with the place that it leads to."""
    place = start_place(design, link)
    steps = []
    for run_uid in link.route or ():
        run = design.run[run_uid]
        place = run.to_place_uid if place == run.from_place_uid else run.from_place_uid
        steps.append((run_uid, place))
    return steps


def start_place(design: Design, link: Link) -> str | None:
    """Where the route starts: at the from-end, or found from the to-end when that is left loose."""
    if link.from_way_uid is not None:
        return design.place_of_way(link.from_way_uid)
    if link.to_way_uid is None:
        return None
    place = design.place_of_way(link.to_way_uid)
    for run_uid in reversed(link.route or ()):
        run = design.run[run_uid]
        place = run.to_place_uid if place == run.from_place_uid else run.from_place_uid
    return place


def _end(design: Design, link: Link, uid: str, way_uid: str | None) -> End:
    made = design.wire_end.get(uid) or WireEnd(uid=uid, link_uid=link.uid)
    place_uid = None if way_uid is None else design.place_of_way(way_uid)
    return End(uid, way_uid, place_uid, made)


def _route_mm(design: Design, route: tuple[str, ...] | None) -> int | None:
    if route is None:
        return None
    total = 0
    for run_uid in route:
        run = design.run.get(run_uid)
        if run is None or run.length_mm is None:
            return None
        total += run.length_mm
    return total


def _laid_mm(
    design: Design, link: Link, left: End, right: End, route: tuple[str, ...] | None
) -> int | None:
    """Wire that the route takes: from splices where they lie, a little more for one of a twisted
    pair."""
    route_mm = _route_mm(design, route)
    if route_mm is None:
        return None
    route_mm += _set_back_mm(design, left, route) + _set_back_mm(design, right, route, -1)
    cable = design.cable.get(link.cable_uid or "")
    if cable is None or cable.kind != "twisted pair":
        return route_mm
    return -(-route_mm * (100 + TWIST_TAKES_UP_PERCENT) // 100)


def _set_back_mm(design: Design, end: End, route: tuple[str, ...] | None, beside: int = 0) -> int:
    """How much farther than its place the end's splice lies, by the run that it is set back into:
    nearer for a wire that comes by that run."""
    if end.way_uid is None:
        return 0
    fitting = design.fitting[design.way[end.way_uid].fitting_uid]
    run = design.run.get(fitting.along_run_uid or "")
    if fitting.along_mm is None or run is None:
        return 0
    if fitting.place_uid not in (run.from_place_uid, run.to_place_uid):
        return 0
    comes_by = bool(route) and (route or ())[beside] == fitting.along_run_uid
    return -fitting.along_mm if comes_by else fitting.along_mm


def _length_mm(link: Link, segment: int, left: End, right: End, route_mm: int | None) -> int | None:
    by_hand = link.lengths_mm.get(str(segment))
    if by_hand is not None:
        return by_hand
    if route_mm is None:
        return None
    extra = sum(end.made.allowance_mm + (end.made.loose_mm or 0) for end in (left, right))
    return -(-(route_mm + extra) // ROUND_UP_MM) * ROUND_UP_MM
