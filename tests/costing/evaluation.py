"""Works out an amount's formula from its inputs alone, exactly."""

import ast
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal, localcontext
from typing import Any

from webapp.costing.price import Price
from webapp.costing.reasons import Amount

ALLOWED = (
    ast.Expression, ast.BinOp, ast.Call, ast.Name, ast.Constant, ast.Load, ast.operator,
)  # fmt: skip


def half_up(value: Decimal) -> Decimal:
    return value.quantize(Decimal(1), ROUND_HALF_UP)


def evaluate(formula: str, inputs: dict[str, Any]) -> Decimal:
    tree = ast.parse(formula, mode="eval")
    for node in ast.walk(tree):
        assert isinstance(node, ALLOWED), f"{formula} is more than plain arithmetic"
        if isinstance(node, ast.Call):
            assert isinstance(node.func, ast.Name)
            assert node.func.id == "round"
    names = {name: Decimal(value) for name, value in inputs.items()}
    with localcontext() as context:
        context.prec = 80
        result = eval(
            compile(tree, "formula", "eval"), {"__builtins__": {}}, names | {"round": half_up}
        )
    return Decimal(result)


def amounts(price: Price) -> Iterator[Amount]:
    """Every amount of a price."""
    yield from (line.cost for line in (*price.materials, *price.works))
    yield from (line.amount for line in price.extras)
    for block in (price.unit, price.design):
        yield from (block.cost, block.overhead, block.margin, block.price)
    yield from (price.material, price.labour, price.set_up, price.looms, price.net_per_unit)
    pay = price.pay
    yield from (pay.gross, pay.discount, pay.net, pay.vat, pay.total, pay.deposit)
