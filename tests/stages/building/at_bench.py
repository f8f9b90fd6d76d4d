"""What the tests of the bench share: a unit in a work of its own, and tablets that tick it."""

import secrets
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.stages import launch, passing
from tests.stages.launch import Launch
from webapp.records.bench import Tick
from webapp.records.catalogue import Part
from webapp.stages import people
from webapp.stages.building import bench, taking, units
from webapp.stages.building.bench import Answer, Entry
from webapp.stages.building.steps import WorkPlan

# One end of a wire, down to its joint.
JOINT = ("l4.0:cut", *(f"l4:from:{each}" for each in ("thread", "strip", "crimp", "solder")))


@dataclass
class Tablet:
    """Ticks as one device does it; its keys begin with characters of its own."""

    session: Session
    unit_id: int
    person_id: int
    name: str = "tablet 1"
    head: str = field(default_factory=lambda: secrets.token_hex(6))

    def entry(self, step_uid: str, state: str = "done", note: str = "", **more: Any) -> Entry:
        key = self.head + secrets.token_hex(10)
        return Entry(key, step_uid, state, self.person_id, note, **more)

    def send(self, *entries: Entry) -> list[Answer]:
        return taking.append(self.session, self.unit_id, entries, self.name)

    def say(self, step_uid: str, state: str = "done", note: str = "", **more: Any) -> Answer:
        (answer,) = self.send(self.entry(step_uid, state, note, **more))
        return answer

    def done(self, *step_uids: str) -> None:
        answers = self.send(*(self.entry(uid) for uid in step_uids))
        assert all(answer.saved for answer in answers), answers

    def last(self, step_uid: str) -> int:
        """What a device that has just looked knows of a step."""
        return bench.state(self.session, self.unit_id)[step_uid].tick_id


def states(session: Session, unit_id: int) -> dict[str, str]:
    return {uid: step.state for uid, step in bench.state(session, unit_id).items()}


def ticks(session: Session) -> int:
    return len(session.scalars(select(Tick.id)).all())


def plan_of(session: Session, unit_id: int) -> WorkPlan:
    return units.plan_of(session, units.get(session, unit_id))


def begin(session: Session, depth: str = "full") -> tuple[Launch, int]:
    """A launch signed off, its first unit, with every crimp tool set up."""
    loom = launch.signed_off(session)
    unit_id = units.start(session, loom.loom_id, loom.person_id, depth)[0]
    passing.set_up_crimps(session, loom, unit_id)
    return loom, unit_id


def second_person(session: Session) -> int:
    return people.add(session, name="Jo Stone", initials="JS", role="bench")


def measure_each(session: Session, terminal_uid: str, wanted: str) -> None:
    part = session.get_one(Part, terminal_uid)
    part.facts = {**part.facts, "measure_each": wanted}
    part.version += 1
    session.flush()
