"""The one place where money is rounded, and the shares of an amount."""

from decimal import ROUND_HALF_UP, Context, Decimal

from webapp.costing.reasons import Amount, CostError, Exact, Reason, exact

MOST_MINOR = 10**15
MOST_PERCENT = 1000
# Wide enough that nothing below MOST_MINOR is rounded before `to_minor` does it.
EXACTLY = Context(prec=60)


def to_minor(numerator: Exact, denominator: Exact = 1) -> int:
    """An amount to the whole minor unit, halves up (1.5 -> 2, 2.5 -> 3).

    The division is done here and nowhere else, so that nothing is rounded twice.

    Args:
        numerator: The amount, or the product to be divided, 0 or more. [minor units]
        denominator: What to divide it by, more than 0. [-]

    Returns:
        Whole minor units.

    Raises:
        CostError: not a number, negative, or too large to be an amount.

    Source: commercial rounding, common practice.

    >>> to_minor(5, 2)
    3
    """
    exact(denominator, "denominator", least=Decimal("1E-12"), most=10**30)
    exact(numerator, "amount", most=10**45)
    quotient = EXACTLY.divide(Decimal(numerator), Decimal(denominator))
    if quotient > MOST_MINOR:
        raise CostError("amount", "This comes to more money than can be priced.")
    return int(quotient.quantize(Decimal(1), ROUND_HALF_UP, context=EXACTLY))


def share(text: str, base_minor: int, percent: Exact, field: str, *, most: Exact) -> Amount:
    """A percentage of an amount: round(base × percent / 100).

    Args:
        text: What the share is, in words.
        base_minor: What it is a share of. [minor units]
        percent: 20 means 20 %. [%]
        field: What to call the percentage when it is refused.
        most: The largest percentage that makes sense here. [%]

    Returns:
        The share, rounded once. [minor units]

    Raises:
        CostError: the percentage is no number, negative, or more than `most`.

    Source: arithmetic.
    """
    exact(percent, field, most=most)
    exact(base_minor, "base_minor", most=MOST_MINOR)
    minor = to_minor(EXACTLY.multiply(Decimal(base_minor), Decimal(percent)), 100)
    formula = f"round(base_minor * {field} / 100)"
    return Amount(minor, Reason(text, minor, formula, {"base_minor": base_minor, field: percent}))
