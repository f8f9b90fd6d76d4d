"""Reads what was typed into a form: values where it can, plain sentences where it cannot.

    form = Form(fields)
    form.text("name", "Name", most=80)
    form.mm("length_mm", "Length", least=1)
    if form.errors:
        return render(request, "places/edit.html", status=422, form=form)
    places.add(session, **form.values)

Templates show `form` with the macros of `macros/form.html`: what was typed stays, the error
stands beside its field. A table of rows is a form per row: `for row in form.rows("rows")`;
its fields are called rows-3-name, its errors land in the same `form.errors`. Begin a choice in
a row with an empty option, or name it in `ignore`: else every blank row counts as typed in.
"""

import re
import unicodedata
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from webapp.convention import MM_PER_INCH, NARROW_BLANK, now
from webapp.pages.wording import day, fine_mm, mm, short, whole, with_unit

NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)", re.ASCII)
THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?", re.ASCII)
# 3/8, or 12 3/8: how a tape in inches is read.
FRACTION = re.compile(r"(?:([0-9]{1,6})[ -]+)?([0-9]{1,3})/([0-9]{1,3})", re.ASCII)
DATE_FORMATS = (
    *("%Y-%m-%d", "%d %b %Y", "%d %B %Y"),
    *("%d.%m.%Y", "%b %d, %Y", "%B %d, %Y", "%b %d %Y"),
)
MM_PER = {"mm": Decimal(1), "cm": Decimal(10), "m": Decimal(1000)}
INCHES = {"in": 1, "inch": 1, "inches": 1, '"': 1, "″": 1, "ft": 12, "foot": 12, "feet": 12}
# Composing takes time with the square of how many accents stand on one letter: a few hundred
# kilobytes of them would hold up everybody, so that no more than this are looked at together.
COMPOSED_AT_ONCE = re.compile(r"\S{1,200}")
MOST_DIGITS = 30
MOST_WHOLE = 1_000_000_000
MOST_MM = 1_000_000
MOST_MINOR = 100_000_000_00


class NotReadableError(ValueError):
    """Says what is wrong with what was typed: the sentence that follows the field's label."""


