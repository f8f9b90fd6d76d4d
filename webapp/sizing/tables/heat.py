"""What heat meets on its way out of a wire: materials, coverings, and the fitted constants."""

from dataclasses import dataclass

from webapp.sizing.reasons import COMMON_PRACTICE, Source, from_memory

# Thermal resistivity of the insulation, K m/W.
IEC_60287 = Source("IEC 60287-2-1, Table 1: thermal resistivity of materials")
HANDBOOK = from_memory("handbook thermal conductivity")
RESISTIVITY_K_M_PER_W: dict[str, tuple[float, Source]] = {
    "pvc": (5.0, IEC_60287),
    "pvc-thin": (5.0, IEC_60287),
    "xlpe": (3.5, IEC_60287),
    "xlpe-thin": (3.5, IEC_60287),
    "rubber": (5.0, IEC_60287),
    "silicone": (5.0, Source("data sheet figure for silicone rubber")),
    "etfe": (1 / 0.24, HANDBOOK),
    "ptfe": (1 / 0.25, HANDBOOK),
}

# Heat stored, J/(m³ K).
COPPER_HEAT_J_PER_M3K = 3.45e6
COPPER_HEAT = Source("IEC 60364-5-54 annex A: 3.45e-3 J/(°C mm³) for copper")

# What the insulation stands for the moment of a short circuit, °C.
SHORT_CIRCUIT_C: dict[str, tuple[float, Source]] = {
    "pvc": (160, Source("BS 7671 Table 43.1: 160 °C for PVC")),
    "pvc-thin": (160, Source("BS 7671 Table 43.1: 160 °C for PVC")),
    "xlpe": (250, Source("BS 7671 Table 43.1: 250 °C for XLPE")),
    "xlpe-thin": (250, Source("BS 7671 Table 43.1: 250 °C for XLPE")),
    "rubber": (200, from_memory("IEC 60364-5-54 Table A.54: 200 °C for 60 °C rubber")),
    "silicone": (350, from_memory("IEC 60364-5-54: 350 °C for silicone rubber")),
    "etfe": (250, from_memory("usual for ETFE, just below its melting")),
    "ptfe": (300, from_memory("usual for PTFE, below its melting")),
}
# Up to this long a short circuit is over before heat has left the copper.
ADIABATIC_UP_TO_S = 5.0
ADIABATIC_RULE = Source("BS 7671 434.5.2: short circuits of up to 5 s")

STEFAN_BOLTZMANN_W_PER_M2K4 = 5.670374e-8

# Fitted. `python -m webapp.sizing.heat.fit` shows what each gives; fit_residuals.csv keeps it.
# Handbooks give 0.9 to 0.95 for plastics; the published currents ask for somewhat less.
EMISSIVITY = 0.83
# Fine wire follows Morgan's measurements, thick cable Churchill and Chu; between, both.
MORGAN_UP_TO_RAYLEIGH = 10.0
CHURCHILL_CHU_FROM_RAYLEIGH = 1500.0
FITTED_SURFACE = Source(
    "fitted once to AC 43.13-1B, DIN 72551 and 33 CFR 183.425 single-wire currents"
)
BUNDLE_W_PER_MK = 0.39
FITTED_BUNDLE = Source("fitted once to the MIL-W-5088L bundle derating curves")
# Share of a hand-bound loom's circle that its wires fill, for heat.
BUNDLE_FILL = 0.6
BUNDLE_FILL_SOURCE = Source(COMMON_PRACTICE)


@dataclass(frozen=True)
class Covering:
    """Layers over a bundle: still air, then the covering's own wall."""

    gap_mm: float
    wall_mm: float
    wall_k_m_per_w: float


# Still air at 60 °C with the radiation across a gap of about half a millimetre.
GAP_W_PER_MK = 0.032
COVERINGS: dict[str, Covering] = {
    "none": Covering(0.0, 0.0, 5.0),
    "tape": Covering(0.05, 0.3, 5.0),
    "braid": Covering(0.1, 0.3, 8.0),
    "pvc-sleeve": Covering(0.2, 0.5, 5.0),
    "split-conduit": Covering(0.4, 0.4, 4.0),
}
COVERING = Source(COMMON_PRACTICE)
