"""Best-known packings of equal circles in a circle, and how loosely many wires lie."""

from webapp.sizing.reasons import COMMON_PRACTICE, Source

# Diameter of the circle around, in diameters of the circles. They only tell when to stop looking:
# a layout that was found proves itself.
BEST_KNOWN_RATIOS: tuple[float, ...] = (
    1.0, 2.0, 2.1547, 2.4142, 2.7013, 3.0, 3.0, 3.3048, 3.6131, 3.8130,
    3.9238, 4.0296, 4.2361, 4.3284, 4.5214, 4.6154, 4.7920, 4.8637, 4.8637, 5.1223,
    5.2523, 5.4397, 5.5452, 5.6517, 5.7528, 5.8282, 5.9064, 6.0149, 6.1386, 6.1977,
    6.2915, 6.4295, 6.4867, 6.6110, 6.6972, 6.7468, 6.7588,
)  # fmt: skip
CLOSE_ENOUGH = 2e-3
# Share of the circle that is filled, for more wires than are laid out one by one.
LOOSE_FILL = 0.78
LOOSE = Source(COMMON_PRACTICE)
