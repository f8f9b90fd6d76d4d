"""How the workshop writes lengths, numbers and dates.

`pages/deps.py` sets the workshop's convention for as long as a request lasts; pages and papers
ask `now()`. What is kept stays in whole millimetres, plain numbers and ISO days.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

MM_PER_INCH = Decimal("25.4")  # exact: the international yard and pound agreement of 1959
SIXTEENTHS = 16
LENGTH_UNITS = ("mm", "inch")
DECIMAL_MARKS = (".", ",")
# Each as it writes the thirteenth of December: no style leaves day and month to a guess.
DATE_STYLES = {
    "13 Dec 2026": "{d} {month:.3} {y}",
    "Dec 13, 2026": "{month:.3} {d}, {y}",
    "13.12.2026": "{d:02}.{m:02}.{y}",
    "2026-12-13": "{y}-{m:02}-{d:02}",
}
LONG_DATES = {"13 Dec 2026": "{d} {month} {y}", "Dec 13, 2026": "{month} {d}, {y}"}
NARROW_BLANK = "\u202f"


@dataclass(frozen=True)
class Convention:
    """The workshop's choice of each."""

    length_unit: str = "mm"
    decimal_mark: str = "."
    date_style: str = "13 Dec 2026"

    @property
    def inches(self) -> bool:
        return self.length_unit == "inch"

    @property
    def unit(self) -> str:
        """The mark after a length: mm or in."""
        return "in" if self.inches else "mm"

    def marked(self, figures: str) -> str:
        """1,709.64 as it is, or as 1 709,64."""
        if self.decimal_mark == ".":
            return figures
        return figures.replace(",", NARROW_BLANK).replace(".", ",")

    def number(self, value: float | Decimal, places: int) -> str:
        """With so many figures after the mark, halves away from nought; never "-0.0"."""
        step = Decimal(1).scaleb(-places)
        rounded = Decimal(str(value)).quantize(step, ROUND_HALF_UP)
        text = f"{abs(rounded) if rounded == 0 else rounded:,f}".replace("-", "−")
        return self.marked(text)

    def short(self, value: float | Decimal, most_places: int) -> str:
        """2.50 as 2.5 and 10.0 as 10."""
        text = self.number(value, most_places)
        mark = self.decimal_mark
        return text.rstrip("0").rstrip(mark) if mark in text else text

    def length(self, length_mm: float) -> str:
        """3,520 in mm; 138.58 in inches: two figures, by which each whole mm is known again."""
        if self.inches:
            return self.number(Decimal(str(length_mm)) / MM_PER_INCH, 2)
        return self.number(length_mm, 0)

    def words(self, length_mm: float) -> str:
        """3,520 mm, or 138.58 in."""
        return f"{self.length(length_mm)} {self.unit}"

    def fine(self, length_mm: float) -> str:
        """A length in tenths of a millimetre, such as a strip length: 6.4, or 0.252 in inches.

        Four figures of an inch, by which each hundredth of a millimetre is known again.
        """
        if self.inches:
            return self.short(Decimal(str(length_mm)) / MM_PER_INCH, 4)
        return self.short(length_mm, 4)

    def tape(self, length_mm: int) -> str:
        """As it is read off a tape: 3,520, or 138 9/16 (3,520 mm)."""
        if not self.inches:
            return self.length(length_mm)
        return f"{self._sixteenths(length_mm)} ({self.number(length_mm, 0)} mm)"

    def tape_words(self, length_mm: int) -> str:
        """3,520 mm, or 138 9/16 in (3,520 mm)."""
        if not self.inches:
            return self.words(length_mm)
        return f"{self._sixteenths(length_mm)} in ({self.number(length_mm, 0)} mm)"

    def _sixteenths(self, length_mm: int) -> str:
        nearest = round(Fraction(length_mm) * 10 / 254 * SIXTEENTHS)
        whole, part = divmod(Fraction(nearest, SIXTEENTHS), 1)
        return " ".join(str(each) for each in (whole, part) if each) or "0"

    def day(self, value: date) -> str:
        """3 Nov 2026, in the workshop's style."""
        return _written(DATE_STYLES[self.date_style], value)

    def long_day(self, value: date) -> str:
        """3 November 2026, where the style has the month in words."""
        return _written(LONG_DATES.get(self.date_style, DATE_STYLES[self.date_style]), value)


PLAIN = Convention()
_CURRENT: ContextVar[Convention] = ContextVar("convention", default=PLAIN)


def now() -> Convention:
    """The convention that holds here."""
    return _CURRENT.get()


def hold(convention: Convention) -> None:
    """Lets a convention hold for the rest of this request."""
    _CURRENT.set(convention)


@contextmanager
def using(convention: Convention) -> Iterator[None]:
    """A convention for a while: a list that comes in says mm in its headings, and means it."""
    token = _CURRENT.set(convention)
    try:
        yield
    finally:
        _CURRENT.reset(token)


def _written(pattern: str, value: date) -> str:
    return pattern.format(d=value.day, m=value.month, y=value.year, month=f"{value:%B}")
