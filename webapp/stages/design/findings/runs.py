"""Runs: bends, coverings, and the grommets and glands that they pass."""

from collections.abc import Iterator

from webapp.sizing.bundle import BEND, choose_sleeve
from webapp.sizing.bundle import bend_radius_mm as least_bend_radius_mm
from webapp.sizing.glands import choose_opening
from webapp.sizing.reasons import SizingError
from webapp.stages.catalogue import CatalogPart
from webapp.stages.design.bundles import (
    opening_facts,
    opening_kind,
    openings,
    over_covering_mm,
    sleeves,
)
from webapp.stages.design.cables import outsides_in_runs
from webapp.stages.design.findings.finding import COMMON_PRACTICE, Mend, Rule, Said, View, change
from webapp.stages.design.openings import threadings
from webapp.stages.design.rows import Run


def bends_wide_enough(view: View) -> Iterator[Said]:
    bent = [run for run in view.design.run.values() if run.bend_radius_mm is not None]
    if not bent:
        return
    outsides = outsides_in_runs(view.design, view.catalogue.parts)
    for run in bent:
        if run.uid not in outsides:
            continue
        least = least_bend_radius_mm(max(outsides[run.uid])).value
        if (run.bend_radius_mm or 0) < least - 0.5:
            where = "" if run.bend_at_mm is None else f" {run.bend_at_mm} mm along"
            yield Said(
                "run",
                run.uid,
                f"It is bent{where} to a radius of {run.bend_radius_mm} mm; its thickest wire or "
                f"cable, {max(outsides[run.uid]):g} mm, asks for {least:.0f} mm.",
            )


# Coverings


def _covered(view: View) -> Iterator[tuple[Run, CatalogPart]]:
    """Each run with wires and the covering chosen for it."""
    for run in view.design.run.values():
        part = view.catalogue.get(run.covering_part_uid)
        if part is not None and run.uid in view.figures.wires_in_run:
            yield run, part


def coverings_go_over(view: View) -> Iterator[Said]:
    for run, part in _covered(view):
        bundle_mm = view.bundles_mm.get(run.uid)
        if bundle_mm is None:
            continue
        most, least = part.number("inside_max_mm"), part.number("inside_min_mm")
        if bundle_mm > most or bundle_mm < least:
            sort = "small" if bundle_mm > most else "large"
            yield Said(
                "run",
                run.uid,
                f"{part.name} is too {sort}: it goes over {least:g} to {most:g} mm, and the "
                f"bundle is {bundle_mm:.1f} mm.",
                right_covering(view, run, part.text("covering")),
            )


def right_covering(view: View, run: Run, covering: str) -> Mend | None:
    """The size of this sort of covering that goes over the run's bundle."""
    bundle_mm = view.bundles_mm.get(run.uid)
    offered = sleeves(view.catalogue, covering, at_c=run.surround_c)
    if bundle_mm is None:
        return None
    try:
        chosen = view.catalogue.get(choose_sleeve(offered, bundle_mm).sleeve.uid)
    except SizingError:
        return None
    if chosen is None:
        return None
    return change(f"Take {chosen.name}", "run", run.uid, "covering_part_uid", chosen.uid)


def coverings_stand_heat(view: View) -> Iterator[Said]:
    for run, part in _covered(view):
        limit_c = part.number("limit_c")
        if run.surround_c > limit_c:
            yield Said(
                "run",
                run.uid,
                f"It is {run.surround_c:g} °C there and {part.name} stands {limit_c:g} °C.",
            )


def coverings_stand_wires(view: View) -> Iterator[Said]:
    for run, part in _covered(view):
        limit_c = part.number("limit_c")
        if run.surround_c > limit_c:
            continue
        hottest = view.figures.hottest_in(run.uid)
        if hottest is not None and hottest[1] > limit_c:
            yield Said(
                "run",
                run.uid,
                f"Wire {hottest[0].number} reaches {hottest[1]:.0f} °C in it and {part.name} "
                f"stands {limit_c:g} °C.",
            )


# Grommets and glands


def openings_chosen(view: View) -> Iterator[Said]:
    for run in view.design.run.values():
        kind = opening_kind(run)
        if kind and run.through_part_uid is None and run.uid in view.figures.wires_in_run:
            sentence = f"It passes a {kind} and no size of it is chosen."
            yield Said("run", run.uid, sentence, _right_opening(view, run, kind))


def _opened(view: View) -> Iterator[tuple[Run, CatalogPart, float]]:
    """Each run with its grommet or gland, and how thick the run is there. [mm]"""
    for run in view.design.run.values():
        part = view.catalogue.get(run.through_part_uid)
        bundle_mm = view.bundles_mm.get(run.uid) if part is not None else None
        if part is not None and bundle_mm is not None:
            yield run, part, over_covering_mm(run, bundle_mm, view.catalogue)


