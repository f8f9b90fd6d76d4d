"""Wire ends and the terminals that would suit them, as several rules ask for them."""

from collections.abc import Iterator

from webapp.sizing.conductors import outside_diameter_mm
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import choose_terminal
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.cables import insulation_mm
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.findings.finding import View
from webapp.stages.design.wires import End, Wire

SIDES = ("left", "right")


def ends_on_ways(view: View) -> Iterator[tuple[Wire, str, End, str]]:
    """Every end that goes to a way, with the side's name and the way's contact."""
    for wire in view.wires:
        for side, end in zip(SIDES, wire.ends, strict=True):
            if end.way_uid is not None:
                yield wire, side, end, view.design.way[end.way_uid].contact


def outside_mm(view: View, wire: Wire) -> float:
    """Over the insulation of a wire: its cable's, or the usual one of its size. [mm]"""
    part = view.catalogue.get(wire.link.cable_part_uid)
    if part is not None:
        return insulation_mm(part)
    conductor = view.figures.conductor(wire.link)
    return outside_diameter_mm(conductor).value if conductor else 0.1


def terminal_for(
    view: View, contact: str, csa_mm2: float, over_mm: float, current_a: float
) -> CatalogPart | None:
    """The terminal that the stores have for such an end, the smallest that will do."""
    try:
        choice = choose_terminal(
            (terminal_facts(part) for part in view.terminals.get(contact, ())),
            contact=contact,
            csa_mm2=csa_mm2,
            outside_diameter_mm=over_mm,
            current_a=current_a,
        )
    except SizingError:
        return None
    return view.catalogue.get(choice.terminal.uid)


def ends_take(view: View, wires: list[Wire], cable: CatalogPart) -> bool:
    """Whether there are terminals for all ends of these wires when made of another cable."""
    for wire in wires:
        for end in wire.ends:
            contact = view.design.way[end.way_uid].contact if end.way_uid else "splice"
            if contact == "splice":
                continue
            if "terminal_part_uid" in end.made.by_hand:
                return False
            csa, over = cable.number("csa_mm2"), insulation_mm(cable)
            amps = view.figures.heat_a(wire.link.uid)
            if terminal_for(view, contact, csa, over, amps) is None:
                return False
    return True


def end_takes(view: View, wire: Wire, way_uid: str, contact: str) -> bool:
    """Whether a wire's end on a way can go to another contact there."""
    end = next(end for end in wire.ends if end.way_uid == way_uid)
    if contact in ("splice", view.design.way[way_uid].contact):
        return True
    if wire.link.csa_mm2 is None or "terminal_part_uid" in end.made.by_hand:
        return False
    amps = view.figures.heat_a(wire.link.uid)
    over = outside_mm(view, wire)
    return terminal_for(view, contact, wire.link.csa_mm2, over, amps) is not None
