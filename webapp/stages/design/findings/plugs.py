"""Plug and socket halves against each other, and coverings of runs."""

from collections.abc import Iterator

from webapp.sizing.mates import CIRCUIT, COLOUR, EMPTY, NO_WAY, InWay, Unlike, unlike_ways
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View
from webapp.stages.design.findings.runs import right_covering
from webapp.stages.design.rows import Fitting
from webapp.stages.design.warmth import COVERINGS
from webapp.stages.design.wires import Wire, cut_index


def halves_agree(view: View) -> Iterator[Said]:
    """Way by way, a half carries the circuit that its mate carries."""
    for fitting, mate, unlike in _unlike(view):
        here, there = _wire_in(view, fitting, unlike.label), _wire_in(view, mate, unlike.label)
        if unlike.what == CIRCUIT and here and there:
            yield Said(
                "wire",
                here.link.uid,
                f"Way {unlike.label}: wire {here.number} in {fitting.name} meets wire "
                f"{there.number} of another circuit in {mate.name}.",
            )
        elif unlike.what in (EMPTY, NO_WAY) and (wire := here or there):
            full, other = (fitting, mate) if here else (mate, fitting)
            why = (
                f"the same way of {other.name} is empty"
                if unlike.what == EMPTY
                else f"{other.name} has no such way"
            )
            yield Said(
                "wire",
                wire.link.uid,
                f"Way {unlike.label}: wire {wire.number} ends in {full.name}, and {why}.",
            )


def halves_coloured_alike(view: View) -> Iterator[Said]:
    """Which of the two is wrong, only a person can see."""
    for fitting, mate, unlike in _unlike(view):
        here, there = _wire_in(view, fitting, unlike.label), _wire_in(view, mate, unlike.label)
        if unlike.what == COLOUR and here and there:
            yield Said(
                "wire",
                here.link.uid,
                f"Way {unlike.label}: wire {here.number} in {fitting.name} is "
                f"{_colour(here)}, and wire {there.number} in {mate.name} is {_colour(there)}.",
            )


def _colour(wire: Wire) -> str:
    main, tracer = wire.link.main, wire.link.tracer
    return f"{main} with a {tracer} tracer" if tracer else main


def _unlike(view: View) -> Iterator[tuple[Fitting, Fitting, Unlike]]:
    for fitting, mate in _pairs(view):
        for unlike in unlike_ways(_in_ways(view, fitting), _in_ways(view, mate)):
            yield fitting, mate, unlike


def _in_ways(view: View, half: Fitting) -> dict[str, InWay | None]:
    found: dict[str, InWay | None] = {}
    for way in view.design.ways_of[half.uid]:
        wires = view.on_way.get(way.uid)
        found[way.label] = None
        if wires:
            link = wires[0].link
            found[way.label] = InWay(link.circuit_uid, link.main, link.tracer)
    return found


def _wire_in(view: View, half: Fitting, label: str) -> Wire | None:
    for way in view.design.ways_of[half.uid]:
        if way.label == label:
            return next(iter(view.on_way.get(way.uid, ())), None)
    return None


def _pairs(view: View) -> Iterator[tuple[Fitting, Fitting]]:
    for fitting in view.design.fitting.values():
        mate = view.design.fitting.get(fitting.mate_uid or "")
        if mate is not None and fitting.uid < mate.uid:
            yield fitting, mate


def parts_alike(view: View) -> Iterator[Said]:
    for fitting, mate in _pairs(view):
        if fitting.part_uid == mate.part_uid:
            continue
        yield Said(
            "fitting",
            fitting.uid,
            f"It is “{_part_name(view, fitting)}” and its mate {mate.name} is "
            f"“{_part_name(view, mate)}”: they do not mate.",
            _part_of_mate(view, fitting, mate) or _part_of_mate(view, mate, fitting),
        )


def _part_name(view: View, fitting: Fitting) -> str:
    part = view.catalogue.get(fitting.part_uid)
    return part.name if part else "no part yet"


