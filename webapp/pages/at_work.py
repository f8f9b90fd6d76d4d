"""Who works on what: the bench lists that are open, and else the last tick of the last minutes."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session
from starlette.requests import Request

from webapp.pages.presence import AtBench, Presence
from webapp.records.base import now
from webapp.stages.building import units
from webapp.stages.building.at_work import LastTick, last_ticks


@dataclass(frozen=True)
class Worker:
    """`at` is what the bench list shows, or else where the last tick was; `ticked_at` its time."""

    person: str
    loom_id: int
    unit_id: int
    unit: int
    at: str
    ticked_at: datetime | None

    @property
    def ticked_s(self) -> int | None:
        """How long ago that was. [s]"""
        return None if self.ticked_at is None else int((now() - self.ticked_at).total_seconds())


@dataclass(frozen=True)
class AtWork:
    """`mark` changes when somebody begins, turns to something else, or goes."""

    workers: tuple[Worker, ...]
    mark: str

    def of_loom(self, loom_id: int) -> tuple[Worker, ...]:
        return tuple(each for each in self.workers if each.loom_id == loom_id)

    def of_unit(self, unit_id: int) -> tuple[Worker, ...]:
        return tuple(each for each in self.workers if each.unit_id == unit_id)


def at_work(request: Request, session: Session, loom_id: int | None = None) -> AtWork:
    """Who works on one loom now, or on any."""
    benches, ticks = _known(request, session, loom_id)
    ticked = {tick.person_id: tick for tick in ticks}
    there = {bench.person_id for bench in benches}
    workers = [_at_bench(session, bench, ticked.get(bench.person_id)) for bench in benches]
    workers += [_by_tick(session, tick) for tick in ticks if tick.person_id not in there]
    return AtWork(tuple(sorted(workers, key=lambda each: each.person)), _mark(benches, ticks))


def mark(request: Request, session: Session, loom_id: int | None = None) -> str:
    """The mark alone: nothing is looked up for it."""
    return _mark(*_known(request, session, loom_id))


def _known(
    request: Request, session: Session, loom_id: int | None
) -> tuple[Sequence[AtBench], Sequence[LastTick]]:
    presence: Presence = request.app.state.presence
    ticks = last_ticks(session)
    return presence.benches(loom_id), [each for each in ticks if loom_id in (None, each.loom_id)]


def _mark(benches: Sequence[AtBench], ticks: Sequence[LastTick]) -> str:
    """Ticks themselves are in the mark of the work; here counts only who is still at it."""
    who = (tuple(benches), tuple((tick.person_id, tick.unit_id) for tick in ticks))
    return hashlib.sha256(repr(who).encode()).hexdigest()[:12]


def _at_bench(session: Session, bench: AtBench, tick: LastTick | None) -> Worker:
    unit = units.get(session, bench.unit_id)
    own = tick is not None and tick.unit_id == bench.unit_id
    ticked_at = tick.at if tick is not None and own else None
    return Worker(bench.name, bench.loom_id, bench.unit_id, unit.number, bench.at, ticked_at)


def _by_tick(session: Session, tick: LastTick) -> Worker:
    unit = units.get(session, tick.unit_id)
    where = units.plan_of(session, unit).place_of.get(tick.step_uid, "")
    return Worker(tick.person, tick.loom_id, tick.unit_id, unit.number, where, tick.at)
