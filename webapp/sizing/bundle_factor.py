"""How much less a wire carries when it lies in a bundle."""

import math

from webapp.sizing.reasons import Reason, Result, number, whole_number
from webapp.sizing.tables.bundles import BEYOND_CURVES, BUNDLE_CURVES, BUNDLE_FACTORS


def bundle_factor(wires: int, loaded_percent: float = 100.0, *, built_in: float = 1.0) -> Result:
    """Share of its free-air current that a wire keeps in a bundle.

    Args:
        wires: Wires in the bundle, this one counted.
        loaded_percent: Share of the bundle's whole capacity that is in use; below 20 % counts as
            20 %. [%]
        built_in: Factor that the capacity table already contains.

    Returns:
        Factor from 0 to 1.

    Raises:
        SizingError: fewer than one wire; a loading outside 0 to 100 %.

    Source: MIL-W-5088L curves, between the loadings in a straight line; beyond the last count that
    was read, with the square root of the count.
    """
    count = whole_number(wires, "bundle_wires", low=1)
    loading = number(loaded_percent, "bundle_loaded_percent", high=100, unit="%")
    taken = min(max(loading, min(BUNDLE_FACTORS)), 100.0)
    lower = max(curve for curve in BUNDLE_FACTORS if curve <= taken)
    upper = min(curve for curve in BUNDLE_FACTORS if curve >= taken)
    at_lower, at_upper = _on_curve(lower, count), _on_curve(upper, count)
    share = 0.0 if upper == lower else (taken - lower) / (upper - lower)
    read = at_lower + (at_upper - at_lower) * share
    source = BUNDLE_CURVES if count <= len(BUNDLE_FACTORS[upper]) else BEYOND_CURVES
    inputs = {
        "at_lower_loading": at_lower,
        "at_upper_loading": at_upper,
        "share": share,
        "built_in": built_in,
    }
    value = min(1.0, read / built_in)
    reason = Reason(
        text=f"{count} wires in the bundle, {loading:g} % loaded.",
        name="bundle_factor",
        value=value,
        unit="",
        formula="min(1, (at_lower_loading + (at_upper_loading - at_lower_loading) * share)"
        " / built_in)",
        inputs=inputs,
        source=source.text,
        confirmed=source.confirmed,
    )
    return Result(value, (reason,))


def _on_curve(loaded_percent: float, wires: int) -> float:
    curve = BUNDLE_FACTORS[loaded_percent]
    if wires <= len(curve):
        return curve[wires - 1]
    return curve[-1] * math.sqrt(len(curve) / wires)
