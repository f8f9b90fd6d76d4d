"""An old loom copied wire by wire: places, fittings and runs grow from what each wire says."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from webapp.stages.catalogue import Catalogue
from webapp.stages.design.choices import cable_for
from webapp.stages.design.commands import new_uid
from webapp.stages.design.copied_words import FIRST_WAY, read_end
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, next_position, put
from webapp.stages.design.editing.ends import LOOSE_MM
from webapp.stages.design.editing.routes import Route, route_mm, shortest_route
from webapp.stages.design.editing.settling import on_ways, settle
from webapp.stages.design.editing.wires import check_colours, next_number
from webapp.stages.design.names import key, listed
from webapp.stages.design.rows import Design, Fitting, Link, Run, WireEnd
from webapp.stages.design.wire_list.lines import WireLine
from webapp.stages.design.wire_list.named import EndAt, Named
from webapp.stages.refusals import Refused

SIDES = ("left", "right")
# The circuit of a wire that is joined to none, until somebody says which it is.
CIRCUIT = "As copied"
# What stays in the vehicle and belongs to the customer.
EXISTING = "Existing wiring"
MEASURED = "old loom"
# Old wires lie crooked: how far lengths of one run may differ unsaid. Common practice.
DIFFER_MM, DIFFER_PERCENT = 25, 3


@dataclass(frozen=True)
class CopiedEnd:
    """One end as typed: a fitting and its way, or left loose at a place."""

    words: str
    place: str = ""
    loose: bool = False
    loose_mm: int | None = None
    tag: str = ""


@dataclass(frozen=True)
class CopiedWire:
    """A wire of the old loom. Its uid comes with it: sent twice it is one wire.

    `length_mm` is the whole wire from end to end, tails too.
    """

    uid: str
    left: CopiedEnd
    right: CopiedEnd
    main: str = ""
    tracer: str = ""
    length_mm: int | None = None
    csa_mm2: float | None = None
    circuit: str = ""
    note: str = ""
    measured_by: str = ""
    said: tuple[str, ...] = ()


def copy(wire: CopiedWire) -> Editing:
    """Take a wire of an old loom in as it is.

    The edit raises Refused: both ends loose or at one way; an end that says too little.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        if wire.uid in design.link:
            return Edit(design, f"Wire {design.link[wire.uid].number} is taken")
        check_colours(wire.main, wire.tracer, "colour")
        names = Named(design, make_fittings=True)
        ends = [
            _end(names, side, each)
            for side, each in zip(SIDES, (wire.left, wire.right), strict=True)
        ]
        _refuse(ends)
        circuit = wire.circuit or _circuit_here(design, ends)
        circuit_uid = names.circuit(circuit, None, None)
        after = names.put_into(design)
        after, said = _of_customer(design, after, names)
        link = _link(after, catalogue, wire, ends, circuit_uid)
        a, b = (end.place_uid or "" for end in ends)
        after, route, more = _run(after, wire, link.number, a, b)
        after = put(after, replace(link, route=route), *_loose_ends(wire))
        after = _room(after, ends)
        # It has not been anywhere before: it is settled against itself.
        after, settled = settle(after, after, catalogue, [link.uid])
        a, b = (after.way_name(end.way_uid) for end in ends)
        words = f"Copy wire {link.number}, {a} to {b}"
        return Edit(after, words, (*wire.said, *said, *more, *settled))

    return edit


# Ends


def _end(names: Named, side: str, end: CopiedEnd) -> EndAt:
    if end.loose:
        if not end.place:
            raise Refused(f"{side}_place", "Say at which place this end is left loose.")
        return EndAt(None, names.place(end.place))
    fitting, label = read_end(names.design, end.words)
    if not fitting:
        raise Refused(side, "Say where this end goes: a fitting and its way, or left loose.")
    fitting = _existing_here(names, fitting, end.place)
    known = names.fittings.get(key(fitting))
    label = label or _only_way(names, side, fitting)
    # A new fitting of which no place is said has a place of its own, called as it is.
    place = end.place or ("" if known else fitting)
    try:
        return names.end(WireLine(0, "", {}), side, fitting, label, place)
    except Refused as refused:
        field = refused.field.removesuffix("_fitting").removesuffix("_way")
        raise Refused(field, refused.sentence) from None


def _existing_here(names: Named, fitting: str, place: str) -> str:
    """What stays in the vehicle is met at several places: one fitting for each."""
    if key(fitting) != key(EXISTING) or not place:
        return fitting
    here = names.places.get(key(place))
    known = names.fittings.get(key(EXISTING), [])
    return EXISTING if not known or known[0].place_uid == here else f"{EXISTING} at {place}"


def _only_way(names: Named, side: str, fitting: str) -> str:
    labels = [
        way.label for each in names.fittings.get(key(fitting), ()) for way in names.ways[each.uid]
    ]
    if not set(labels) - {FIRST_WAY}:
        return FIRST_WAY
    raise Refused(
        side, f"{fitting} has {listed(labels, 12)}: say which, such as “{fitting} {labels[0]}”."
    )


def _refuse(ends: Sequence[EndAt]) -> None:
    left, right = (end.way_uid for end in ends)
    if left is None and right is None:
        raise Refused("right", "One end at least must go to a way; both are left loose.")
    if left == right:
        raise Refused("right", "Both ends go to the same way.")