def _part_of_mate(view: View, fitting: Fitting, mate: Fitting) -> Mend | None:
    """This half takes the mate's part, where the mate's is given: by the customer, or as this one
    has none, and it has the ways that are used."""
    part = view.catalogue.get(mate.part_uid)
    given = fitting.part_uid is None or (
        mate.supplied_by == "customer" and fitting.supplied_by != "customer"
    )
    if part is None or not given:
        return None
    labels = {str(number) for number in range(1, int(part.number("plug_ways")) + 1)}
    ways = view.design.ways_of[fitting.uid]
    if any(way.label not in labels for way in ways if way.uid in view.on_way):
        return None
    return Mend(
        f"Make {fitting.name} “{part.name}” too", action="part of mate", about=(fitting.uid,)
    )


def mates_named(view: View) -> Iterator[Said]:
    for fitting in view.design.fitting.values():
        if fitting.kind in ("plug", "socket") and fitting.mate_uid is None:
            yield Said(
                "fitting",
                fitting.uid,
                f"{fitting.name} mates with something outside this loom: check its ways there.",
            )


def crossings_on_route(view: View) -> Iterator[Said]:
    for crossing in view.design.crossing.values():
        link = view.design.link[crossing.link_uid]
        if cut_index(view.design, link, crossing) is None:
            half = view.design.fitting[view.design.way[crossing.way_a_uid].fitting_uid]
            yield Said(
                "wire",
                link.uid,
                f"It has a way in {half.name}, and its route does not pass there.",
            )


def spare_ways(view: View) -> Iterator[Said]:
    for fitting, _ in _pairs(view):
        ways = view.design.ways_of[fitting.uid]
        free = [way.label for way in ways if way.uid not in view.on_way]
        if free:
            yield Said(
                "fitting",
                fitting.uid,
                f"{len(ways) - len(free)} of {len(ways)} ways used; spare: {', '.join(free)}.",
            )


def runs_covered(view: View) -> Iterator[Said]:
    used = {run_uid for wire in view.wires for run_uid in wire.route or ()}
    for run in view.design.run.values():
        wanted = COVERINGS.get(run.covering.strip().lower())
        if run.uid in used and wanted != "none" and run.covering_part_uid is None:
            yield Said(
                "run",
                run.uid,
                f"It should have {run.covering} and no size of it is chosen.",
                right_covering(view, run, run.covering.strip()),
            )


def runs_used(view: View) -> Iterator[Said]:
    used = {run_uid for wire in view.wires for run_uid in wire.route or ()}
    if not view.design.link:
        return
    for run in view.design.run.values():
        if run.uid not in used:
            yield Said("run", run.uid, "No wire takes this run.")


RULES = (
    Rule(
        "halves differ",
        "error",
        "Each way carries the same 1 circuit in both halves, or is empty in both.",
        COMMON_PRACTICE,
        halves_agree,
    ),
    Rule(
        "halves coloured unlike",
        "warning",
        "Wires that meet in 1 way of a plug and its socket have the same main colour and tracer.",
        COMMON_PRACTICE,
        halves_coloured_alike,
    ),
    Rule(
        "mates unequal",
        "error",
        "Both halves of a plug and socket are of 1 part.",
        COMMON_PRACTICE,
        parts_alike,
    ),
    Rule(
        "no mate",
        "note",
        "Every plug and socket has its 1 mate in the loom, or is checked against what it meets.",
        COMMON_PRACTICE,
        mates_named,
    ),
    Rule(
        "plug off the route",
        "error",
        "A wire's route passes every plug that it has a way in.",
        COMMON_PRACTICE,
        crossings_on_route,
    ),
    Rule(
        "spare ways",
        "note",
        "More than 0 ways of a plug are without a wire.",
        COMMON_PRACTICE,
        spare_ways,
    ),
    Rule(
        "no covering",
        "warning",
        "A run that should be covered has a covering chosen by its size in mm.",
        COMMON_PRACTICE,
        runs_covered,
        of_bundles=True,
    ),
    Rule(
        "run unused",
        "note",
        "At least 1 wire takes each run.",
        COMMON_PRACTICE,
        runs_used,
    ),
)
