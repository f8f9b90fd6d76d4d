"""Works out a reason's formula from its inputs alone."""

import ast
import math
from collections.abc import Iterable

import pytest

from webapp.sizing.reasons import Reason

NAMES = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "ln": math.log,
    "ceil": math.ceil,
    "min": min,
    "max": max,
    "pi": math.pi,
}
ALLOWED = (
    ast.Expression,
    ast.BinOp,
    ast.UnaryOp,
    ast.Call,
    ast.Name,
    ast.Constant,
    ast.Load,
    ast.operator,
    ast.unaryop,
)


def evaluate(reason: Reason) -> float:
    """The value that the formula gives: plain arithmetic over the inputs, nothing else."""
    tree = ast.parse(reason.formula, mode="eval")
    for node in ast.walk(tree):
        assert isinstance(node, ALLOWED), f"{reason.formula} is more than plain arithmetic"
    result = eval(compile(tree, "formula", "eval"), {"__builtins__": {}}, NAMES | reason.inputs)
    return float(result)


def assert_reasons_hold(reasons: Iterable[Reason]) -> None:
    """Each formula gives its value, names only its inputs, and no reason lacks text or source."""
    listed = list(reasons)
    assert listed
    for reason in listed:
        assert reason.text
        assert reason.source
        if reason.formula:
            assert evaluate(reason) == pytest.approx(reason.value, rel=1e-12), reason
        assert set(reason.as_dict()) >= {"text", "formula", "inputs", "source", "confirmed"}
