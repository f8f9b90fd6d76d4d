"""What follows when something about a wire changes: its route, plugs in its path, ends, lengths.

What a person has set stays; what was worked out is worked out again, and said where it differs.
"""

from collections.abc import Collection, Iterable
from dataclasses import replace

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.edit import put, released, take
from webapp.stages.design.editing.routes import Route, ends_at, leads, shortest_route
from webapp.stages.design.figures import Figures
from webapp.stages.design.halves import halves_at, spare_labels
from webapp.stages.design.proposal.ends import EndMaker, allow_ends
from webapp.stages.design.proposal.plug_filling import takes
from webapp.stages.design.proposal.plugs import stays_whole
from webapp.stages.design.proposal.sizes import splices_by_section
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, WireEnd
from webapp.stages.design.wires import Wire, cut_index, travelled, wires_of_link

Said = list[str]


def settle(
    before: Design, after: Design, catalogue: Catalogue, link_uids: Collection[str]
) -> tuple[Design, Said]:
    """Routes, plugs, ends and lengths by hand of these links, after anything about them changed."""
    said: Said = []
    design = after
    for uid in link_uids:
        design = _reroute(before, design, design.link[uid], said)
        design = _pass_plugs(design, catalogue, design.link[uid], said)
    design = keep_lengths(before, design, link_uids, said)
    return _remade(before, design, catalogue, link_uids, said), said


def remade(
    before: Design, after: Design, catalogue: Catalogue, link_uids: Collection[str]
) -> tuple[Design, Said]:
    """Only the ends of these links anew: their route stands."""
    said: Said = []
    return _remade(before, after, catalogue, link_uids, said), said


def with_new_ends(
    before: Design, after: Design, catalogue: Catalogue, link_uids: Collection[str]
) -> tuple[Design, Said]:
    """Ends that these links did not have before; of the others only the tag follows."""
    said: Said = []
    design = _remade(before, after, catalogue, link_uids, said, fit_splices=False)
    rows = [
        replace(before.wire_end[uid], tag=row.tag)
        for uid, row in design.wire_end.items()
        if row.link_uid in link_uids and uid in before.wire_end
    ]
    return put(design, *rows), said


# Routes


def _reroute(before: Design, design: Design, link: Link, said: Said) -> Design:
    ends = _to_join(before, design, link)
    if ends is None:
        return design
    a, b = ends
    if "route" in link.by_hand and link.route is not None:
        if leads(design, link.route, a, b):
            return design
        said.append(
            f"Wire {link.number}: the route chosen by hand does not lead there any more; it takes "
            f"the shortest way."
        )
    return put(design, released(link, route=route_to(design, a, b, link.number, said)))


def _to_join(before: Design, design: Design, link: Link) -> tuple[str, str] | None:
    """The places that the route must join; None where it stands as it is."""
    if link.from_way_uid is not None and link.to_way_uid is not None:
        return design.place_of_way(link.from_way_uid), design.place_of_way(link.to_way_uid)
    # A loose end lies where its route ends, and stays there when the other end moves.
    held = link.from_way_uid or link.to_way_uid
    old = before.link.get(link.uid)
    if held is None or old is None:
        return None
    here = design.place_of_way(held)
    start, end = ends_at(before, old)
    from_loose = link.from_way_uid is None
    if here == (end if from_loose else start) or None in (start, end):
        return None
    return (start or "", here) if from_loose else (here, end or "")


def route_to(design: Design, a: str, b: str, number: int, said: Said) -> Route | None:
    """The shortest way, or None with the reason said."""
    route = shortest_route(design, a, b)
    if route is None:
        said.append(
            f"Wire {number} has no route: no run leads from {design.place[a].name} to "
            f"{design.place[b].name}. Add one under Runs."
        )
    return route


# Plugs in the path


def crossings_of(design: Design, link_uid: str) -> list[Crossing]:
    return [each for each in design.crossing.values() if each.link_uid == link_uid]


def segments(design: Design, link: Link) -> list[Wire]:
    return wires_of_link(design, link, crossings_of(design, link.uid))