def _of_customer(before: Design, after: Design, names: Named) -> tuple[Design, list[str]]:
    """Existing wiring is the customer's own; what is made is said."""
    made: list[Fitting] = names.made(Fitting)
    own = [
        by_hand(each, supplied_by="customer")
        for each in made
        if key(each.name).startswith(key(EXISTING))
    ]
    said = [f"New: {each.name} at {after.place[each.place_uid].name}." for each in made]
    return (put(after, *own) if own else after), said


def _room(design: Design, ends: Sequence[EndAt]) -> Design:
    """A way that grew from wires takes as many as there are."""
    rows = []
    for end in ends:
        way = design.way.get(end.way_uid or "")
        if way is not None and design.fitting[way.fitting_uid].part_uid is None:
            wires = len(on_ways(design, [way.uid]))
            if wires > way.takes:
                rows.append(replace(way, takes=wires))
    return put(design, *rows) if rows else design


def _loose_ends(wire: CopiedWire) -> list[WireEnd]:
    return [
        by_hand(
            WireEnd(uid=f"{wire.uid}:{side}", link_uid=wire.uid),
            loose_mm=end.loose_mm or LOOSE_MM,
            **({"tag": end.tag} if end.tag else {}),
        )
        for side, end in (("from", wire.left), ("to", wire.right))
        if end.loose
    ]


# The wire


def _circuit_here(design: Design, ends: Sequence[EndAt]) -> str:
    """The circuit of what the wire is joined to."""
    for uid in on_ways(design, [end.way_uid for end in ends if end.way_uid is not None]):
        return design.circuit[design.link[uid].circuit_uid].name
    return CIRCUIT


def _link(
    design: Design,
    catalogue: Catalogue,
    wire: CopiedWire,
    ends: Sequence[EndAt],
    circuit_uid: str,
) -> Link:
    link = Link(
        uid=wire.uid,
        position=next_position(design.link.values()),
        number=next_number(design),
        circuit_uid=circuit_uid,
        from_way_uid=ends[0].way_uid,
        to_way_uid=ends[1].way_uid,
        note=wire.note,
    )
    if wire.main:
        link = by_hand(link, main=wire.main, tracer=wire.tracer)
    if wire.length_mm is not None:
        link = by_hand(link, lengths_mm={"0": wire.length_mm})
    if wire.csa_mm2 is not None:
        part = cable_for(design, catalogue, link, wire.csa_mm2)
        uid = part.uid if part else None
        link = by_hand(link, csa_mm2=wire.csa_mm2, cable_part_uid=uid)
    return link


# Runs


def _run(
    design: Design, wire: CopiedWire, number: int, a: str, b: str
) -> tuple[Design, Route, list[str]]:
    """The route between two places: as it stands, or a new run of the wire's length."""
    along_mm = _along_mm(wire)
    if a == b:
        return design, (), []
    names = f"{design.place[a].name} to {design.place[b].name}"
    route = shortest_route(design, a, b)
    if route is None:
        run = Run(
            uid=new_uid(),
            position=next_position(design.run.values()),
            from_place_uid=a,
            to_place_uid=b,
            surround_c=design.basis.ambient_c,
        )
        long = f"{along_mm:,} mm" if along_mm else "not measured yet"
        after = put(design, _measured(run, along_mm, wire) if along_mm else run)
        return after, (run.uid,), [f"New run: {names}, {long}."]
    if along_mm is None:
        return design, route, []
    if len(route) == 1 and design.run[route[0]].length_mm is None:
        after = put(design, _measured(design.run[route[0]], along_mm, wire))
        return after, route, [f"The run {names} is {along_mm:,} mm by this wire."]
    return design, route, _disagreement(design, number, names, route, along_mm)


def _measured(run: Run, along_mm: int, wire: CopiedWire) -> Run:
    return by_hand(run, length_mm=along_mm, measured_how=MEASURED, measured_by=wire.measured_by)


def _along_mm(wire: CopiedWire) -> int | None:
    """What of the wire lies in the loom, without its tails."""
    if wire.length_mm is None:
        return None
    tails_mm = sum(end.loose_mm or LOOSE_MM for end in (wire.left, wire.right) if end.loose)
    if wire.length_mm <= tails_mm:
        raise Refused(
            "length_mm",
            f"The tail alone is {tails_mm:,} mm: the length is that of the whole wire, tail too.",
        )
    return wire.length_mm - tails_mm


def _disagreement(
    design: Design, number: int, names: str, route: Route, along_mm: int
) -> list[str]:
    stands_mm = route_mm(design, route)
    apart_mm = abs(along_mm - stands_mm)
    if apart_mm <= max(DIFFER_MM, stands_mm * DIFFER_PERCENT / 100):
        return []
    others = [
        f"wire {link.number}"
        for link in design.link.values()
        if link.route == route or link.route == route[::-1]
    ]
    by = f", with {listed(others)}" if others else ""
    return [
        f"Wire {number} measures {along_mm:,} mm from {names}; the loom is {stands_mm:,} mm long "
        f"there{by}. The wire keeps its own length: measure again, or change the run under Runs."
    ]
