"""The bench journal: each entry states what is so of one work step. Nothing is ever taken out.

An entry carries a key that the device made, so that the same entry sent twice is one. The order
of the entries by id is the order in which the server took them; the last one of a step holds.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick
from webapp.records.people import Person
from webapp.stages.building.steps import Step, WorkPlan
from webapp.stages.building.tick_states import FINISHED, TAKEN_BACK


@dataclass(frozen=True)
class Entry:
    """What a device states.

    `revision_id` is the revision that its page was made from. `seen` is the id of the last tick of
    the step that the device knew: 0 where it knew of none, None where it does not say.
    """

    key: str
    step_uid: str
    state: str
    person_id: int
    note: str = ""
    revision_id: int | None = None
    client_at: datetime | None = None
    height_mm: float | None = None
    pull_n: float | None = None
    seen: int | None = None


@dataclass(frozen=True)
class Answer:
    """Saved, or why not. `told` is what a person should know of an entry that is saved."""

    key: str
    saved: bool
    sentence: str = ""
    told: str = ""


@dataclass(frozen=True)
class StepState:
    state: str
    note: str
    person: str
    at: datetime
    tick_id: int
    height_mm: float | None = None
    pull_n: float | None = None


def waits_for(plan: WorkPlan, step: Step, states: Mapping[str, str]) -> list[Step]:
    """The steps that must be finished before this one."""
    return [plan.by_uid[uid] for uid in step.after if states.get(uid) not in FINISHED]


def state(session: Session, unit_id: int) -> dict[str, StepState]:
    """How each ticked step stands, rebuilt from the journal; those that are open again too."""
    rows = session.execute(
        select(
            Tick.step_uid,
            Tick.state,
            Tick.note,
            Person.initials,
            Tick.at,
            Tick.id,
            Tick.height_mm,
            Tick.pull_n,
        )
        .join(Person, Person.id == Tick.person_id)
        .where(Tick.unit_id == unit_id)
        .order_by(Tick.id)
    )
    return {
        uid: StepState(now, note, who, at, tick_id, height_mm, pull_n)
        for uid, now, note, who, at, tick_id, height_mm, pull_n in rows
    }


def last_standing(session: Session, unit_id: int, person_id: int | None) -> str | None:
    """The step that this person finished last and that still stands: what "undo" takes back."""
    standing = state(session, unit_id)
    rows = session.execute(
        select(Tick.id, Tick.step_uid)
        .where(Tick.unit_id == unit_id, Tick.person_id == person_id)
        .order_by(Tick.id.desc())
    )
    for tick_id, step_uid in rows:
        now = standing[step_uid]
        if now.tick_id == tick_id and now.state not in TAKEN_BACK:
            return str(step_uid)
    return None


def counts(plan: WorkPlan, states: Iterable[tuple[str, str]]) -> tuple[int, int]:
    """How many steps of the plan are finished, and how many there are."""
    finished = {uid for uid, now in states if now in FINISHED}
    return sum(1 for step in plan if step.uid in finished), len(plan.by_uid)
