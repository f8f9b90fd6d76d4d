"""A wire typed by hand: routed, coloured, sized and finished as proposed, where left open."""

from dataclasses import dataclass

from webapp.sizing.capacity import minimum_section_mm2
from webapp.sizing.colours import (
    COMMON_PALETTE,
    FUNCTIONS,
    NoColourLeft,
    Pair,
    Palette,
    colour_for,
    colours_in_turn,
)
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.choices import cables
from webapp.stages.design.commands import new_uid
from webapp.stages.design.editing.circuits import next_circuit_number, same_name
from webapp.stages.design.editing.edit import Edit, Editing, by_hand, next_position, put
from webapp.stages.design.editing.ends import LOOSE_MM
from webapp.stages.design.editing.settling import on_ways, route_to, settle
from webapp.stages.design.editing.wires import next_number
from webapp.stages.design.figures import Figures
from webapp.stages.design.nets import fittings_met, one_of_both
from webapp.stages.design.rows import Circuit, Design, Link, WireEnd
from webapp.stages.refusals import Refused


@dataclass(frozen=True)
class NewEnd:
    """A way, or a place where the end is left loose."""

    way_uid: str | None
    place_uid: str | None = None
    loose_mm: int = LOOSE_MM


@dataclass(frozen=True)
class NewWire:
    """What was typed. An empty colour or section is chosen; a circuit's name may be a new one."""

    start: NewEnd
    end: NewEnd
    circuit: str
    main: str = ""
    tracer: str = ""
    csa_mm2: float | None = None
    note: str = ""
    said: str = ""


def add(wire: NewWire, palette: Palette = COMMON_PALETTE) -> Editing:
    """Add a wire between two ends; its colour, where none was typed, from the palette.

    The edit raises Refused: both ends are loose or the same; nothing there; no circuit.
    """

    def edit(design: Design, catalogue: Catalogue) -> Edit:
        places = _places(design, wire)
        said = [wire.said] if wire.said else []
        number = next_number(design)
        circuit, with_circuit = _circuit(design, wire.circuit)
        route = route_to(design, *places, number, said)
        link = Link(
            uid=new_uid(),
            position=next_position(design.link.values()),
            number=number,
            circuit_uid=circuit.uid,
            from_way_uid=wire.start.way_uid,
            to_way_uid=wire.end.way_uid,
            route=route,
            note=wire.note,
        )
        link = _coloured(with_circuit, link, circuit, wire, palette)
        after = put(with_circuit, link, *_loose_ends(link, wire))
        after = _sized(after, catalogue, link, wire, said)
        after, more = settle(design, after, catalogue, [link.uid])
        a, b = (after.way_name(uid) for uid in (link.from_way_uid, link.to_way_uid))
        return Edit(after, f"Add wire {number}, {a} to {b}", (*said, *more))

    return edit


def _places(design: Design, wire: NewWire) -> tuple[str, str]:
    if wire.start.way_uid is None and wire.end.way_uid is None:
        raise Refused("to", "One end at least must go to a way; both are left loose.")
    if wire.start.way_uid == wire.end.way_uid:
        raise Refused("to", "Both ends go to the same way.")
    return _place(design, wire.start, "from"), _place(design, wire.end, "to")


def _place(design: Design, end: NewEnd, field: str) -> str:
    if end.way_uid is not None:
        if end.way_uid not in design.way:
            raise Refused(field, "This way is no longer there: choose another.")
        return design.place_of_way(end.way_uid)
    if end.place_uid not in design.place:
        raise Refused(field, "Choose a way, or a place where the end is left loose.")
    return end.place_uid


def _circuit(design: Design, name: str) -> tuple[Circuit, Design]:
    if not name:
        raise Refused("circuit", "Say which circuit the wire belongs to; a new name makes one.")
    known = same_name(design, name)
    if known is not None:
        return known, design
    number = next_circuit_number(design)
    position = next_position(design.circuit.values())
    made = Circuit(uid=new_uid(), position=position, number=number, name=name)
    return made, put(design, made)


def _loose_ends(link: Link, wire: NewWire) -> list[WireEnd]:
    return [
        by_hand(WireEnd(uid=f"{link.uid}:{side}", link_uid=link.uid), loose_mm=end.loose_mm)
        for side, end in (("from", wire.start), ("to", wire.end))
        if end.way_uid is None
    ]


def _coloured(
    design: Design, link: Link, circuit: Circuit, wire: NewWire, palette: Palette
) -> Link:
    """As typed; else as what it is joined to; else the next free colour of its service."""
    if wire.main:
        return by_hand(link, main=wire.main, tracer=wire.tracer)
    main, tracer = next_colour(design, link, circuit, palette)
    return by_hand(link, main=main, tracer=tracer)


def next_colour(
    design: Design, link: Link, circuit: Circuit, palette: Palette = COMMON_PALETTE
) -> tuple[str, str]:
    """Main and tracer of what a link is joined to; else the next free ones of its service."""
    ways = [uid for uid in (link.from_way_uid, link.to_way_uid) if uid]
    for uid in on_ways(design, ways):
        joined = design.link[uid]
        if joined.main:
            return joined.main, joined.tracer
    used = {(each.main, each.tracer or None) for each in design.link.values()}
    function = circuit.service if circuit.service in FUNCTIONS else "other"
    code = palette.code(design.basis.colour_code)
    try:
        main, tracer = colour_for(code, function, used, stocked=palette.stocked).pair
    except NoColourLeft:
        here = _pairs_beside(design, link)
        others = colours_in_turn(code, function, palette.stocked)
        own = colour_for(code, function).pair
        main, tracer = next((pair for pair in others if pair not in here), own)
    return main, tracer or ""


def _pairs_beside(design: Design, link: Link) -> set[Pair]:
    """The colours of the wires that meet the fittings at which a link ends."""
    ways = [uid for uid in (link.from_way_uid, link.to_way_uid) if uid]
    here = {one_of_both(design, uid) for uid in ways}
    met = fittings_met(design)
    return {
        (other.main, other.tracer or None)
        for other in design.link.values()
        if other.uid != link.uid and met[other.uid] & here
    }


def _sized(
    design: Design, catalogue: Catalogue, link: Link, wire: NewWire, said: list[str]
) -> Design:
    offered = cables(design, catalogue)
    csa = wire.csa_mm2 or least_section(design, catalogue, link)
    if csa is None:
        said.append("No size of this cable stands its current here: choose one by hand.")
        return design
    part = offered.get(csa)
    if wire.csa_mm2 is None:
        said.append(f"{csa:g} mm² is the thinnest that stands its current and fuse-link.")
    return put(design, by_hand(link, csa_mm2=csa, cable_part_uid=part.uid if part else None))


def least_section(
    design: Design, catalogue: Catalogue, link: Link, figures: Figures | None = None
) -> float | None:
    """The thinnest cable of the stores that stands a link's current and fuse-link. [mm²]"""
    figures = figures or Figures(design)
    needed_a = figures.needed_a(link)
    least = max(design.basis.min_section_mm2, minimum_section_mm2(design.basis.standard))
    for csa in cables(design, catalogue):
        conductor = figures.conductor(link, csa)
        if csa < least - 1e-9 or conductor is None:
            continue
        try:
            if figures.worst_capacity(link, conductor)[0].current_a >= needed_a:
                return csa
        except SizingError:
            continue
    return None
