"""The gate from build to test: every step done, or waived with a reason and a name."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.stages import stage_line
from webapp.stages.building import bench, units
from webapp.stages.building.steps import Step, WorkPlan
from webapp.stages.building.tick_states import FINISHED
from webapp.stages.refusals import Refused


@dataclass(frozen=True)
class Gap:
    """What is missing, in words; `step_uid` is the first step to do about it."""

    sentence: str
    step_uid: str


def gaps(plan: WorkPlan, states: dict[str, bench.StepState]) -> list[Gap]:
    """What keeps the unit from being tested; nothing when the gate is open."""
    found: dict[str, list[Step]] = {}
    for step in plan:
        now = states.get(step.uid)
        if now is None or now.state not in FINISHED:
            found.setdefault(plan.place_of[step.uid], []).append(step)
    return [Gap(_sentence(place, steps, states), steps[0].uid) for place, steps in found.items()]


def _sentence(place: str, steps: list[Step], states: dict[str, bench.StepState]) -> str:
    held = [
        f"{step.title} is held ({states[step.uid].note})"
        for step in steps
        if step.uid in states and states[step.uid].state == "held"
    ]
    titles = ", ".join(step.title for step in steps)
    return f"{place}: not done: {titles}." + "".join(f" {words}." for words in held)


def waived(plan: WorkPlan, states: dict[str, bench.StepState]) -> list[str]:
    """What was left out, why, and who said so."""
    return [
        f"{plan.place_of[step.uid]}: {step.title} left out: {now.note} ({now.person})"
        for step in plan
        if (now := states.get(step.uid)) and now.state == "waived"
    ]


def pass_to_test(session: Session, unit_id: int, person_id: int) -> None:
    """
    Raises:
        NotThere: no such unit.
        Refused: the unit is not at build, or something is not done.
    """
    unit = units.get(session, unit_id)
    missing = gaps(units.plan_of(session, unit), bench.state(session, unit_id))
    if missing:
        raise Refused("", f"{len(missing)} places have work left. {missing[0].sentence}")
    stage_line.move(session, unit.loom_id, unit_id, "test", person_id)
