"""Bores of grommets and clamping ranges of glands."""

from webapp.sizing.reasons import COMMON_PRACTICE, Source, from_memory

GROMMETS = Source(COMMON_PRACTICE)
GROMMET_BORES_MM = (3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 25, 28, 32, 36, 40, 45, 50)

# Metric thread: clamping range, mm. Makers differ by a millimetre or so.
GLANDS = from_memory("usual clamping ranges of metric cable glands")
GLANDS_MM: dict[int, tuple[float, float]] = {
    12: (3, 6.5),
    16: (5, 10),
    20: (6, 12),
    25: (11, 17),
    32: (15, 21),
    40: (19, 28),
    50: (27, 35),
    63: (34, 45),
}
