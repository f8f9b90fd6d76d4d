"""Devices that may ask for pages over the workshop's network, and the codes that pair them."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Moment, now


class Device(Base):
    """A paired tablet, or a browser that a person logged in with; of its token a hash is kept."""

    __tablename__ = "device"
    __table_args__ = (
        CheckConstraint("kind IN ('tablet', 'log-in')", name="kind_known"),
        CheckConstraint(
            "(kind = 'log-in') = (person_id IS NOT NULL)", name="log_in_names_a_person"
        ),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(Text)
    name: Mapped[str] = mapped_column(Text)
    # Whose log-in it is; anybody may tick at a tablet.
    person_id: Mapped[int | None] = mapped_column(ForeignKey("person.id"))
    token_hash: Mapped[str] = mapped_column(Text, unique=True)
    address: Mapped[str] = mapped_column(Text, default="")
    made_at: Mapped[datetime] = mapped_column(Moment, default=now)
    seen_at: Mapped[datetime] = mapped_column(Moment, default=now)
    revoked_at: Mapped[datetime | None] = mapped_column(Moment)


class PairingCode(Base):
    """A code that pairs one tablet, once, until it expires. Only its hash is kept."""

    __tablename__ = "pairing_code"
    id: Mapped[int] = mapped_column(primary_key=True)
    code_hash: Mapped[str] = mapped_column(Text, unique=True)
    name: Mapped[str] = mapped_column(Text)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    made_at: Mapped[datetime] = mapped_column(Moment, default=now)
    expires_at: Mapped[datetime] = mapped_column(Moment)
    used_at: Mapped[datetime | None] = mapped_column(Moment)
    device_id: Mapped[int | None] = mapped_column(ForeignKey("device.id"))
