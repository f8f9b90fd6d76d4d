"""The whole price: one worked by hand, and what holds for every one."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.evaluation import amounts, evaluate
from webapp.costing.labour import Work
from webapp.costing.materials import Material
from webapp.costing.price import Extra, Price, Rates, price
from webapp.costing.reasons import CostError

CABLE = Material("cable", Decimal("12.34"), "m", 3925, 100, 8)
TABS = Material("tab", 26, "each", 900, 100, 8)
CRIMP = Work("crimp", "Crimp one end", 52, 30)
RATES = Rates(
    labour_minor_per_hour=4200, set_up_s=7200, design_s=14400, overhead_percent=15,
    margin_percent=20, discount_percent=5, vat_percent=20, deposit_percent=30,
)  # fmt: skip


def test_a_batch_worked_by_hand() -> None:
    made = price([CABLE, TABS], [CRIMP], [Extra("Spare", 6, 1400)], units=6, rates=RATES)
    # Materials 5.23 + 2.53; labour 18.20; set-up 84.00 / 6.
    assert (made.material.minor, made.labour.minor, made.set_up.minor) == (776, 1820, 1400)
    # 39.96; overhead 15 % 5.994 -> 5.99; margin 20 % on 45.95 is 9.19; 55.14.
    unit = made.unit
    assert (unit.cost.minor, unit.overhead.minor, unit.margin.minor) == (3996, 599, 919)
    assert unit.price.minor == 5514
    # Design: four hours 168.00; + 25.20; 20 % on 193.20 is 38.64; 231.84.
    assert made.design.price.minor == 23184
    # 6 × 55.14 = 330.84; extras 84.00; gross 646.68; 5 % 32.334 -> 32.33; net 614.35.
    pay = made.pay
    assert (made.looms.minor, pay.gross.minor) == (33084, 64668)
    assert (pay.discount.minor, pay.net.minor) == (3233, 61435)
    # VAT 122.87; total 737.22; deposit 30 % 221.166 -> 221.17; for one 102.3916... -> 102.39.
    assert (pay.vat.minor, pay.total.minor, pay.deposit.minor) == (12287, 73722, 22117)
    assert made.net_per_unit.minor == 10239


def test_margin_is_a_mark_up_on_cost() -> None:
    rates = Rates(labour_minor_per_hour=0, margin_percent=20)
    made = price([Material("x", 1, "each", 10000)], [], [], units=1, rates=rates)
    assert made.unit.price.minor == 12000


def test_nothing_costs_nothing() -> None:
    made = price([], [], [], units=1, rates=Rates(labour_minor_per_hour=4200))
    assert made.pay.total.minor == 0


percents = st.decimals(0, 100, places=2)
rates = st.builds(
    Rates,
    labour_minor_per_hour=st.integers(0, 20_000),
    set_up_s=st.integers(0, 100_000),
    design_s=st.integers(0, 100_000),
    overhead_percent=st.decimals(0, 1000, places=2),
    margin_percent=st.decimals(0, 1000, places=2),
    discount_percent=percents,
    vat_percent=percents,
    deposit_percent=percents,
)
materials = st.lists(
    st.builds(
        Material,
        what=st.just("part"),
        quantity=st.decimals(0, 1000, places=3),
        unit=st.sampled_from(["m", "each"]),
        price_minor=st.integers(0, 100_000),
        price_per=st.integers(1, 1000),
        scrap_percent=st.decimals(0, 1000, places=2),
    ),
    max_size=8,
)
works = st.lists(
    st.builds(Work, st.just("x"), st.just("X"), st.decimals(0, 500, places=3),
              st.integers(0, 5000)),
    max_size=8,
)  # fmt: skip
extras = st.lists(
    st.builds(Extra, st.just("Spare"), st.integers(1, 99), st.integers(0, 100_000)), max_size=4
)


@given(materials, works, extras, st.integers(1, 999), rates)
def test_what_is_shown_adds_up(m: Any, w: Any, e: Any, units: int, r: Rates) -> None:
    made = price(m, w, e, units=units, rates=r)
    assert made.material.minor == sum(line.cost.minor for line in made.materials)
    assert made.labour.minor == sum(line.cost.minor for line in made.works)
    unit, pay = made.unit, made.pay
    assert unit.cost.minor == made.material.minor + made.labour.minor + made.set_up.minor
    assert unit.price.minor == unit.cost.minor + unit.overhead.minor + unit.margin.minor
    assert made.looms.minor == units * unit.price.minor
    lines = [made.design.price.minor, made.looms.minor, *(x.amount.minor for x in made.extras)]
    assert pay.gross.minor == sum(lines)
    assert pay.net.minor == pay.gross.minor - pay.discount.minor
    assert pay.total.minor == pay.net.minor + pay.vat.minor
    assert 0 <= pay.net.minor <= pay.gross.minor
    assert 0 <= pay.deposit.minor <= pay.total.minor


@given(materials, works, extras, st.integers(1, 999), rates)
def test_every_reason_gives_its_amount(m: Any, w: Any, e: Any, units: int, r: Rates) -> None:
    for amount in amounts(price(m, w, e, units=units, rates=r)):
        frozen: dict[str, Any] = amount.reason.as_dict()
        assert frozen["text"]
        assert frozen["source"]
        assert frozen["value"] == amount.minor
        assert evaluate(frozen["formula"], frozen["inputs"]) == amount.minor


@given(materials, works, st.integers(1, 500), st.integers(1, 499), rates)
def test_more_units_cost_no_more_each(m: Any, w: Any, units: int, more: int, r: Rates) -> None:
    few = price(m, w, [], units=units, rates=r)
    many = price(m, w, [], units=units + more, rates=r)
    assert many.unit.price.minor <= few.unit.price.minor


def test_a_set_up_makes_the_second_unit_cheaper() -> None:
    def unit_price(units: int) -> int:
        made: Price = price([CABLE], [CRIMP], [], units=units, rates=RATES)
        return made.unit.price.minor

    assert unit_price(1) > unit_price(2) > unit_price(6) > unit_price(60)


def test_discount_from_nothing_to_all() -> None:
    for percent, net in ((0, 61435 + 3233), (100, 0)):
        made = price(
            [CABLE, TABS], [CRIMP], [Extra("Spare", 6, 1400)], units=6,
            rates=replace(RATES, discount_percent=percent),
        )  # fmt: skip
        assert made.pay.net.minor == net


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("discount_percent", Decimal("100.01")),
        ("discount_percent", -1),
        ("deposit_percent", 101),
        ("vat_percent", Decimal("NaN")),
        ("margin_percent", True),
        ("overhead_percent", 20.0),
        ("margin_percent", 1001),
        ("set_up_s", Decimal("1.5")),
        ("design_s", -1),
        ("labour_minor_per_hour", 10**11),
    ],
)
def test_rates_that_make_no_sense_are_refused(field: str, value: Any) -> None:
    with pytest.raises(CostError):
        price([CABLE], [CRIMP], [], units=1, rates=replace(RATES, **{field: value}))


@pytest.mark.parametrize("extra", [Extra("x", 0, 1), Extra("x", 1, -1), Extra("x", 1, 10**12)])
def test_extras_that_make_no_sense_are_refused(extra: Extra) -> None:
    with pytest.raises(CostError):
        price([], [], [extra], units=1, rates=RATES)


@pytest.mark.parametrize("units", [0, -1, True, 10**6, Decimal(2)])
def test_a_batch_has_a_whole_number_of_units(units: Any) -> None:
    with pytest.raises(CostError):
        price([], [], [], units=units, rates=RATES)
