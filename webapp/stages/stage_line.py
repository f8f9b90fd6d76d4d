"""Where a loom and its units stand: quote and design belong to the loom, the rest to each unit.

Stage moves are only ever added. A loom's stage, or a unit's, is where its last move led.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.bench import Unit
from webapp.records.design import Revision
from webapp.records.jobs import Loom, StageMove
from webapp.records.quotes import Quote, QuoteEvent
from webapp.stages import journal
from webapp.stages.clock import local_day
from webapp.stages.design.revisions import letter
from webapp.stages.refusals import NotThere, Refused

STAGES = ("quote", "design", "build", "test", "done")
LOOM_STAGES = STAGES[:2]
UNIT_STAGES = STAGES[2:]


@dataclass(frozen=True)
class StageMark:
    """One joint of the stage line: done, now or todo, and a few words under it."""

    stage: str
    title: str
    state: str
    text: str


@dataclass(frozen=True)
class StageLine:
    marks: tuple[StageMark, ...]

    @property
    def at(self) -> StageMark:
        """The stage that is being worked on; the last when nothing is left."""
        return next((mark for mark in self.marks if mark.state != "done"), self.marks[-1])

    @property
    def finished(self) -> bool:
        """Every unit is handed over."""
        return self.marks[-1].state == "done"


@dataclass(frozen=True)
class _Move:
    to_stage: str
    at: datetime


def stage_of_loom(session: Session, loom_id: int) -> str:
    """quote or design."""
    return _last_stage(session, loom_id, None) or LOOM_STAGES[0]


def stage_of_unit(session: Session, unit_id: int) -> str:
    """build, test or done."""
    loom_id = session.scalars(select(Unit.loom_id).where(Unit.id == unit_id)).one()
    return _last_stage(session, loom_id, unit_id) or UNIT_STAGES[0]


def stages_of_units(session: Session, loom_ids: Sequence[int]) -> dict[int, str]:
    """The stage of every unit of these looms."""
    moves = _moves(session, loom_ids)
    return {unit: steps[-1].to_stage for (_, unit), steps in moves.items() if unit is not None}


def move(
    session: Session,
    loom_id: int,
    unit_id: int | None,
    to_stage: str,
    person_id: int,
    reason: str = "",
) -> None:
    """Adds a stage move and its sentence in the journal. The gates are the callers' to ask.

    Raises:
        NotThere: no such loom, or the unit is none of its units.
        Refused: not a stage of a loom (of a unit), not the next one, or back without a reason.
    """
    loom = session.get(Loom, loom_id)
    if loom is None:
        raise NotThere
    name = f"{loom.name[:1].upper()}{loom.name[1:]}"
    if unit_id is not None:
        unit = session.get(Unit, unit_id)
        if unit is None or unit.loom_id != loom_id:
            raise NotThere
        name = f"Unit {unit.serial}"
    stages = LOOM_STAGES if unit_id is None else UNIT_STAGES
    was = _last_stage(session, loom_id, unit_id)
    reason = reason.strip()
    _check_step(stages, was, to_stage, reason)
    session.add(
        StageMove(
            loom_id=loom_id, unit_id=unit_id, to_stage=to_stage, reason=reason, person_id=person_id
        )
    )
    sentence = f"{name} {_moved(stages, was, to_stage)}" + (f": {reason}" if reason else ".")
    journal.write(session, loom.project_id, sentence, person_id, loom_id=loom_id, unit_id=unit_id)
    session.flush()


def _moved(stages: Sequence[str], was: str | None, to_stage: str) -> str:
    if was is None:
        return "is begun"
    if stages.index(to_stage) < stages.index(was):
        return f"went back to {to_stage}"
    return "is done" if to_stage == "done" else f"goes on to {to_stage}"


def _check_step(stages: Sequence[str], was: str | None, to_stage: str, reason: str) -> None:
    if to_stage not in stages:
        raise Refused("stage", f"Choose one of {', '.join(stages)}.")
    at = -1 if was is None else stages.index(was)
    step = stages.index(to_stage) - at
    if step == 0:
        raise Refused("stage", f"It is at {to_stage} already.")
    if step > 1:
        raise Refused("stage", f"It has to pass {stages[at + 1]} first.")
    if step < 0 and not reason:
        raise Refused("reason", f"Say why it goes back to {to_stage}.")


def _last_stage(session: Session, loom_id: int, unit_id: int | None) -> str | None:
    return session.scalar(
        select(StageMove.to_stage)
        .where(StageMove.loom_id == loom_id, StageMove.unit_id.is_(unit_id))
        .order_by(StageMove.id.desc())
        .limit(1)
    )


def of_loom(session: Session, loom_id: int) -> StageLine:
    """The stage line of one loom, all its units together."""
    return of_looms(session, (loom_id,))[loom_id]


def of_looms(session: Session, loom_ids: Iterable[int]) -> dict[int, StageLine]:
    """The stage lines of several looms."""
    ids = tuple(loom_ids)
    moves = _moves(session, ids)
    revisions = _latest_revisions(session, ids)
    quotes = _latest_quotes(session, ids)
    quantities = dict(session.execute(select(Loom.id, Loom.quantity).where(Loom.id.in_(ids))).all())
    lines = {}
    for loom_id in ids:
        own = moves.get((loom_id, None), [])
        units = [steps for (loom, unit), steps in moves.items() if loom == loom_id and unit]
        lines[loom_id] = StageLine(
            (
                _quote_mark(own, quotes.get(loom_id)),
                _design_mark(own, revisions.get(loom_id)),
                *_unit_marks(units, max(quantities[loom_id], len(units))),
            )
        )
    return lines


def of_unit(session: Session, unit_id: int) -> StageLine:
    """The stage line of one unit."""
    unit = session.get(Unit, unit_id)
    if unit is None:
        raise NotThere
    before = of_loom(session, unit.loom_id).marks[:2]
    number = session.scalars(select(Revision.number).where(Revision.id == unit.revision_id)).one()
    design = StageMark("design", "Design", "done", f"revision {letter(number)}")
    steps = _moves(session, (unit.loom_id,)).get((unit.loom_id, unit_id), [])
    at = UNIT_STAGES.index(steps[-1].to_stage) if steps else 0
    marks = []
    for place, stage in enumerate(UNIT_STAGES):
        finished = place < at or stage == steps[-1].to_stage == "done" if steps else False
        state = "done" if finished else "now" if place == at else "todo"
        marks.append(StageMark(stage, stage.title(), state, _unit_text(stage, state, steps)))
    return StageLine((before[0], design, *marks))


def _unit_text(stage: str, state: str, steps: Sequence[_Move]) -> str:
    """When the stage was finished: that is, when the next one began."""
    if state != "done":
        return ""
    next_stage = UNIT_STAGES[min(UNIT_STAGES.index(stage) + 1, 2)]
    finished = [move.at for move in steps if move.to_stage == next_stage]
    words = {"build": "built", "test": "passed", "done": "handed over"}[stage]
    return f"{words} {_short_day(local_day(finished[-1]))}" if finished else words


def _quote_mark(moves: Sequence[_Move], quote: tuple[str, str, date] | None) -> StageMark:
    state = "done" if moves and moves[-1].to_stage != "quote" else "now"
    text = ""
    if quote is not None:
        number, what, day = quote
        text = f"{what} {_short_day(day)}" if what != "issued" else f"{number} issued"
    return StageMark("quote", "Quote", state, text)


def _design_mark(moves: Sequence[_Move], revision: tuple[int, datetime | None] | None) -> StageMark:
    started = bool(moves) and moves[-1].to_stage == "design"
    if revision is None or not started:
        return StageMark("design", "Design", "todo", "")
    number, signed_off_at = revision
    if signed_off_at is None:
        return StageMark("design", "Design", "now", f"revision {letter(number)}")
    day = _short_day(local_day(signed_off_at))
    return StageMark("design", "Design", "done", f"revision {letter(number)}, {day}")


def _unit_marks(units: Sequence[Sequence[_Move]], quantity: int) -> list[StageMark]:
    at = [UNIT_STAGES.index(steps[-1].to_stage) for steps in units]
    marks = []
    for place, stage in enumerate(UNIT_STAGES):
        last = place == len(UNIT_STAGES) - 1
        passed = sum(1 for unit in at if unit > place or (last and unit == place))
        here = any(unit == place for unit in at) and not last
        state = "done" if passed == quantity else "now" if here or (passed and not last) else "todo"
        text = f"{passed} of {quantity}" if passed or here else ""
        marks.append(StageMark(stage, stage.title(), state, text))
    return marks


def _moves(session: Session, loom_ids: Sequence[int]) -> dict[tuple[int, int | None], list[_Move]]:
    found: dict[tuple[int, int | None], list[_Move]] = {}
    rows = session.execute(
        select(StageMove.loom_id, StageMove.unit_id, StageMove.to_stage, StageMove.at)
        .where(StageMove.loom_id.in_(loom_ids))
        .order_by(StageMove.id)
    )
    for loom_id, unit_id, to_stage, at in rows:
        found.setdefault((loom_id, unit_id), []).append(_Move(to_stage, at))
    return found


def _latest_revisions(
    session: Session, loom_ids: Sequence[int]
) -> dict[int, tuple[int, datetime | None]]:
    rows = session.execute(
        select(Revision.loom_id, Revision.number, Revision.signed_off_at)
        .where(Revision.loom_id.in_(loom_ids))
        .order_by(Revision.number)
    )
    return {loom_id: (number, signed_off_at) for loom_id, number, signed_off_at in rows}


def _latest_quotes(session: Session, loom_ids: Sequence[int]) -> dict[int, tuple[str, str, date]]:
    """Of each loom's latest quote, not one of a change: number, what became of it, and when."""
    last_event = (
        select(QuoteEvent.quote_id, func.max(QuoteEvent.id).label("id"))
        .group_by(QuoteEvent.quote_id)
        .subquery()
    )
    rows = session.execute(
        select(Quote.loom_id, Quote.number, Quote.issued_on, QuoteEvent.what, QuoteEvent.at)
        .outerjoin(last_event, last_event.c.quote_id == Quote.id)
        .outerjoin(QuoteEvent, QuoteEvent.id == last_event.c.id)
        .where(Quote.loom_id.in_(loom_ids), Quote.change_from_id.is_(None))
        .order_by(Quote.revision)
    )
    return {
        loom_id: (number, what or "issued", local_day(at) if at else issued_on)
        for loom_id, number, issued_on, what, at in rows
    }


def _short_day(day: date) -> str:
    return f"{day.day} {day:%b}"
