"""Conductor resistance at 20 °C, conductor sections and outside diameters."""

from webapp.sizing.reasons import Source, from_memory

IEC60228 = Source("IEC 60228:2004, class 5, maximum d.c. resistance at 20 °C")
IEC60228_REMEMBERED = from_memory("IEC 60228:2004, class 5, maximum d.c. resistance at 20 °C")
ISO6722 = from_memory("ISO 6722-1:2011, maximum conductor resistance at 20 °C")
AC4313 = Source("FAA AC 43.13-1B Chg 1, Table 11-9, maximum resistance at 20 °C, tinned copper")
AWG_SOLID = Source("solid annealed copper wire table, resistance at 20 °C; ASTM B258 diameters")
AWG_SOLID_COMPUTED = Source(
    "ASTM B258 diameter with the IEC 60028 resistivity of annealed copper, 0.017241 Ω·mm²/m"
)

# mm²: (plain, tinned), mΩ/m.
CLASS_5_MOHM_PER_M: dict[float, tuple[float, float]] = {
    0.5: (39.0, 40.1),
    0.75: (26.0, 26.7),
    1: (19.5, 20.0),
    1.5: (13.3, 13.7),
    2.5: (7.98, 8.21),
    4: (4.95, 5.09),
    6: (3.30, 3.39),
    10: (1.91, 1.95),
    16: (1.21, 1.24),
    25: (0.780, 0.795),
    35: (0.554, 0.565),
    50: (0.386, 0.393),
    70: (0.272, 0.277),
    95: (0.206, 0.210),
    120: (0.161, 0.164),
    150: (0.129, 0.132),
    185: (0.106, 0.108),
    240: (0.0801, 0.0817),
    300: (0.0641, 0.0654),
}
# The one class 5 value that was not seen in print.
CLASS_5_REMEMBERED = {(4.0, "tinned")}

# mm²: (plain, tinned), mΩ/m.
ISO6722_MOHM_PER_M: dict[float, tuple[float, float]] = {
    0.13: (136, 140),
    0.22: (84.8, 86.5),
    0.35: (54.4, 55.5),
    0.5: (37.1, 38.2),
    0.75: (24.7, 25.4),
    1: (18.5, 19.1),
    1.5: (12.7, 13.0),
    2: (9.42, 9.69),
    2.5: (7.60, 7.82),
    3: (6.15, 6.36),
    4: (4.71, 4.85),
    5: (3.94, 4.02),
    6: (3.14, 3.23),
    8: (2.38, 2.52),
    10: (1.82, 1.85),
    12: (1.52, 1.60),
    16: (1.16, 1.18),
    20: (0.955, 0.999),
    25: (0.743, 0.757),
    30: (0.647, 0.684),
    35: (0.527, 0.538),
    40: (0.473, 0.500),
    50: (0.368, 0.375),
    60: (0.315, 0.333),
    70: (0.259, 0.264),
    95: (0.196, 0.200),
    120: (0.153, 0.156),
}

# Gauge: (Ω per 1000 ft, circular mils). 1/0 to 4/0 are 0 to -3.
AC4313_STRANDED: dict[int, tuple[float, int]] = {
    24: (28.40, 475),
    22: (16.20, 755),
    20: (9.88, 1216),
    18: (6.23, 1900),
    16: (4.81, 2426),
    14: (3.06, 3831),
    12: (2.02, 5874),
    10: (1.26, 9354),
    8: (0.70, 16983),
    6: (0.44, 26818),
    4: (0.28, 42615),
    2: (0.18, 66500),
    1: (0.15, 81700),
    0: (0.12, 104500),
    -1: (0.09, 133000),
    -2: (0.07, 166500),
    -3: (0.06, 210900),
}

# Gauge: Ω per 1000 ft.
AWG_SOLID_OHM_PER_KFT: dict[int, float] = {
    -3: 0.0490,
    -2: 0.0618,
    -1: 0.0780,
    0: 0.0983,
    1: 0.1240,
    2: 0.1563,
    3: 0.1970,
    4: 0.2485,
    5: 0.3133,
    6: 0.3951,
    7: 0.4982,
    8: 0.6282,
    9: 0.7921,
    10: 0.9989,
    11: 1.260,
    12: 1.588,
    # No. 13 is missing from the printed table.
    13: 2.0029,
    14: 2.525,
    15: 3.184,
    16: 4.016,
    17: 5.064,
    18: 6.385,
    19: 8.051,
    20: 10.15,
    21: 12.80,
    22: 16.14,
    23: 20.36,
    24: 25.67,
    25: 32.37,
    26: 40.81,
    27: 51.47,
    28: 64.90,
    29: 81.83,
    30: 103.2,
}
AWG_SOLID_COMPUTED_GAUGES = {13}

