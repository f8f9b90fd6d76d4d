"""What waits at the bench until a run has been threaded through its grommet or gland."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from webapp.stages.building.parts import Parts
from webapp.stages.building.steps import EndWork, Step, WireWork
from webapp.stages.design.openings import threadings
from webapp.stages.design.rows import Design, Run
from webapp.stages.design.wires import End, Wire


@dataclass(frozen=True)
class Waits:
    """The uids of the steps to wait for: before an end is made, before a half is filled."""

    before_end: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    before_half: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


def pass_uid(run: Run) -> str:
    return f"{run.uid}:pass"


def waiting(design: Design, parts: Parts, found: Sequence[Wire]) -> Waits:
    """What will not pass a run's grommet or gland waits until that is slid on."""
    ends: dict[str, tuple[str, ...]] = {}
    halves: dict[str, tuple[str, ...]] = {}
    for threading in threadings(design, parts, found):
        uid = pass_uid(threading.run)
        for late in threading.ends:
            ends[late.end.uid] = (*ends.get(late.end.uid, ()), uid)
        for half in threading.halves:
            halves[half.uid] = (*halves.get(half.uid, ()), uid)
    return Waits(ends, halves)


def made_late(design: Design, work: WireWork, waits: Waits) -> WireWork:
    """A wire's steps with those that wait for a grommet or gland."""
    left = _late_end(design, work.left, work.wire.left, waits)
    right = _late_end(design, work.right, work.wire.right, waits)
    halves = tuple(uid for end in work.wire.ends for uid in _before_half(design, end, waits))
    last = tuple(_after(step, halves) for step in work.last)
    return replace(work, left=left, right=right, last=last)


def _late_end(design: Design, work: EndWork, end: End, waits: Waits) -> EndWork:
    steps = list(work.steps)
    wait = waits.before_end.get(end.uid, ())
    if steps and wait:
        words = "only once the run is threaded through: the terminal will not pass"
        detail = f"{steps[0].detail}; {words}" if steps[0].detail else words
        steps[0] = replace(_after(steps[0], wait), detail=detail)
    half = _before_half(design, end, waits)
    steps = [_after(step, half) if step.operation == "insert" else step for step in steps]
    return replace(work, steps=tuple(steps))


def _before_half(design: Design, end: End, waits: Waits) -> tuple[str, ...]:
    if end.way_uid is None:
        return ()
    return waits.before_half.get(design.way[end.way_uid].fitting_uid, ())


def _after(step: Step, more: tuple[str, ...]) -> Step:
    return replace(step, after=tuple(dict.fromkeys((*step.after, *more)))) if more else step
