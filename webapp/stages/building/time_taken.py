"""What the work on units took by their ticks, beside what the workshop's own times say it takes."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from webapp.records.design import Run
from webapp.stages import rates
from webapp.stages.building import times
from webapp.stages.building.times import Span
from webapp.stages.rework import CODE_OF_STEP, PER_METRE

MM_PER_M = 1000
# Enough to say how long things take; older ticks were another workshop's way of working.
OF_LATE = 20_000
TITLES = {
    "cut": "Cut",
    "lay": "Lay in own leads",
    "twist": "Twist pairs",
    "sheath": "Strip sheaths",
    "screen": "Make screens ready",
    "thread": "Thread on and tag",
    "strip": "Strip",
    "crimp": "Crimp",
    "solder": "Solder",
    "shrink": "Shrink",
    "tug": "Tug",
    "insert": "Insert",
    "tag": "Tag loose ends",
    "make": "Make ends",
    "join": "Make splices",
    "assemble": "Assemble plugs",
    "pass": "Slide on grommets and glands",
    "bind": "Bind with masking tape",
    "try": "Try in place",
    "cover": "Cover",
}
# One tick stands for these of the workshop's times together.
TICKED_TOGETHER = {"thread": ("tag", "thread_on")}
Runs = Mapping[tuple[int, str], int]


@dataclass(frozen=True)
class OperationTaken:
    """`timed` of the `done` ticks have a time; `own_s` is what the workshop's times say of those.

    Per metre, `amount` is how many metres the timed ticks were; else their number.
    """

    operation: str
    title: str
    done: int
    timed: int
    taken_s: float
    own_s: float | None
    amount: float

    @property
    def each_s(self) -> float | None:
        return self.taken_s / self.timed if self.timed else None

    @property
    def own_each_s(self) -> float | None:
        return self.own_s / self.timed if self.timed and self.own_s is not None else None


@dataclass(frozen=True)
class PersonTaken:
    person: str
    ticks: int
    taken_s: float


@dataclass(frozen=True)
class Taken:
    """`untimed` entries came after a pause, or were a person's first: their time is not known."""

    operations: tuple[OperationTaken, ...]
    people: tuple[PersonTaken, ...]
    taken_s: float
    untimed: int
    gap_s: int

    @property
    def compared_s(self) -> float:
        """What took as long as this has a time of the workshop's own."""
        return sum(one.taken_s for one in self.operations if one.own_s is not None)

    @property
    def own_s(self) -> float:
        """What the workshop's own times say of the same steps."""
        return sum(one.own_s for one in self.operations if one.own_s is not None)


def of_unit(session: Session, unit_id: int) -> Taken:
    """What one unit took so far."""
    return _taken(session, times.of_units(session, (unit_id,)))


def of_loom(session: Session, loom_id: int) -> Taken:
    """What all units of a loom took so far."""
    return _taken(session, times.of_looms(session, (loom_id,)))


def of_workshop(session: Session) -> Taken:
    """What everything took of late."""
    return _taken(session, times.of_workshop(session, OF_LATE))


def by_unit(session: Session, loom_ids: Iterable[int]) -> dict[int, float]:
    """The whole time of each unit of these looms that has one, by its id. [s]"""
    found: dict[int, float] = {}
    for span in times.of_looms(session, loom_ids):
        if span.seconds is not None:
            unit_id = span.ticked.unit_id
            found[unit_id] = found.get(unit_id, 0.0) + span.seconds
    return found


def _taken(session: Session, spans: Sequence[Span]) -> Taken:
    own = {one.code: one.seconds for one in rates.operations(session)}
    runs = _run_lengths(session, spans)
    by_operation: dict[str, list[Span]] = {}
    by_person: dict[str, list[Span]] = {}
    for span in spans:
        by_operation.setdefault(span.operation, []).append(span)
        by_person.setdefault(span.ticked.person, []).append(span)
    known = [name for name in TITLES if name in by_operation]
    others = sorted(set(by_operation) - set(known))
    return Taken(
        operations=tuple(
            _operation(name, by_operation[name], own, runs) for name in (*known, *others)
        ),
        people=tuple(
            PersonTaken(person, len(each), _sum(each)) for person, each in sorted(by_person.items())
        ),
        taken_s=_sum(spans),
        untimed=sum(1 for span in spans if span.seconds is None),
        gap_s=times.gap_s(session),
    )


def _sum(spans: Iterable[Span]) -> float:
    return sum(span.seconds or 0.0 for span in spans)


def _operation(
    name: str, spans: Sequence[Span], own: Mapping[str, int], runs: Runs
) -> OperationTaken:
    done = [span for span in spans if span.ticked.state == "done"]
    timed = [span for span in done if span.seconds is not None]
    amount = sum(_amount(span, runs) for span in timed)
    each = _own_s(name, own)
    return OperationTaken(
        operation=name,
        title=TITLES.get(name, name.capitalize()),
        done=len(done),
        timed=len(timed),
        taken_s=_sum(timed),
        own_s=None if each is None else each * amount,
        amount=amount,
    )


def _own_s(operation: str, own: Mapping[str, int]) -> int | None:
    """The workshop's own time for one, or for a metre; None where it has none. [s]"""
    codes = codes_of(operation)
    return sum(own[code] for code in codes) if codes and all(c in own for c in codes) else None


def codes_of(operation: str) -> tuple[str, ...]:
    """The workshop's times that one tick of this operation stands for."""
    if operation in TICKED_TOGETHER:
        return TICKED_TOGETHER[operation]
    code = CODE_OF_STEP.get(operation) or PER_METRE.get(operation)
    return (code,) if code else ()


def _amount(span: Span, runs: Runs) -> float:
    if span.operation not in PER_METRE:
        return 1
    run_uid = span.ticked.step_uid.rsplit(":", 1)[0]
    return runs.get((span.ticked.revision_id, run_uid), 0) / MM_PER_M


def _run_lengths(session: Session, spans: Iterable[Span]) -> Runs:
    """The lengths of the runs that were bound or covered, by revision and uid. [mm]"""
    wanted = {span.ticked.revision_id for span in spans if span.operation in PER_METRE}
    rows = session.execute(
        select(Run.revision_id, Run.uid, Run.length_mm).where(Run.revision_id.in_(wanted))
    )
    return {(revision_id, uid): length_mm or 0 for revision_id, uid, length_mm in rows}


# --- the workshop's times beside what its ticks say -----------------------------------------------


@dataclass(frozen=True)
class Said:
    """What the ticks say of one of the workshop's times. [s]

    `together` names the other time that is ticked with it, in one tick.
    """

    seconds: float
    ticks: int
    together: str = ""


def said_of_times(taken: Taken) -> dict[str, Said]:
    """By the code of the operation's time, for those that ticks say something of."""
    sums: dict[tuple[str, ...], tuple[float, float, int]] = {}
    for one in taken.operations:
        codes = codes_of(one.operation)
        seconds, amount, ticks = sums.get(codes, (0.0, 0.0, 0))
        sums[codes] = (seconds + one.taken_s, amount + one.amount, ticks + one.timed)
    found: dict[str, Said] = {}
    for codes, (seconds, amount, ticks) in sums.items():
        for code in codes if amount else ():
            together = next((other for other in codes if other != code), "")
            # What is threaded on is ticked with the tag, a grommet by itself: more ticks say it.
            if code not in found or found[code].ticks < ticks:
                found[code] = Said(seconds / amount, ticks, together)
    return found
