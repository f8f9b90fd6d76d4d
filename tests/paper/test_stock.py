"""Stock that does not fit is refused at the measurement to mend."""

from dataclasses import replace

import pytest

from tests.paper.label_samples import SMALL, TAPE_8
from webapp.paper.stock import LabelStock, StockError, TapeStock


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("width_mm", 0, "at least 6 mm"),
        ("width_mm", float("nan"), "at least 6 mm"),
        ("height_mm", 3, "at least 6 mm"),
        ("columns", 0, "at least 1"),
        ("columns", 6, "need 238.5 mm but the page is 210 mm wide"),
        ("rows", 14, "page is 297 mm high"),
        ("margin_left_mm", -1, "at least 0 mm"),
        ("margin_top_mm", -0.1, "at least 0 mm"),
        ("pitch_x_mm", 37, "overlap"),
        ("pitch_y_mm", 20.9, "overlap"),
        ("start_position", 0, "between 1 and 65"),
        ("start_position", 66, "between 1 and 65"),
        ("offset_x_mm", 20, "off the page"),
        ("offset_y_mm", -10.5, "-10 to"),
    ],
)
def test_sheet(field: str, value: float, words: str) -> None:
    with pytest.raises(StockError, match=words) as refused:
        replace(SMALL, **{field: value})
    assert refused.value.field == field
    assert refused.value.message == str(refused.value)


@pytest.mark.parametrize(
    ("field", "value"), [("width_mm", 5), ("label_length_mm", 10), ("margin_mm", -1)]
)
def test_tape(field: str, value: float) -> None:
    with pytest.raises(StockError) as refused:
        replace(TAPE_8, **{field: value})
    assert refused.value.field == field


def test_tape_margins_must_leave_room() -> None:
    with pytest.raises(StockError, match="less than half"):
        TapeStock(8, 50, 3)


def test_pitch_does_not_matter_for_a_single_label() -> None:
    assert LabelStock(100, 50, 1, 1, 0, 0, 0, 0, 100, 50).width_mm == 100