def openings_large_enough(view: View) -> Iterator[Said]:
    for run, part, over_mm in _opened(view):
        most = opening_facts(part).holds_max_mm
        if over_mm > most:
            yield Said(
                "run",
                run.uid,
                f"{part.name} takes {most:g} mm and the run is {over_mm:.1f} mm over its covering.",
                _right_opening(view, run, part.kind),
            )


def glands_clamp(view: View) -> Iterator[Said]:
    for run, part, over_mm in _opened(view):
        least = opening_facts(part).holds_min_mm
        if over_mm < least:
            yield Said(
                "run",
                run.uid,
                f"{part.name} clamps from {least:g} mm and the run is {over_mm:.1f} mm over its "
                f"covering: water comes in and nothing holds the loom.",
                _right_opening(view, run, part.kind),
            )


def openings_stand_heat(view: View) -> Iterator[Said]:
    for run, part, _ in _opened(view):
        limit_c = part.number("limit_c")
        if run.surround_c > limit_c:
            yield Said(
                "run",
                run.uid,
                f"It is {run.surround_c:g} °C there and {part.name} stands {limit_c:g} °C.",
            )


def _right_opening(view: View, run: Run, kind: str) -> Mend | None:
    bundle_mm = view.bundles_mm.get(run.uid)
    if bundle_mm is None:
        return None
    over_mm = over_covering_mm(run, bundle_mm, view.catalogue)
    offered = openings(view.catalogue, kind, at_c=run.surround_c)
    try:
        chosen = view.catalogue.get(choose_opening(offered, over_mm).opening.uid)
    except SizingError:
        return None
    if chosen is None:
        return None
    return change(f"Take {chosen.name}", "run", run.uid, "through_part_uid", chosen.uid)


def ends_pass(view: View) -> Iterator[Said]:
    for threading in threadings(view.design, view.catalogue.parts, view.wires):
        lets = f"{threading.opening.name} lets {threading.opening.number('passes_mm'):g} mm through"
        by_terminal: dict[str, list[str]] = {}
        for late in threading.ends:
            by_terminal.setdefault(late.terminal.uid, []).append(late.wire.number)
        for uid, numbers in by_terminal.items():
            part = view.catalogue.parts[uid]
            word = "wire" if len(numbers) == 1 else "wires"
            yield Said(
                "run",
                threading.run.uid,
                f"{lets} and {part.name} is {part.number('passes_mm'):g} mm across: fit it to "
                f"{word} {', '.join(numbers)} after threading.",
            )
        for half in threading.halves:
            width = view.catalogue.parts[half.part_uid or ""].number("passes_mm")
            yield Said(
                "run",
                threading.run.uid,
                f"{lets} and {half.name} is {width:g} mm across: put the terminals into it after "
                f"threading.",
            )


RULES = (
    Rule(
        "bend too tight",
        "warning",
        "A bend's radius in mm is at least 10 times the thickest wire or cable in the run.",
        f"{BEND.text}; NASA-STD-8739.4 par 7.3.21 has 10 times for cables of cores, long term",
        bends_wide_enough,
    ),
    Rule(
        "covering does not fit",
        "error",
        "The bundle's diameter in mm lies in what its covering goes over.",
        "the covering's own figures",
        coverings_go_over,
        of_bundles=True,
    ),
    Rule(
        "covering too hot",
        "error",
        "A run's surroundings in °C are at most what its covering stands.",
        "the covering's own figures",
        coverings_stand_heat,
    ),
    Rule(
        "wires too hot for covering",
        "error",
        "0 wires of a run get hotter in °C than its covering stands.",
        "the covering's own figures; temperatures by heat balance",
        coverings_stand_wires,
    ),
    Rule(
        "no grommet chosen",
        "warning",
        "A run that passes a grommet or gland has 1 chosen by its size in mm.",
        COMMON_PRACTICE,
        openings_chosen,
        of_bundles=True,
    ),
    Rule(
        "opening too small",
        "error",
        "The run over its covering in mm is at most a grommet's bore or what a gland clamps.",
        f"the part's own figures; a grommet is not stretched tight: {COMMON_PRACTICE}",
        openings_large_enough,
        of_bundles=True,
    ),
    Rule(
        "gland does not clamp",
        "warning",
        "The run over its covering in mm is at least what the gland clamps.",
        "the gland's own figures",
        glands_clamp,
        of_bundles=True,
    ),
    Rule(
        "opening too hot",
        "error",
        "A run's surroundings in °C are at most what its grommet or gland stands.",
        "the part's own figures",
        openings_stand_heat,
        of_bundles=True,
    ),
    Rule(
        "fit after threading",
        "note",
        "What is fitted before threading is no wider in mm than its grommet or gland lets through.",
        COMMON_PRACTICE,
        ends_pass,
    ),
)
