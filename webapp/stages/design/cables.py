"""Cables of several cores, twisted pairs and screens: which wires lie as one, piece by piece.

A core's link names the cable's part as its own cable, and its core by colour; a screen is a link of
its own. Plugs cut a cable where they cut its cores, so its pieces are derived like the wires.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.rows import Cable, Design, Link
from webapp.stages.design.wires import End, Wire, wires

SINGLE, TWISTED, CORES, SCREENED = (
    "single wires",
    "twisted pair",
    "cable of cores",
    "screened cable",
)
CABLE_KINDS = (TWISTED, CORES, SCREENED)
LAID_AS = (SINGLE, *CABLE_KINDS)
SCREEN = "screen"
# A pair is twisted with a lay of 8 to 16 times its diameter: NASA-STD-8739.4, from memory. The
# middle is taken, and the tool is set to the next 5 mm.
LAY_DIAMETERS = 12
LAY_STEP_MM = 5

Parts = Mapping[str, CatalogPart]


@dataclass(frozen=True)
class Piece:
    """One length of a cable: the wires that lie in it, cores first, the screen last."""

    uid: str
    name: str
    cable: Cable
    wires: tuple[Wire, ...]
    # Whether each wire runs the other way than the first.
    turned: tuple[bool, ...]

    @property
    def sheathed(self) -> bool:
        return self.cable.kind != TWISTED

    @property
    def route(self) -> tuple[str, ...] | None:
        return self.wires[0].route

    @property
    def length_mm(self) -> int | None:
        """As long as its longest wire; None while one has no length."""
        lengths = [wire.length_mm for wire in self.wires]
        known = [length for length in lengths if length is not None]
        return max(known) if len(known) == len(lengths) else None

    @property
    def cores(self) -> tuple[Wire, ...]:
        return tuple(wire for wire in self.wires if wire.link.core != SCREEN)

    @property
    def screen(self) -> Wire | None:
        return next((wire for wire in self.wires if wire.link.core == SCREEN), None)

    def ends(self, side: int) -> tuple[End, ...]:
        """The wires' ends at one end of the piece: 0 where the first wire starts, 1 far off."""
        return tuple(
            wire.ends[1 - side if turned else side]
            for wire, turned in zip(self.wires, self.turned, strict=True)
        )

    def sheath_off_mm(self, side: int) -> int:
        """How far the sheath comes off there, so that every core reaches its way."""
        return max(end.made.allowance_mm + (end.made.loose_mm or 0) for end in self.ends(side))


def pieces(design: Design, found: list[Wire] | None = None) -> list[Piece]:
    """Every piece of every cable, in the order of the cables."""
    lying: dict[str, dict[tuple[object, ...], list[Wire]]] = {}
    for wire in wires(design) if found is None else found:
        if wire.link.cable_uid in design.cable:
            stretches = lying.setdefault(wire.link.cable_uid or "", {})
            stretches.setdefault(_stretch(wire), []).append(wire)
    return [
        _piece(cable, number, group, len(lying[uid]))
        for uid, cable in design.cable.items()
        if uid in lying
        for number, group in enumerate(lying[uid].values())
    ]


def piece_of(found: list[Piece]) -> dict[str, Piece]:
    """The piece that each wire lies in, by the wire's uid."""
    return {wire.uid: piece for piece in found for wire in piece.wires}


def _stretch(wire: Wire) -> tuple[object, ...]:
    """What tells the pieces of a cable apart: the runs, or within a place that place."""
    if wire.route:
        return min(wire.route, wire.route[::-1])
    return ("at", *sorted({end.place_uid or "" for end in wire.ends}))


def _piece(cable: Cable, number: int, group: list[Wire], count: int) -> Piece:
    ordered = tuple(sorted(group, key=lambda wire: (wire.link.core == SCREEN, wire.link.number)))
    first = ordered[0]
    return Piece(
        uid=f"{cable.uid}.{number}",
        name=cable.name + (_letter(number) if count > 1 else ""),
        cable=cable,
        wires=ordered,
        turned=tuple(_turned(first, wire) for wire in ordered),
    )


def _letter(number: int) -> str:
    return chr(ord("A") + number)


def _turned(first: Wire, wire: Wire) -> bool:
    """Whether a wire runs the other way: by its places, by its runs where an end is loose."""
    start, far = (end.place_uid for end in first.ends)
    left, right = (end.place_uid for end in wire.ends)
    if start != far and (left, right) != (None, None):
        return left == far if left is not None else right == start
    return wire.route != first.route


def is_sheathed(design: Design, link: Link) -> bool:
    """A core or the screen of a cable, not a wire of its own."""
    cable = design.cable.get(link.cable_uid or "")
    return cable is not None and cable.kind != TWISTED


def cable_part_uid(design: Design, link: Link) -> str | None:
    """The part that a link's metal comes from: its cable's, or its own."""
    cable = design.cable.get(link.cable_uid or "")
    if cable is not None and cable.kind != TWISTED and cable.part_uid is not None:
        return cable.part_uid
    return link.cable_part_uid


def insulation_mm(part: CatalogPart) -> float:
    """Outside of one conductor's insulation: of a core where the part has several. [mm]"""
    core_mm = part.maybe("core_outside_mm")
    return part.number("outside_mm") if core_mm is None else core_mm


def outsides_in_runs(design: Design, parts: Parts) -> dict[str, list[float]]:
    """The circles that lie in each run: a cable counts once, by the outside of its sheath. [mm]"""
    found: dict[str, list[float]] = {}
    cut = wires(design)
    sheathed = [piece for piece in pieces(design, cut) if piece.sheathed]
    whole = piece_of([piece for piece in sheathed if piece.cable.part_uid in parts])
    lying = [(wire, cable_part_uid(design, wire.link)) for wire in cut if wire.uid not in whole]
    lying += [
        (piece.wires[0], piece.cable.part_uid) for piece in sheathed if piece.wires[0].uid in whole
    ]
    for wire, part_uid in lying:
        part = parts.get(part_uid or "")
        for run_uid in wire.route or ():
            if part is not None:
                found.setdefault(run_uid, []).append(part.number("outside_mm"))
    return found


def lay_mm(outside_mm: float) -> int:
    """The lay of a pair of such wires: how long one full turn is. [mm]

    Args:
        outside_mm: Outside of one of the two wires; the pair is twice as wide. [mm]
    """
    return LAY_STEP_MM * math.ceil(LAY_DIAMETERS * 2 * outside_mm / LAY_STEP_MM)


def laid_words(design: Design, link: Link) -> str:
    """core brown of cable 3; screen of cable 3; one of pair 2. Nothing for a single wire."""
    cable = design.cable.get(link.cable_uid or "")
    if cable is None:
        return ""
    name = f"{cable.name[:1].lower()}{cable.name[1:]}"
    if cable.kind == TWISTED:
        return f"one of {name}"
    if link.core == SCREEN:
        return f"screen of {name}"
    return f"core {link.core} of {name}" if link.core else f"core of {name}"