# mm²: (thin wall, thick wall), mm.
ISO6722_OUTSIDE_MM: dict[float, tuple[float | None, float | None]] = {
    0.13: (1.05, None),
    0.22: (1.2, None),
    0.35: (1.4, None),
    0.5: (1.6, 2.3),
    0.75: (1.9, 2.5),
    1: (2.1, 2.7),
    1.5: (2.4, 3.0),
    2: (2.8, 3.3),
    2.5: (3.0, 3.6),
    3: (3.4, 4.1),
    4: (3.7, 4.4),
    5: (4.2, 4.9),
    6: (4.3, 5.0),
    8: (5.0, 5.9),
    10: (6.0, 6.5),
    12: (None, 7.4),
    16: (7.2, 8.3),
    20: (None, 9.1),
    25: (8.7, 10.4),
    30: (None, 10.9),
    35: (10.4, 11.6),
    40: (None, 12.4),
    50: (12.2, 13.5),
    60: (None, 14.6),
    70: (14.4, 15.5),
    95: (16.7, 18.0),
    120: (18.7, 19.7),
}
ISO6722_OUTSIDE = from_memory("ISO 6722-1:2011, maximum outside diameter")

# Gauge: mm. Thicker wire is built up from bare diameter and wall.
AS22759_OUTSIDE_MM: dict[int, float] = {
    24: 1.14,
    22: 1.27,
    20: 1.47,
    18: 1.73,
    16: 1.91,
    14: 2.29,
    12: 2.77,
    10: 3.45,
}
AS22759_OUTSIDE = from_memory("SAE AS22759, finished diameter of 600 V fluoropolymer wire")

# Greatest bare diameter of a class 5 conductor, mm² to mm.
CLASS_5_BARE_MM: dict[float, float] = {
    0.5: 1.1,
    0.75: 1.3,
    1: 1.5,
    1.5: 1.8,
    2.5: 2.4,
    4: 3.0,
    6: 3.9,
    10: 5.1,
    16: 6.3,
    25: 7.8,
    35: 9.2,
    50: 11.0,
    70: 13.1,
    95: 15.1,
    120: 17.0,
    150: 19.0,
    185: 21.0,
    240: 24.0,
    300: 27.0,
}
CLASS_5_BARE = from_memory("IEC 60228:2004, annex, greatest diameter of class 5 conductors")

# Nominal wall of the insulation, as (up to this section in mm², wall in mm).
WALLS_MM: dict[str, tuple[tuple[float, float], ...]] = {
    "standard": (
        (1.0, 0.6),
        (1.5, 0.7),
        (6, 0.8),
        (16, 1.0),
        (35, 1.2),
        (70, 1.4),
        (120, 1.6),
        (150, 1.8),
        (185, 2.0),
        (240, 2.2),
        (300, 2.4),
    ),
    "thin": (
        (1.0, 0.28),
        (1.5, 0.30),
        (3, 0.35),
        (6, 0.40),
        (10, 0.60),
        (25, 0.65),
        (35, 0.80),
        (50, 0.90),
        (70, 1.0),
        (95, 1.1),
        (300, 1.2),
    ),
    "fluoropolymer": ((1.0, 0.20), (3, 0.22), (6, 0.28), (16, 0.40), (300, 0.50)),
}
WALL_SOURCES: dict[str, Source] = {
    "standard": from_memory("EN 50525-2-31, nominal wall of single-core PVC cable"),
    "thin": from_memory("ISO 6722-1, nominal thin wall"),
    "fluoropolymer": from_memory("usual walls of fluoropolymer hook-up wire"),
}
WALL_OF_INSULATION = {
    "pvc": "standard",
    "xlpe": "standard",
    "silicone": "standard",
    "rubber": "standard",
    "pvc-thin": "thin",
    "xlpe-thin": "thin",
    "etfe": "fluoropolymer",
    "ptfe": "fluoropolymer",
}

# Share of a stranded conductor's circle that is copper.
CONCENTRIC_FILL = 0.76
ROPE_LAY_FILL = 0.65
ROPE_LAY_FROM_MM2 = 6.0