def _pass_plugs(design: Design, catalogue: Catalogue, link: Link, said: Said) -> Design:
    """Plugs that the link no longer passes let it go; those that it now passes give it a way."""
    left = [
        each for each in crossings_of(design, link.uid) if cut_index(design, link, each) is None
    ]
    if left:
        design = take(design, "crossing", [each.uid for each in left])
        said.append(f"Wire {link.number} no longer passes {_plug_names(design, left)}.")
    for socket in _sockets_passed(design, link):
        if not _crosses_at(design, link, socket):
            design = _give_way(design, catalogue, link, socket, said)
    return design


def _plug_names(design: Design, crossings: Iterable[Crossing]) -> str:
    names = {
        design.fitting[design.way[each.way_a_uid].fitting_uid].name.rpartition(",")[0]
        for each in crossings
    }
    return ", ".join(sorted(names))


def _sockets_passed(design: Design, link: Link) -> list[Fitting]:
    """The first plug half of each run's end that the link passes."""
    runs = {run_uid for run_uid, _ in travelled(design, link)}
    found: dict[tuple[str, str], Fitting] = {}
    for fitting in design.fitting.values():
        if fitting.mate_uid and fitting.run_uid in runs:
            found.setdefault((fitting.run_uid or "", fitting.place_uid), fitting)
    return list(found.values())


def _crosses_at(design: Design, link: Link, socket: Fitting) -> bool:
    here = {half.uid for half in halves_at(design, socket.run_uid, socket.place_uid)}
    return any(
        design.way[uid].fitting_uid in here
        for each in crossings_of(design, link.uid)
        for uid in (each.way_a_uid, each.way_b_uid)
    )


def _give_way(
    design: Design, catalogue: Catalogue, link: Link, socket: Fitting, said: Said
) -> Design:
    place = design.place[socket.place_uid].name
    if why := stays_whole(link):
        said.append(f"Wire {link.number} passes the plug at {place} uncut: {why}.")
        return design
    amps = Figures(design).heat_a(link.uid)
    for half in halves_at(design, socket.run_uid, socket.place_uid):
        part = catalogue.get(half.part_uid)
        spare = spare_labels(design, half)
        if part is None or not spare or not takes(catalogue, part, link, amps):
            continue
        crossing = crossing_through(design, link, half, spare[0])
        said.append(f"Wire {link.number} goes through way {spare[0]} of {half.name}.")
        return put(design, crossing)
    said.append(
        f"Wire {link.number} passes the plug at {place} uncut: none there has a spare way that "
        f"takes it. Put in another under Fittings, or leave it so."
    )
    return design


def crossing_through(design: Design, link: Link, half: Fitting, label: str) -> Crossing:
    """A new crossing by the way of this label, right way round for the link."""
    near = next(way.uid for way in design.ways_of[half.uid] if way.label == label)
    far = next(way.uid for way in design.ways_of[half.mate_uid or ""] if way.label == label)
    forward = any(
        run == half.run_uid and place == half.place_uid for run, place in travelled(design, link)
    )
    return Crossing(
        uid=new_uid(),
        link_uid=link.uid,
        way_a_uid=near if forward else far,
        way_b_uid=far if forward else near,
    )


# Lengths by hand


def keep_lengths(
    before: Design, after: Design, link_uids: Collection[str], said: Said | None = None
) -> Design:
    """Lengths by hand follow their two ends when plugs come and go.

    A length whose wire is cut in two is laid by under the names of its ends, and holds again as
    soon as the wire is whole again.
    """
    rows = []
    for uid in link_uids:
        link = after.link[uid]
        if not link.lengths_mm:
            continue
        pairs = {key: mm for key, mm in link.lengths_mm.items() if ">" in key}
        if uid in before.link:
            for wire in segments(before, before.link[uid]):
                if str(wire.segment) in link.lengths_mm:
                    pairs[_pair(wire)] = link.lengths_mm[str(wire.segment)]
        kept: dict[str, int] = {}
        for wire in segments(after, link):
            if (mm := pairs.pop(_pair(wire), None)) is not None:
                kept[str(wire.segment)] = mm
        there = {each.uid for each in crossings_of(after, uid)}
        kept |= {key: mm for key, mm in pairs.items() if _crossings_named(key, uid) <= there}
        if said is not None and any(key.isdigit() for key in link.lengths_mm.keys() - kept.keys()):
            said.append(
                f"Wire {link.number}: the length set by hand held for the wire as it was; its "
                f"parts are measured by the runs."
            )
        rows.append(replace(link, lengths_mm=kept))
    return put(after, *rows) if rows else after


