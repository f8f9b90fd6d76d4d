"""What the hours of work cost."""

from dataclasses import dataclass
from decimal import Decimal

from webapp.costing.reasons import Amount, Exact, Reason, exact, whole
from webapp.costing.rounding import EXACTLY, to_minor

S_PER_H = 3600
MOST_COUNT = 1_000_000
MOST_SECONDS = 10_000_000
MOST_RATE_MINOR = 10**10
MOST_UNITS = 100_000


@dataclass(frozen=True)
class Work:
    """One operation, so many times (or metres) in one unit, each taking `seconds`. [s]"""

    code: str
    title: str
    count: Exact
    seconds: int


@dataclass(frozen=True)
class WorkLine:
    work: Work
    seconds: Decimal
    cost: Amount


def labour_cost(work: Work, rate_minor_per_hour: int) -> WorkLine:
    """What one operation costs in one unit.

    cost = round(count × seconds × rate / 3600)

    Args:
        work: count as times or metres, seconds for one of them. [-], [s]
        rate_minor_per_hour: Labour rate. [minor units/h]

    Returns:
        The line with its whole time [s] and its cost, rounded, halves up. [minor units]

    Raises:
        CostError: a figure is negative, no number, or out of range.

    Source: arithmetic.

    >>> labour_cost(Work("crimp", "Crimp one end", 40, 30), 4200).cost.minor
    1400
    """
    exact(work.count, "count", most=MOST_COUNT)
    whole(work.seconds, "seconds", most=MOST_SECONDS)
    whole(rate_minor_per_hour, "rate_minor_per_hour", most=MOST_RATE_MINOR)
    seconds = EXACTLY.multiply(Decimal(work.count), Decimal(work.seconds))
    minor = to_minor(EXACTLY.multiply(seconds, Decimal(rate_minor_per_hour)), S_PER_H)
    reason = Reason(
        f"{work.title}: how often in one unit, the time for one, at the labour rate.",
        minor,
        "round(count * seconds * rate_minor_per_hour / 3600)",
        {
            "count": work.count,
            "seconds": work.seconds,
            "rate_minor_per_hour": rate_minor_per_hour,
        },
        "the workshop's times and labour rate",
    )
    return WorkLine(work, seconds, Amount(minor, reason))


def spread_cost(text: str, seconds: int, rate_minor_per_hour: int, units: int) -> Amount:
    """One unit's share of time that is spent once for the whole batch.

    share = round(seconds × rate / (3600 × units))

    Args:
        text: What the time is for, in words.
        seconds: Time for the whole batch. [s]
        rate_minor_per_hour: Labour rate. [minor units/h]
        units: How many units bear it, 1 or more. [-]

    Returns:
        The share of one unit, rounded, halves up. [minor units]

    Raises:
        CostError: a figure is negative, no number, or out of range.

    Source: arithmetic.

    >>> spread_cost("Set-up", 7200, 4200, 6).minor
    1400
    """
    whole(seconds, "seconds", most=MOST_SECONDS)
    whole(rate_minor_per_hour, "rate_minor_per_hour", most=MOST_RATE_MINOR)
    whole(units, "units", least=1, most=MOST_UNITS)
    minor = to_minor(seconds * rate_minor_per_hour, S_PER_H * units)
    inputs = {"seconds": seconds, "rate_minor_per_hour": rate_minor_per_hour, "units": units}
    formula = "round(seconds * rate_minor_per_hour / (3600 * units))"
    source = "the workshop's times and labour rate"
    return Amount(minor, Reason(text, minor, formula, inputs, source))
