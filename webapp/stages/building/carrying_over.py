"""What is ticked in one depth, in the steps of the other. Pure: two plans and their ticks in.

The short depth has one step where the full one has several: an end is made, a wire inserted, a
splice joined. That step is finished when all that it stands for is, and left out when some of it
was. What was taken back in one depth is not finished in the other, however it was ticked before.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from webapp.stages.building.bench import StepState
from webapp.stages.building.steps import OtherWork, Step, WorkPlan
from webapp.stages.building.tick_states import FINISHED, TAKEN_BACK, mark

MARKED = ("held", "rework")


@dataclass(frozen=True)
class Carry:
    """An entry of the journal that says in the new depth what the old one said."""

    step: Step
    state: str
    note: str = ""
    # When the work itself was ticked: it tells the tool that a crimp was made with.
    made_at: datetime | None = None


@dataclass(frozen=True)
class Carried:
    """`left_open` says of which steps only a part is done, and what of them is to do."""

    entries: tuple[Carry, ...]
    left_open: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ticked:
    """How each step stands by its last tick, and the id of the last one that opened it again."""

    states: Mapping[str, StepState]
    opened: Mapping[str, int]

    def finished(self, uid: str) -> bool:
        return uid in self.states and self.states[uid].state in FINISHED

    def opened_since(self, uid: str, tick_id: int) -> bool:
        return self.opened.get(uid, 0) > tick_id


def stands_for(short: WorkPlan, full: WorkPlan) -> dict[str, tuple[Step, ...]]:
    """The steps of the full depth that a step of the short one stands for, where these differ."""
    found: dict[str, tuple[Step, ...]] = {}
    for work, fine in zip(short.wires, full.wires, strict=True):
        for end, fine_end in zip(work.ends, fine.ends, strict=True):
            for step in end.steps:
                found[step.uid] = tuple(_but_inserts(fine_end.steps))
        for step in work.last:
            found[step.uid] = tuple(each for each in fine.steps if each.operation == "insert")
    for other, fine_other in zip(short.others, full.others, strict=True):
        if _is_joint(other):
            found[other.steps[0].uid] = fine_other.steps
    return {uid: steps for uid, steps in found.items() if [s.uid for s in steps] != [uid]}


def _but_inserts(steps: Iterable[Step]) -> Iterator[Step]:
    return (step for step in steps if step.operation != "insert")


def _is_joint(work: OtherWork) -> bool:
    return work.steps[0].operation == "join"


def to_short(short: WorkPlan, full: WorkPlan, ticked: Ticked) -> Carried:
    """What is to be written when a unit goes from full steps to short ones."""
    entries: list[Carry] = []
    left_open: list[str] = []
    for uid, fine in stands_for(short, full).items():
        step = short.by_uid[uid]
        now = ticked.states.get(uid)
        state, note = _together(fine, ticked)
        if state in FINISHED and now is not None and now.state == state:
            continue
        if state:
            entries.append(Carry(step, state, note, _crimped_at(fine, ticked)))
        elif now is not None and now.state in FINISHED:
            entries.append(Carry(step, "undone", _to_do(fine, ticked)))
        if state not in FINISHED and any(ticked.finished(each.uid) for each in fine):
            left_open.append(f"{short.named(uid)}: {_to_do(fine, ticked)}")
    return Carried(tuple(entries), tuple(left_open))


def _together(fine: Iterable[Step], ticked: Ticked) -> tuple[str, str]:
    """The state of several steps as that of one, and its note; no state while they are open."""
    found = [(step, ticked.states.get(step.uid)) for step in fine]
    if not found:
        return "", ""
    if all(now is not None and now.state in FINISHED for _, now in found):
        left_out = [f"{step.title} left out: {now.note}" for step, now in found
                    if now is not None and now.state == "waived"]  # fmt: skip
        return ("waived", "; ".join(left_out)) if left_out else ("done", "")
    for step, now in found:
        if now is not None and now.state in MARKED:
            return now.state, f"{step.title}: {now.note}"
    return "", ""


def _crimped_at(fine: Iterable[Step], ticked: Ticked) -> datetime | None:
    known = (ticked.states.get(step.uid) for step in fine if step.setup)
    return next((now.at for now in known if now is not None), None)


def _to_do(fine: Iterable[Step], ticked: Ticked) -> str:
    """Crimp (make again: it moved), Tug to do"""
    words = []
    for step in fine:
        if not ticked.finished(step.uid):
            now = ticked.states.get(step.uid)
            marked = mark(now.state, now.note) if now is not None else ""
            words.append(step.title + (f" ({marked})" if marked else ""))
    return f"{', '.join(words)} to do"


def to_full(short: WorkPlan, full: WorkPlan, ticked: Ticked) -> Carried:
    """What is to be written when a unit goes from short steps to full ones."""
    entries: dict[str, Carry] = {}
    for uid, fine in stands_for(short, full).items():
        now = ticked.states.get(uid)
        if now is not None:
            for carry in _apart(now, uid, fine, ticked):
                entries[carry.step.uid] = carry
    for step in full:
        if _stale(step, short, entries, ticked):
            why = "what it rests on was opened again meanwhile"
            entries[step.uid] = Carry(step, "undone", why)
    return Carried(tuple(entries[step.uid] for step in full if step.uid in entries))


def _apart(now: StepState, uid: str, fine: tuple[Step, ...], ticked: Ticked) -> Iterator[Carry]:
    """One step's state as that of the several that it stands for."""
    own = [step for step in fine if step.uid != uid]
    if now.state in FINISHED:
        for step in own:
            then = ticked.states.get(step.uid)
            if then is None or then.state not in FINISHED or ticked.opened_since(uid, then.tick_id):
                yield Carry(step, now.state, now.note, now.at)
        return
    if now.state in MARKED and own and own[0] is fine[0]:
        yield Carry(own[0], now.state, now.note)
        own = own[1:]
    if now.state in TAKEN_BACK:
        for step in own:
            if ticked.finished(step.uid) and ticked.states[step.uid].tick_id < now.tick_id:
                yield Carry(step, "undone", now.note)


def _stale(step: Step, short: WorkPlan, entries: Mapping[str, Carry], ticked: Ticked) -> bool:
    """Finished in the full depth before, and what it rests on was opened in the short one."""
    if step.uid in entries or step.uid in short.by_uid or not ticked.finished(step.uid):
        return False
    tick_id = ticked.states[step.uid].tick_id
    return any(
        ticked.opened_since(uid, tick_id) or (uid in entries and entries[uid].state == "undone")
        for uid in step.after
    )
