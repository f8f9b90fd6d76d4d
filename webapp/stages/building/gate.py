"""The gate from build to test: every step done, or waived with a reason and a name, and every crimp
set-up borne out by what was measured at the last."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.stages import stage_line
from webapp.stages.building import bench, crimp_standing, units
from webapp.stages.building.steps import Step, WorkPlan
from webapp.stages.building.tick_states import FINISHED, MARKED, WORDS
from webapp.stages.building.units import UnitRow
from webapp.stages.refusals import Refused


@dataclass(frozen=True)
class Gap:
    """What is missing, in words, and where it is done: the first step, or the group of a crimp
    set-up."""

    sentence: str
    step_uid: str = ""
    group: str = ""


def gaps(plan: WorkPlan, states: dict[str, bench.StepState]) -> list[Gap]:
    """What keeps the unit from being tested; nothing when the gate is open."""
    found: dict[str, list[Step]] = {}
    for step in plan:
        now = states.get(step.uid)
        if now is None or now.state not in FINISHED:
            found.setdefault(plan.place_of[step.uid], []).append(step)
    return [Gap(_sentence(place, steps, states), steps[0].uid) for place, steps in found.items()]


def _sentence(place: str, steps: list[Step], states: dict[str, bench.StepState]) -> str:
    said = [
        f"{step.title} is {WORDS[now.state]} ({now.note})"
        for step in steps
        if (now := states.get(step.uid)) and now.state in MARKED
    ]
    titles = ", ".join(step.title for step in steps)
    return f"{place}: not done: {titles}." + "".join(f" {words}." for words in said)


def crimp_gaps(session: Session, unit: Unit | UnitRow) -> list[Gap]:
    """What the crimp set-ups keep the unit for."""
    found = crimp_standing.build_gaps(session, unit)
    return [Gap(gap.sentence, group=gap.group) for gap in found]


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
    if crimps := crimp_gaps(session, unit):
        raise Refused("", crimps[0].sentence)
    stage_line.move(session, unit.loom_id, unit_id, "test", person_id)
