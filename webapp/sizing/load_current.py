"""Current that a load takes at the voltage it really gets."""

from webapp.sizing.reasons import Reason, Result, choice, current, number, voltage

LOAD_KINDS = ("lamp", "led", "motor", "electronics", "resistive", "sender", "source")
RATING_UNITS = ("A", "W", "ohm")
FILAMENT_EXPONENT = 0.55
HIGHEST_POWER_W = 100_000.0
HIGHEST_RESISTANCE_OHM = 1_000_000.0

_HOW = {
    "lamp": "A filament lamp's current follows about the 0.55th power of the voltage.",
    "led": "A lamp with its own driver takes constant power.",
    "motor": "A motor takes its rated current for its load.",
    "electronics": "Electronics take constant power.",
    "resistive": "Current in proportion to voltage.",
    "sender": "Current in proportion to voltage.",
    "source": "A source gives at most its rated current.",
}
_FORMULA = {
    "lamp": "rated_a * (voltage_v / rated_v) ** 0.55",
    "led": "rated_a * rated_v / voltage_v",
    "motor": "rated_a",
    "electronics": "rated_a * rated_v / voltage_v",
    "resistive": "rated_a * voltage_v / rated_v",
    "sender": "rated_a * voltage_v / rated_v",
    "source": "rated_a",
}
_SOURCE = {
    "lamp": "filament-lamp characteristic (common practice)",
    "led": "power = voltage × current",
    "motor": "common practice",
    "electronics": "power = voltage × current",
    "resistive": "Ohm's law",
    "sender": "Ohm's law",
    "source": "rating plate",
}


def load_current_a(
    kind: str, *, rating: float, rating_unit: str, rated_at_v: float, voltage_v: float
) -> Result:
    """Current of one load at a voltage.

    Args:
        kind: One of `LOAD_KINDS`; `lamp` is a filament lamp.
        rating: As marked, in `rating_unit`.
        rating_unit: One of `RATING_UNITS`: A or W at `rated_at_v`, or the resistance.
        rated_at_v: Voltage that the rating holds at. [V]
        voltage_v: Voltage at the load. [V]

    Returns:
        Current. [A]

    Raises:
        SizingError: unknown kind or unit; a value out of range.

    Source: Ohm's law; the lamp's exponent is common practice.
    """
    choice(kind, "kind", LOAD_KINDS)
    choice(rating_unit, "rating_unit", RATING_UNITS)
    rated_v = voltage(rated_at_v, "rated_at_v")
    actual_v = voltage(voltage_v, "voltage_v")
    rated = _rated_current(rating, rating_unit, rated_v)
    ratio = actual_v / rated_v
    factor = {
        "lamp": ratio**FILAMENT_EXPONENT,
        "led": 1 / ratio,
        "electronics": 1 / ratio,
        "resistive": ratio,
        "sender": ratio,
    }.get(kind, 1.0)
    inputs = {"rated_a": rated.value, "voltage_v": actual_v, "rated_v": rated_v}
    if factor == 1.0:
        inputs = {"rated_a": rated.value}
    actual = Reason(
        text=f"{_HOW[kind]} At {actual_v:g} V.",
        name="current_a",
        value=rated.value * factor,
        unit="A",
        formula=_FORMULA[kind] if factor != 1.0 else "rated_a",
        inputs=inputs,
        source=_SOURCE[kind],
    )
    return Result(actual.value, (rated, actual))


def _rated_current(rating: float, unit: str, rated_v: float) -> Reason:
    if unit == "A":
        rated_a = current(rating, "rating", above_zero=True)
        formula, inputs = "", {}
    elif unit == "W":
        power_w = number(rating, "rating", high=HIGHEST_POWER_W, above_low=True, unit="W")
        rated_a = power_w / rated_v
        formula, inputs = "power_w / rated_v", {"power_w": power_w, "rated_v": rated_v}
    else:
        ohm = number(rating, "rating", high=HIGHEST_RESISTANCE_OHM, above_low=True, unit="Ω")
        rated_a = rated_v / ohm
        formula, inputs = "rated_v / load_ohm", {"rated_v": rated_v, "load_ohm": ohm}
    current(rated_a, "rating")
    return Reason(
        text=f"Marked {rating:g} {unit.replace('ohm', 'Ω')} at {rated_v:g} V.",
        name="rated_a",
        value=rated_a,
        unit="A",
        formula=formula,
        inputs=inputs,
        source="rating plate",
    )