def tidy(text: str) -> str:
    """Composed characters, one kind of line end, no blanks around."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    return COMPOSED_AT_ONCE.sub(lambda found: unicodedata.normalize("NFC", found[0]), lines)


def read_number(text: str, *, commas_group: bool) -> Decimal:
    """A finite number as the workshop writes it: 1.5, −2, 3 520; 1,5 where its mark is a comma.

    `commas_group` takes 3,520 as three thousand. Where a fraction may be meant it must be
    off: 1,500 could then be either, and a guess here sizes a wire; 1,500.5 is clear.
    """
    plain = re.sub(r"[\s\u00a0\u2009\u202f]", "", text).replace("−", "-")
    if now().decimal_mark == ",":
        return _read_with_comma(plain, text)
    if len(plain) > MOST_DIGITS:
        raise NotReadableError("is too long for a number")
    grouped = THOUSANDS.fullmatch(plain)
    if grouped and (commas_group or "." in plain):
        plain = plain.replace(",", "")
    elif grouped:
        either = f"{plain.replace(',', '')} or {plain.replace(',', '.', 1)}"
        raise NotReadableError(f"can be read in two ways: write {either}, not “{text}”")
    elif NUMBER.fullmatch(plain.replace(",", ".")):
        clear = plain.replace(",", ".")
        if clear != plain:
            raise NotReadableError(f"has a comma: write {clear}, with a point, not “{text}”")
    else:
        raise NotReadableError(f"must be a number, not “{text[:40]}”")
    return Decimal(plain)


def _read_with_comma(plain: str, text: str) -> Decimal:
    """Where the mark is a comma, a point may only be one when it cannot group thousands."""
    if len(plain) > MOST_DIGITS:
        raise NotReadableError("is too long for a number")
    swapped = plain.translate(str.maketrans(",.", ".,"))
    if THOUSANDS.fullmatch(swapped) and "." in swapped:
        return Decimal(swapped.replace(",", ""))
    if THOUSANDS.fullmatch(swapped):
        either = f"{plain.replace('.', '')} or {plain.replace('.', ',', 1)}"
        raise NotReadableError(f"can be read in two ways: write {either}, not “{text}”")
    clear = plain.replace(",", ".")
    if not NUMBER.fullmatch(clear):
        raise NotReadableError(f"must be a number, not “{text[:40]}”")
    return Decimal(clear)


def read_length_mm(text: str) -> Decimal:
    """Millimetres from 3520, 352 cm, 3.52 m, 12 3/8 in or 4 ft; bare in the workshop's unit.

    What comes of inches is rounded to whole millimetres: no tape in inches reads finer.
    """
    figures, unit = split_unit(text, [*MM_PER, *INCHES])
    if unit in INCHES or (not unit and now().inches):
        inches = _read_inches(figures, text) * INCHES.get(unit, 1)
        return (inches * MM_PER_INCH).quantize(Decimal(1), ROUND_HALF_UP)
    commas_group = unit in {"", "mm"}
    length_mm = read_number(figures, commas_group=commas_group) * MM_PER.get(unit, Decimal(1))
    if length_mm != length_mm.to_integral_value():
        raise NotReadableError("must come to whole millimetres")
    return length_mm


def _read_inches(figures: str, text: str) -> Decimal:
    if not (match := FRACTION.fullmatch(figures)):
        return read_number(figures, commas_group=False)
    whole_inches, above, below = (int(part or 0) for part in match.groups())
    if not 0 < above < below:
        raise NotReadableError(f"has a fraction that cannot be read: “{text[:40]}”")
    return whole_inches + Decimal(above) / below


def split_unit(text: str, units: Iterable[str]) -> tuple[str, str]:
    """ "3.5 A" -> ("3.5", "A"), for the units that are known; else the text and no unit."""
    for unit in sorted(units, key=len, reverse=True):
        for spelling in {unit, unit.replace("²", "2"), unit.replace("°", "")}:
            if unit and text.endswith(spelling):
                return text[: -len(spelling)].rstrip(), unit
    return text, ""


class Form:
    """What was typed (`typed`), what it means (`values`), what to mend (`errors`)."""

    def __init__(
        self,
        fields: Mapping[str, str] | None = None,
        *,
        prefix: str = "",
        errors: dict[str, str] | None = None,
    ) -> None:
        self.fields = fields or {}
        self.prefix = prefix
        self.errors: dict[str, str] = {} if errors is None else errors
        self.values: dict[str, Any] = {}

    # --- what templates ask -------------------------------------------------------------------

    def name(self, field: str) -> str:
        """The field's full name: rows-3-length_mm in a row, else as it is."""
        return self.prefix + field

    def typed(self, field: str) -> str:
        """What stands in the field."""
        return self.fields.get(self.name(field), "")

    def error(self, field: str) -> str:
        """The sentence beside the field, or nothing."""
        return self.errors.get(self.name(field), "")

    @property
    def ok(self) -> bool:
        """No error in this form; for a row, none in this row."""
        return not any(name.startswith(self.prefix) for name in self.errors)

    def refuse(self, field: str, sentence: str) -> None:
        """Puts an error beside a field; the first one stays."""
        self.errors.setdefault(self.name(field), sentence)

    # --- tables of rows -----------------------------------------------------------------------

    def rows(self, table: str, ignore: Iterable[str] = ()) -> "list[Form]":
        """A form for each row with something typed, in the order sent.

        `ignore` names fields that are never empty (a list with a first choice), so that they
        do not make a row of themselves.
        """
        pattern = re.compile(rf"({re.escape(self.prefix + table)}-[0-9]{{1,9}}-)(.+)", re.ASCII)
        found: dict[str, bool] = {}
        for name, value in self.fields.items():
            if match := pattern.fullmatch(name):
                prefix, field = match.groups()
                found[prefix] = found.get(prefix, False) or (
                    bool(value.strip()) and field not in set(ignore)
                )
        return [self._row(prefix) for prefix, something in found.items() if something]

    def shown_rows(self, table: str, blanks: int = 3, ignore: Iterable[str] = ()) -> "list[Form]":
        """The rows with something typed, and `blanks` empty ones below, for the template."""
        rows = self.rows(table, ignore)
        numbers = [int(row.prefix.rstrip("-").rpartition("-")[2]) for row in rows]
        first = max(numbers, default=-1) + 1
        stem = f"{self.prefix}{table}"
        return rows + [self._row(f"{stem}-{n}-") for n in range(first, first + blanks)]

    def row_pattern(self, table: str) -> "Form":
        """An empty row numbered __n__, which static/js/rows.js copies for each new row."""
        return Form({}, prefix=f"{self.prefix}{table}-__n__-")

    def _row(self, prefix: str) -> "Form":
        return Form(self.fields, prefix=prefix, errors=self.errors)

    # --- kinds of field -----------------------------------------------------------------------

    def _text(self, field: str, label: str, needed: bool) -> str | None:
        text = tidy(self.typed(field))
        if not text:
            self.values[field] = None
            if needed:
                self.refuse(field, f"{label} is missing: fill it in.")
            return None
        return text

    def _within(
        self, field: str, label: str, value: Decimal, least: float, most: float, unit: str
    ) -> bool:
        after = f" {unit}" if unit else ""
        if value < Decimal(str(least)):
            self.refuse(field, f"{label} must be {_plain(least)}{after} or more.")
        elif value > Decimal(str(most)):
            self.refuse(field, f"{label} must be {_plain(most)}{after} or less.")
        else:
            return True
        return False

    def text(
        self, field: str, label: str, *, most: int = 200, needed: bool = True, lines: bool = False
    ) -> None:
        """Words, at most `most` characters; `lines` lets them run over several lines.

        The value is the tidied text; an empty field that is not needed gives "".
        """
        text = self._text(field, label, needed) or ""
        self.values[field] = text
        allowed = {"\n", "\t"} if lines else set()
        if len(text) > most:
            self.refuse(field, f"{label} has {whole(len(text))} characters; {most} fit.")
        elif any(unicodedata.category(c) in {"Cc", "Cs"} and c not in allowed for c in text):
            self.refuse(field, f"{label} has a character that cannot be printed: type it again.")

    def mm(
        self,
        field: str,
        label: str,
        *,
        least: int = 0,
        most: int = MOST_MM,
        needed: bool = True,
    ) -> None:
        """A length: 3520, 3,520, 352 cm, 3.52 m or 12 3/8 in. The value is whole millimetres."""
        text = self._text(field, label, needed)
        if text is None:
            return
        try:
            length_mm = read_length_mm(text)
        except NotReadableError as why:
            written = "138.5, 138 1/2 or 3520 mm" if now().inches else "3520 or 3.52 m"
            self.refuse(field, f"{label} {why}. A length is written {now().marked(written)}.")
            return
        if not least <= length_mm <= most:
            way, end = ("more", least) if length_mm < least else ("less", most)
            self.refuse(field, f"{label} must be {with_unit(end)} or {way}.")
        else:
            self.values[field] = int(length_mm)

    def fine_mm(self, field: str, label: str, *, most: float, needed: bool = True) -> None:
        """A short length in hundredths of a millimetre, such as 6.4, 1/4 in. A float, in mm."""
        text = self._text(field, label, needed)
        if text is None:
            return
        figures, unit = split_unit(text, ["mm", *INCHES])
        try:
            if unit in INCHES or (not unit and now().inches):
                length = _read_inches(figures, text) * INCHES.get(unit, 1) * MM_PER_INCH
            else:
                length = read_number(figures, commas_group=False)
        except NotReadableError as why:
            self.refuse(field, f"{label} {why}.")
            return
        length_mm = float(round(length, 2))
        if not 0 < length_mm <= most:
            self.refuse(field, f"{label} must be more than 0 and at most {fine_mm(most)}.")
        else:
            self.values[field] = length_mm

    def whole(
        self,
        field: str,
        label: str,
        *,
        least: int = 0,
        most: int = MOST_WHOLE,
        needed: bool = True,
    ) -> None:
        """A count: 6 or 1,200. The value is an int."""
        text = self._text(field, label, needed)
        if text is None:
            return
        try:
            count = read_number(text, commas_group=True)
            if count != count.to_integral_value():
                raise NotReadableError
        except NotReadableError:
            self.refuse(field, f"{label} must be a whole number, not “{text[:40]}”.")
            return
        if self._within(field, label, count, least, most, ""):
            self.values[field] = int(count)

    def number(
        self,
        field: str,
        label: str,
        *,
        unit: str = "",
        least: float = 0,
        most: float = MOST_WHOLE,
        above: float | None = None,
        needed: bool = True,
    ) -> None:
        """A quantity that may have a fraction: 1.5 or 1.5 A. The value is a float."""
        value = self._decimal(field, label, unit, least, most, needed)
        if value is None:
            return
        if above is not None and value <= Decimal(str(above)):
            self.refuse(field, f"{label} must be more than {_plain(above)}.")
            return
        self.values[field] = float(value)

    def decimal(
        self,
        field: str,
        label: str,
        *,
        unit: str = "",
        least: float = 0,
        most: float = MOST_WHOLE,
        places: int = 4,
        needed: bool = True,
    ) -> None:
        """An exact fraction, such as a percentage in a price. The value is a Decimal."""
        value = self._decimal(field, label, unit, least, most, needed)
        if value is None:
            return
        if value != round(value, places):
            self.refuse(field, f"{label} can have {places} figures after the point.")
            return
        self.values[field] = value

    def _decimal(
        self, field: str, label: str, unit: str, least: float, most: float, needed: bool
    ) -> Decimal | None:
        text = self._text(field, label, needed)
        if text is None:
            return None
        try:
            value = read_number(split_unit(text, [unit])[0], commas_group=False)
        except NotReadableError as why:
            self.refuse(field, f"{label} {why}.")
            return None
        return value if self._within(field, label, value, least, most, unit) else None

    def money(
        self,
        field: str,
        label: str,
        *,
        currency: str = "£",
        least: int = 0,
        most: int = MOST_MINOR,
        needed: bool = True,
    ) -> None:
        """A price: 12, 12.50 or £1,709.64. The value is whole minor units (pence)."""
        text = self._text(field, label, needed)
        if text is None:
            return
        try:
            minor = read_number(text.removeprefix(currency), commas_group=True) * 100
            if minor != minor.to_integral_value():
                raise NotReadableError("can have two figures after the point")
        except NotReadableError as why:
            self.refuse(field, f"{label} {why}.")
            return
        if self._within(field, label, minor / 100, least / 100, most / 100, ""):
            self.values[field] = int(minor)

    def date(self, field: str, label: str, *, needed: bool = True) -> None:
        """A day: 3 Nov 2026 or 2026-11-03. Slashes are refused: 3/11 is two days. A date."""
        text = self._text(field, label, needed)
        if text is None:
            return
        day = _read_date(text)
        if day is None:
            self.refuse(
                field,
                f"{label} must be a date, written 3 Nov 2026 or 2026-11-03, not “{text[:40]}”.",
            )
        elif not 1990 <= day.year <= 2199:
            self.refuse(field, f"{label} must lie between the years 1990 and 2199.")
        else:
            self.values[field] = day

    def choice(
        self, field: str, label: str, options: Iterable[str], *, needed: bool = True
    ) -> None:
        """One of the options offered. The value is the option, or None."""
        text = self._text(field, label, needed)
        if text is None:
            return
        if text in set(options):
            self.values[field] = text
        else:
            self.refuse(field, f"{label}: choose one from the list.")

    def yes(self, field: str) -> None:
        """A box to tick. The value is a bool."""
        self.values[field] = self.typed(field) not in {"", "0", "no"}


