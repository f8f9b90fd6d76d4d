"""Edits of a wire's ends: where they go, what they are made with, what is left loose."""

from dataclasses import replace
from typing import Any

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.editing.edit import (
    NOT_SEEN,
    Edit,
    Editing,
    by_hand,
    check_seen,
    get,
    put,
    released,
)
from webapp.stages.design.editing.routes import ends_at
from webapp.stages.design.editing.settling import (
    remade,
    restarted,
    route_to,
    segments,
    settle,
)
from webapp.stages.design.halves import halves_at
from webapp.stages.design.rows import Crossing, Design, Fitting, Link, Way, WireEnd
from webapp.stages.design.wires import End, Wire
from webapp.stages.refusals import NotThere, Refused

LOOSE_MM = 300
SIDES = ("from", "to")
# Gives a field back, to be chosen by what the end goes to.
CHOSEN = "chosen"
# What a person may set at an end, and what it is called.
END_FIELDS = {
    "terminal_part_uid": "terminal",
    "shrink_part_uid": "heat-shrink",
    "shrink_mm": "heat-shrink length",
    "strip_mm": "strip length",
    "solder": "soldering",
    "allowance_mm": "allowance",
    "loose_mm": "length left loose",
    "tag": "tag",
}
PART_KINDS = {"terminal_part_uid": "terminal", "shrink_part_uid": "heat-shrink"}
# What is given back together with a field.
GIVEN_BACK: dict[str, dict[str, Any]] = {
    "terminal_part_uid": {"terminal_part_uid": None, "strip_mm": None, "solder": False},
    "shrink_part_uid": {"shrink_part_uid": None, "shrink_mm": None},
    "shrink_mm": {"shrink_mm": None},
    "strip_mm": {"strip_mm": None},
    "solder": {"solder": False},
    "allowance_mm": {"allowance_mm": 0},
    "loose_mm": {"loose_mm": LOOSE_MM},
    "tag": {"tag": ""},
}


def find_end(design: Design, end_uid: str) -> tuple[Wire, End]:
    """The wire and the end of this uid; NotThere without one."""
    link: Link = get(design, "link", end_uid.partition(":")[0])
    for wire in segments(design, link):
        for end in wire.ends:
            if end.uid == end_uid:
                return wire, end
    raise NotThere


def field(end_uid: str, name: str, wanted: Any, seen: Any = NOT_SEEN) -> Editing:
    """Set one thing at an end, or give it back with CHOSEN. A part may be None: there is none."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        wire, end = find_end(design, end_uid)
        current = getattr(end.made, name)
        seen_now = current if seen == CHOSEN and name not in end.made.by_hand else seen
        check_seen(name, seen_now, current, wanted)
        if name == "loose_mm" and not end.loose:
            raise Refused(name, "This end goes to a way: choose “left loose” there first.")
        if wanted == CHOSEN:
            new = released(end.made, **GIVEN_BACK[name])
        else:
            new = _set(end.made, name, wanted, catalogue)
        after, said = remade(design, put(design, new), catalogue, [wire.link.uid])
        sentence = f"Wire {wire.number}, at {design.way_name(end.way_uid)}: {END_FIELDS[name]}"
        return Edit(after, sentence, tuple(said))

    return edit


def _set(made: WireEnd, name: str, wanted: Any, catalogue: Catalogue) -> WireEnd:
    new: dict[str, Any] = {name: wanted}
    if name in PART_KINDS and wanted is not None:
        part = catalogue.get(wanted)
        if part is None or part.kind != PART_KINDS[name]:
            raise Refused(name, "This part is no longer in the stores: choose another.")
        if name == "terminal_part_uid":
            # The strip length goes with the terminal.
            new["strip_mm"] = part.number("strip_mm")
    elif name in PART_KINDS:
        new |= {"strip_mm": None} if name == "terminal_part_uid" else {"shrink_mm": None}
    return by_hand(made, **new)


# Where an end goes


def to_way(link_uid: str, side: str, way_uid: str, seen: Any = NOT_SEEN) -> Editing:
    """Lead one end (`from` or `to`) of a wire to a way."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        name = f"{side}_way_uid"
        check_seen(name, seen, getattr(link, name), way_uid)
        way = design.way.get(way_uid)
        if way is None:
            raise Refused(name, "This way is no longer there: choose another.")
        if way_uid in (link.from_way_uid, link.to_way_uid):
            raise Refused(name, "Both ends would go to the same way.")
        end_uid = f"{link_uid}:{side}"
        made = design.wire_end.get(end_uid) or WireEnd(uid=end_uid, link_uid=link_uid)
        old = design.way.get(getattr(link, name) or "")
        if old is None or old.contact != way.contact:
            made = restarted(made)
        made = released(made, loose_mm=None)
        new = by_hand(link, **{name: way_uid})
        if old is None:
            new = released(new, route=link.route)
        after = put(design, new, made)
        after, said = settle(design, after, catalogue, [link_uid])
        return Edit(after, f"Wire {link.number}: {side} {design.way_name(way_uid)}", tuple(said))

    return edit


