"""Why an amount is what it is, and how an input that makes no sense is refused."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

Exact = int | Decimal

ARITHMETIC = "arithmetic"


class CostError(ValueError):
    """An input that cannot be priced with: `field` names it, `message` says why in a sentence."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


@dataclass(frozen=True)
class Reason:
    """One step on the way to an amount.

    `formula` is plain arithmetic over the names in `inputs`; `round` in it rounds to the minor
    unit, halves up. It gives `value`.
    """

    text: str
    value: int
    formula: str
    inputs: Mapping[str, Exact] = field(default_factory=dict, hash=False)
    source: str = ARITHMETIC

    def as_dict(self) -> dict[str, object]:
        """The reason as plain values, to freeze it in a record: fractions as text, exactly."""
        return {
            "text": self.text,
            "value": self.value,
            "formula": self.formula,
            "inputs": {name: plain(value) for name, value in self.inputs.items()},
            "source": self.source,
        }


@dataclass(frozen=True)
class Amount:
    """So much money, in minor units, and why."""

    minor: int
    reason: Reason


def plain(value: Exact) -> int | str:
    """A whole number as it is, a fraction as text without needless noughts: 1.50 -> "1.5"."""
    if isinstance(value, int) or value == value.to_integral_value():
        return int(value)
    return f"{value.normalize():f}"


def exact(value: object, field: str, *, most: Exact, least: Exact = 0) -> Exact:
    """`value` if it is a whole number or a Decimal from `least` to `most`.

    Raises:
        CostError: it is none: text, a bool, a float (which is never exact), NaN, out of range.
    """
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise CostError(field, "This must be a whole number or an exact decimal.")
    if isinstance(value, Decimal) and not value.is_finite():
        raise CostError(field, "This must be a number.")
    if not least <= value <= most:
        raise CostError(field, f"This must be from {least} to {most:,}.")
    return value


def whole(value: object, field: str, *, most: int, least: int = 0) -> int:
    """`value` if it is a whole number from `least` to `most`; else CostError."""
    if isinstance(value, Decimal):
        raise CostError(field, "This must be a whole number.")
    return int(exact(value, field, least=least, most=most))


def together(text: str, amounts: Iterable[Amount]) -> Amount:
    """The sum of amounts that are rounded already, so that it is exact.

    Args:
        text: What the sum is, in words.
        amounts: [minor units]

    Returns:
        Their sum. [minor units]

    Source: arithmetic.
    """
    terms = {f"line_{n}_minor": amount.minor for n, amount in enumerate(amounts, start=1)}
    total = sum(terms.values())
    return Amount(total, Reason(text, total, " + ".join(terms) or "0", terms))
