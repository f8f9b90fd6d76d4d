"""Diameter of the smallest circle around equal circles, in their diameters."""

from webapp.sizing.reasons import COMMON_PRACTICE, Source, from_memory

PACKING = Source("best-known packings of equal circles in a circle, rounded up")
PACKING_REMEMBERED = from_memory("best-known packings of equal circles in a circle, rounded up")
# Up to this many were seen in print.
PRINTED_UP_TO = 20
# Last digit rounded up, so that no bundle comes out smaller than its circles.
RATIOS: tuple[float, ...] = (
    1.0, 2.0, 2.1548, 2.4143, 2.7014, 3.0, 3.0, 3.3048, 3.6132, 3.8131,
    3.9239, 4.0297, 4.2361, 4.3285, 4.5214, 4.6155, 4.7921, 4.8638, 4.8638, 5.1224,
    5.2524, 5.4398, 5.5453, 5.6517, 5.7529, 5.8282, 5.9064, 6.0150, 6.1386, 6.1978,
    6.2916, 6.4295, 6.4868, 6.6110, 6.6972, 6.7468, 6.7588,
)  # fmt: skip
# Share of the circle that is filled, for more circles than the list holds.
LOOSE_FILL = 0.78
LOOSE = Source(COMMON_PRACTICE)
