"""Bundle derating and coverings."""

from webapp.sizing.reasons import COMMON_PRACTICE, Source

BUNDLE_CURVES = Source(
    "MIL-W-5088L bundle derating curves (also in AC 43.13-1B), read off the figure to ±0.02"
)
BEYOND_CURVES = Source(
    "MIL-W-5088L bundle derating curves, carried on past the last read point with the square "
    "root of the count (common practice)"
)

# Loading in %: factor for 1, 2, 3, ... wires. The point for 14 wires at 40 % was not read: it lies
# half-way between its neighbours.
BUNDLE_FACTORS: dict[float, tuple[float, ...]] = {
    20: (
        1, 0.9675, 0.935, 0.9075, 0.875, 0.85, 0.82, 0.795, 0.775, 0.755,
        0.735, 0.715, 0.6975, 0.685, 0.67, 0.6575, 0.645, 0.635, 0.625, 0.615,
    ),
    40: (
        1, 0.92, 0.855, 0.805, 0.76, 0.725, 0.695, 0.6675, 0.645, 0.6225,
        0.6, 0.585, 0.5675, 0.554, 0.54, 0.5275, 0.515, 0.505, 0.495,
    ),
    60: (
        1, 0.91, 0.815, 0.75, 0.695, 0.655, 0.625, 0.595, 0.575, 0.55,
        0.53, 0.515, 0.495, 0.48, 0.465, 0.455, 0.4425, 0.4325, 0.4225,
    ),
    80: (
        1, 0.87, 0.77, 0.705, 0.65, 0.605, 0.57, 0.5425, 0.52, 0.5,
        0.48, 0.465, 0.4475, 0.435, 0.42, 0.41, 0.3975, 0.3875, 0.38,
    ),
    100: (
        1, 0.825, 0.725, 0.66, 0.61, 0.5725, 0.54, 0.5125, 0.485, 0.465,
        0.445, 0.43, 0.415, 0.3975, 0.385, 0.37, 0.36, 0.35, 0.3425,
    ),
}  # fmt: skip

COVERING = Source(COMMON_PRACTICE)
COVERING_FACTORS: dict[str, float] = {
    "none": 1.0,
    "tape": 0.95,
    "braid": 0.95,
    "pvc-sleeve": 0.90,
    "split-conduit": 0.85,
}
