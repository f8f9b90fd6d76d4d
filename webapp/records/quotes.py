"""Quotes. An issued quote is a frozen snapshot; what became of it is a journal."""

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Day, Json, Moment, now


class QuoteTerms(Base):
    """What the next quote of a loom will say; empty figures fall back to the workshop's rates."""

    __tablename__ = "quote_terms"
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), primary_key=True)
    margin_percent: Mapped[float | None]
    discount_percent: Mapped[float | None]
    vat_percent: Mapped[float | None]
    deposit_percent: Mapped[float | None]
    validity_days: Mapped[int | None]
    delivery: Mapped[str] = mapped_column(Text, default="")
    rests_on: Mapped[str] = mapped_column(Text, default="")
    customer_supplies: Mapped[str] = mapped_column(Text, default="")
    not_included: Mapped[str] = mapped_column(Text, default="")
    version: Mapped[int] = mapped_column(default=1)


class QuoteExtra(Base):
    """A line typed on the quote besides the loom itself."""

    __tablename__ = "quote_extra"
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    what: Mapped[str] = mapped_column(Text)
    quantity: Mapped[int] = mapped_column(default=1)
    each_minor: Mapped[int] = mapped_column(default=0)


class Quote(Base):
    """Append-only: an issued quote, whole, as it was issued."""

    __tablename__ = "quote"
    __table_args__ = (UniqueConstraint("loom_id", "revision"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    revision: Mapped[int]
    number: Mapped[str] = mapped_column(Text, unique=True)
    code: Mapped[str] = mapped_column(Text, unique=True)
    issued_on: Mapped[date] = mapped_column(Day)
    valid_until: Mapped[date] = mapped_column(Day)
    total_minor: Mapped[int]
    # For a change asked for later: the signed-off revision that it starts from.
    change_from_id: Mapped[int | None] = mapped_column(ForeignKey("revision.id"))
    # The design that it prices.
    design_revision_id: Mapped[int | None] = mapped_column(ForeignKey("revision.id"))
    # Long, so read only when asked for.
    snapshot: Mapped[Any] = mapped_column(Json, deferred=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)


class QuoteEvent(Base):
    """Append-only: accepted, declined, superseded."""

    __tablename__ = "quote_event"
    id: Mapped[int] = mapped_column(primary_key=True)
    quote_id: Mapped[int] = mapped_column(ForeignKey("quote.id"), index=True)
    what: Mapped[str] = mapped_column(Text)
    by_whom: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(Text, default="")
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)
