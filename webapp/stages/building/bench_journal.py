"""The bench journal as people read it: every entry of a unit in words, the newest first."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from webapp.records.bench import Tick, TickMeeting, Unit
from webapp.records.design import Revision
from webapp.records.people import Person
from webapp.stages.building import bench
from webapp.stages.building.meetings import Stated
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.tick_states import WORDS
from webapp.stages.building.units import plan_with
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
    # Of an entry that met another's and is none of the ticks: same or refused.
    met: str = ""

    @property
    def said(self) -> str:
        """What the entry states, in words: on hold, also done, not taken: undone."""
        return _MET[self.met] + WORDS[self.state]


_MET = {"": "", "same": "also ", "refused": "not taken: "}


def journal(session: Session, unit: Unit, plan: WorkPlan) -> list[JournalLine]:
    """Every entry of a unit, the newest first; those that met another's too, and what was ticked
    by earlier revisions."""
    rows = session.execute(
        select(Tick, Person.name)
        .join(Person, Person.id == Tick.person_id)
        .where(Tick.unit_id == unit.id)
        .order_by(Tick.id)
    )
    plans = _Plans(session, unit, plan)
    met = _meetings(session, plans)
    lines: list[JournalLine] = []
    for tick, person in rows:
        # After the tick that it met, and before the first that came after it.
        while met and met[0][0] < tick.id and met[0][1].at < tick.at:
            lines.append(met.pop(0)[1])
        lines.append(_line(plans, tick, person))
    lines += [line for _, line in met]
    return lines[::-1]


def _meetings(session: Session, plans: "_Plans") -> list[tuple[int, JournalLine]]:
    """The entries that met a tick, each with the id of that tick, in their order."""
    theirs = aliased(Person)
    rows = session.execute(
        select(TickMeeting, Tick, Person.name, theirs.initials)
        .join(Tick, Tick.id == TickMeeting.tick_id)
        .join(Person, Person.id == TickMeeting.person_id)
        .join(theirs, theirs.id == Tick.person_id)
        .where(TickMeeting.unit_id == plans.unit.id)
        .order_by(TickMeeting.id)
    )
    return [(tick.id, _met_line(plans, met, tick, *names)) for met, tick, *names in rows]


def _met_line(
    plans: "_Plans", met: TickMeeting, tick: Tick, person: str, theirs: str
) -> JournalLine:
    where, title = plans.step(tick)
    first = Stated(tick.state, tick.note, theirs, tick.device, tick.at)
    words = f"{first.by} had said" + (" it first" if met.outcome == "same" else f": {first.what}")
    return JournalLine(
        at=met.at,
        client_at=met.client_at,
        where=where,
        title=title,
        state=met.state,
        note="; ".join(filter(None, (met.note, words))),
        person=person,
        device=met.device,
        met=met.outcome,
    )


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

    def plan(self, revision_id: int, step_uid: str) -> WorkPlan:
        """Of the unit's depth, or of the other one where that has the step."""
        known = self.known.get(revision_id)
        if known is not None and step_uid in known.by_uid:
            return known
        found = plan_with(self.session, revision_id, self.unit.depth, step_uid)
        return self.known.setdefault(revision_id, found) if known is None else found

    def _where_to_look(self, tick: Tick) -> list[tuple[int, int]]:
        if tick.state != "superseded":
            return [one for one in self.revisions if one[0] == tick.revision_id]
        own = dict(self.revisions)[tick.revision_id]
        return sorted(self.revisions, key=lambda one: (one[1] >= own, -one[1]))

    def step(self, tick: Tick) -> tuple[str, str]:
        """Where the step belongs, and its title. A superseded one as it was when it was done."""
        for revision_id, number in self._where_to_look(tick):
            plan = self.plan(revision_id, tick.step_uid)
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
