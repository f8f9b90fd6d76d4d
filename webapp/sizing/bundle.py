"""Diameter of a bundle of wires, and the sleeve that goes over it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.sizing.reasons import COMMON_PRACTICE, Reason, Result, SizingError, number
from webapp.sizing.tables.circles import (
    LOOSE,
    LOOSE_FILL,
    PACKING,
    PACKING_REMEMBERED,
    PRINTED_UP_TO,
    RATIOS,
)
from webapp.sizing.terminations import CannotFit

MOST_WIRES = 2000


@dataclass(frozen=True)
class SleeveFacts:
    """A covering by the bundle diameters that it goes over."""

    uid: str
    covers_min_mm: float
    covers_max_mm: float


@dataclass(frozen=True)
class SleeveChoice:
    """The covering taken, and why."""

    sleeve: SleeveFacts
    reasons: tuple[Reason, ...]


def bundle_diameter_mm(diameters_mm: Sequence[float]) -> Result:
    """Diameter of a round bundle.

    Wires of several sizes are reckoned as as many equal ones of the same total area, and never
    smaller than the two largest side by side.

    Args:
        diameters_mm: Outside diameter of each wire. [mm]

    Returns:
        Diameter. [mm]

    Raises:
        SizingError: no wires, too many, or a diameter out of range.

    Source: best-known packings of equal circles; mixing by area is common practice.
    """
    if not diameters_mm:
        raise SizingError("diameters_mm", "Give at least one wire.")
    if len(diameters_mm) > MOST_WIRES:
        raise SizingError("diameters_mm", f"More than {MOST_WIRES} wires cannot be reckoned.")
    given = sorted(
        (
            number(each, "diameters_mm", above_low=True, high=200, unit="mm")
            for each in diameters_mm
        ),
        reverse=True,
    )
    count = len(given)
    mean = _mean_diameter(given)
    ratio = _ratio(count)
    two_largest_mm = sum(given[:2])
    value = max(ratio.value * mean.value, two_largest_mm)
    bundle = Reason(
        text=f"{count} wires; never less than the two largest side by side.",
        name="bundle_diameter_mm",
        value=value,
        unit="mm",
        formula="max(ratio * equal_diameter_mm, two_largest_mm)",
        inputs={
            "ratio": ratio.value,
            "equal_diameter_mm": mean.value,
            "two_largest_mm": two_largest_mm,
        },
        source=f"{PACKING.text}; mixed sizes by area are {COMMON_PRACTICE}",
        confirmed=ratio.confirmed,
    )
    return Result(value, (mean, ratio, bundle))


def choose_sleeve(candidates: Iterable[SleeveFacts], bundle_mm: float) -> SleeveChoice:
    """The smallest covering that goes over a bundle.

    Args:
        candidates: What is on offer.
        bundle_mm: Diameter of the bundle. [mm]

    Returns:
        The covering.

    Raises:
        CannotFit: none goes over it.
        SizingError: a value out of range.

    Source: the covering's own limits.
    """
    bundle = number(bundle_mm, "bundle_mm", above_low=True, unit="mm")
    fitting = sorted(
        (each for each in candidates if each.covers_min_mm <= bundle <= each.covers_max_mm),
        key=lambda each: (each.covers_max_mm, each.uid),
    )
    if not fitting:
        raise CannotFit("bundle_mm", f"No covering goes over a bundle of {bundle:.3g} mm.")
    sleeve = fitting[0]
    reason = Reason(
        text=f"Goes over bundles of {sleeve.covers_min_mm:g} to {sleeve.covers_max_mm:g} mm.",
        name="covers_max_mm",
        value=sleeve.covers_max_mm,
        unit="mm",
        source="the covering's own limits",
        inputs={"bundle_mm": bundle},
    )
    return SleeveChoice(sleeve, (reason,))


def _mean_diameter(diameters_mm: Sequence[float]) -> Reason:
    sum_of_squares = math.fsum(each**2 for each in diameters_mm)
    count = len(diameters_mm)
    return Reason(
        text="Equal wires of the same total area.",
        name="equal_diameter_mm",
        value=math.sqrt(sum_of_squares / count),
        unit="mm",
        formula="sqrt(sum_of_squares_mm2 / wires)",
        inputs={"sum_of_squares_mm2": sum_of_squares, "wires": count},
        source=COMMON_PRACTICE,
    )


def _ratio(count: int) -> Reason:
    listed = count <= len(RATIOS)
    source = LOOSE
    if listed:
        source = PACKING if count <= PRINTED_UP_TO else PACKING_REMEMBERED
    return Reason(
        text=f"{count} equal circles in a circle, in their diameters.",
        name="ratio",
        value=RATIOS[count - 1] if listed else math.sqrt(count / LOOSE_FILL),
        unit="",
        formula="" if listed else "sqrt(wires / fill)",
        inputs={"wires": count} if listed else {"wires": count, "fill": LOOSE_FILL},
        source=source.text,
        confirmed=source.confirmed,
    )
