"""The bench journal as people read it: every entry of a unit in words, the newest first."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.design import Revision
from webapp.records.people import Person
from webapp.stages.building import bench
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.tick_states import WORDS
from webapp.stages.building.units import plan_at
from webapp.stages.design.revisions import letter


@dataclass(frozen=True)
class JournalLine:
    at: datetime
    client_at: datetime | None
    where: str
    title: str
    state: str
    note: str
    person: str
    device: str
    height_mm: float | None = None
    pull_n: float | None = None

    @property
    def said(self) -> str:
        """What the entry states, in words."""
        return WORDS[self.state]


def journal(session: Session, unit: Unit, plan: WorkPlan) -> list[JournalLine]:
    """Every entry of a unit, the newest first. Steps of earlier revisions are there too."""
    rows = session.execute(
        select(Tick, Person.name)
        .join(Person, Person.id == Tick.person_id)
        .where(Tick.unit_id == unit.id)
        .order_by(Tick.id.desc())
    )
    plans = _Plans(session, unit, plan)
    return [_line(plans, tick, person) for tick, person in rows]


class _Plans:
    """Finds a step in the plan that it was ticked by: in its revision's, or an earlier one's."""

    def __init__(self, session: Session, unit: Unit, plan: WorkPlan) -> None:
        self.session, self.unit = session, unit
        self.known = {unit.revision_id: plan}

    @cached_property
    def revisions(self) -> list[tuple[int, int]]:
        """Id and number of the revisions that ticks name, the latest first."""
        rows = self.session.execute(
            select(Revision.id, Revision.number)
            .join(Tick, Tick.revision_id == Revision.id)
            .where(Tick.unit_id == self.unit.id)
            .distinct()
            .order_by(Revision.number.desc())
        )
        return [(revision_id, number) for revision_id, number in rows]

    def plan(self, revision_id: int) -> WorkPlan:
        if revision_id not in self.known:
            self.known[revision_id] = plan_at(self.session, revision_id, self.unit.depth)
        return self.known[revision_id]

    def _where_to_look(self, tick: Tick) -> list[tuple[int, int]]:
        if tick.state != "superseded":
            return [one for one in self.revisions if one[0] == tick.revision_id]
        own = dict(self.revisions)[tick.revision_id]
        return sorted(self.revisions, key=lambda one: (one[1] >= own, -one[1]))

    def step(self, tick: Tick) -> tuple[str, str]:
        """Where the step belongs, and its title. A superseded one as it was when it was done."""
        for revision_id, number in self._where_to_look(tick):
            plan = self.plan(revision_id)
            if tick.step_uid in plan.by_uid:
                of = "" if revision_id == self.unit.revision_id else f" (revision {letter(number)})"
                return plan.place_of[tick.step_uid] + of, plan.by_uid[tick.step_uid].title
        return "no longer in the design", tick.step_uid.rsplit(":", 1)[-1]


def superseded(session: Session, unit: Unit, plan: WorkPlan) -> list[JournalLine]:
    """The ticks that another revision undid and that were not done again since, newest first."""
    standing = bench.state(session, unit.id)
    last = {now.tick_id for now in standing.values() if now.state == "superseded"}
    rows = session.execute(
        select(Tick, Person.name)
        .join(Person, Person.id == Tick.person_id)
        .where(Tick.unit_id == unit.id, Tick.state == "superseded")
        .order_by(Tick.id.desc())
    )
    plans = _Plans(session, unit, plan)
    return [_line(plans, tick, person) for tick, person in rows if tick.id in last]


def _line(plans: _Plans, tick: Tick, person: str) -> JournalLine:
    where, title = plans.step(tick)
    return JournalLine(
        at=tick.at,
        client_at=tick.client_at,
        where=where,
        title=title,
        state=tick.state,
        note=tick.note,
        person=person,
        device=tick.device,
        height_mm=tick.height_mm,
        pull_n=tick.pull_n,
    )
