"""Terminals against ways, conductors, insulation and current; ways against what is put on them."""

from collections.abc import Callable, Iterator
from functools import partial

from webapp.sizing.plating import SOURCE as PLATING_SOURCE
from webapp.sizing.plating import mating_problem
from webapp.sizing.tables.terminations import RING_HOLES
from webapp.sizing.terminations import FitProblem, terminal_problems
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.choices import terminal_facts
from webapp.stages.design.findings.contacts import larger
from webapp.stages.design.findings.ends import ends_on_ways, outside_mm, terminal_for
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View, change
from webapp.stages.design.rows import Fitting, Way
from webapp.stages.design.wires import End, Wire

# How far a strip length may lie from what the terminal asks: common practice.
STRIP_WITHIN_MM = 0.5


def terminal_given(view: View) -> Iterator[Said]:
    for wire, side, end, contact in ends_on_ways(view):
        made = end.made.terminal_part_uid is not None or wire.link.own_lead
        if contact != "splice" and not made:
            yield Said(
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} has no terminal for "
                f"{view.way_name(end.way_uid or '')} ({contact}).",
                _right_terminal(view, wire, end),
            )


# What the contact is


def _mismatch(part: CatalogPart, contact: str) -> str:
    """Which rule a terminal of another contact breaks: the kind's, or the size's."""
    has = part.text("contact")
    if has == contact:
        return ""
    kind = contact.rpartition(" ")[0]
    return kind if kind in ("tab", "stud") and has.rpartition(" ")[0] == kind else "kind"


def _mismatched(of: str, view: View) -> Iterator[Said]:
    for wire, side, end, contact in ends_on_ways(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        if part is not None and _mismatch(part, contact) == of:
            yield Said(
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} has a terminal for {part.text('contact')} "
                f"and goes to {contact}.",
                _right_terminal(view, wire, end),
            )


# What the terminal takes


