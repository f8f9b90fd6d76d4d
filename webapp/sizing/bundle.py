"""Diameter of a bundle of wires, what tape and splices add, and the sleeve that goes over it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.sizing.packing import LARGEST_MM, MOST_CIRCLES, pack
from webapp.sizing.reasons import (
    COMMON_PRACTICE,
    Reason,
    Result,
    SizingError,
    from_memory,
    number,
    whole_number,
)
from webapp.sizing.tables.circles import LOOSE, LOOSE_FILL
from webapp.sizing.terminations import CannotFit

MOST_WIRES = 2000
MOST_LAYERS = 20
BEND_RADII = {"free": 10.0, "supported": 3.0}
BEND = from_memory("FAA AC 43.13-1B par 11-96")


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

    Args:
        diameters_mm: Outside diameter of each wire. [mm]

    Returns:
        Diameter. [mm]

    Raises:
        SizingError: no wires, too many, or a diameter out of range.

    Source: `pack`; above 200 wires by area, as is common practice.
    """
    if len(diameters_mm) <= MOST_CIRCLES:
        packing = pack(diameters_mm)
        return Result(packing.diameter_mm, packing.reasons)
    return _by_area(diameters_mm)


def tape_build_up_mm(
    bundle_mm: float, tape_mm: float, *, overlap_percent: float = 50.0, passes: int = 1
) -> Result:
    """Diameter of a bundle with tape wound on it.

    Args:
        bundle_mm: Diameter under the tape. [mm]
        tape_mm: Thickness of the tape. [mm]
        overlap_percent: Share of its width by which each turn covers the one before. [%]
        passes: How often it is wound from end to end.

    Returns:
        Diameter where most layers lie. [mm]

    Raises:
        SizingError: a value out of range.

    Source: geometry; half overlapped is common practice.
    """
    inputs = {
        "bundle_mm": _across(bundle_mm, "bundle_mm"),
        "tape_mm": number(tape_mm, "tape_mm", above_low=True, high=5, unit="mm"),
        "overlap_percent": number(overlap_percent, "overlap_percent", high=90, unit="%"),
        "passes": whole_number(passes, "passes", low=1, high=MOST_LAYERS),
    }
    layers = inputs["passes"] * math.ceil(100 / (100 - inputs["overlap_percent"]) - 1e-9)
    taped_mm = inputs["bundle_mm"] + 2 * layers * inputs["tape_mm"]
    reason = Reason(
        text=f"{layers} layers of {inputs['tape_mm']:g} mm tape on either side.",
        name="taped_mm",
        value=taped_mm,
        unit="mm",
        formula="bundle_mm + 2 * tape_mm * passes * ceil(100 / (100 - overlap_percent) - 1e-9)",
        inputs=inputs,
        source=f"geometry; half overlapped is {COMMON_PRACTICE}",
    )
    return Result(taped_mm, (reason,))


def covered_mm(
    bundle_mm: float, *, outside_mm: float | None = None, wall_mm: float | None = None
) -> Result:
    """Diameter of a bundle over its covering.

    Args:
        bundle_mm: Diameter under the covering. [mm]
        outside_mm: Outside of a covering that keeps its shape, a sleeve or conduit. [mm]
        wall_mm: Wall of a covering that follows the bundle, a braid or tape with its laps. [mm]

    Returns:
        Diameter; that of the bundle where neither is known. [mm]

    Raises:
        SizingError: a value out of range.

    Source: geometry.
    """
    bundle = _across(bundle_mm, "bundle_mm")
    inputs = {
        "bundle_mm": bundle,
        "outside_mm": number(outside_mm or 0.0, "outside_mm", high=LARGEST_MM, unit="mm"),
        "wall_mm": number(wall_mm or 0.0, "wall_mm", high=20, unit="mm"),
    }
    over_mm = max(inputs["outside_mm"], bundle + 2 * inputs["wall_mm"])
    reason = Reason(
        text="The bundle with its covering.",
        name="covered_mm",
        value=over_mm,
        unit="mm",
        formula="max(outside_mm, bundle_mm + 2 * wall_mm)",
        inputs=inputs,
        source="geometry",
    )
    return Result(over_mm, (reason,))


def splice_bulge_mm(
    barrel_mm: float, *, heat_shrink_wall_mm: float = 0.0, beside_mm: Sequence[float] = ()
) -> Result:
    """Diameter of a bundle where a splice lies in it.

    Args:
        barrel_mm: Outside diameter of the crimped splice. [mm]
        heat_shrink_wall_mm: Recovered wall of the heat-shrink on it; 0 for none. [mm]
        beside_mm: Outside diameters of the wires that run past it. [mm]

    Returns:
        Diameter. [mm]

    Raises:
        SizingError: a value out of range; more than 199 wires beside it.

    Source: geometry; `pack`.
    """
    inputs = {
        "barrel_mm": _across(barrel_mm, "barrel_mm"),
        "heat_shrink_wall_mm": number(
            heat_shrink_wall_mm, "heat_shrink_wall_mm", high=20, unit="mm"
        ),
    }
    covered_mm = inputs["barrel_mm"] + 2 * inputs["heat_shrink_wall_mm"]
    covered = Reason(
        text="The splice with its heat-shrink.",
        name="covered_splice_mm",
        value=covered_mm,
        unit="mm",
        formula="barrel_mm + 2 * heat_shrink_wall_mm",
        inputs=inputs,
        source="geometry",
    )
    around = pack([covered_mm, *beside_mm])
    return Result(around.diameter_mm, (covered, *around.reasons))


def bend_radius_mm(thickest_mm: float, *, supported: bool = False) -> Result:
    """Least radius that a bundle is bent to, to its inside.

    Args:
        thickest_mm: Outside diameter of the thickest wire or cable in it. [mm]
        supported: Whether it is held on both sides of the bend, as where it breaks out to a
            terminal strip.

    Returns:
        Radius. [mm]

    Raises:
        SizingError: a value out of range.

    Source: FAA AC 43.13-1B par 11-96 (from memory): 10 times the thickest, 3 times if supported.
    """
    thickest = _across(thickest_mm, "thickest_mm")
    times = BEND_RADII["supported" if supported else "free"]
    reason = Reason(
        text=f"{times:g} times the thickest wire{', held on both sides' if supported else ''}.",
        name="bend_radius_mm",
        value=times * thickest,
        unit="mm",
        formula="times * thickest_mm",
        inputs={"times": times, "thickest_mm": thickest},
        source=BEND.text,
        confirmed=BEND.confirmed,
    )
    return Result(times * thickest, (reason,))


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


def _across(value: object, field: str) -> float:
    return number(value, field, above_low=True, high=LARGEST_MM, unit="mm")


def _by_area(diameters_mm: Sequence[float]) -> Result:
    if len(diameters_mm) > MOST_WIRES:
        raise SizingError("diameters_mm", f"More than {MOST_WIRES} wires cannot be reckoned.")
    given = [_across(each, f"diameters_mm.{n}") for n, each in enumerate(diameters_mm)]
    inputs = {"sum_of_squares_mm2": math.fsum(each**2 for each in given), "fill": LOOSE_FILL}
    value = math.sqrt(inputs["sum_of_squares_mm2"] / inputs["fill"])
    reason = Reason(
        text=f"{len(given)} wires by their areas.",
        name="bundle_diameter_mm",
        value=value,
        unit="mm",
        formula="sqrt(sum_of_squares_mm2 / fill)",
        inputs=inputs,
        source=LOOSE.text,
    )
    return Result(value, (reason,))
