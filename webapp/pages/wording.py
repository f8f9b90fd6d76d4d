"""How values are written on every page: numbers, money, dates, plurals, colour letters."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any


def money(minor: int, currency: str = "£") -> str:
    """170964 -> £1,709.64. A whole number of minor units, hundredths."""
    sign = "−" if minor < 0 else ""
    return f"{sign}{currency}{abs(minor) // 100:,}.{abs(minor) % 100:02d}"


def whole(value: int) -> str:
    """3520 -> 3,520."""
    return f"{value:,}".replace("-", "−")


def number(value: float | Decimal, places: int = 1) -> str:
    """2.449 -> 2.4, halves away from nought; never "-0.0"."""
    step = Decimal(1).scaleb(-places)
    rounded = Decimal(str(value)).quantize(step, ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded:,f}".replace("-", "−")


def short(value: float | Decimal, most_places: int = 4) -> str:
    """2.50 -> 2.5 and 10.0 -> 10, for sizes and ratings."""
    text = number(value, most_places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def _as_time(value: date | datetime | str) -> date | datetime:
    if isinstance(value, str):
        value = datetime.fromisoformat(value) if len(value) > 10 else date.fromisoformat(value)
    if isinstance(value, datetime):
        # Times are kept in UTC and shown by the workshop's clock.
        return (value if value.tzinfo else value.replace(tzinfo=UTC)).astimezone()
    return value


def day(value: date | datetime | str) -> str:
    """3 Nov 2026."""
    moment = _as_time(value)
    return f"{moment.day} {moment:%b %Y}"


def long_day(value: date | datetime | str) -> str:
    """3 November 2026, for papers."""
    moment = _as_time(value)
    return f"{moment.day} {moment:%B %Y}"


def clock(value: datetime | str) -> str:
    """10:14."""
    return f"{_as_time(value):%H:%M}"


def day_and_clock(value: datetime | str) -> str:
    """3 Nov 2026, 10:14."""
    return f"{day(value)}, {clock(value)}"


def plural(count: int, one: str, many: str | None = None) -> str:
    """1 wire, 47 wires; `many` where an s does not do it."""
    return f"{whole(count)} {one if count == 1 else many or one + 's'}"


def letters(main: str, tracer: str | None = None) -> str:
    """Main colour and tracer as the trade writes them: NR; GN/YE where codes have two letters."""
    if not tracer:
        return main
    return f"{main}{tracer}" if len(main) == len(tracer) == 1 else f"{main}/{tracer}"


FILTERS: dict[str, Callable[..., Any]] = {
    "money": money,
    "mm": whole,
    "whole": whole,
    "number": number,
    "short": short,
    "day": day,
    "long_day": long_day,
    "clock": clock,
    "day_and_clock": day_and_clock,
    "plural": plural,
}
