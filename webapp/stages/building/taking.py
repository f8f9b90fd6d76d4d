"""Takes what devices state into the bench journal, or says why not."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.bench import Tick, Unit
from webapp.records.people import Person
from webapp.stages import stage_line
from webapp.stages.building.bench import Answer, Entry, state, waits_for
from webapp.stages.building.steps import Step, WorkPlan
from webapp.stages.building.tick_states import FINISHED, STATED, WANT_A_NOTE
from webapp.stages.building.units import plan_of
from webapp.stages.refusals import NotThere, Refused

LONGEST_NOTE, LONGEST_KEY = 500, 64


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
