"""Photos kept with a fitting of an old loom, or with a work step of a unit."""

from datetime import datetime

from sqlalchemy import ForeignKey, LargeBinary, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Flag, Moment, now


class Photo(Base):
    """In the database, so that one backup holds all. Always a JPEG that we wrote ourselves."""

    __tablename__ = "photo"
    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(Text, unique=True)
    loom_id: Mapped[int] = mapped_column(ForeignKey("loom.id"), index=True)
    unit_id: Mapped[int | None] = mapped_column(ForeignKey("unit.id"))
    # fitting (its uid) or step (the step's uid).
    about: Mapped[str] = mapped_column(Text)
    about_uid: Mapped[str] = mapped_column(Text)
    note: Mapped[str] = mapped_column(Text, default="")
    width_px: Mapped[int]
    height_px: Mapped[int]
    removed: Mapped[bool] = mapped_column(Flag, default=False)
    jpeg: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"))
    at: Mapped[datetime] = mapped_column(Moment, default=now)
