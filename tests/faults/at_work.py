"""A loom at the bench in four units, and what four tablets tick of it, over and over."""

from itertools import cycle, islice

from sqlalchemy import Engine

from tests.faults.tablet import Stated
from tests.stages import launch
from tests.stages.launch import Launch
from webapp.database import reading, writing
from webapp.stages.building import units
from webapp.stages.building.steps import Step

UNITS = 4


def put_to_the_bench(engine: Engine) -> Launch:
    with writing(engine) as session:
        made = launch.signed_off(session, quantity=UNITS)
        units.start(session, made.loom_id, made.person_id, "full")
    return made


def wire_steps(engine: Engine, unit_id: int) -> list[Step]:
    """Steps of single wires that wait for nothing else: no set-up, no other wire."""
    with reading(engine) as session:
        plan = units.plan_of(session, units.get(session, unit_id))
    found: dict[str, Step] = {}
    for step in plan:
        by_itself = step.uid[0] == "l" and step.uid[1].isdigit()
        if by_itself and not step.setup and not step.asks and found.keys() >= set(step.after):
            found[step.uid] = step
    return list(found.values())


def share_of(engine: Engine, tablet: int, ticks: int) -> list[Stated]:
    """Two tablets share two units: one has the odd wires of both, the other the even ones.

    Each step is done and, when all are, taken back from the last to the first; then again.
    """
    pair = (1, 2) if tablet < 2 else (3, 4)
    steps = [step.uid for step in wire_steps(engine, pair[0]) if int(step.uid[1]) % 2 == tablet % 2]
    once = [(uid, "done") for uid in steps] + [(uid, "undone") for uid in reversed(steps)]
    both = ((unit_id, uid, state) for uid, state in cycle(once) for unit_id in pair)
    return [Stated(*each) for each in islice(both, ticks)]
