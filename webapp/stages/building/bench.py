"""The bench journal: each entry states what is so of one work step. Nothing is ever taken out.

An entry carries a key that the device made, so that the same entry sent twice is one. The order
of the entries by id is the order in which the server took them; the last one of a step holds.
"""

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import TICK_STATES, Tick, Unit
from webapp.records.design import Revision
from webapp.records.people import Person
from webapp.stages import stage_line
from webapp.stages.building.steps import Step, WorkPlan
from webapp.stages.building.units import plan_at, plan_of
from webapp.stages.design.revisions import letter
from webapp.stages.refusals import NotThere, Refused

FINISHED = ("done", "waived")
# Superseded is stated by the app alone, when a unit goes to another revision.
STATED = tuple(state for state in TICK_STATES if state != "superseded")
TAKEN_BACK = ("undone", "superseded")
WANT_A_NOTE = {"held": "Say why it is held.", "waived": "Say why it may be left out."}
LONGEST_NOTE, LONGEST_KEY = 500, 64


@dataclass(frozen=True)
class Entry:
    """What a device states. `revision_id` is the revision that its page was made from."""

    key: str
    step_uid: str
    state: str
    person_id: int
    note: str = ""
    revision_id: int | None = None
    client_at: datetime | None = None


@dataclass(frozen=True)
class Answer:
    """saved, or why not."""

    key: str
    saved: bool
    sentence: str = ""


@dataclass(frozen=True)
class StepState:
    state: str
    note: str
    person: str
    at: datetime
    tick_id: int


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


@dataclass
class _Bench:
    """One unit as it stands while a batch of entries is taken."""

    session: Session
    unit: Unit
    plan: WorkPlan
    states: dict[str, str] = field(default_factory=dict)
    device: str = ""


def append(
    session: Session, unit_id: int, entries: Sequence[Entry], device: str = ""
) -> list[Answer]:
    """Takes each entry on its own; one that is refused does not hold up the others.

    Raises:
        NotThere: no such unit.
    """
    unit = session.get(Unit, unit_id)
    if unit is None:
        raise NotThere
    states = {uid: step.state for uid, step in state(session, unit_id).items()}
    bench = _Bench(session, unit, plan_of(session, unit), states, device.strip()[:80])
    stage = stage_line.stage_of_unit(session, unit_id)
    return [_take(bench, entry, stage) for entry in entries]


def tick(session: Session, unit_id: int, entry: Entry, device: str = "") -> None:
    """One entry, for a form.

    Raises:
        NotThere: no such unit.
        Refused: the entry is not accepted.
    """
    (answer,) = append(session, unit_id, [entry], device)
    if not answer.saved:
        raise Refused("note" if answer.sentence in WANT_A_NOTE.values() else "", answer.sentence)


def _take(bench: _Bench, entry: Entry, stage: str) -> Answer:
    try:
        if not _known_already(bench, entry):
            _check(bench, entry, stage)
            _write(bench, entry)
    except Refused as refused:
        return Answer(entry.key, False, refused.sentence)
    return Answer(entry.key, True)


def _known_already(bench: _Bench, entry: Entry) -> bool:
    if not (8 <= len(entry.key) <= LONGEST_KEY and entry.key.isascii()):
        raise Refused("key", "This entry has no key of its own, so it cannot be told from another.")
    known = bench.session.scalars(select(Tick).where(Tick.key == entry.key)).first()
    if known is None:
        return False
    same = (known.unit_id, known.step_uid, known.state) == (
        bench.unit.id,
        entry.step_uid,
        entry.state,
    )
    if not same:
        raise Refused("key", "Another entry has the same key.")
    return True


