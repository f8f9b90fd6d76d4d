"""Ring holes, crimp pull forces and heat-shrink sizes."""

from webapp.sizing.reasons import Source, from_memory

RING_HOLES_MM: dict[str, float] = {
    "M3": 3.2,
    "M3.5": 3.7,
    "M4": 4.3,
    "M5": 5.3,
    "M6": 6.5,
    "M8": 8.4,
    "M10": 10.5,
    "M12": 13.0,
}
RING_HOLES = from_memory("DIN 46234 / 46237")

LBF_N = 4.4482216

UL486A = Source("UL 486A pull-out table, as printed on tool makers' sheets")
AS7928 = Source("MIL-T-7928 (SAE AS7928) tensile table, as printed on tool makers' sheets")
UL486A_REMEMBERED = from_memory("UL 486A pull-out table")
AS7928_REMEMBERED = from_memory("MIL-T-7928 (SAE AS7928) tensile table")
IEC60352_2 = from_memory("IEC 60352-2:2006, Table 1")

# AWG: lbf.
UL486A_LBF: dict[int, float] = {
    26: 3, 24: 5, 22: 8, 20: 13, 18: 20, 16: 30, 14: 50, 12: 70, 10: 80, 8: 90, 6: 100, 4: 140,
    2: 180, 0: 250, -1: 300, -2: 350, -3: 450,
}  # fmt: skip
UL486A_REMEMBERED_GAUGES = {-2, -3}
AS7928_LBF: dict[int, float] = {
    26: 7, 24: 10, 22: 15, 20: 19, 18: 38, 16: 50, 14: 70, 12: 110, 10: 150, 8: 225, 6: 300,
    4: 400, 2: 550, 1: 650, 0: 700, -1: 750, -2: 825, -3: 875,
}  # fmt: skip
AS7928_REMEMBERED_GAUGES = {12, 8, 6, 4, 2, 1, 0, -1, -2, -3}
# mm²: N.
IEC60352_2_N: dict[float, float] = {
    0.05: 6, 0.08: 11, 0.12: 15, 0.14: 18, 0.22: 28, 0.25: 32, 0.32: 40, 0.5: 60, 0.75: 85,
    0.82: 90, 1.0: 108, 1.3: 135, 1.5: 150, 2.1: 200, 2.5: 230, 3.3: 275, 4.0: 310, 5.3: 355,
    6.0: 360, 8.4: 370, 10.0: 380,
}  # fmt: skip
# AWG 26 stands at two rows; the stricter is taken.
IEC60352_2_AWG: dict[int, float] = {
    30: 0.05, 28: 0.08, 26: 0.14, 24: 0.22, 22: 0.32, 20: 0.5, 18: 0.82, 16: 1.3, 14: 2.1, 12: 3.3,
    10: 5.3, 8: 8.4,
}  # fmt: skip

# Nominal size in inches: (inside as supplied at least, inside recovered at most), inches.
HEAT_SHRINK_2_TO_1_IN: dict[str, tuple[float, float]] = {
    "3/64": (0.046, 0.023),
    "1/16": (0.063, 0.031),
    "3/32": (0.093, 0.046),
    "1/8": (0.125, 0.062),
    "3/16": (0.187, 0.093),
    "1/4": (0.250, 0.125),
    "3/8": (0.375, 0.187),
    "1/2": (0.500, 0.250),
    "3/4": (0.750, 0.375),
    "1": (1.000, 0.500),
    "1-1/2": (1.500, 0.750),
    "2": (2.000, 1.000),
    "3": (3.000, 1.500),
    "4": (4.000, 2.000),
}
HEAT_SHRINK_2_TO_1 = from_memory("SAE AMS-DTL-23053/5 class 1")
# Ratio: (inside as supplied, inside recovered), mm. Nominal sizes of adhesive-lined sleeving.
HEAT_SHRINK_MORE_MM: dict[float, tuple[tuple[float, float], ...]] = {
    3: ((1.5, 0.5), (3, 1), (6, 2), (9, 3), (12, 4), (18, 6), (24, 8), (39, 13)),
    4: ((4, 1), (6, 1.5), (8, 2), (12, 3), (16, 4), (24, 6), (32, 8), (52, 13)),
}
HEAT_SHRINK_MORE = from_memory("usual sizes of adhesive-lined heat-shrink")
