"""Runs: the stretches of loom between two places, and what lies around them."""

from collections import Counter
from collections.abc import Collection, Iterator
from typing import Any

from webapp.stages.design.names import Names, place_name
from webapp.stages.design.rows import Design, Run

MOST_MM = 1_000_000
MOST_PLUS_MINUS_MM = 10_000
COLDEST_C, HOTTEST_C = -40, 150
MEASURED = ("tape", "string", "drawing", "old loom", "estimate")
THROUGH = ("grommet", "gland")

# The row's uid, the field, and a sentence.
Problem = tuple[str, str, str]


def values(design: Design, run: Run) -> dict[str, Any]:
    """A run as it is typed: places by name."""
    return {
        "from_place": place_name(design, run.from_place_uid),
        "to_place": place_name(design, run.to_place_uid),
        "length_mm": run.length_mm,
        "plus_minus_mm": run.plus_minus_mm,
        "measured_how": run.measured_how,
        "measured_by": run.measured_by,
        "covering": run.covering,
        "surround_c": run.surround_c,
        "through": run.through,
        "covering_part_uid": run.covering_part_uid,
        "through_part_uid": run.through_part_uid,
        "bend_at_mm": run.bend_at_mm,
        "bend_radius_mm": run.bend_radius_mm,
    }


def columns(changed: dict[str, Any], whole: dict[str, Any], names: Names) -> dict[str, Any]:
    """What the table keeps of what was typed. Left empty: no tolerance, the job's surroundings."""
    kept = dict(changed)
    for end in ("from_place", "to_place"):
        if end in kept:
            kept[f"{end}_uid"] = names.place(kept.pop(end))
    if whole.get("plus_minus_mm") is None:
        kept["plus_minus_mm"] = 0
    if whole.get("surround_c") is None:
        kept["surround_c"] = names.design.basis.ambient_c
    return kept


def problems(design: Design, uids: Collection[str]) -> Iterator[Problem]:
    """What is wrong with these runs in the design as it would be."""
    joined = Counter(_ends(run) for run in design.run.values())
    for uid in uids:
        run = design.run[uid]
        if run.from_place_uid == run.to_place_uid:
            yield uid, "to_place", "Both ends are the same: a run goes from one place to another."
        elif joined[_ends(run)] > 1:
            yield uid, "to_place", "These two places have a run between them already."
        if run.bend_at_mm is not None and run.bend_at_mm > (run.length_mm or MOST_MM):
            yield uid, "bend_at_mm", f"The run is only {run.length_mm:,} mm long."


def _ends(run: Run) -> frozenset[str]:
    return frozenset((run.from_place_uid, run.to_place_uid))


def uses(design: Design, uid: str) -> list[str]:
    """What would be left without its run."""
    found = [f"wire {link.number}" for link in design.link.values() if uid in (link.route or ())]
    found += [f"the plug {item.name}" for item in design.fitting.values() if item.run_uid == uid]
    return found


def name(design: Design, run: Run) -> str:
    """helm to cabin."""
    return f"{place_name(design, run.from_place_uid)} to {place_name(design, run.to_place_uid)}"
