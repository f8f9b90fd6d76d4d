"""How values are written on every page: numbers, money, dates, plurals, colour letters."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from webapp import convention
from webapp.sizing.conductors import awg_label, awg_to_mm2, nearest_awg


def money(minor: int, currency: str = "£") -> str:
    """170964 -> £1,709.64. A whole number of minor units, hundredths."""
    sign = "−" if minor < 0 else ""
    figures = f"{abs(minor) // 100:,}.{abs(minor) % 100:02d}"
    return f"{sign}{currency}{convention.now().marked(figures)}"


def whole(value: int) -> str:
    """3520 -> 3,520."""
    return number(value, 0)


def number(value: float | Decimal, places: int = 1) -> str:
    """2.449 -> 2.4, halves away from nought; never "-0.0"."""
    return convention.now().number(value, places)


def short(value: float | Decimal, most_places: int = 4) -> str:
    """2.50 -> 2.5 and 10.0 -> 10, for sizes and ratings."""
    return convention.now().short(value, most_places)


def mm(length_mm: float) -> str:
    """A kept length in the workshop's unit, without its mark: 3,520, or 138.58 in inches."""
    return convention.now().length(length_mm)


def with_unit(length_mm: float) -> str:
    """3,520 mm, or 138.58 in."""
    return convention.now().words(length_mm)


def fine_mm(length_mm: float) -> str:
    """A length in tenths of a millimetre, such as a strip length: 6.4, or 0.252 in inches."""
    return convention.now().fine(length_mm)


def tape(length_mm: int) -> str:
    """What is cut by a tape: 3,520, or 138 9/16 (3,520 mm)."""
    return convention.now().tape(length_mm)


def section(csa_mm2: float) -> str:
    """1.5 mm² ≈ AWG 15, or 2.08 mm² = AWG 14 where it is that gauge within a hundredth."""
    gauge = nearest_awg(csa_mm2)
    same = abs(csa_mm2 / awg_to_mm2(gauge) - 1) < 0.01
    return f"{short(csa_mm2)} mm² {'=' if same else '≈'} AWG {awg_label(gauge)}"


def length_unit() -> str:
    """mm or in, for the head of a column."""
    return convention.now().unit


def _as_time(value: date | datetime | str) -> date | datetime:
    if isinstance(value, str):
        value = datetime.fromisoformat(value) if len(value) > 10 else date.fromisoformat(value)
    if isinstance(value, datetime):
        # Times are kept in UTC and shown by the workshop's clock.
        return (value if value.tzinfo else value.replace(tzinfo=UTC)).astimezone()
    return value


def day(value: date | datetime | str) -> str:
    """3 Nov 2026."""
    return convention.now().day(_as_time(value))


def long_day(value: date | datetime | str) -> str:
    """3 November 2026, for papers."""
    return convention.now().long_day(_as_time(value))


def clock(value: datetime | str) -> str:
    """10:14."""
    return f"{_as_time(value):%H:%M}"


def day_and_clock(value: datetime | str) -> str:
    """3 Nov 2026, 10:14."""
    return f"{day(value)}, {clock(value)}"


def ago(seconds: int) -> str:
    """just now, 6 min ago, 2 h ago; static/js/live_parts.js goes on from there."""
    if seconds < 60:
        return "just now"
    return f"{seconds // 60} min ago" if seconds < 3600 else f"{seconds // 3600} h ago"


def duration(seconds: float) -> str:
    """48 s, 12 min, 6 h 16 min: as fine as one says it."""
    if seconds < 59.5:
        return f"{short(round(seconds, 1 if seconds < 10 else 0), 1)} s"
    whole_s = round(seconds)
    if whole_s < 600 and whole_s % 60:
        return f"{whole_s // 60} min {whole_s % 60} s"
    hours, minutes = divmod(round(seconds / 60), 60)
    return f"{hours} h {minutes} min" if hours else f"{minutes} min"


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
    "mm": mm,
    "with_unit": with_unit,
    "fine_mm": fine_mm,
    "tape": tape,
    "section": section,
    "whole": whole,
    "number": number,
    "short": short,
    "day": day,
    "long_day": long_day,
    "clock": clock,
    "day_and_clock": day_and_clock,
    "ago": ago,
    "duration": duration,
    "plural": plural,
}
