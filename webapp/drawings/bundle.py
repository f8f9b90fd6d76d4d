"""A bundle cut across: its wires as circles in the circle around them."""

from collections.abc import Sequence

from .ink import CARD, COPPER, INK, SOFT
from .shapes import circle, svg, text

SIZE, EDGE, NAME_H = 220.0, 8.0, 24.0
BARE_SHARE = 0.55


def bundle_svg(
    centres_mm: Sequence[tuple[float, float]],
    diameters_mm: Sequence[float],
    bundle_mm: float,
    *,
    size: float = SIZE,
) -> str:
    """The wires where they lie, in the order given, and the bundle's diameter below.

    Copper is drawn for the look of it, at a fixed share of each wire.
    Raises ValueError when centres and diameters are not as many.
    """
    scale = (size - 2 * EDGE) / bundle_mm
    middle = size / 2
    body = [circle(middle, middle, bundle_mm / 2 * scale, fill="none", stroke=SOFT,
                   stroke_width=1, stroke_dasharray="5 4")]  # fmt: skip
    for (x_mm, y_mm), diameter_mm in zip(centres_mm, diameters_mm, strict=True):
        x, y, radius = middle + x_mm * scale, middle - y_mm * scale, diameter_mm / 2 * scale
        # Half the outline's width inside, so that wires that touch are seen to touch.
        outline = min(1.2, radius / 3)
        body.append(circle(x, y, radius - outline / 2, fill=CARD, stroke=INK, stroke_width=outline))
        body.append(circle(x, y, radius * BARE_SHARE, fill=COPPER))
    words = f"{bundle_mm:.1f} mm"
    body.append(text(middle, size + NAME_H - 8, words, 14, text_anchor="middle", condensed=True))
    title = f"{len(diameters_mm)} wires in a bundle of {words}"
    return svg(size, size + NAME_H, title, body, "bundle")
