"""Terminals against ways, conductors, insulation and current; ways against what is put on them."""

from collections.abc import Iterator

from webapp.sizing.conductors import outside_diameter_mm
from webapp.sizing.plating import SOURCE, mating_problem
from webapp.sizing.terminations import terminal_fit
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.findings.finding import Finding, View
from webapp.stages.design.wires import End, Wire


def terminal_given(view: View) -> Iterator[Finding]:
    for wire, side, end, contact in _ends(view):
        if contact != "splice" and end.made.terminal_part_uid is None:
            yield Finding(
                "missing terminal",
                "error",
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} has no terminal for "
                f"{view.way_name(end.way_uid or '')} ({contact}).",
            )


def terminal_mates(view: View) -> Iterator[Finding]:
    for wire, side, end, contact in _ends(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        if part is None:
            continue
        if part.text("contact") != contact:
            yield Finding(
                "terminal does not mate",
                "error",
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} has a terminal for "
                f"{part.text('contact')} and goes to {contact}.",
            )


def terminal_fits(view: View) -> Iterator[Finding]:
    for wire, side, end, _ in _ends(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        if part is None or wire.link.csa_mm2 is None or wire.link.own_lead:
            continue
        problems = terminal_fit(
            terminal_facts(part),
            csa_mm2=wire.link.csa_mm2,
            outside_diameter_mm=_outside_mm(view, wire),
            current_a=view.figures.heat_a(wire.link.uid),
        )
        for problem in problems:
            yield Finding(
                "terminal does not fit",
                "error",
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number}, {part.name}: {problem}",
                part.source or "the terminal's own figures",
            )


def platings_mate(view: View) -> Iterator[Finding]:
    for wire, side, end, _ in _ends(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        fitting = view.design.fitting[view.design.way[end.way_uid or ""].fitting_uid]
        other = view.catalogue.get(fitting.part_uid)
        if part is None or other is None:
            continue
        problem = mating_problem(part.text("plating"), other.text("plating"))
        if problem:
            yield Finding(
                "platings differ",
                "warning",
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} in {fitting.name}: {problem}",
                SOURCE,
            )


def _outside_mm(view: View, wire: Wire) -> float:
    part = view.catalogue.get(wire.link.cable_part_uid)
    if part is not None:
        return part.number("outside_mm")
    conductor = view.figures.conductor(wire.link)
    return outside_diameter_mm(conductor).value if conductor else 0.1


def ways_not_crowded(view: View) -> Iterator[Finding]:
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        if len(wires) > way.takes:
            numbers = ", ".join(wire.number for wire in wires)
            room = "one wire" if way.takes == 1 else f"{way.takes} wires"
            yield Finding(
                "way used twice",
                "error",
                "wire",
                wires[-1].link.uid,
                f"{view.way_name(way_uid)} takes {room} and wires {numbers} go to it: move one to "
                f"a free way or join them at a splice.",
            )


def contacts_not_overloaded(view: View) -> Iterator[Finding]:
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        amps = max(view.figures.heat_a(wire.link.uid) for wire in wires)
        if way.max_a is not None and amps > way.max_a * 1.005:
            yield Finding(
                "contact overloaded",
                "error",
                "wire",
                wires[0].link.uid,
                f"{view.way_name(way_uid)} carries {way.max_a:g} A at most; {amps:.3g} A pass.",
                "the part's own figures",
            )


def _ends(view: View) -> Iterator[tuple[Wire, str, End, str]]:
    for wire in view.wires:
        for side, end in zip(("left", "right"), wire.ends, strict=True):
            if end.way_uid is not None:
                yield wire, side, end, view.design.way[end.way_uid].contact


RULES = (
    terminal_given,
    terminal_mates,
    terminal_fits,
    platings_mate,
    ways_not_crowded,
    contacts_not_overloaded,
)