def _check(bench: _Bench, entry: Entry, stage: str) -> None:
    note = entry.note.strip()
    if entry.state not in STATED:
        raise Refused("state", "An entry says done, undone, held or waived.")
    if not 0 < entry.person_id < 2**63 or bench.session.get(Person, entry.person_id) is None:
        raise Refused("person", "Choose who is at the bench.")
    if any(unicodedata.category(letter) == "Cs" for letter in note):
        raise Refused("note", "The note has a character that cannot be kept: type it again.")
    if len(note) > LONGEST_NOTE:
        raise Refused("note", f"The note has {len(note)} characters; {LONGEST_NOTE} fit.")
    if stage != "build":
        raise Refused("", f"Unit {bench.unit.serial} is at {stage}: send it back to build first.")
    if entry.revision_id not in (None, bench.unit.revision_id):
        raise Refused(
            "", "The unit went to another revision meanwhile: look at the step again and repeat."
        )
    step = bench.plan.by_uid.get(entry.step_uid)
    if step is None:
        raise Refused("step", "This step is not part of the unit's revision and depth.")
    if entry.state in WANT_A_NOTE and not note:
        raise Refused("note", WANT_A_NOTE[entry.state])
    if not note:
        _check_order(bench, step, entry.state)


def _check_order(bench: _Bench, step: Step, wanted: str) -> None:
    """A note overrides the order, and stays in the journal as the reason."""
    where = bench.plan.place_of[step.uid]
    if wanted == "done" and (missing := waits_for(bench.plan, step, bench.states)):
        named = f"“{missing[0].title}” ({bench.plan.place_of[missing[0].uid]})"
        more = f" and {len(missing) - 1} more" if len(missing) > 1 else ""
        raise Refused(
            "", f"{where}: “{step.title}” comes after {named}{more}. Tick that first, or say why."
        )
    if wanted == "undone" and (later := _done_after(bench, step)):
        raise Refused(
            "",
            f"{where}: “{later[-1].title}” is done and rests on “{step.title}”. "
            "Undo that first, or say why; then both are undone.",
        )


def waits_for(plan: WorkPlan, step: Step, states: dict[str, str]) -> list[Step]:
    """The steps that must be finished before this one."""
    return [plan.by_uid[uid] for uid in step.after if states.get(uid) not in FINISHED]


def _done_after(bench: _Bench, step: Step) -> list[Step]:
    """Finished steps that rest on this one and have to be made anew with it."""
    anew = bench.plan.made_anew_with((step.uid,)) - {step.uid}
    return [
        later
        for later in bench.plan
        if later.uid in anew and bench.states.get(later.uid) in FINISHED
    ]


def _write(bench: _Bench, entry: Entry) -> None:
    step = bench.plan.by_uid[entry.step_uid]
    if entry.state == "undone":
        note = f"because “{step.title}” was undone: {entry.note.strip()}"
        for number, later in enumerate(reversed(_done_after(bench, step))):
            _add(bench, entry, f"{entry.key}/{number}", later.uid, note[:LONGEST_NOTE])
    _add(bench, entry, entry.key, step.uid, entry.note.strip())
    bench.session.flush()


def _add(bench: _Bench, entry: Entry, key: str, step_uid: str, note: str) -> None:
    bench.session.add(
        Tick(
            key=key,
            unit_id=bench.unit.id,
            revision_id=bench.unit.revision_id,
            step_uid=step_uid,
            state=entry.state,
            note=note,
            person_id=entry.person_id,
            device=bench.device,
            client_at=entry.client_at,
        )
    )
    bench.states[step_uid] = entry.state


def state(session: Session, unit_id: int) -> dict[str, StepState]:
    """How each ticked step stands, rebuilt from the journal; undone and superseded ones too."""
    rows = session.execute(
        select(Tick.step_uid, Tick.state, Tick.note, Person.initials, Tick.at, Tick.id)
        .join(Person, Person.id == Tick.person_id)
        .where(Tick.unit_id == unit_id)
        .order_by(Tick.id)
    )
    return {
        uid: StepState(now, note, who, at, tick_id) for uid, now, note, who, at, tick_id in rows
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
    standing = state(session, unit.id)
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
    )


def counts(plan: WorkPlan, states: Iterable[tuple[str, str]]) -> tuple[int, int]:
    """How many steps of the plan are finished, and how many there are."""
    finished = {uid for uid, now in states if now in FINISHED}
    return sum(1 for step in plan if step.uid in finished), len(plan.by_uid)
