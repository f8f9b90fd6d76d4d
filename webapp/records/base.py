"""What every table shares: names, column types that STRICT tables accept, moments in UTC."""

import json
from datetime import UTC, date, datetime
from typing import Any

from sqlalchemy import REAL, Dialect, Integer, MetaData, Text
from sqlalchemy.orm import DeclarativeBase
from sqlalchemy.types import TypeDecorator


class Base(DeclarativeBase):
    type_annotation_map = {float: REAL, int: Integer, str: Text}  # noqa: RUF012
    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


class Moment(TypeDecorator[datetime]):
    """A moment, kept as ISO 8601 text in UTC so that text order is time order."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("A moment without a time zone cannot be kept")
        return value.astimezone(UTC).isoformat(timespec="milliseconds")

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        return None if value is None else datetime.fromisoformat(value)


class Day(TypeDecorator[date]):
    """A calendar day, kept as ISO 8601 text."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Dialect) -> date | None:
        return None if value is None else date.fromisoformat(value)


class Flag(TypeDecorator[bool]):
    """Yes or no, kept as 1 or 0."""

    impl = Integer
    cache_ok = True

    def process_bind_param(self, value: bool | None, dialect: Dialect) -> int | None:
        return None if value is None else int(value)

    def process_result_value(self, value: int | None, dialect: Dialect) -> bool | None:
        return None if value is None else bool(value)


class Json(TypeDecorator[Any]):
    """Lists and dictionaries of plain values, kept as text with sorted keys."""

    impl = Text
    cache_ok = True

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        if value is None:
            return None
        return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        return None if value is None else json.loads(value)


def now() -> datetime:
    return datetime.now(UTC)
