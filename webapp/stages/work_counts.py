"""How often each operation is done on one unit: from the work steps of the bench, so that what is
priced is what is ticked."""

from collections.abc import Sequence
from decimal import Decimal

from webapp.stages.building.loom_steps import NO_COVERING
from webapp.stages.building.parts import has_seal, says_yes
from webapp.stages.building.steps import WorkPlan
from webapp.stages.catalogue import Catalogue
from webapp.stages.design.rows import Run
from webapp.stages.design.wires import End

MM_PER_M = 1000
# The tag that is threaded on has a time of its own; to lay in an own lead is part of the binding.
OPERATION_OF_STEP = {
    "cut": "cut",
    "strip": "strip",
    "crimp": "crimp",
    "solder": "solder",
    "shrink": "shrink",
    "tug": "tug",
    "insert": "insert",
    "join": "splice",
    "assemble": "fit_plug",
    "pass": "thread_on",
    # A sheath is stripped like an end, a screen sleeved like one: common practice.
    "sheath": "strip",
    "screen": "shrink",
}


def metres(length_mm: int) -> Decimal:
    """Exactly."""
    return Decimal(length_mm) / MM_PER_M


def operation_counts(
    catalogue: Catalogue, plan: WorkPlan, used_runs: Sequence[Run], twisted_mm: int = 0
) -> dict[str, Decimal]:
    """By the code of the operation's time: how often, or over how many metres.

    `plan` is one unit's in full depth; `used_runs` are those that a wire lies in; `twisted_mm` is
    the length of all twisted pairs. [mm]
    """
    if not plan.wires:
        return {}
    ends = [end for work in plan.wires for end in work.wire.ends]
    counts = dict.fromkeys(OPERATION_OF_STEP.values(), 0)
    for step in plan:
        if step.operation in OPERATION_OF_STEP:
            counts[OPERATION_OF_STEP[step.operation]] += 1
    counts["thread_on"] += sum(1 for end in ends if _threads_something(catalogue, end))
    covered = [run for run in used_runs if run.covering.lower() not in NO_COVERING]
    return {code: Decimal(count) for code, count in counts.items()} | {
        "tag": Decimal(len(ends)),
        # A metre twisted takes as long as one laid and bound: common practice.
        "bind_per_m": _length_m(used_runs) + metres(twisted_mm),
        "cover_per_m": _length_m(covered),
        "test_per_wire": Decimal(len(plan.wires)),
        "pack": Decimal(1),
    }


def _length_m(runs: Sequence[Run]) -> Decimal:
    return metres(sum(run.length_mm or 0 for run in runs))


def _threads_something(catalogue: Catalogue, end: End) -> bool:
    terminal = catalogue.get(end.made.terminal_part_uid)
    booted = says_yes(terminal, "boot")
    return bool(end.made.shrink_part_uid) or booted or has_seal(terminal)
