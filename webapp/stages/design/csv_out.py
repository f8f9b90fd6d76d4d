"""Needs and runs as CSV: the columns that the import reads, so that a list comes back as it was."""

import csv
import io
import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any, NewType

from webapp.stages.design import needs, runs
from webapp.stages.design.rows import Design

# A spreadsheet would run text that begins so, in full width too, or takes the sign away before it.
_RUN = r"[\t\r\n\0]|\s*[=+\-@＝＋－＠]"
FORMULA = re.compile(rf"^'*(?:{_RUN})")
# What stands before such text in a list, and is taken off when the list comes in again.
GUARDED = re.compile(rf"^'+(?={_RUN})")
# What may stand in a list: only `cell` makes it.
Cell = NewType("Cell", str)
NEED_COLUMNS = {
    "need": "name",
    **{
        field: field
        for field in (
            *("quantity", "place", "kind", "rating", "rating_unit", "rated_at_v", "control"),
            *("control_place", "duty", "max_drop_percent", "inrush_a", "inrush_s", "max_fuse_a"),
            *("note", "service", "switched_with", "second_place"),
            *needs.FLAGS,
            *("relay_place", "also_with", "live_when", "apart_from", "laid_as", "feeds"),
            *("extra_sizes", "uid"),
        )
    },
}
RUN_COLUMNS = {
    "from_place": "from_place",
    "to_place": "to_place",
    "length_mm": "length_mm",
    "plus_minus_mm": "plus_minus_mm",
    "measured_by": "measured_how",
    "covering": "covering",
    "surround_c": "surround_c",
    "through": "through",
    "by_whom": "measured_by",
    "covering_part": "covering_part_uid",
    "through_part": "through_part_uid",
    "bend_at_mm": "bend_at_mm",
    "bend_radius_mm": "bend_radius_mm",
    "uid": "uid",
}


def needs_csv(design: Design) -> str:
    """Every need, a line each."""
    rows = [needs.values(design, need) | {"uid": uid} for uid, need in design.need.items()]
    return _text(NEED_COLUMNS, rows)


def runs_csv(design: Design) -> str:
    """Every run, a line each."""
    rows = [runs.values(design, run) | {"uid": uid} for uid, run in design.run.items()]
    return _text(RUN_COLUMNS, rows)


def _text(columns: Mapping[str, str], rows: Iterable[Mapping[str, Any]]) -> str:
    return table_text(columns, ([cell(row[field]) for field in columns.values()] for row in rows))


def table_text(header: Iterable[str], rows: Iterable[Iterable[Cell]]) -> str:
    """A table as CSV: every list that goes out is written here."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(cell(name) for name in header)
    writer.writerows(rows)
    return out.getvalue()


def cell(value: Any) -> Cell:
    """One cell. Numbers stay numbers; text that a spreadsheet would run gets an apostrophe."""
    if value is None or value is False:
        return Cell("")
    if value is True:
        return Cell("yes")
    if isinstance(value, float):
        return Cell(format(Decimal(repr(value)), "f").removesuffix(".0"))
    text = str(value)
    return Cell(f"'{text}" if isinstance(value, str) and FORMULA.match(text) else text)
