"""One unit as it stands while entries are taken: no more is read than what they ask for."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, TickMeeting, Unit
from webapp.records.people import Person
from webapp.stages import stage_line
from webapp.stages.building import crimp_setups
from webapp.stages.building.bench import Entry
from webapp.stages.building.steps import WorkPlan
from webapp.stages.building.tick_states import OPENS
from webapp.stages.building.units import plan_of
from webapp.stages.refusals import NotThere


@dataclass(frozen=True)
class Last:
    """The last tick of a step."""

    id: int
    key: str
    state: str


class AtBench:
    def __init__(
        self, session: Session, unit_id: int, device: str, entries: Sequence[Entry]
    ) -> None:
        """
        Raises:
            NotThere: no such unit.
        """
        unit = session.get(Unit, unit_id)
        if unit is None:
            raise NotThere
        self.session = session
        self.unit = unit
        self.device = device.strip()[:80]
        self.stage = stage_line.stage_of_unit(session, unit_id)
        self.known = _known(session, entries)
        self.last = self._last_of(entries)
        self.states = {uid: last.state for uid, last in self.last.items()}

    def _last_of(self, entries: Sequence[Entry]) -> dict[str, Last]:
        """The last ticks of the unit's steps; of those that are asked about where that is enough,
        as it is unless something is opened with all that rests on it."""
        asked = select(Tick.step_uid, Tick.id, Tick.key, Tick.state).order_by(Tick.id)
        asked = asked.where(Tick.unit_id == self.unit.id)
        if not any(entry.state in OPENS for entry in entries):
            steps = {entry.step_uid for entry in entries}
            known = [self.plan.by_uid[uid] for uid in steps & self.plan.by_uid.keys()]
            needed = {uid for step in known for uid in (step.uid, *step.after)}
            asked = asked.where(Tick.step_uid.in_(needed))
        rows = self.session.execute(asked)
        return {uid: Last(tick_id, key, state) for uid, tick_id, key, state in rows}

    @cached_property
    def plan(self) -> WorkPlan:
        return plan_of(self.session, self.unit)

    @cached_property
    def ready_groups(self) -> set[str]:
        """The crimp set-ups that may be crimped with."""
        return crimp_setups.ready_groups(self.session, self.unit.loom_id)

    @cached_property
    def people(self) -> set[int]:
        return set(self.session.scalars(select(Person.id)))

    def add(self, row: Tick | TickMeeting) -> None:
        """Writes a row at once, so that it has its number."""
        self.session.add(row)
        self.session.flush()
        self.known[row.key] = row
        if isinstance(row, Tick):
            self.last[row.step_uid] = Last(row.id, row.key, row.state)
            self.states[row.step_uid] = row.state


def _known(session: Session, entries: Sequence[Entry]) -> dict[str, Tick | TickMeeting]:
    """What was made of the keys of these entries before."""
    wanted = [entry.key for entry in entries if entry.key.isascii()]
    ticks = session.scalars(select(Tick).where(Tick.key.in_(wanted)))
    met = session.scalars(select(TickMeeting).where(TickMeeting.key.in_(wanted)))
    return {row.key: row for row in (*ticks, *met)}
