"""Rounding, materials, labour: worked by hand (source: arithmetic)."""

from decimal import Decimal
from typing import Any

import pytest

from webapp.costing.labour import Work, labour_cost, spread_cost
from webapp.costing.materials import Material, material_cost
from webapp.costing.reasons import CostError, plain, together
from webapp.costing.rounding import share, to_minor

NONSENSE = [-1, True, 1.5, Decimal("NaN"), Decimal("Infinity"), Decimal(-1), "2", None, 10**40]


@pytest.mark.parametrize(
    ("numerator", "denominator", "minor"),
    [(1, 2, 1), (3, 2, 2), (5, 2, 3), (249, 100, 2), (0, 7, 0), (Decimal("0.4999999999"), 1, 0)],
)
def test_halves_are_rounded_up(numerator: Any, denominator: int, minor: int) -> None:
    assert to_minor(numerator, denominator) == minor


def test_nothing_is_rounded_twice() -> None:
    # 0.49999… over many places would become 0.5 and then 1 if it were rounded on the way.
    assert to_minor(Decimal("0." + "4" + "9" * 28), 1) == 0
    assert to_minor(10**14 + 1, 2) == 5 * 10**13 + 1


def test_cable_by_the_reel() -> None:
    # 12.34 m and 8 % scrap at 39.25 a hundred metres: 12.34 × 1.08 × 0.3925 = 5.2309...
    line = material_cost(Material("cable 1.5", Decimal("12.34"), "m", 3925, 100, 8))
    assert line.cost.minor == 523


def test_terminals_by_the_hundred() -> None:
    # 26 at 9.00 a hundred, no scrap: 2.34. With 8 %: 2.5272.
    assert material_cost(Material("tab", 26, "each", 900, 100)).cost.minor == 234
    assert material_cost(Material("tab", 26, "each", 900, 100, 8)).cost.minor == 253


def test_crimping() -> None:
    # 52 crimps of 30 s at 42.00 an hour: 1560 s × 42 / 3600 = 18.20.
    line = labour_cost(Work("crimp", "Crimp one end", 52, 30), 4200)
    assert (line.cost.minor, line.seconds) == (1820, 1560)


def test_metres_are_worked_too() -> None:
    # 5.1 m at 240 s a metre: 1224 s, 42.00 an hour: 14.28.
    assert labour_cost(Work("bind", "Bind", Decimal("5.1"), 240), 4200).cost.minor == 1428


def test_set_up_is_spread() -> None:
    # Two hours at 42.00 are 84.00: over six 14.00, over seven 12.00, over five 16.80.
    shares = [spread_cost("Set-up", 7200, 4200, units).minor for units in (6, 7, 5)]
    assert shares == [1400, 1200, 1680]


def test_a_share_in_percent() -> None:
    # 17.5 % of 123.45 is 21.60375.
    assert share("VAT", 12345, Decimal("17.5"), "vat_percent", most=100).minor == 2160


def test_nothing_together_is_nothing() -> None:
    assert together("Nothing.", []).minor == 0


@pytest.mark.parametrize(
    ("value", "written"),
    [(7, 7), (Decimal("7.0"), 7), (Decimal("1.50"), "1.5"), (Decimal("1E+2"), 100)],
)
def test_inputs_are_frozen_as_plain_values(value: Any, written: int | str) -> None:
    assert plain(value) == written


@pytest.mark.parametrize("value", NONSENSE)
@pytest.mark.parametrize("field", ["quantity", "price_minor", "price_per", "scrap_percent"])
def test_a_material_refuses_nonsense(field: str, value: Any) -> None:
    fields: dict[str, Any] = {"quantity": 1, "price_minor": 1, "price_per": 1, "scrap_percent": 0}
    with pytest.raises(CostError) as refused:
        material_cost(Material("x", unit="m", **(fields | {field: value})))
    assert refused.value.field == field


@pytest.mark.parametrize("value", NONSENSE)
@pytest.mark.parametrize("field", ["count", "seconds", "rate_minor_per_hour"])
def test_labour_refuses_nonsense(field: str, value: Any) -> None:
    fields: dict[str, Any] = {"count": 1, "seconds": 1, "rate_minor_per_hour": 1} | {field: value}
    with pytest.raises(CostError) as refused:
        labour_cost(
            Work("x", "X", fields["count"], fields["seconds"]), fields["rate_minor_per_hour"]
        )
    assert refused.value.field == field


@pytest.mark.parametrize("units", [0, *NONSENSE])
def test_a_share_needs_somebody_to_bear_it(units: Any) -> None:
    with pytest.raises(CostError) as refused:
        spread_cost("Set-up", 1, 1, units)
    assert refused.value.field == "units"


def test_more_money_than_there_is_is_refused() -> None:
    with pytest.raises(CostError):
        material_cost(Material("x", 10**6, "m", 10**10, 1))
