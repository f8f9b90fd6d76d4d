"""The price of a change: one worked by hand each way, and what holds for every one."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.costing.evaluation import evaluate
from webapp.costing.change import ChangePrice, Differing, change_price
from webapp.costing.labour import Work
from webapp.costing.materials import Material
from webapp.costing.price import Rates
from webapp.costing.reasons import Amount, CostError

CRIMP = Work("crimp", "Crimp one end", Decimal(4), 30)
CABLE = Material("cable", Decimal("2.5"), "m", 4000, 100)
RATES = Rates(
    labour_minor_per_hour=4200, overhead_percent=15, margin_percent=20, discount_percent=5,
    vat_percent=20, deposit_percent=30,
)  # fmt: skip


def test_a_dearer_change_worked_by_hand() -> None:
    made = change_price([Differing("B for A", 2, 5514, 6000)], [CRIMP], [CABLE], rates=RATES)
    # 2 × 4.86 = 9.72. Spent: 4 × 30 s at 42.00 an hour 1.40, 2.5 m at 40.00 per 100 m 1.00;
    # 15 % on 2.40 is 0.36; 20 % on 2.76 is 0.552 -> 0.55; 3.31.
    assert (made.lines[0].each_minor, made.lines[0].amount.minor) == (486, 972)
    assert (made.labour.minor, made.material.minor, made.again.price.minor) == (140, 100, 331)
    # 13.03; 5 % 0.6515 -> 0.65; 12.38; VAT 2.476 -> 2.48; 14.86. No deposit.
    pay = made.pay
    assert [pay.gross.minor, pay.discount.minor, pay.net.minor] == [1303, 65, 1238]
    assert [pay.vat.minor, pay.total.minor, pay.deposit.minor] == [248, 1486, 0]
    assert not made.credit


def test_a_cheaper_change_is_a_credit_worked_by_hand() -> None:
    made = change_price([Differing("B for A", 2, 6000, 5514)], [], [], rates=RATES)
    # −9.72; 5 % −0.486 -> −0.49; −9.23; VAT −1.846 -> −1.85; −11.08.
    pay = made.pay
    assert [pay.gross.minor, pay.discount.minor, pay.net.minor] == [-972, -49, -923]
    assert [pay.vat.minor, pay.total.minor, pay.deposit.minor] == [-185, -1108, 0]
    assert made.credit


def amounts(made: ChangePrice) -> list[Amount]:
    pay = made.pay
    return [
        *(line.amount for line in made.lines), *(line.cost for line in made.works),
        *(line.cost for line in made.materials), made.labour, made.material, made.again.cost,
        made.again.overhead, made.again.margin, made.again.price, pay.gross, pay.discount,
        pay.net, pay.vat, pay.total, pay.deposit,
    ]  # fmt: skip


money = st.integers(0, 10**7)


@given(st.lists(st.tuples(st.integers(1, 50), money, money), max_size=4), st.integers(0, 400))
def test_every_figure_is_what_its_reason_says_and_a_credit_mirrors_a_charge(
    lines: list[tuple[int, int, int]], count: int
) -> None:
    works = [Work("crimp", "Crimp one end", Decimal(count), 30)] if count else []
    made = change_price([Differing("x", *line) for line in lines], works, [CABLE], rates=RATES)
    for amount in amounts(made):
        assert evaluate(amount.reason.formula, dict(amount.reason.inputs)) == amount.minor
        assert isinstance(amount.minor, int)
    there = change_price([Differing("x", *line) for line in lines], [], [], rates=RATES)
    back = change_price([Differing("x", n, b, a) for n, a, b in lines], [], [], rates=RATES)
    assert there.pay.total.minor == -back.pay.total.minor


def test_no_units_are_refused() -> None:
    with pytest.raises(CostError):
        change_price([Differing("x", 0, 1, 2)], [], [], rates=RATES)