def _plain(value: float) -> str:
    return short(Decimal(str(value)))


def _read_date(text: str) -> date | None:
    for form in DATE_FORMATS:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007 - a day has no zone
        except ValueError:
            continue
    return None


def as_typed(value: object) -> str:
    """A stored value as a person would type it, for a form that opens filled in."""
    if value is None or value is False:
        return ""
    if value is True:
        return "1"
    if isinstance(value, date):
        return day(value)
    if isinstance(value, float):
        return _ungrouped(short(value, 6))
    return str(value)


def length_as_typed(length_mm: int) -> str:
    """A kept length as a person would type it, in the workshop's unit."""
    return _ungrouped(mm(length_mm))


def field_as_typed(name: str, value: object) -> str:
    """The same, for a field by its name: whole millimetres are shown in the workshop's unit."""
    if name.endswith("_mm") and isinstance(value, int):
        return length_as_typed(value)
    return as_typed(value)


def _ungrouped(figures: str) -> str:
    group = NARROW_BLANK if now().decimal_mark == "," else ","
    return figures.replace(group, "").replace("−", "-")


def filled(values: Mapping[str, object]) -> Form:
    """A form that opens with stored values; money is given as text by the page."""
    return Form({name: field_as_typed(name, value) for name, value in values.items()})


def filled_rows(table: str, rows: Iterable[Mapping[str, object]]) -> Form:
    """A table's form that opens with stored rows; give each its hidden `id`."""
    return Form(
        {
            f"{table}-{number}-{name}": field_as_typed(name, value)
            for number, row in enumerate(rows)
            for name, value in row.items()
        }
    )
