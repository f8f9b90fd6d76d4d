"""Test readings: what was measured on a unit, with what, by whom, when."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Moment, now


class Reading(Base):
    """Append-only. The last reading of an item by `id` holds; a failed one wants a retest."""

    __tablename__ = "reading"
    __table_args__ = (CheckConstraint("result IN ('pass', 'fail')", name="result_known"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"), index=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"))
    item_uid: Mapped[str] = mapped_column(Text)
    kind: Mapped[str] = mapped_column(Text)
    # What was tested and the limit that held, in words, so that the record reads on its own.
    what: Mapped[str] = mapped_column(Text)
    limit_text: Mapped[str] = mapped_column(Text, default="")
    value: Mapped[float | None]
    value_unit: Mapped[str] = mapped_column(Text, default="")
    method: Mapped[str] = mapped_column(Text, default="")
    result: Mapped[str] = mapped_column(Text)
    instrument_id: Mapped[int | None] = mapped_column(ForeignKey("instrument.id"))
    # The instrument's calibration as it stood at the reading.
    instrument_text: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    # The crimp set-up that a first-off, or a crimp measured at the last, belongs to.
    crimp_setup_id: Mapped[int | None] = mapped_column(ForeignKey("crimp_setup.id"), index=True)
    client_at: Mapped[datetime | None] = mapped_column(Moment)
    at: Mapped[datetime] = mapped_column(Moment, default=now)
