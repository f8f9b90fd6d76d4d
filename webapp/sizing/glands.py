"""The grommet or gland through which a bundle passes a panel."""

from webapp.sizing.packing import LARGEST_MM
from webapp.sizing.reasons import Reason, Result, number
from webapp.sizing.tables.glands import GLANDS, GLANDS_MM, GROMMET_BORES_MM, GROMMETS
from webapp.sizing.terminations import CannotFit


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
