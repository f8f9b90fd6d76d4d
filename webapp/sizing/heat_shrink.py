"""Which heat-shrink goes over an end, and how long to cut it."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from webapp.sizing.packing import LARGEST_MM
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
# A crimped barrel, or wires side by side with the joint between them, over what is beside it:
# common practice.
BARREL_OVER_INSULATION = 1.15
# Share of the circle around them that three equal wires fill (geometry); more fill no less.
FEW_FILL = 0.6466
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


def over_terminal_mm(outside_mm: float) -> tuple[float, float]:
    """What heat-shrink at a terminal must pass over, and what it must grip.

    Args:
        outside_mm: Over the insulation of the wire. [mm]

    Returns:
        Largest diameter, over the barrel, and smallest, on the insulation. [mm]

    Raises:
        SizingError: a value out of range.

    Source: common practice; a barrel is about 15 % wider than the insulation behind it.
    """
    outside = number(outside_mm, "outside_mm", above_low=True, high=LARGEST_MM, unit="mm")
    return outside * BARREL_OVER_INSULATION, outside


def over_splice_mm(outsides_mm: Sequence[float]) -> tuple[float, float]:
    """What heat-shrink over a splice must pass over, and what it must grip.

    Args:
        outsides_mm: Over the insulation of each wire in the splice, two or more. [mm]

    Returns:
        Largest diameter, over the joint, and smallest, on the thinner side's wires. [mm]

    Raises:
        SizingError: fewer than two wires; a value out of range.

    Source: common practice; the thickest wire lies on one side, the others on the other.
    """
    if len(outsides_mm) < 2:
        raise SizingError("outsides_mm", "A splice joins two wires or more.")
    thickest, *others = sorted(outsides_mm, reverse=True)
    sides = (_beside_mm([thickest]), _beside_mm(others))
    return max(sides) * BARREL_OVER_INSULATION, min(sides)


def _beside_mm(outsides_mm: Sequence[float]) -> float:
    """Across a few wires, thickest first: two lie beside each other, more fill about so much."""
    given = [
        number(each, f"outsides_mm.{n}", above_low=True, high=LARGEST_MM, unit="mm")
        for n, each in enumerate(outsides_mm)
    ]
    if len(given) < 3:
        return sum(given)
    return max(sum(given[:2]), math.sqrt(math.fsum(each**2 for each in given) / FEW_FILL))


def passes(heat_shrink: HeatShrinkFacts, over_mm: float) -> bool:
    """Whether it goes over a diameter [mm] as supplied: NASA-STD-8739.4 par 9.8.1."""
    return heat_shrink.expanded_mm > over_mm


def is_tight(heat_shrink: HeatShrinkFacts, grips_mm: float) -> bool:
    """Whether it is tight on a diameter [mm] when shrunk: NASA-STD-8739.4 par 9.8.1."""
    return heat_shrink.recovered_mm < grips_mm


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
        (each for each in candidates if passes(each, over)),
        key=lambda each: (each.expanded_mm, -each.recovered_mm, each.uid),
    )
    if not passing:
        raise CannotFit("passes_over_mm", f"No heat-shrink passes over {over:g} mm.")
    for each in passing:
        if is_tight(each, grips):
            return HeatShrinkChoice(each, (_chosen(each, over, grips),))
    tightest = min(passing, key=lambda each: each.recovered_mm)
    raise CannotFit(
        "grips_mm",
        f"Heat-shrink that passes over {over:g} mm recovers to {tightest.recovered_mm:.3g} mm and "
        f"will not grip {grips:g} mm: take one that shrinks more.",
    )


def choose_least_shrinking(
    candidates: Iterable[HeatShrinkFacts], *, passes_over_mm: float, grips_mm: float
) -> HeatShrinkChoice:
    """As `choose_heat_shrink`, from the kinds that shrink least: 2:1 before 3:1 before 4:1.

    Args, Returns, Raises: as for `choose_heat_shrink`; what it raises is that of the kind that
    shrinks most.

    Source: NASA-STD-8739.4 par 9.8.1; what shrinks more costs more (common practice).
    """
    by_ratio: dict[int, list[HeatShrinkFacts]] = {}
    for each in candidates:
        by_ratio.setdefault(round(each.expanded_mm / max(each.recovered_mm, 0.01)), []).append(each)
    refused = CannotFit("passes_over_mm", "There is no heat-shrink on offer.")
    for ratio in sorted(by_ratio):
        try:
            return choose_heat_shrink(
                by_ratio[ratio], passes_over_mm=passes_over_mm, grips_mm=grips_mm
            )
        except CannotFit as error:
            refused = error
    raise refused


def tightest(
    candidates: Iterable[HeatShrinkFacts], *, passes_over_mm: float, grips_mm: float
) -> HeatShrinkChoice:
    """The heat-shrink that passes and comes nearest to gripping, where none does both.

    Args:
        candidates: What is on offer.
        passes_over_mm: Largest diameter that it must pass. [mm]
        grips_mm: Smallest diameter that it should be tight on. [mm]

    Returns:
        The heat-shrink.

    Raises:
        CannotFit: none passes.

    Source: NASA-STD-8739.4 par 9.8.1.
    """
    passing = [each for each in candidates if passes(each, passes_over_mm)]
    if not passing:
        raise CannotFit("passes_over_mm", f"No heat-shrink passes over {passes_over_mm:.3g} mm.")
    least = min(passing, key=lambda each: (each.recovered_mm, each.expanded_mm, each.uid))
    return HeatShrinkChoice(least, (_chosen(least, passes_over_mm, grips_mm),))


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
    tight = "is tight" if is_tight(heat_shrink, grips_mm) else "is not tight"
    return Reason(
        text=f"Supplied {heat_shrink.expanded_mm:.3g} mm passes over {over_mm:g} mm; recovered "
        f"{heat_shrink.recovered_mm:.3g} mm {tight} on {grips_mm:g} mm.",
        name="expanded_mm",
        value=heat_shrink.expanded_mm,
        unit="mm",
        source=f"NASA-STD-8739.4 par 9.8.1; {heat_shrink.sizes_source}",
        inputs={"passes_over_mm": over_mm, "grips_mm": grips_mm},
        confirmed=heat_shrink.confirmed,
    )
