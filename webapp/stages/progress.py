"""What tells an open page that something was ticked, read or moved since it was made.

It is asked every second by every page that is open: one statement, on indexes alone, made once.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BindParameter, ScalarSelect, Select, bindparam, func, select
from sqlalchemy.orm import InstrumentedAttribute, Session

from webapp.records.bench import CrimpSetup, CrimpWaiver, Tick, TickMeeting, Unit
from webapp.records.design import Revision
from webapp.records.jobs import JournalEntry, Loom, StageMove
from webapp.records.photos import Photo
from webapp.records.quotes import Quote, QuoteEvent
from webapp.records.testing import Reading


@dataclass(frozen=True)
class Progress:
    """`stages` changes with the stage line, `work` with all that is ticked, read or moved."""

    stages: str
    work: str

    @property
    def mark(self) -> str:
        return f"{self.stages}-{self.work}"


def of_loom(session: Session, loom_id: int) -> Progress:
    """Of one loom with all its units."""
    return _progress(session.execute(OF_LOOM, {"loom": loom_id}).one(), OF_STAGES)


def of_all(session: Session) -> Progress:
    """Of all jobs together."""
    return _progress(session.execute(OF_ALL).one(), len(JOURNALS))


def _progress(numbers: Iterable[int | None], of_stages: int) -> Progress:
    words = [str(number or 0) for number in numbers]
    return Progress(".".join(words[:of_stages]), ".".join(words[of_stages:]))


# --- the statements -------------------------------------------------------------------------------


def _newest(id_: InstrumentedAttribute[int], *where: Any) -> ScalarSelect[Any]:
    """The last entry: the index gives it without reading the others."""
    return select(func.max(id_)).where(*where).scalar_subquery()


def _of_loom() -> tuple[Select[Any], int]:
    loom_id: BindParameter[int] = bindparam("loom")
    decided = _newest(QuoteEvent.id, QuoteEvent.quote_id == Quote.id)
    stages = (
        _newest(StageMove.id, StageMove.loom_id == loom_id),
        _newest(Quote.id, Quote.loom_id == loom_id),
        select(func.max(decided)).where(Quote.loom_id == loom_id).scalar_subquery(),
        select(Loom.version).where(Loom.id == loom_id).scalar_subquery(),
    )
    work = (
        func.count(Unit.id),
        # A unit goes to another revision, or is ticked more finely.
        func.sum(Unit.revision_id),
        func.sum(func.length(Unit.depth)),
        func.max(_newest(Tick.id, Tick.unit_id == Unit.id)),
        func.max(_newest(TickMeeting.id, TickMeeting.unit_id == Unit.id)),
        func.max(_newest(Reading.id, Reading.unit_id == Unit.id)),
        _newest(CrimpSetup.id, CrimpSetup.loom_id == loom_id),
        _newest(
            CrimpWaiver.id,
            CrimpWaiver.crimp_setup_id == CrimpSetup.id,
            CrimpSetup.loom_id == loom_id,
        ),
        _newest(Photo.id, Photo.loom_id == loom_id),
    )
    return select(*stages, *work).where(Unit.loom_id == loom_id), len(stages)


OF_LOOM, OF_STAGES = _of_loom()
JOURNALS = (StageMove.id, JournalEntry.id, Quote.id, QuoteEvent.id, Revision.id)
OF_ALL = select(*(_newest(id_) for id_ in (*JOURNALS, Unit.id, Tick.id, Reading.id)))
