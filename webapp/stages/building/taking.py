"""Takes what devices state into the bench journal, or says why not.

Each entry goes the same way: known by its key already? right by itself? does it meet a tick that
its device had not seen? right as the steps stand now? Then it is written, with what it undoes.
"""

from collections.abc import Sequence

from sqlalchemy.orm import Session

from webapp.records.bench import Tick, TickMeeting
from webapp.stages.building import meetings
from webapp.stages.building.at_bench import AtBench
from webapp.stages.building.bench import Answer, Entry
from webapp.stages.building.tick_rules import (
    LONGEST_NOTE,
    check_entry,
    check_key,
    check_order,
    rest_on,
)
from webapp.stages.building.tick_states import OPENS, WANT_A_NOTE
from webapp.stages.refusals import Refused


def append(
    session: Session, unit_id: int, entries: Sequence[Entry], device: str = ""
) -> list[Answer]:
    """Takes each entry on its own; one that is refused does not hold up the others.

    Raises:
        NotThere: no such unit.
    """
    bench = AtBench(session, unit_id, device, entries)
    return [_take(bench, entry) for entry in entries]


def tick(session: Session, unit_id: int, entry: Entry, device: str = "") -> None:
    """One entry, for a form.

    Raises:
        NotThere: no such unit.
        Refused: the entry is not accepted.
    """
    (answer,) = append(session, unit_id, [entry], device)
    if not answer.saved:
        raise Refused("note" if answer.sentence in WANT_A_NOTE.values() else "", answer.sentence)


def _take(bench: AtBench, entry: Entry) -> Answer:
    try:
        check_key(entry.key)
        known = bench.known.get(entry.key)
        if known is not None:
            return _again(bench, entry, known)
        check_entry(bench, entry)
        unseen = meetings.unseen(bench, entry)
        if unseen is not None and not meetings.stands(entry.state, unseen.state):
            return _not_written(bench, entry, unseen.id)
        check_order(bench, entry)
        _write(bench, entry)
    except Refused as refused:
        return Answer(entry.key, False, refused.sentence)
    return meetings.standing(bench, entry, unseen.id if unseen else None)


def _again(bench: AtBench, entry: Entry, known: Tick | TickMeeting) -> Answer:
    """The answer that the same entry got before."""
    same = (known.unit_id, known.step_uid, known.state) == (
        bench.unit.id,
        entry.step_uid,
        entry.state,
    )
    if not same:
        raise Refused("key", "Another entry has the same key.")
    return meetings.known(bench, entry, known)


def _not_written(bench: AtBench, entry: Entry, tick_id: int) -> Answer:
    first = bench.session.get_one(Tick, tick_id)
    row = TickMeeting(
        key=entry.key,
        tick_id=tick_id,
        unit_id=bench.unit.id,
        step_uid=entry.step_uid,
        state=entry.state,
        note=meetings.noted(entry),
        outcome=meetings.outcome(entry.state, first.state),
        person_id=entry.person_id,
        device=bench.device,
        client_at=entry.client_at,
    )
    bench.add(row)
    return meetings.known(bench, entry, row)


def _write(bench: AtBench, entry: Entry) -> None:
    """Writes an entry, after what it undoes."""
    if entry.state in OPENS:
        step = bench.plan.by_uid[entry.step_uid]
        note = f"{_because(bench, entry)}: {entry.note.strip()}"[:LONGEST_NOTE]
        for number, later in enumerate(reversed(rest_on(bench, step))):
            bench.add(_row(bench, entry, f"{entry.key}/{number}", later.uid, "undone", note))
    row = _row(bench, entry, entry.key, entry.step_uid, entry.state, entry.note.strip())
    row.height_mm, row.pull_n = entry.height_mm, entry.pull_n
    bench.add(row)


def _because(bench: AtBench, entry: Entry) -> str:
    title = f"“{bench.plan.by_uid[entry.step_uid].title}”"
    if entry.state == "scrapped":
        return f"because {bench.plan.place_of[entry.step_uid]} was scrapped"
    return f"because {title} " + ("was undone" if entry.state == "undone" else "is made again")


def _row(bench: AtBench, entry: Entry, key: str, step_uid: str, state: str, note: str) -> Tick:
    return Tick(
        key=key,
        unit_id=bench.unit.id,
        revision_id=bench.unit.revision_id,
        step_uid=step_uid,
        state=state,
        note=note,
        person_id=entry.person_id,
        device=bench.device,
        client_at=entry.client_at,
    )
