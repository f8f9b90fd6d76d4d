"""Why a figure is what it is, and how a figure that makes no sense is refused."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

EXTRA_LOW_VOLTAGE_LIMIT_V = 60.0
LONGEST_M = 1000.0
LARGEST_CURRENT_A = 10_000.0
COLDEST_C = -60.0
HOTTEST_C = 300.0

COMMON_PRACTICE = "common practice"
FROM_MEMORY = "from memory"


class SizingError(ValueError):
    """An input that cannot be sized with: `field` names it, `message` says why in a sentence."""

    def __init__(self, field: str, message: str) -> None:
        super().__init__(message)
        self.field = field
        self.message = message


@dataclass(frozen=True)
class Source:
    """Where a value was published.

    `confirmed` is False for a value that is only remembered. A habit of the trade has no document
    that could confirm it: its text is `common practice`.
    """

    text: str
    confirmed: bool = True


def from_memory(document: str) -> Source:
    """The source of a value remembered from `document` and not yet seen in it."""
    return Source(f"{document} ({FROM_MEMORY})", confirmed=False)


@dataclass(frozen=True)
class Reason:
    """One step on the way to a figure.

    `formula` is plain arithmetic over the names in `inputs` (sqrt, exp, ln, min, max, ceil and pi
    allowed) and gives `value`; it is empty where the value was looked up. `name` is empty where
    there is no number to give, as for a colour.
    """

    text: str
    name: str
    value: float
    unit: str
    source: str
    formula: str = ""
    inputs: Mapping[str, float] = field(default_factory=dict, hash=False)
    confirmed: bool = True

    def as_dict(self) -> dict[str, object]:
        """The reason as plain values, to freeze it in a record or send it as JSON."""
        return {
            "text": self.text,
            "name": self.name,
            "value": self.value,
            "unit": self.unit,
            "formula": self.formula,
            "inputs": dict(self.inputs),
            "source": self.source,
            "confirmed": self.confirmed,
        }


@dataclass(frozen=True)
class Result:
    """One figure and why it is what it is."""

    value: float
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the figure."""
        return all_confirmed(self.reasons)


def all_confirmed(reasons: Iterable[Reason]) -> bool:
    """True when no remembered value stands behind any of `reasons`."""
    return all(reason.confirmed for reason in reasons)


def number(
    value: object,
    field: str,
    *,
    low: float = 0.0,
    high: float = math.inf,
    above_low: bool = False,
    unit: str = "",
) -> float:
    """`value` as a float, if it is a finite number from `low` to `high`.

    Args:
        value: What was given.
        field: Name of the input, for the error.
        low: Least value allowed; not itself allowed when `above_low` is true.
        high: Greatest value allowed.
        above_low: Whether `low` itself is refused.
        unit: Written after the limits in the error.

    Raises:
        SizingError: not a number, not finite, or out of range.
    """
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise SizingError(field, "Give a number.")
    given = float(value)
    if not math.isfinite(given):
        raise SizingError(field, "Give a finite number.")
    suffix = f" {unit}" if unit else ""
    if above_low and given <= low:
        raise SizingError(field, f"This must be more than {low:g}{suffix}.")
    if given < low:
        raise SizingError(field, f"This must not be less than {low:g}{suffix}.")
    if given > high:
        raise SizingError(field, f"This must not be more than {high:g}{suffix}.")
    return given


def whole_number(value: object, field: str, *, low: int = 0, high: int = 1_000_000) -> int:
    """`value` as an int, if it is a whole number from `low` to `high`; else SizingError."""
    if isinstance(value, bool) or not isinstance(value, int):
        raise SizingError(field, "Give a whole number.")
    return int(number(value, field, low=low, high=high))


def current(value: object, field: str = "current_a", *, above_zero: bool = False) -> float:
    """A current in A, from 0 to 10 kA; else SizingError."""
    return number(value, field, high=LARGEST_CURRENT_A, above_low=above_zero, unit="A")


def length(value: object, field: str = "length_m") -> float:
    """A length in m, from 0 to 1 km; else SizingError."""
    return number(value, field, high=LONGEST_M, unit="m")


def temperature(value: object, field: str = "temperature_c") -> float:
    """A temperature of copper or air in °C, from -60 to 300; else SizingError."""
    return number(value, field, low=COLDEST_C, high=HOTTEST_C, unit="°C")


def voltage(value: object, field: str = "system_voltage_v") -> float:
    """A DC voltage in V, above 0 and up to 60; else SizingError.

    Source: 60 V d.c. is where UN R100 lets high voltage begin (from memory).
    """
    given = number(value, field, above_low=True, unit="V")
    if given > EXTRA_LOW_VOLTAGE_LIMIT_V:
        raise SizingError(
            field,
            "Looms above 60 V DC are outside what can be sized here; "
            "they are work for somebody licensed for high voltage.",
        )
    return given


def choice(value: object, field: str, allowed: Iterable[str]) -> str:
    """`value` if it is one of `allowed`; else SizingError that lists them."""
    names = tuple(allowed)
    if isinstance(value, str) and value in names:
        return value
    raise SizingError(field, f"Choose one of: {', '.join(names)}.")