def to_loose(link_uid: str, side: str, place_uid: str, seen: Any = NOT_SEEN) -> Editing:
    """Leave one end of a wire loose at a place, with a tail and a tag: its way becomes empty."""

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        link: Link = get(design, "link", link_uid)
        name, other = f"{side}_way_uid", _other(side)
        check_seen(name, seen, getattr(link, name), None)
        held = getattr(link, f"{other}_way_uid")
        if place_uid not in design.place:
            raise Refused(name, "This place is no longer there: choose another.")
        if held is None:
            raise Refused(name, "The other end is left loose already: one must go to a way.")
        said: list[str] = []
        here = design.place_of_way(held)
        places = (here, place_uid) if side == "to" else (place_uid, here)
        route = link.route
        if ends_at(design, link) != places or route is None:
            route = route_to(design, *places, link.number, said)
        end_uid = f"{link_uid}:{side}"
        made = design.wire_end.get(end_uid) or WireEnd(uid=end_uid, link_uid=link_uid)
        made = restarted(made, allowance_mm=0)
        if made.loose_mm is None:
            made = by_hand(made, loose_mm=LOOSE_MM)
        new = by_hand(link, **{name: None, "route": route})
        after, more = settle(design, put(design, new, made), catalogue, [link_uid])
        place = design.place[place_uid].name
        sentence = f"Wire {link.number}: {side} left loose at {place}"
        return Edit(after, sentence, (*said, *more))

    return edit


def _other(side: str) -> str:
    return "to" if side == "from" else "from"


# Ways of a plug


def plug_way(crossing_uid: str, half_uid: str, label: str, seen: Any = NOT_SEEN) -> Editing:
    """Lead a wire through another way of a plug at the same place; both halves agree.

    A way that is taken changes places with this one.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        crossing: Crossing = get(design, "crossing", crossing_uid)
        half = _half_of(design, crossing)
        check_seen("way", seen, (half.uid, label_of(design, crossing)), (half_uid, label))
        wanted: Fitting = get(design, "fitting", half_uid)
        if wanted not in halves_at(design, half.run_uid, half.place_uid):
            raise Refused("way", "This plug is not in the wire's path.")
        new = _through(design, crossing, wanted, label)
        there = [
            each
            for each in design.crossing.values()
            if each.uid != crossing_uid
            and {each.way_a_uid, each.way_b_uid} & {new.way_a_uid, new.way_b_uid}
        ]
        _refuse_ends(design, new)
        number = design.link[crossing.link_uid].number
        changed, said = [new], []
        if there:
            old_label = label_of(design, crossing)
            changed.append(_through(design, there[0], half, old_label))
            other = design.link[there[0].link_uid].number
            said.append(f"Wire {other} goes to way {old_label} of {half.name} in exchange.")
        links = list(dict.fromkeys(each.link_uid for each in changed))
        after, more = remade(design, put(design, *changed), catalogue, links)
        sentence = f"Wire {number}: way {label} of {wanted.name}"
        return Edit(after, sentence, (*said, *more))

    return edit


def _refuse_ends(design: Design, crossing: Crossing) -> None:
    """A way that a wire of its own ends on cannot carry one that passes."""
    ways = {crossing.way_a_uid, crossing.way_b_uid}
    for link in design.link.values():
        if ways & {link.from_way_uid, link.to_way_uid}:
            raise Refused("way", f"Wire {link.number} ends at this way: lead it elsewhere first.")


def _half_of(design: Design, crossing: Crossing) -> Fitting:
    """The half that stands on the run's side."""
    halves = [
        design.fitting[design.way[uid].fitting_uid]
        for uid in (crossing.way_a_uid, crossing.way_b_uid)
    ]
    return next((half for half in halves if half.run_uid), halves[0])


def label_of(design: Design, crossing: Crossing) -> str:
    """The label of the way that a crossing goes through."""
    return design.way[crossing.way_a_uid].label


def _through(design: Design, crossing: Crossing, half: Fitting, label: str) -> Crossing:
    near = _way(design, half.uid, label)
    far = _way(design, half.mate_uid or "", label)
    first = design.way[crossing.way_a_uid].fitting_uid == _half_of(design, crossing).uid
    a, b = (near, far) if first else (far, near)
    return by_hand(replace(crossing), way_a_uid=a.uid, way_b_uid=b.uid)


def _way(design: Design, fitting_uid: str, label: str) -> Way:
    for way in design.ways_of.get(fitting_uid, ()):
        if way.label == label:
            return way
    raise Refused("way", f"There is no way {label[:10]} in both halves of this plug.")
