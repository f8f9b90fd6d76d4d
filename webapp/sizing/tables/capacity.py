"""Published current-carrying capacities, as the standard or list prints them."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from webapp.sizing.reasons import COMMON_PRACTICE, Source, from_memory
from webapp.sizing.tables.bundles import BUNDLE_FACTORS


@dataclass(frozen=True)
class Row:
    """Currents of one size, by the temperature in °C that its insulation stands.

    `built_in_bundle_factor` is the bundle factor that the printed currents already contain.
    """

    csa_mm2: float
    awg: int | None
    current_a: Mapping[float, float]
    source: Source
    built_in_bundle_factor: float = 1.0


@dataclass(frozen=True)
class Standard:
    """A capacity table and the rules that go with it."""

    id: str
    title: str
    ambient_c: float
    rows: tuple[Row, ...]
    minimum_mm2: float
    minimum_awg: int | None
    minimum_source: Source
    bundle_note: str
    engine_space_ambient_c: float | None = None
    engine_space_factor: Mapping[float, tuple[float, Source]] = field(default_factory=dict)


CFR_183 = Source("33 CFR 183.425, Table 5")
CFR_183_NOTE = Source("33 CFR 183.425, note 1 to Table 5")
CFR_183_NOTE_REMEMBERED = from_memory("33 CFR 183.425, note 1 to Table 5")
ISO_10133 = from_memory("ISO 10133 Annex A, allowable current of single conductors")
IEC_50_105 = Source("IEC-based currents at 50 °C surroundings and 105 °C, quoted in a load manual")
MIL_5088B = Source("MIL-W-5088B, single wire at 50 °C surroundings and 105 °C, as quoted")
CFR_AT_50 = Source("33 CFR 183.425, Table 5 at 105 °C with its 50 °C factor 0.85")
DIN_72551 = from_memory(
    "vehicle-cable list after DIN 72551; its 50 °C surroundings and 70 °C conductor"
)
AC4313 = Source("FAA AC 43.13-1B Chg 1, Table 11-9")

_CFR_LIMITS_C = (60, 75, 80, 90, 105, 125, 200)
# AWG: (mm² of ASTM B258, currents at the limits above).
_CFR: dict[int, tuple[float, tuple[float, ...]]] = {
    18: (0.823, (10, 10, 15, 20, 20, 25, 25)),
    16: (1.309, (15, 15, 20, 25, 25, 30, 35)),
    14: (2.081, (20, 20, 25, 30, 35, 40, 45)),
    12: (3.309, (25, 25, 35, 40, 45, 50, 55)),
    10: (5.261, (40, 40, 50, 55, 60, 70, 70)),
    8: (8.366, (55, 65, 70, 70, 80, 90, 100)),
    6: (13.30, (80, 95, 100, 100, 120, 125, 135)),
    4: (21.15, (105, 125, 130, 135, 160, 170, 180)),
    3: (26.67, (120, 145, 150, 155, 180, 195, 210)),
    2: (33.63, (140, 170, 175, 180, 210, 225, 240)),
    1: (42.41, (165, 195, 210, 210, 245, 265, 280)),
    0: (53.48, (195, 230, 245, 245, 285, 305, 325)),
    -1: (67.43, (225, 265, 285, 285, 330, 355, 370)),
    -2: (85.03, (260, 310, 330, 330, 385, 410, 430)),
    -3: (107.2, (300, 360, 385, 385, 445, 475, 510)),
}
_ISO_LIMITS_C = (60, 70, 85, 105, 125, 200)
_ISO: dict[float, tuple[float, ...]] = {
    0.75: (6, 10, 12, 16, 20, 25),
    1: (8, 14, 18, 20, 25, 35),
    1.5: (12, 18, 21, 25, 30, 40),
    2.5: (17, 25, 30, 35, 40, 45),
    4: (22, 35, 40, 45, 50, 55),
    6: (29, 45, 50, 60, 70, 75),
    10: (40, 65, 70, 90, 100, 120),
    16: (54, 90, 100, 130, 150, 170),
    25: (71, 120, 140, 170, 185, 200),
    35: (87, 160, 185, 210, 225, 240),
    50: (105, 210, 230, 270, 300, 325),
    70: (135, 265, 285, 330, 360, 375),
    95: (165, 310, 330, 390, 410, 430),
    120: (190, 360, 400, 450, 480, 520),
}
# All at 50 °C surroundings and 105 °C; no two lists of them are mixed within one size.
_AT_50_105: tuple[tuple[float, int | None, float, Source], ...] = (
    (0.3255, 22, 5.0, MIL_5088B),
    (0.5176, 20, 8.33, MIL_5088B),
    (0.75, None, 10, IEC_50_105),
    (1, None, 13.5, IEC_50_105),
    (1.5, None, 16, IEC_50_105),
    (2.5, None, 25, IEC_50_105),
    (4, None, 32, IEC_50_105),
    (6, None, 40, IEC_50_105),
    (10, None, 63, IEC_50_105),
    (13.30, 6, 100, MIL_5088B),
    (21.15, 4, 136, CFR_AT_50),
    (26.67, 3, 153, CFR_AT_50),
    (33.63, 2, 178, CFR_AT_50),
    (42.41, 1, 208, CFR_AT_50),
    (53.48, 0, 242, CFR_AT_50),
    (67.43, -1, 280, CFR_AT_50),
    (85.03, -2, 327, CFR_AT_50),
    (107.2, -3, 378, CFR_AT_50),
)
_DIN: dict[float, float] = {
    1: 13.5,
    1.5: 17.0,
    2.5: 22.7,
    4: 29.8,
    6: 38.3,
    10: 51.8,
    16: 69.6,
    25: 91.6,
    35: 112,
    50: 140,
    70: 174,
    95: 207,
    120: 244,
}
_AC4313_LIMITS_C = (105, 150, 200)
_AC4313: dict[int, tuple[float, tuple[float, ...]]] = {
    24: (0.2407, (2.5, 4, 5)),
    22: (0.3826, (3, 5, 6)),
    20: (0.6162, (4, 7, 9)),
    18: (0.9627, (6, 9, 12)),
    16: (1.229, (7, 11, 14)),
    14: (1.941, (10, 14, 18)),
    12: (2.976, (13, 19, 25)),
    10: (4.740, (17, 26, 32)),
    8: (8.605, (38, 57, 71)),
    6: (13.59, (50, 76, 97)),
    4: (21.59, (68, 103, 133)),
    2: (33.70, (95, 141, 179)),
    1: (41.40, (113, 166, 210)),
    0: (52.95, (128, 192, 243)),
    -1: (67.39, (147, 222, 285)),
    -2: (84.37, (172, 262, 335)),
    -3: (106.9, (204, 310, 395)),
}


def _awg_rows(
    printed: Mapping[int, tuple[float, tuple[float, ...]]],
    limits_c: tuple[float, ...],
    source: Source,
) -> tuple[Row, ...]:
    return tuple(
        Row(csa_mm2, awg, dict(zip(limits_c, currents, strict=True)), source)
        for awg, (csa_mm2, currents) in printed.items()
    )


def _harness_rows() -> tuple[Row, ...]:
    """The circular's rows: 33 wires and more up to AWG 10, nine from AWG 8, 20 % loaded.

    The curve was read up to 20 wires only. Taking that point for 33 credits nothing that the
    circular does not give.
    """
    at_20_wires, at_9_wires = BUNDLE_FACTORS[20][19], BUNDLE_FACTORS[20][8]
    return tuple(
        replace(row, built_in_bundle_factor=at_20_wires if (row.awg or 0) > 8 else at_9_wires)
        for row in _awg_rows(_AC4313, _AC4313_LIMITS_C, AC4313)
    )


STANDARDS: dict[str, Standard] = {
    each.id: each
    for each in (
        Standard(
            id="small-craft-33cfr183",
            title="Small craft: 33 CFR 183.425 Table 5 (United States)",
            ambient_c=30,
            rows=_awg_rows(_CFR, _CFR_LIMITS_C, CFR_183),
            minimum_mm2=1.229,
            minimum_awg=16,
            minimum_source=Source("33 CFR 183.425(e)"),
            engine_space_ambient_c=50,
            engine_space_factor={
                60: (0.58, CFR_183_NOTE_REMEMBERED),
                75: (0.75, CFR_183_NOTE_REMEMBERED),
                80: (0.78, CFR_183_NOTE_REMEMBERED),
                90: (0.82, CFR_183_NOTE_REMEMBERED),
                105: (0.85, CFR_183_NOTE),
                125: (0.89, CFR_183_NOTE_REMEMBERED),
                200: (1.0, CFR_183_NOTE_REMEMBERED),
            },
            bundle_note="The regulation asks for bundle factors only at 50 V or more.",
        ),
        Standard(
            id="small-craft-iso10133",
            title="Small craft: ISO 10133 / ISO 13297 Annex A",
            ambient_c=30,
            rows=tuple(
                Row(csa_mm2, None, dict(zip(_ISO_LIMITS_C, currents, strict=True)), ISO_10133)
                for csa_mm2, currents in _ISO.items()
            ),
            minimum_mm2=1.0,
            minimum_awg=None,
            minimum_source=Source("ISO 10133:2012, clause 7, separate conductors over 200 mm"),
            engine_space_ambient_c=60,
            bundle_note="The annex has no bundle factor.",
        ),
        Standard(
            id="vehicle-50c",
            title="Road vehicles, plant and rail: printed currents at 50 °C surroundings",
            ambient_c=50,
            rows=tuple(
                Row(csa_mm2, awg, {105.0: current_a}, source)
                for csa_mm2, awg, current_a, source in _AT_50_105
            ),
            minimum_mm2=0.5,
            minimum_awg=None,
            minimum_source=Source(COMMON_PRACTICE),
            bundle_note="The lists are for single wires.",
        ),
        Standard(
            id="vehicle-din72551",
            title="Road vehicles, trailers and plant: vehicle-cable list after DIN 72551",
            ambient_c=50,
            rows=tuple(
                Row(csa_mm2, None, {70.0: current_a}, DIN_72551)
                for csa_mm2, current_a in _DIN.items()
            ),
            minimum_mm2=0.5,
            minimum_awg=None,
            minimum_source=Source(COMMON_PRACTICE),
            bundle_note="The list is for single wires.",
        ),
        Standard(
            id="harness-ac4313",
            title="Wires in a harness: AC 43.13-1B Table 11-9",
            ambient_c=70,
            rows=_harness_rows(),
            minimum_mm2=0.5,
            minimum_awg=None,
            minimum_source=Source(COMMON_PRACTICE),
            bundle_note="The table is for a harness already, up to 20 % loaded.",
        ),
    )
}
