"""Which heat-shrink goes over an end, and how long to cut it."""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from webapp.sizing.reasons import COMMON_PRACTICE, Reason, Result, SizingError, number
from webapp.sizing.tables.terminations import (
    HEAT_SHRINK_2_TO_1,
    HEAT_SHRINK_2_TO_1_IN,
    HEAT_SHRINK_MORE,
    HEAT_SHRINK_MORE_MM,
)
from webapp.sizing.terminations import CannotFit

INCH_MM = 25.4
RATIOS = (2, *HEAT_SHRINK_MORE_MM)
USUAL_CHANGE_PERCENT = -5.0
MOST_SHORTENING_PERCENT = -50.0


@dataclass(frozen=True)
class HeatShrinkFacts:
    """A size of heat-shrink: inside as supplied, at least, and inside recovered, at most."""

    uid: str
    expanded_mm: float
    recovered_mm: float
    longitudinal_change_percent: float = USUAL_CHANGE_PERCENT
    confirmed: bool = True
    sizes_source: str = "the part's own sizes"


@dataclass(frozen=True)
class HeatShrinkChoice:
    """The heat-shrink taken, and why."""

    heat_shrink: HeatShrinkFacts
    reasons: tuple[Reason, ...]


def standard_heat_shrink(ratio: float = 2) -> tuple[HeatShrinkFacts, ...]:
    """The usual sizes of heat-shrink, smallest first.

    Args:
        ratio: Inside as supplied by inside recovered, of `RATIOS`. [-]

    Raises:
        SizingError: a ratio that is not among them.

    Source: AMS-DTL-23053/5 class 1 for 2:1, nominal adhesive-lined sizes for 3:1 and 4:1; all from
    memory.
    """
    wanted = number(ratio, "ratio")
    if wanted not in RATIOS:
        listed = ", ".join(f"{each:g}" for each in RATIOS)
        raise SizingError("ratio", f"Heat-shrink is known here in the ratios {listed}.")
    if wanted == 2:
        return tuple(
            HeatShrinkFacts(
                uid=f"{nominal} in",
                expanded_mm=expanded_in * INCH_MM,
                recovered_mm=recovered_in * INCH_MM,
                confirmed=HEAT_SHRINK_2_TO_1.confirmed,
                sizes_source=HEAT_SHRINK_2_TO_1.text,
            )
            for nominal, (expanded_in, recovered_in) in HEAT_SHRINK_2_TO_1_IN.items()
        )
    return tuple(
        HeatShrinkFacts(
            uid=f"{expanded:g} to {recovered:g} mm",
            expanded_mm=expanded,
            recovered_mm=recovered,
            confirmed=HEAT_SHRINK_MORE.confirmed,
            sizes_source=HEAT_SHRINK_MORE.text,
        )
        for expanded, recovered in HEAT_SHRINK_MORE_MM[wanted]
    )


def choose_heat_shrink(
    candidates: Iterable[HeatShrinkFacts], *, passes_over_mm: float, grips_mm: float
) -> HeatShrinkChoice:
    """The smallest heat-shrink that passes over the largest thing and grips the smallest.

    Args:
        candidates: What is on offer.
        passes_over_mm: Largest diameter that it must pass. [mm]
        grips_mm: Smallest diameter that it must be tight on. [mm]

    Returns:
        The heat-shrink.

    Raises:
        CannotFit: none passes, or none that passes grips.
        SizingError: a value out of range.

    Source: NASA-STD-8739.4 par 9.8.1: larger than the largest object, tight after recovery.
    """
    over = number(passes_over_mm, "passes_over_mm", above_low=True, unit="mm")
    grips = number(grips_mm, "grips_mm", above_low=True, unit="mm")
    passing = sorted(
        (each for each in candidates if each.expanded_mm > over),
        key=lambda each: (each.expanded_mm, -each.recovered_mm, each.uid),
    )
    if not passing:
        raise CannotFit("passes_over_mm", f"No heat-shrink passes over {over:g} mm.")
    for each in passing:
        if each.recovered_mm < grips:
            return HeatShrinkChoice(each, (_chosen(each, over, grips),))
    tightest = min(passing, key=lambda each: each.recovered_mm)
    raise CannotFit(
        "grips_mm",
        f"Heat-shrink that passes over {over:g} mm recovers to {tightest.recovered_mm:.3g} mm and "
        f"will not grip {grips:g} mm: take one that shrinks more.",
    )


def heat_shrink_cut_mm(
    covered_length_mm: float, longitudinal_change_percent: float = USUAL_CHANGE_PERCENT
) -> Result:
    """Length to cut heat-shrink to.

    Args:
        covered_length_mm: Length to be covered after recovery. [mm]
        longitudinal_change_percent: Change of length on recovery, negative when it gets shorter;
            growth is not counted on. [%]

    Returns:
        Length, rounded up to a whole millimetre. [mm]

    Raises:
        SizingError: a value out of range; more than half lost.

    Source: +1 to -5 % for AMS-DTL-23053/5 class 1 (from memory); rounding is common practice.
    """
    covered = number(covered_length_mm, "covered_length_mm", high=100_000, unit="mm")
    change = number(
        longitudinal_change_percent,
        "longitudinal_change_percent",
        low=MOST_SHORTENING_PERCENT,
        high=50,
        unit="%",
    )
    cut_mm = math.ceil(covered / (1 + min(change, 0) / 100) - 1e-9)
    reason = Reason(
        text=f"Heat-shrink gets {-min(change, 0):g} % shorter as it recovers.",
        name="cut_length_mm",
        value=cut_mm,
        unit="mm",
        formula="ceil(covered_length_mm / (1 + min(longitudinal_change_percent, 0) / 100) - 1e-9)",
        inputs={"covered_length_mm": covered, "longitudinal_change_percent": change},
        source=COMMON_PRACTICE,
    )
    return Result(cut_mm, (reason,))


def _chosen(heat_shrink: HeatShrinkFacts, over_mm: float, grips_mm: float) -> Reason:
    return Reason(
        text=f"Supplied {heat_shrink.expanded_mm:.3g} mm passes over {over_mm:g} mm; recovered "
        f"{heat_shrink.recovered_mm:.3g} mm is tight on {grips_mm:g} mm.",
        name="expanded_mm",
        value=heat_shrink.expanded_mm,
        unit="mm",
        source=f"NASA-STD-8739.4 par 9.8.1; {heat_shrink.sizes_source}",
        inputs={"passes_over_mm": over_mm, "grips_mm": grips_mm},
        confirmed=heat_shrink.confirmed,
    )
