"""The work steps of cables and twisted pairs: what is done once for all the wires that lie in one.

A cable is cut once and its sheath stripped at both ends; the wires of a pair are cut and then
twisted. The ends of the wires follow, each with its own steps.
"""

from dataclasses import dataclass

from webapp.convention import now
from webapp.stages.building.parts import Parts, part
from webapp.stages.building.steps import OtherWork, Step
from webapp.stages.building.wire_colours import letters
from webapp.stages.design.cables import SCREEN, Piece, insulation_mm, lay_mm
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import End, Wire


@dataclass(frozen=True)
class Laid:
    """What has to be done to a wire's cable: before it counts as cut, and before each end."""

    cut: tuple[Step, ...]
    left: Step
    right: Step


def cable_work(design: Design, parts: Parts, piece: Piece) -> OtherWork:
    """The steps of one piece of a cable, or of one twisted pair."""
    steps = (
        _cable_steps(design, parts, piece) if piece.sheathed else _pair_steps(design, parts, piece)
    )
    return OtherWork(piece.uid, piece.name, steps)


def laid(piece: Piece, work: OtherWork, wire: Wire) -> Laid:
    """What this wire of the piece waits for. `work` is the piece's own."""
    if not piece.sheathed:
        own = next(step for step in work.steps if step.uid == f"{wire.uid}:cut")
        twist = work.steps[-1]
        return Laid((own, twist), twist, twist)
    cut, near, far = work.steps
    turned = piece.turned[piece.wires.index(wire)]
    return Laid((cut,), far if turned else near, near if turned else far)


def _cable_steps(design: Design, parts: Parts, piece: Piece) -> tuple[Step, ...]:
    known = part(parts, piece.cable.part_uid)
    name = known.name if known else "no cable chosen"
    cut = Step(f"{piece.uid}:cut", "cut", f"Cut {_mm(piece.length_mm)}", name)
    spare = (len(known.core_colours) if known else 0) - len(piece.cores)
    return (cut, *(_sheath_step(design, piece, side, spare, cut) for side in (0, 1)))


def _sheath_step(design: Design, piece: Piece, side: int, spare: int, cut: Step) -> Step:
    words = [f"at {piece_place(design, piece, side)}", "no core nicked"]
    if spare > 0:
        words.append(
            "spare core cut back and sleeved" if spare == 1
            else f"{spare} spare cores cut back and sleeved"
        )  # fmt: skip
    if piece.screen is not None and _ends_here(piece, side):
        words.append("keep the screen whole")
    return Step(
        f"{piece.uid}:sheath-{side}",
        "sheath",
        f"Strip {now().words(piece.sheath_off_mm(side))} of sheath",
        "; ".join(words),
        (cut.uid,),
    )


def _ends_here(piece: Piece, side: int) -> bool:
    """Whether the screen goes on to a way at this end."""
    at = next(number for number, wire in enumerate(piece.wires) if wire.link.core == SCREEN)
    return piece.ends(side)[at].way_uid is not None


def _pair_steps(design: Design, parts: Parts, piece: Piece) -> tuple[Step, ...]:
    cuts = tuple(
        Step(
            f"{wire.uid}:cut",
            "cut",
            f"Cut wire {wire.number}, {_mm(wire.length_mm)}",
            f"{letters(design, wire.link)} {wire.link.csa_mm2 or 0:g} mm²".strip(),
        )
        for wire in piece.wires
    )
    numbers = " and ".join(wire.number for wire in piece.wires)
    widest = max(
        (
            insulation_mm(known)
            for wire in piece.wires
            if (known := part(parts, wire.link.cable_part_uid)) is not None
        ),
        default=0.0,
    )
    lay = f"a full turn every {now().words(lay_mm(widest))}; " if widest else ""
    detail = f"wires {numbers}: {lay}as far as the ends leave each other"
    after = tuple(step.uid for step in cuts)
    return (*cuts, Step(f"{piece.uid}:twist", "twist", "Twist together", detail, after))


def twisted_mm(piece: Piece) -> int:
    """How long a pair is twisted; none of a cable."""
    return 0 if piece.sheathed else piece.length_mm or 0


def screen_steps(wire: Wire, end: End, tag: str) -> list[tuple[str, str, str]] | None:
    """How a screen is parted from its cable at an end; None for any other wire."""
    if wire.link.core != SCREEN:
        return None
    if end.way_uid is None:
        return [("screen", "Cut back the screen and sleeve it", "it touches nothing here")]
    words = f"unpick it, twist its strands together, sleeve them; tag “{tag}”"
    return [("screen", "Gather the screen", words)]


def piece_place(design: Design, piece: Piece, side: int) -> str:
    """Where a piece ends."""
    for end in piece.ends(side):
        if end.place_uid is not None:
            return design.place[end.place_uid].name
    return "the loose end"


def _mm(length_mm: int | None) -> str:
    return "to length" if length_mm is None else now().tape_words(length_mm)
