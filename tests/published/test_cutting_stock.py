"""Cut plans against published instances of the cutting-stock problem."""

import math
import re

import pytest

from tests.published.published import rows
from webapp.sizing.cutting import Cut, CutPlan, Stock, cut_plan

RAW = "raw 100"
PAPER = "paper machine 5600"


def planned(row: dict[str, str]) -> CutPlan:
    listed = re.findall(r"(\d+)x(\d+)", row["pieces_length_x_count"])
    cuts = [Cut(int(length), int(count)) for length, count in listed]
    return cut_plan([Stock(int(row["stock_length"]))], cuts)


@pytest.mark.parametrize("instance", [RAW, PAPER])
def test_the_bound_rounded_up_is_reached_and_proven(instance: str) -> None:
    """Both instances have plans as good as their published bounds allow."""
    (row,) = (row for row in rows("cutting_stock", instance=instance) if "bound" in row["quantity"])
    plan = planned(row)
    assert plan.stock_used == math.ceil(float(row["value"]))
    assert plan.proven_optimal
    assert plan.gap == 0


def test_the_published_minimum() -> None:
    (row,) = rows("cutting_stock", instance=RAW, quantity="minimum stock pieces")
    assert planned(row).stock_used == int(row["value"])


def test_the_published_total() -> None:
    (row,) = rows("cutting_stock", instance=PAPER, quantity="total length")
    plan = planned(row)
    assert plan.stock_used_mm - plan.waste_mm == int(row["value"])
