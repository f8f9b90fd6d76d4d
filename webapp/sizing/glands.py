"""The grommet or gland through which a bundle passes a panel."""

from collections.abc import Iterable
from dataclasses import dataclass

from webapp.sizing.packing import LARGEST_MM
from webapp.sizing.reasons import Reason, Result, number
from webapp.sizing.tables.glands import GLANDS, GLANDS_MM, GROMMET_BORES_MM, GROMMETS
from webapp.sizing.terminations import CannotFit


@dataclass(frozen=True)
class OpeningFacts:
    """A grommet or gland by the diameters that it holds. A grommet does not clamp: its least is 0.

    `passes_mm` is the widest thing that can be threaded through it before it is closed.
    """

    uid: str
    holds_min_mm: float
    holds_max_mm: float
    passes_mm: float
    confirmed: bool = True


@dataclass(frozen=True)
class OpeningChoice:
    """The grommet or gland taken, and why."""

    opening: OpeningFacts
    reasons: tuple[Reason, ...]


def choose_opening(candidates: Iterable[OpeningFacts], through_mm: float) -> OpeningChoice:
    """The smallest opening that lets a bundle through, and clamps it if it is a gland.

    Args:
        candidates: What is on offer, all grommets or all glands.
        through_mm: Diameter of the bundle with its covering. [mm]

    Returns:
        The opening.

    Raises:
        CannotFit: none holds it.
        SizingError: a diameter out of range.

    Source: the opening's own limits; a grommet is not stretched tight over a bundle (common
    practice).
    """
    through = number(through_mm, "through_mm", above_low=True, high=LARGEST_MM, unit="mm")
    fitting = sorted(
        (each for each in candidates if each.holds_min_mm <= through <= each.holds_max_mm),
        key=lambda each: (each.holds_max_mm, each.uid),
    )
    if not fitting:
        raise CannotFit("through_mm", f"None holds a bundle of {through:.3g} mm.")
    opening = fitting[0]
    reason = Reason(
        text=f"Holds {opening.holds_min_mm:g} to {opening.holds_max_mm:g} mm.",
        name="holds_max_mm",
        value=opening.holds_max_mm,
        unit="mm",
        source="the opening's own limits",
        inputs={"through_mm": through},
        confirmed=opening.confirmed,
    )
    return OpeningChoice(opening, (reason,))


def grommet_bore_mm(bundle_mm: float, passes_over_mm: float = 0.0) -> Result:
    """Bore of the smallest usual grommet that takes a bundle.

    Args:
        bundle_mm: Diameter of the bundle with its covering. [mm]
        passes_over_mm: The largest thing that must go through when it is threaded; 0 if the ends
            are made afterwards. [mm]

    Returns:
        Bore. [mm]

    Raises:
        CannotFit: nothing usual is large enough.
        SizingError: a value out of range.

    Source: common practice; a grommet is not stretched tight over a bundle.
    """
    bundle = number(bundle_mm, "bundle_mm", above_low=True, high=LARGEST_MM, unit="mm")
    over = number(passes_over_mm, "passes_over_mm", high=LARGEST_MM, unit="mm")
    wanted = max(bundle, over)
    fitting = [bore for bore in GROMMET_BORES_MM if bore >= wanted]
    if not fitting:
        field = "bundle_mm" if bundle >= over else "passes_over_mm"
        raise CannotFit(field, f"No usual grommet takes {wanted:.3g} mm.")
    reason = Reason(
        text="The smallest usual bore that is not less than the bundle and what must go through.",
        name="bore_mm",
        value=fitting[0],
        unit="mm",
        source=GROMMETS.text,
        inputs={"bundle_mm": bundle, "passes_over_mm": over},
    )
    return Result(fitting[0], (reason,))


def gland_thread_mm(bundle_mm: float) -> Result:
    """Metric thread of the smallest cable gland that clamps a bundle.

    Args:
        bundle_mm: Diameter of the bundle with its covering, which must be round. [mm]

    Returns:
        Thread; 20 for M20. The gland's own range, where known, outranks it. [mm]

    Raises:
        CannotFit: none clamps it.
        SizingError: a value out of range.

    Source: usual clamping ranges of metric glands, from memory.
    """
    bundle = number(bundle_mm, "bundle_mm", above_low=True, high=LARGEST_MM, unit="mm")
    for thread, (low_mm, high_mm) in GLANDS_MM.items():
        if low_mm <= bundle <= high_mm:
            reason = Reason(
                text=f"M{thread} clamps {low_mm:g} to {high_mm:g} mm.",
                name="thread_mm",
                value=thread,
                unit="mm",
                source=GLANDS.text,
                inputs={"bundle_mm": bundle},
                confirmed=GLANDS.confirmed,
            )
            return Result(float(thread), (reason,))
    raise CannotFit("bundle_mm", f"No usual gland clamps {bundle:.3g} mm.")
