"""The label sheets and rolls that the workshop has, described by their measurements."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.records.workshop import LabelSheet
from webapp.stages.editing import merged
from webapp.stages.refusals import NotThere, Refused
from webapp.stages.values import required

SHEET, ROLL = "sheet", "roll"


@dataclass(frozen=True)
class SheetValues:
    """A sheet of equal labels; a roll is a page of one label."""

    name: str
    kind: str
    page_width_mm: float
    page_height_mm: float
    width_mm: float
    height_mm: float
    columns: int = 1
    rows: int = 1
    margin_left_mm: float = 0.0
    margin_top_mm: float = 0.0
    pitch_x_mm: float = 0.0
    pitch_y_mm: float = 0.0
    offset_x_mm: float = 0.0
    offset_y_mm: float = 0.0


@dataclass(frozen=True)
class SheetRow:
    id: int
    values: SheetValues


def _a4(
    width_mm: float,
    height_mm: float,
    columns: int,
    rows: int,
    gap_x_mm: float = 0,
    gap_y_mm: float = 0,
) -> SheetValues:
    """A layout in the middle of an A4 page."""
    pitch_x_mm, pitch_y_mm = width_mm + gap_x_mm, height_mm + gap_y_mm
    return SheetValues(
        name=f"A4, {width_mm:g} × {height_mm:g} mm, {columns} × {rows}",
        kind=SHEET,
        page_width_mm=210.0,
        page_height_mm=297.0,
        width_mm=width_mm,
        height_mm=height_mm,
        columns=columns,
        rows=rows,
        margin_left_mm=(210 - columns * pitch_x_mm + gap_x_mm) / 2,
        margin_top_mm=(297 - rows * pitch_y_mm + gap_y_mm) / 2,
        pitch_x_mm=pitch_x_mm,
        pitch_y_mm=pitch_y_mm,
    )


def roll(tape_mm: float, label_length_mm: float) -> SheetValues:
    """Tape of this width, cut to labels of this length."""
    return SheetValues(
        name=f"Roll, {tape_mm:g} mm wide, labels {label_length_mm:g} mm long",
        kind=ROLL,
        page_width_mm=label_length_mm,
        page_height_mm=tape_mm,
        width_mm=label_length_mm,
        height_mm=tape_mm,
        pitch_x_mm=label_length_mm,
        pitch_y_mm=tape_mm,
    )


# Plain divisions of a page, so that a workshop can print at once; it adds what it really has.
FIRST_SHEETS = (
    _a4(50.0, 20.0, 3, 13, gap_x_mm=5.0),
    _a4(90.0, 50.0, 2, 5, gap_x_mm=5.0, gap_y_mm=2.0),
    _a4(60.0, 30.0, 3, 8, gap_x_mm=4.0, gap_y_mm=3.0),
    roll(12.0, 60.0),
    roll(25.0, 50.0),
)


def set_up(session: Session) -> None:
    """The sheets that a new workshop starts from."""
    for values in FIRST_SHEETS:
        add(session, values)


def everything(session: Session) -> tuple[SheetRow, ...]:
    """All sheets and rolls, in the order in which they were added."""
    return tuple(
        _as_row(row) for row in session.scalars(select(LabelSheet).order_by(LabelSheet.id))
    )


def get(session: Session, sheet_id: int) -> SheetRow:
    """One sheet or roll.

    Raises:
        NotThere: no such sheet.
    """
    return _as_row(_row(session, sheet_id))


def add(session: Session, values: SheetValues) -> int:
    """Adds a sheet whose measurements the caller has checked; returns the id.

    Raises:
        Refused: the name is missing or taken.
    """
    row = LabelSheet()
    _set(session, row, values)
    session.add(row)
    session.flush()
    return row.id


def edit(
    session: Session,
    sheet_id: int,
    opened: Mapping[str, Any],
    typed: Mapping[str, Any],
    check: Callable[[SheetValues], None],
) -> None:
    """Changes a sheet; values are those of SheetValues.

    `check` refuses measurements that cannot be printed; it sees what would be kept.

    Raises:
        NotThere: no such sheet.
        ChangedMeanwhile: somebody else changed the same values since the form was opened.
        Refused: the name is missing or taken, or as `check` says.
    """
    row = _row(session, sheet_id)
    result = SheetValues(**merged(now=asdict(_as_row(row).values), opened=opened, typed=typed))
    check(result)
    _set(session, row, result)
    session.flush()


def remove(session: Session, sheet_id: int) -> None:
    """Takes a sheet off the list; nothing printed depends on it.

    Raises:
        NotThere: no such sheet.
    """
    session.delete(_row(session, sheet_id))
    session.flush()


def _row(session: Session, sheet_id: int) -> LabelSheet:
    row = session.get(LabelSheet, sheet_id)
    if row is None:
        raise NotThere
    return row


def _as_row(row: LabelSheet) -> SheetRow:
    names = SheetValues.__dataclass_fields__
    return SheetRow(row.id, SheetValues(**{name: getattr(row, name) for name in names}))


def _set(session: Session, row: LabelSheet, values: SheetValues) -> None:
    name = required("name", values.name, "a name that tells its size")
    with session.no_autoflush:
        other = session.scalar(
            select(LabelSheet.id).where(func.lower(LabelSheet.name) == name.lower())
        )
    if other is not None and other != row.id:
        raise Refused("name", f"There is a sheet named {name} already.")
    for field, value in asdict(values).items():
        setattr(row, field, value)
