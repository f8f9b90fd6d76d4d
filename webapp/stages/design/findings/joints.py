"""Studs, crimps, heat-shrink over joints, and the empty cavities of sealed plugs."""

from collections.abc import Iterator, Sequence
from functools import partial

from webapp.sizing.crowding import (
    CRIMP_SOURCE,
    MOST_IN_CRIMP,
    MOST_ON_STUD,
    STUD_ELSEWHERE,
    STUD_SMALL_CRAFT,
    crimp_problem,
)
from webapp.sizing.heat_shrink import choose_least_shrinking, is_tight, passes
from webapp.sizing.reasons import SizingError
from webapp.stages.design.cavities import empty_cavities
from webapp.stages.design.findings.ends import ends_on_ways, outside_mm
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View, change
from webapp.stages.design.rows import Way
from webapp.stages.design.shrinks import heat_shrink_facts, over_and_grips_mm
from webapp.stages.design.wires import End, Wire

SHRINK_SOURCE = "NASA-STD-8739.4 par 9.8.1"


def studs_not_crowded(view: View) -> Iterator[Said]:
    craft = view.design.setting == "craft"
    source = STUD_SMALL_CRAFT if craft else STUD_ELSEWHERE
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        if way.contact.startswith("stud") and len(wires) > MOST_ON_STUD:
            yield Said(
                "fitting",
                way.fitting_uid,
                f"{len(wires)} terminals are on way {way.label}; a stud carries {MOST_ON_STUD}: "
                f"take a bar with more studs.",
                source=source.text,
            )


# Crimps


def crimps_not_crowded(view: View) -> Iterator[Said]:
    for way_uid, wires in view.on_way.items():
        way = view.design.way[way_uid]
        # More wires than a way takes is told by a rule of its own.
        shared = 1 < len(wires) <= way.takes
        if shared and not way.contact.startswith(("stud", "splice")):
            yield from _in_one_terminal(view, way, wires)
    for fitting in view.design.fitting.values():
        part = view.catalogue.get(fitting.part_uid)
        if part is None or fitting.kind != "splice":
            continue
        ways = view.design.ways_of[fitting.uid]
        count = sum(len(view.on_way.get(way.uid, ())) for way in ways)
        takes = sum(plan.takes for plan in part.way_plans)
        if count > takes:
            yield Said(
                "fitting",
                fitting.uid,
                f"{count} wires go into it, and {part.name} is made for {takes}.",
            )


def _in_one_terminal(view: View, way: Way, wires: Sequence[Wire]) -> Iterator[Said]:
    """Wires that share a way which is no stud share its terminal."""
    ends = [end for wire in wires for end in wire.ends if end.way_uid == way.uid]
    parts = (view.catalogue.get(end.made.terminal_part_uid) for end in ends)
    part = next((each for each in parts if each is not None), None)
    sections = [wire.link.csa_mm2 for wire in wires]
    if part is None or None in sections:
        return
    known = [section for section in sections if section is not None]
    problem = crimp_problem(known, takes_max_mm2=part.number("csa_max_mm2"))
    if problem:
        yield Said("fitting", way.fitting_uid, f"Way {way.label}, {part.name}: {problem}")


# Heat-shrink


def shrink_fits(of: str, view: View) -> Iterator[Said]:
    """`of`: pass or grip."""
    in_splice: dict[str, list[float]] = {}
    shrunk = []
    for wire, side, end, contact in ends_on_ways(view):
        spliced = contact == "splice"
        if spliced:
            fitting_uid = view.design.way[end.way_uid or ""].fitting_uid
            in_splice.setdefault(fitting_uid, []).append(outside_mm(view, wire))
        if end.made.shrink_part_uid is not None and wire.link.csa_mm2 is not None:
            shrunk.append((wire, side, end, spliced))
    for wire, side, end, spliced in shrunk:
        fitting_uid = view.design.way[end.way_uid or ""].fitting_uid
        together = in_splice[fitting_uid] if spliced else ()
        over, grips = over_and_grips_mm(outside_mm(view, wire), together)
        part = view.catalogue.get(end.made.shrink_part_uid)
        if part is None:
            continue
        facts = heat_shrink_facts(part)
        if of == "pass" and not passes(facts, over):
            said = f"{part.name} will not pass over {over:.1f} mm"
        elif of == "grip" and not is_tight(facts, grips):
            said = f"{part.name} shrinks to {facts.recovered_mm:g} mm: no grip on {grips:.1f} mm"
        else:
            continue
        where = view.name(fitting_uid) if spliced else f"the {side} end of wire {wire.number}"
        yield Said(
            "wire", wire.link.uid, f"At {where}: {said}.", _right_shrink(view, end, over, grips)
        )


def _right_shrink(view: View, end: End, over_mm: float, grips_mm: float) -> Mend | None:
    sizes = [heat_shrink_facts(part) for part in view.catalogue.kind("heat-shrink")]
    try:
        choice = choose_least_shrinking(sizes, passes_over_mm=over_mm, grips_mm=grips_mm)
    except SizingError:
        return None
    part = view.catalogue.parts[choice.heat_shrink.uid]
    return change(f"Take {part.name}", "wire_end", end.uid, "shrink_part_uid", part.uid)


# Sealed plugs


def cavities_blanked(view: View) -> Iterator[Said]:
    for fitting, empty in empty_cavities(view.design, view.catalogue.parts, view.on_way):
        if fitting.blanked or len(empty) == len(view.design.ways_of[fitting.uid]):
            continue
        labels = ", ".join(way.label for way in empty)
        word = "cavity" if len(empty) == 1 else "cavities"
        yield Said(
            "fitting",
            fitting.uid,
            f"It is sealed and {word} {labels} hold no wire: water comes in unless they are "
            f"blanked.",
            change(f"Blank {word} {labels}", "fitting", fitting.uid, "blanked", True),
        )


RULES = (
    Rule(
        "stud crowded",
        "error",
        f"A stud carries {MOST_ON_STUD} terminals at most.",
        f"{STUD_SMALL_CRAFT.text}; {STUD_ELSEWHERE.text}",
        studs_not_crowded,
    ),
    Rule(
        "crimp crowded",
        "error",
        f"{MOST_IN_CRIMP} wires at most share a terminal, their sections in mm² within its range; "
        f"a splice has as many wires as it is made for.",
        CRIMP_SOURCE,
        crimps_not_crowded,
    ),
    Rule(
        "heat-shrink cannot pass",
        "error",
        "Heat-shrink as supplied is wider in mm than the joint that it goes over.",
        SHRINK_SOURCE,
        partial(shrink_fits, "pass"),
    ),
    Rule(
        "heat-shrink does not grip",
        "warning",
        "Heat-shrink recovered is narrower in mm than the thinnest thing that it must grip.",
        SHRINK_SOURCE,
        partial(shrink_fits, "grip"),
    ),
    Rule(
        "cavities not blanked",
        "warning",
        "0 cavities of a sealed plug are open.",
        COMMON_PRACTICE,
        cavities_blanked,
    ),
)
