"""Units (copies of a loom in a batch) and the bench journal."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Moment, now

TICK_STATES = ("done", "undone", "held", "waived", "superseded", "rework", "scrapped")


class Unit(Base):
    """One copy of a loom, built to one signed-off revision."""

    __tablename__ = "unit"
    __table_args__ = (
        UniqueConstraint("loom_id", "number"),
        CheckConstraint("depth IN ('short', 'full')", name="depth_known"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"))
    number: Mapped[int]
    serial: Mapped[str] = mapped_column(Text, unique=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    depth: Mapped[str] = mapped_column(Text)
    created_at: Mapped[datetime] = mapped_column(Moment, default=now)


class Tick(Base):
    """Append-only. States what is so of one work step; the last entry by `id` holds."""

    __tablename__ = "tick"
    __table_args__ = (
        CheckConstraint(
            "state IN ('done', 'undone', 'held', 'waived', 'superseded', 'rework', 'scrapped')",
            name="state_known",
        ),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"), index=True)
    revision_id: Mapped[int] = mapped_column(ForeignKey("revision.id"))
    step_uid: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text, default="")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    device: Mapped[str] = mapped_column(Text, default="")
    client_at: Mapped[datetime | None] = mapped_column(Moment)
    at: Mapped[datetime] = mapped_column(Moment, default=now)
    # What was measured on the joint itself, where the step asks for it.
    height_mm: Mapped[float | None]
    pull_n: Mapped[float | None]


class TickMeeting(Base):
    """Append-only. An entry that met one which its device had not seen, and was not written.

    outcome is same (both state it: one tick stands) or refused (they differ: the first stands).
    """

    __tablename__ = "tick_meeting"
    __table_args__ = (CheckConstraint("outcome IN ('same', 'refused')", name="outcome_known"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    tick_id: Mapped[int] = mapped_column(ForeignKey("tick.id"))
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"), index=True)
    step_uid: Mapped[str] = mapped_column(Text)
    state: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text, default="")
    outcome: Mapped[str] = mapped_column(Text)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    device: Mapped[str] = mapped_column(Text, default="")
    client_at: Mapped[datetime | None] = mapped_column(Moment)
    at: Mapped[datetime] = mapped_column(Moment, default=now)


class CrimpSetup(Base):
    """Append-only. A tool made ready for one terminal on one conductor; the last one holds.

    Its first-offs, and the crimps measured at the last, are readings that name it.
    """

    __tablename__ = "crimp_setup"
    __table_args__ = (CheckConstraint("length(trim(tool)) > 0", name="tool_given"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    unit_id: Mapped[int] = mapped_column(ForeignKey("unit.id"))
    terminal_uid: Mapped[str] = mapped_column(Text)
    csa_mm2: Mapped[float]
    tool: Mapped[str] = mapped_column(Text)
    die: Mapped[str] = mapped_column(Text, default="")
    wire_lot: Mapped[str] = mapped_column(Text, default="")
    terminal_lot: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)


class CrimpWaiver(Base):
    """Append-only. A set-up that holds without its last measurements, or in spite of them."""

    __tablename__ = "crimp_waiver"
    __table_args__ = (CheckConstraint("length(trim(reason)) > 0", name="reason_given"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    crimp_setup_id: Mapped[int] = mapped_column(ForeignKey("crimp_setup.id"), index=True)
    reason: Mapped[str] = mapped_column(Text)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)
