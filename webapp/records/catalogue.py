"""What the workshop can build with. What only one kind of part has is in `facts`."""

from typing import Any

from sqlalchemy import CheckConstraint, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Flag, Json

PART_KINDS = (
    "cable",
    "cable of cores",
    "terminal",
    "plug and socket",
    "fuse-link",
    "fuse holder",
    "switchgear",
    "bar and stud",
    "splice",
    "in-line part",
    "heat-shrink",
    "covering",
    "grommet",
    "gland",
    "consumable",
    "load",
)


class Part(Base):
    """One thing in the catalogue; `uid` is what designs name."""

    __tablename__ = "part"
    __table_args__ = (CheckConstraint("price_minor >= 0", name="price_not_negative"),)
    uid: Mapped[str] = mapped_column(Text, primary_key=True)
    kind: Mapped[str] = mapped_column(Text, index=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    facts: Mapped[Any] = mapped_column(Json)
    # Price of `price_per` pieces or metres, in the workshop's minor unit.
    price_minor: Mapped[int] = mapped_column(default=0)
    price_per: Mapped[int] = mapped_column(default=1)
    price_unit: Mapped[str] = mapped_column(Text, default="each")
    price_note: Mapped[str] = mapped_column(Text, default="")
    source: Mapped[str] = mapped_column(Text, default="")
    confirmed: Mapped[bool] = mapped_column(Flag, default=False)
    stocked: Mapped[bool] = mapped_column(Flag, default=True)
    version: Mapped[int] = mapped_column(default=1)
