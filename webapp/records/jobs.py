"""A project (the job), its looms, what the customer handed in, and append-only journals."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Day, Json, Moment, now

NOMINAL_VOLTAGES = (6, 12, 24, 48)
POLARITIES = ("negative earth", "positive earth", "insulated return")
SETTINGS = ("craft", "road vehicle", "plant", "railway", "other")


class Project(Base):
    __tablename__ = "project"
    __table_args__ = (
        CheckConstraint("nominal_v IN (6, 12, 24, 48)", name="voltage_known"),
        CheckConstraint(
            "polarity IN ('negative earth', 'positive earth', 'insulated return')",
            name="polarity_known",
        ),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    number: Mapped[str] = mapped_column(Text, unique=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    customer_id: Mapped[int] = mapped_column(ForeignKey("customer.id"), index=True)
    title: Mapped[str] = mapped_column(Text)
    equipment: Mapped[str] = mapped_column(Text, default="")
    setting: Mapped[str] = mapped_column(Text, default="other")
    nominal_v: Mapped[int]
    polarity: Mapped[str] = mapped_column(Text)
    due_on: Mapped[date | None] = mapped_column(Day)
    notes: Mapped[str] = mapped_column(Text, default="")
    started_from_id: Mapped[int | None] = mapped_column(ForeignKey("project.id"))
    created_at: Mapped[datetime] = mapped_column(Moment, default=now)
    version: Mapped[int] = mapped_column(default=1)


class ReceivedPart(Base):
    """Something of the customer's that came in with the job."""

    __tablename__ = "received_part"
    id: Mapped[int] = mapped_column(primary_key=True)
    project_id: Mapped[int] = mapped_column(ForeignKey("project.id"), index=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    what: Mapped[str] = mapped_column(Text)
    quantity: Mapped[int] = mapped_column(default=1)
    from_whom: Mapped[str] = mapped_column(Text, default="")
    received_on: Mapped[date] = mapped_column(Day)
    condition: Mapped[str] = mapped_column(Text, default="")


class Loom(Base):
    __tablename__ = "loom"
    __table_args__ = (
        UniqueConstraint("project_id", "name"),
        CheckConstraint("quantity BETWEEN 1 AND 999", name="quantity_sensible"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    project_id: Mapped[int] = mapped_column(ForeignKey("project.id"), index=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    name: Mapped[str] = mapped_column(Text)
    quantity: Mapped[int] = mapped_column(default=1)
    version: Mapped[int] = mapped_column(default=1)


class StageMove(Base):
    """Append-only. The stage of a loom, or of a unit, is where its last move led."""

    __tablename__ = "stage_move"
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"), index=True)
    to_stage: Mapped[str] = mapped_column(Text)
    reason: Mapped[str] = mapped_column(Text, default="")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)


class JournalEntry(Base):
    """Append-only: what happened to a project, in plain sentences."""

    __tablename__ = "journal_entry"
    id: Mapped[int] = mapped_column(primary_key=True)
    project_id: Mapped[int] = mapped_column(ForeignKey("project.id"), index=True)
    loom_id: Mapped[int | None] = mapped_column(ForeignKey("loom.id"))
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"))
    sentence: Mapped[str] = mapped_column(Text)
    details: Mapped[Any] = mapped_column(Json, default=None, nullable=True)
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)
