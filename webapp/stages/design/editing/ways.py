"""Ways of a fitting: which wire goes to which, and what contact a way that grew from wires has."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    put,
)
from webapp.stages.design.editing.settling import on_ways, remade, restarted
from webapp.stages.design.names import listed
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, Way, WireEnd
from webapp.stages.refusals import Refused


def lead(
    fitting_uid: str, link_uid: str, from_way_uid: str, to_way_uid: str, seen: Any = NOT_SEEN
) -> Editing:
    """Lead a wire from one way of a fitting to another; both halves of a plug agree.

    `seen` has the uids of the links that the person saw at the way that the wire is to go to.

    The edit raises Refused: the way is full, its mate lacks it, or the wire begins and ends there.
    Clash: other wires go to these ways by now.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        link: Link = get(design, "link", link_uid)
        start, end = _way(design, fitting, from_way_uid), _way(design, fitting, to_way_uid)
        swap = _pair(design, fitting, start, end)
        leaving, there = at_way(design, fitting, start), at_way(design, fitting, end)
        words = f"Wire {link.number}: way {end.label} of {fitting.name}"
        if start.uid == end.uid or (link_uid in there and link_uid not in leaving):
            # It is there already: sent twice, or by somebody else as well.
            return Edit(design, words)
        if link_uid not in leaving or (seen is not NOT_SEEN and set(seen) != set(there)):
            raise Clash("way", _numbers(design, seen), _numbers(design, there), link.number)
        _refuse_same(design, link_uid, there)
        displaced = _displaced(design, fitting, end, there)
        moved = leaving if _mated(design, fitting) else [link_uid]
        back = {b: a for a, b in swap.items()}
        after = _led(_led(design, moved, swap), displaced, back)
        touched = list(dict.fromkeys([*moved, *displaced]))
        after, more = remade(design, after, catalogue, touched)
        said = _fuses_stay(design, end, start if displaced else None)
        if displaced:
            numbers = " and ".join(_numbers(design, [link_uid, *displaced]))
            words = f"Wires {numbers} change places in {fitting.name}"
        return Edit(after, words, (*said, *more))

    return edit


def _way(design: Design, fitting: Fitting, uid: str) -> Way:
    way = design.way.get(uid)
    if way is None or way.fitting_uid != fitting.uid:
        raise Refused("way", f"{fitting.name} no longer has this way: choose another.")
    return way


def _mated(design: Design, fitting: Fitting) -> bool:
    return fitting.mate_uid in design.fitting


def _pair(design: Design, fitting: Fitting, start: Way, end: Way) -> Mapping[str, str]:
    """Which way takes which one's place: in a plug with a mate also the two that face them."""
    if not _mated(design, fitting):
        return {start.uid: end.uid}
    mates = {way.label: way.uid for way in design.ways_of[fitting.mate_uid or ""]}
    for way in (start, end):
        if way.label not in mates:
            mate = design.fitting[fitting.mate_uid or ""].name
            raise Refused("way", f"{mate} has no way {way.label} to face this one.")
    return {start.uid: end.uid, mates[start.label]: mates[end.label]}


def at_way(design: Design, fitting: Fitting, way: Way) -> list[str]:
    """The links at a way, and in a plug with a mate at the one that faces it, by uid."""
    facing = [
        other.uid
        for other in design.ways_of.get(fitting.mate_uid or "", ())
        if other.label == way.label
    ]
    return sorted(on_ways(design, [way.uid, *facing]))


def _numbers(design: Design, link_uids: Any) -> list[str]:
    uids = link_uids if isinstance(link_uids, list | tuple | set) else ()
    return [str(design.link[uid].number) for uid in uids if uid in design.link]


def _refuse_same(design: Design, link_uid: str, there: Sequence[str]) -> None:
    if link_uid in there:
        number = design.link[link_uid].number
        raise Refused("way", f"Wire {number} has its other end at this way.")


