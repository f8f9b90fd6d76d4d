"""What another revision asks of a unit: the steps that are new, changed or gone, and the ticks that
it undoes. Pure: two work plans in, plain values out."""

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.stages.building.resting import made_anew_with
from webapp.stages.building.steps import Step, WorkPlan

# States that say something about the work: what a new revision undoes. A step that is to be made or
# cut again is open already.
STANDING = ("done", "waived", "held")
CHANGED, GONE, RESTS = "changed this", "took this out", "changed what this rests on"


@dataclass(frozen=True)
class StepChanges:
    """Between two revisions: the steps that are new, changed (as they are now), or gone."""

    added: tuple[Step, ...]
    changed: tuple[Step, ...]
    gone: tuple[Step, ...]


@dataclass(frozen=True)
class Undone:
    """A step whose tick is undone, as it was when it was ticked: where, why, what was ticked."""

    step: Step
    where: str
    why: str
    state: str


def step_changes(before: WorkPlan, after: WorkPlan) -> StepChanges:
    """How the steps of a unit differ between the plans of two revisions at one depth."""
    old, new = before.by_uid, after.by_uid
    return StepChanges(
        added=tuple(step for uid, step in new.items() if uid not in old),
        changed=tuple(
            step
            for uid, step in new.items()
            if uid in old and (old[uid].title, old[uid].detail) != (step.title, step.detail)
        ),
        gone=tuple(step for uid, step in old.items() if uid not in new),
    )


def undone_steps(
    before: WorkPlan, after: WorkPlan, states: Mapping[str, str]
) -> tuple[Undone, ...]:
    """The ticks that building to `after` undoes, in the order of the work.

    A step that is gone is undone too: should a later revision ask for it again, it is to be done.

    Args:
        states: The state of each ticked step, the last entry of the journal.
    """
    changes = step_changes(before, after)
    changed = {step.uid for step in changes.changed}
    anew = made_anew_with(after, {*changed, *(step.uid for step in changes.added)})
    found = []
    for uid, step in before.by_uid.items():
        if uid not in after.by_uid:
            why = GONE
        elif uid in anew:
            why = CHANGED if uid in changed else RESTS
        else:
            continue
        if states.get(uid) in STANDING:
            found.append(Undone(step, before.place_of[uid], why, states[uid]))
    return tuple(found)
