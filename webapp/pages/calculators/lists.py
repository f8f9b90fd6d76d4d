"""Lists of pieces typed a line each: 6 × 3520, 12 × 2.4 mm, 4 × AWG 16."""

import re
from dataclasses import dataclass

from webapp.pages.forms import Form, NotReadableError, read_length_mm, read_number

COUNTED = re.compile(r"\s*(?:([0-9][0-9, \u00a0]*?)\s*[x×*]\s*)?(.+)", re.I | re.A)
MOST_LINES = 500
MOST_COUNT = 1_000_000


@dataclass(frozen=True)
class Line:
    """One line: how many, if it says so, and of what."""

    number: int
    count: int | None
    what: str


def read_lines(form: Form, field: str, label: str) -> list[Line]:
    """The lines of a field; semicolons part lines as well. Errors land beside the field."""
    typed = [each.strip() for each in re.split(r"[\n;]", form.typed(field))]
    filled = [(at, each) for at, each in enumerate(typed, 1) if each]
    if not filled:
        form.refuse(field, f"{label} is empty: write a line each.")
    if len(filled) > MOST_LINES:
        form.refuse(field, f"{label} has more than {MOST_LINES} lines.")
        return []
    lines = []
    for at, each in filled:
        found = COUNTED.fullmatch(each)
        try:
            if found is None:
                raise NotReadableError("cannot be read")
            lines.append(Line(at, _count(found.group(1)), found.group(2)))
        except NotReadableError as why:
            form.refuse(field, f"Line {at}, “{each[:40]}”, {why}.")
    return lines


def _count(text: str | None) -> int | None:
    if text is None:
        return None
    count = read_number(text, commas_group=True)
    if count != count.to_integral_value() or not 1 <= count <= MOST_COUNT:
        raise NotReadableError("has no count from 1 to 1,000,000 before the ×")
    return int(count)


def read_mm(text: str) -> int:
    """A length as everywhere in the app: 3520, 3,520 mm or 3.52 m, in whole millimetres."""
    return int(read_length_mm(text.strip()))