def _pair(wire: Wire) -> str:
    return f"{wire.left.uid}>{wire.right.uid}"


def _crossings_named(pair: str, link_uid: str) -> set[str]:
    ends = (end.removeprefix(f"{link_uid}:") for end in pair.split(">"))
    return {end.rpartition(".")[0] for end in ends} - {""}


# Ends


def _remade(
    before: Design,
    design: Design,
    catalogue: Catalogue,
    link_uids: Collection[str],
    said: Said,
    *,
    fit_splices: bool = True,
) -> Design:
    """A row for every end of these links, with terminal, heat-shrink and strip length chosen."""
    if fit_splices:
        design = _fit_splices(design, catalogue, link_uids, said)
    mine = [wire for uid in link_uids for wire in segments(design, design.link[uid])]
    uids = {end.uid for wire in mine for end in wire.ends}
    allowed = allow_ends(design).wire_end
    ends = {
        uid: row
        for uid, row in design.wire_end.items()
        if row.link_uid not in link_uids or uid in uids
    }
    position = max((row.position for row in ends.values()), default=0)
    for uid in sorted(uids, key=lambda uid: allowed[uid].position):
        known = ends.get(uid)
        position += known is None
        ends[uid] = replace(allowed[uid], position=known.position if known else position)
    design = replace(design, wire_end=ends)
    maker = EndMaker(Figures(design), catalogue)
    made = maker.make().wire_end
    design = replace(design, wire_end=ends | {uid: made[uid] for uid in uids})
    numbers = tuple(f"Wire {wire.number}{sign}" for wire in mine for sign in (",", ":"))
    said += [named.sentence for named in maker.said if named.sentence.startswith(numbers)]
    for wire in mine:
        for end in wire.ends:
            _say_terminal(before, design, catalogue, wire, end.uid, said)
    return design


def _fit_splices(
    design: Design, catalogue: Catalogue, link_uids: Collection[str], said: Said
) -> Design:
    touched = {
        design.way[uid].fitting_uid
        for link_uid in link_uids
        for uid in (design.link[link_uid].from_way_uid, design.link[link_uid].to_way_uid)
        if uid is not None
    }
    fitted = splices_by_section(Figures(design), catalogue).fitting
    for uid in sorted(touched):
        if fitted[uid].part_uid != design.fitting[uid].part_uid:
            part = catalogue.get(fitted[uid].part_uid)
            said.append(f"{fitted[uid].name} is now: {part.name if part else 'not chosen'}.")
            design = put(design, fitted[uid])
    return design


def _say_terminal(
    before: Design, after: Design, catalogue: Catalogue, wire: Wire, end_uid: str, said: Said
) -> None:
    old = before.wire_end.get(end_uid)
    new = after.wire_end[end_uid]
    if old is None or old.terminal_part_uid == new.terminal_part_uid:
        return
    part = catalogue.get(new.terminal_part_uid)
    end = next(end for end in wire.ends if end.uid == end_uid)
    if part is not None:
        said.append(f"Wire {wire.number}, at {after.way_name(end.way_uid)}: {part.name}.")


def restarted(end: WireEnd, **new: object) -> WireEnd:
    """An end whose terminal, strip length and heat-shrink are to be chosen anew."""
    blank: dict[str, object] = {
        "terminal_part_uid": None,
        "shrink_part_uid": None,
        "shrink_mm": None,
        "strip_mm": None,
        "solder": False,
    }
    return released(end, **blank | new)


def on_ways(design: Design, way_uids: Iterable[str]) -> list[str]:
    """The links that end on, or pass through, any of these ways."""
    ways = set(way_uids)
    found = [
        link.uid for link in design.link.values() if {link.from_way_uid, link.to_way_uid} & ways
    ]
    found += [
        each.link_uid
        for each in design.crossing.values()
        if {each.way_a_uid, each.way_b_uid} & ways
    ]
    return list(dict.fromkeys(found))