def _unfit(of: str, view: View) -> Iterator[Said]:
    for wire, side, end, _ in ends_on_ways(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        if part is None or wire.link.csa_mm2 is None or wire.link.own_lead:
            continue
        for problem in _problems(view, wire, end.uid, part):
            if problem.of == of:
                yield Said(
                    "wire",
                    wire.link.uid,
                    f"The {side} end of wire {wire.number}, {part.name}: {problem.sentence}",
                    _right_terminal(view, wire, end),
                    part.source,
                )


def _problems(view: View, wire: Wire, end_uid: str, part: CatalogPart) -> tuple[FitProblem, ...]:
    """Four rules look at the same problems: each end is held against its terminal once."""
    if end_uid not in view.fit_problems:
        view.fit_problems[end_uid] = terminal_problems(
            terminal_facts(part),
            csa_mm2=wire.link.csa_mm2 or 0.0,
            outside_diameter_mm=outside_mm(view, wire),
            current_a=view.figures.heat_a(wire.link.uid),
        )
    return view.fit_problems[end_uid]


def _right_terminal(view: View, wire: Wire, end: End) -> Mend | None:
    """The one terminal that the stores have for this end."""
    if end.way_uid is None or wire.link.csa_mm2 is None:
        return None
    contact = view.design.way[end.way_uid].contact
    amps = view.figures.heat_a(wire.link.uid)
    part = terminal_for(view, contact, wire.link.csa_mm2, outside_mm(view, wire), amps)
    if part is None or part.uid == end.made.terminal_part_uid:
        return None
    return change(f"Use {part.name}", "wire_end", end.uid, "terminal_part_uid", part.uid)


def platings_mate(view: View) -> Iterator[Said]:
    for wire, side, end, _ in ends_on_ways(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        fitting = view.design.fitting[view.design.way[end.way_uid or ""].fitting_uid]
        other = view.catalogue.get(fitting.part_uid)
        if part is None or other is None:
            continue
        problem = mating_problem(part.text("plating"), other.text("plating"))
        if problem:
            yield Said(
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} in {fitting.name}: {problem}",
            )


def ways_not_crowded(view: View) -> Iterator[Said]:
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        if len(wires) > way.takes:
            numbers = ", ".join(wire.number for wire in wires)
            room = "one wire" if way.takes == 1 else f"{way.takes} wires"
            yield Said(
                "wire",
                wires[-1].link.uid,
                f"{view.way_name(way_uid)} takes {room} and wires {numbers} go to it: move one to "
                f"a free way or join them at a splice.",
                _to_free_way(view, way, wires[-1]),
            )


def _to_free_way(view: View, way: Way, wire: Wire) -> Mend | None:
    """The next free way that does the same: one joined to it inside, or any of a plug."""
    fitting = view.design.fitting[way.fitting_uid]
    end = next(end for end in wire.ends if end.way_uid == way.uid)
    free = [
        other
        for other in view.design.ways_of[fitting.uid]
        if other.uid not in view.on_way and other.contact == way.contact
    ]
    crossing = view.design.crossing.get(end.uid.rpartition(":")[2].rpartition(".")[0])
    if crossing is not None:
        return _to_free_plug_way(view, fitting, free, crossing.uid)
    joints = view.joints
    same = [other for other in free if joints[other.uid] == joints[way.uid]]
    if not same:
        return None
    side = "from" if end.uid.endswith(":from") else "to"
    about = (wire.link.uid, side, same[0].uid)
    return Mend(f"Move wire {wire.number} to way {same[0].label}", action="to way", about=about)


def _to_free_plug_way(
    view: View, fitting: Fitting, free: list[Way], crossing_uid: str
) -> Mend | None:
    """A way that is free in both halves."""
    taken = {
        each.label
        for each in view.design.ways_of.get(fitting.mate_uid or "", ())
        if each.uid in view.on_way
    }
    labels = [each.label for each in free if each.label not in taken]
    half = fitting if fitting.run_uid else view.design.fitting.get(fitting.mate_uid or "")
    if not labels or half is None:
        return None
    about = (crossing_uid, half.uid, labels[0])
    return Mend(f"Move it to way {labels[0]}", action="way of plug", about=about)


def contacts_not_overloaded(view: View) -> Iterator[Said]:
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        amps = max(view.figures.heat_a(wire.link.uid) for wire in wires)
        if way.contact != "splice" and way.max_a is not None and amps > way.max_a * 1.005:
            yield Said(
                "wire",
                wires[0].link.uid,
                f"{view.way_name(way_uid)} carries {way.max_a:g} A at most; {amps:.3g} A pass.",
                larger(view, view.design.fitting[way.fitting_uid], amps),
            )


def strips_right(view: View) -> Iterator[Said]:
    for wire, side, end, _ in ends_on_ways(view):
        part = view.catalogue.get(end.made.terminal_part_uid)
        strip = end.made.strip_mm
        if part is None or strip is None or wire.link.own_lead:
            continue
        wanted = part.number("strip_mm")
        if abs(strip - wanted) > STRIP_WITHIN_MM + 1e-9:
            yield Said(
                "wire",
                wire.link.uid,
                f"The {side} end of wire {wire.number} is stripped {strip:g} mm and "
                f"{part.name} takes {wanted:g} mm.",
                change(f"Strip {wanted:g} mm", "wire_end", end.uid, "strip_mm", wanted),
                part.source,
            )


def _of(find: Callable[[str, View], Iterator[Said]], of: str) -> Callable[[View], Iterator[Said]]:
    return partial(find, of)


_OWN = "the terminal's own figures"

RULES = (
    Rule(
        "missing terminal",
        "error",
        "Every end at a way, splices and the customer's own leads apart, has 1 terminal.",
        COMMON_PRACTICE,
        terminal_given,
    ),
    Rule(
        "terminal does not mate",
        "error",
        "The terminal's contact is of the way's kind: tab, stud, pin or cavity.",
        COMMON_PRACTICE,
        _of(_mismatched, "kind"),
    ),
    Rule(
        "tab size",
        "error",
        "A tab receptacle is of the tab's width in mm: 2.8, 4.8, 6.3 or 9.5.",
        "IEC 61210",
        _of(_mismatched, "tab"),
    ),
    Rule(
        "stud size",
        "error",
        "A ring is made for the stud's thread, M4 to M12: its hole in mm follows it.",
        RING_HOLES.text,
        _of(_mismatched, "stud"),
    ),
    Rule(
        "terminal does not fit",
        "error",
        "The conductor's section in mm² lies in the terminal's range.",
        _OWN,
        _of(_unfit, "conductor"),
    ),
    Rule(
        "insulation does not fit",
        "error",
        "The diameter over the insulation in mm lies in what the terminal's grip takes.",
        _OWN,
        _of(_unfit, "insulation"),
    ),
    Rule(
        "seal does not grip",
        "error",
        "The diameter over the insulation in mm lies in what the terminal's seal grips.",
        _OWN,
        _of(_unfit, "seal"),
    ),
    Rule(
        "terminal overloaded",
        "error",
        "The wire's current in A is at most what the terminal carries.",
        _OWN,
        _of(_unfit, "current"),
    ),
    Rule(
        "strip length",
        "warning",
        f"An end is stripped as its terminal asks, within {STRIP_WITHIN_MM:g} mm.",
        _OWN,
        strips_right,
    ),
    Rule(
        "platings differ",
        "warning",
        "0 contacts of tin on gold, or of bare brass or tin on silver or gold.",
        PLATING_SOURCE,
        platings_mate,
    ),
    Rule(
        "way used twice",
        "error",
        "A way has at most as many wires as it takes: 1, more at studs and splices.",
        COMMON_PRACTICE,
        ways_not_crowded,
    ),
    Rule(
        "contact overloaded",
        "error",
        "The current through a way in A is at most what its part carries.",
        "the part's own figures",
        contacts_not_overloaded,
    ),
)
