"""The people of the workshop: every tick, reading and stage move names one of them."""

from typing import Any

from sqlalchemy import CheckConstraint, ForeignKey, Text
from sqlalchemy.orm import Mapped, mapped_column

from webapp.records.base import Base, Flag, Json

ROLES = ("owner", "office", "bench")


class Person(Base):
    __tablename__ = "person"
    __table_args__ = (
        CheckConstraint("role IN ('owner', 'office', 'bench')", name="role_known"),
        CheckConstraint("length(trim(name)) > 0", name="name_given"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str] = mapped_column(Text, unique=True)
    initials: Mapped[str] = mapped_column(Text)
    role: Mapped[str] = mapped_column(Text, default="office")
    active: Mapped[bool] = mapped_column(Flag, default=True)
    # argon2id; empty where the person has no password, and so logs in nowhere.
    password_hash: Mapped[str] = mapped_column(Text, default="")


class TableView(Base):
    """Which columns of a table a person wants to see, in order."""

    __tablename__ = "table_view"
    person_id: Mapped[int] = mapped_column(ForeignKey("person.id"), primary_key=True)
    table_name: Mapped[str] = mapped_column(Text, primary_key=True)
    columns: Mapped[Any] = mapped_column(Json)
