"""Label stock: sheets of labels and rolls of tape, described by their measurements."""

from dataclasses import dataclass

MIN_LABEL_MM = 6.0


class StockError(ValueError):
    """A measurement that cannot be printed; field names the one to mend."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


@dataclass(frozen=True)
class LabelStock:
    """A sheet of equal labels. start_position counts from 1, row by row, over what is used up
    already.

    offset_x_mm and offset_y_mm move everything on the page to suit a printer.
    """

    width_mm: float
    height_mm: float
    columns: int
    rows: int
    margin_left_mm: float
    margin_top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    page_width_mm: float = 210.0
    page_height_mm: float = 297.0
    start_position: int = 1
    offset_x_mm: float = 0.0
    offset_y_mm: float = 0.0

    def __post_init__(self) -> None:
        check_sheet(self)


@dataclass(frozen=True)
class TapeStock:
    """A roll: every label is one page, label_length_mm long and width_mm high.

    margin_mm is the edge that the printer cannot reach.
    """

    width_mm: float
    label_length_mm: float
    margin_mm: float = 0.8

    def __post_init__(self) -> None:
        check_tape(self)


def check_sheet(stock: LabelStock) -> None:
    """Raise StockError for the first measurement that does not fit."""
    for field in ("width_mm", "height_mm"):
        at_least(field, getattr(stock, field), MIN_LABEL_MM)
    for field in ("columns", "rows"):
        at_least(field, getattr(stock, field), 1)
    for field in ("margin_left_mm", "margin_top_mm"):
        at_least(field, getattr(stock, field), 0)
    if stock.columns > 1 and stock.pitch_x_mm < stock.width_mm:
        raise StockError(
            "pitch_x_mm",
            "Labels would overlap: the pitch across is less than the width of a label.",
        )
    if stock.rows > 1 and stock.pitch_y_mm < stock.height_mm:
        raise StockError(
            "pitch_y_mm", "Labels would overlap: the pitch down is less than the height of a label."
        )
    right = stock.margin_left_mm + (stock.columns - 1) * stock.pitch_x_mm + stock.width_mm
    bottom = stock.margin_top_mm + (stock.rows - 1) * stock.pitch_y_mm + stock.height_mm
    on_page("columns", right, stock.page_width_mm, "wide")
    on_page("rows", bottom, stock.page_height_mm, "high")
    if not 1 <= stock.start_position <= stock.columns * stock.rows:
        raise StockError(
            "start_position",
            f"The first label must be between 1 and {stock.columns * stock.rows} on this sheet.",
        )
    for field, low, high in (
        ("offset_x_mm", -stock.margin_left_mm, stock.page_width_mm - right),
        ("offset_y_mm", -stock.margin_top_mm, stock.page_height_mm - bottom),
    ):
        if not low - 1e-6 <= getattr(stock, field) <= high + 1e-6:
            raise StockError(
                field,
                f"This offset moves labels off the page: it may be {low:g} to {high:g} mm.",
            )


def check_tape(stock: TapeStock) -> None:
    """Raise StockError for the first measurement that cannot be printed."""
    at_least("width_mm", stock.width_mm, MIN_LABEL_MM)
    at_least("label_length_mm", stock.label_length_mm, 15)
    at_least("margin_mm", stock.margin_mm, 0)
    if stock.margin_mm * 4 > stock.width_mm:
        raise StockError("margin_mm", "The margins leave less than half of the tape to print on.")


def at_least(field: str, value: float, least: float) -> None:
    # Written so that NaN fails too.
    if not value >= least:
        raise StockError(
            field, f"Must be at least {least:g}{' mm' if field.endswith('mm') else ''}."
        )


def on_page(field: str, needed_mm: float, page_mm: float, way: str) -> None:
    if not needed_mm <= page_mm + 1e-6:
        raise StockError(
            field, f"The labels need {needed_mm:g} mm but the page is {page_mm:g} mm {way}."
        )
