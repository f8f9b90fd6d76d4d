"""Test instruments and their calibration. None is removed: readings name them."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.workshop import Instrument
from webapp.stages.editing import merged
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required


@dataclass(frozen=True)
class InstrumentValues:
    name: str
    serial: str = ""
    calibrated_on: date | None = None
    calibration_due_on: date | None = None
    active: bool = True


@dataclass(frozen=True)
class InstrumentRow:
    id: int
    values: InstrumentValues

    def overdue(self, day: date) -> bool:
        """In use, and its calibration has run out by `day`."""
        due = self.values.calibration_due_on
        return self.values.active and due is not None and due < day


def everything(session: Session) -> tuple[InstrumentRow, ...]:
    """All instruments, those in use first, by name."""
    rows = session.scalars(
        select(Instrument).order_by(Instrument.active.desc(), func.lower(Instrument.name))
    )
    return tuple(_as_row(row) for row in rows)


def get(session: Session, instrument_id: int) -> InstrumentRow:
    """One instrument.

    Raises:
        NotThere: no such instrument.
    """
    return _as_row(_row(session, instrument_id))


def add(session: Session, values: InstrumentValues) -> int:
    """Adds an instrument; returns the id.

    Raises:
        Refused: the name is missing or taken, or the dates are the wrong way round.
    """
    row = Instrument()
    _set(session, row, values)
    session.add(row)
    session.flush()
    return row.id


def edit(
    session: Session, instrument_id: int, opened: Mapping[str, Any], typed: Mapping[str, Any]
) -> None:
    """Changes an instrument; values are those of InstrumentValues. Readings keep the calibration
    as it stood.

    Raises:
        NotThere: no such instrument.
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: as `add`.
    """
    row = _row(session, instrument_id)
    result = merged(now=asdict(_as_row(row).values), opened=opened, typed=typed)
    _set(session, row, InstrumentValues(**result))
    session.flush()


def _row(session: Session, instrument_id: int) -> Instrument:
    row = session.get(Instrument, instrument_id)
    if row is None:
        raise NotThere
    return row


def _as_row(row: Instrument) -> InstrumentRow:
    values = InstrumentValues(
        row.name, row.serial, row.calibrated_on, row.calibration_due_on, row.active
    )
    return InstrumentRow(row.id, values)


def _set(session: Session, row: Instrument, values: InstrumentValues) -> None:
    name = required("name", values.name, "a name, such as bench meter")
    with session.no_autoflush:
        other = session.scalar(
            select(Instrument.id).where(func.lower(Instrument.name) == name.lower())
        )
    if other is not None and other != row.id:
        raise Refused("name", f"There is an instrument named {name} already.")
    done, due = values.calibrated_on, values.calibration_due_on
    if done and due and due < done:
        raise Refused("calibration_due_on", "This is before the day of the calibration.")
    for field, value in asdict(values).items():
        setattr(row, field, value)