def _displaced(design: Design, fitting: Fitting, end: Way, there: Sequence[str]) -> list[str]:
    """What has to make room: the one wire of a way that takes no other."""
    if end.takes > 1 and not _mated(design, fitting):
        if len(there) >= end.takes:
            numbers = listed([f"wire {each}" for each in _numbers(design, list(there))])
            raise Refused(
                "way",
                f"Way {end.label} takes {end.takes} wires and has them: {numbers}. Lead one "
                f"elsewhere first.",
            )
        return []
    return list(there)


def _led(design: Design, link_uids: Sequence[str], to: Mapping[str, str]) -> Design:
    """The design with these links at the new ways, wherever they end at or pass the old ones."""
    rows: list[Link | Crossing | WireEnd] = []
    for uid in link_uids:
        link = design.link[uid]
        new = {
            name: to[way_uid]
            for name in ("from_way_uid", "to_way_uid")
            if (way_uid := getattr(link, name)) in to
        }
        rows += _ends_anew(design, link, new)
        rows.append(by_hand(link, **new))
    for crossing in design.crossing.values():
        if crossing.link_uid in link_uids and {crossing.way_a_uid, crossing.way_b_uid} & to.keys():
            a, b = (to.get(way, way) for way in (crossing.way_a_uid, crossing.way_b_uid))
            rows.append(by_hand(replace(crossing), way_a_uid=a, way_b_uid=b))
    return put(design, *rows)


def _ends_anew(design: Design, link: Link, new: Mapping[str, str]) -> list[WireEnd]:
    """Ends that come to another kind of contact are made anew."""
    found = []
    for name, way_uid in new.items():
        made = design.wire_end.get(f"{link.uid}:{name.removesuffix('_way_uid')}")
        old = design.way[getattr(link, name)]
        if made is not None and old.contact != design.way[way_uid].contact:
            found.append(restarted(made))
    return found


def _fuses_stay(design: Design, *ways: Way | None) -> list[str]:
    """A fuse-link stays where it is while wires change their ways."""
    said = []
    for way in filter(None, ways):
        for bridge in design.bridge.values():
            if bridge.kind == "fuse" and bridge.way_b_uid == way.uid:
                rating = "no fuse-link yet" if bridge.fuse_a is None else f"{bridge.fuse_a:g} A"
                said.append(f"The fuse-links stay in their ways: way {way.label} has {rating}.")
    return said


# Contacts


def contacts_on_offer(catalogue: Catalogue) -> list[str]:
    """The contacts that the stores have terminals for."""
    return sorted({part.text("contact") for part in catalogue.kind("terminal")})


def contact(fitting_uid: str, way_uid: str | None, wanted: str, seen: Any = NOT_SEEN) -> Editing:
    """Say what contact a way has; without a way, every way of the fitting. Their ends follow.

    The edit raises Refused: the fitting's part says it, or the stores have no terminal for it.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        fitting: Fitting = get(design, "fitting", fitting_uid)
        if fitting.part_uid is not None:
            raise Refused("contact", "Its part says what contacts it has: choose another part.")
        if wanted not in contacts_on_offer(catalogue):
            raise Refused("contact", "The stores have no terminal for this: choose from the list.")
        if way_uid is None:
            ways = design.ways_of[fitting_uid]
            check_seen("contact", seen, common_contact(ways), wanted)
            words = f"{fitting.name}: every way {wanted}"
        else:
            ways = [_way(design, fitting, way_uid)]
            check_seen("contact", seen, ways[0].contact, wanted)
            words = f"{fitting.name}, way {ways[0].label}: {wanted}"
        rows = [by_hand(way, contact=wanted) for way in ways if way.contact != wanted]
        links = on_ways(design, [way.uid for way in rows])
        after, said = remade(design, put(design, *rows), catalogue, links)
        return Edit(after, words, tuple(said))

    return edit


def common_contact(ways: Sequence[Way]) -> str:
    """The contact that all ways have; "" where they differ."""
    contacts = {way.contact for way in ways}
    return contacts.pop() if len(contacts) == 1 else ""
