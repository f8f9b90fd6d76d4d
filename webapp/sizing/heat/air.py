"""Still air around a warm cylinder: pressure at altitude, convection, radiation."""

import math
from dataclasses import dataclass

from webapp.sizing.reasons import from_memory
from webapp.sizing.tables.heat import (
    CHURCHILL_CHU_FROM_RAYLEIGH,
    EMISSIVITY,
    MORGAN_UP_TO_RAYLEIGH,
    STEFAN_BOLTZMANN_W_PER_M2K4,
)

ZERO_C_K = 273.15
SEA_LEVEL_PA = 101_325.0
GRAVITY_M_PER_S2 = 9.80665
GAS_CONSTANT_J_PER_KGK = 287.053
HEAT_CAPACITY_J_PER_KGK = 1006.0
TROPOPAUSE_M = 11_000.0
TROPOPAUSE_PA = 22_632.06
TROPOPAUSE_K = 216.65

STANDARD_ATMOSPHERE = from_memory("U.S. Standard Atmosphere, 1976")
CORRELATIONS = from_memory(
    "Morgan (1975) for fine wire, Churchill and Chu (1975) laminar for thick, mixed by the "
    "logarithm of the Rayleigh number between them"
)


@dataclass(frozen=True)
class Convection:
    """How still air takes heat from a cylinder."""

    rayleigh: float
    prandtl: float
    nusselt: float
    air_w_per_mk: float
    w_per_m2k: float


def pressure_pa(altitude_m: float) -> float:
    """Pressure of the air at an altitude of up to 20 km in m, in Pa.

    Source: U.S. Standard Atmosphere, 1976 (from memory).
    """
    if altitude_m <= TROPOPAUSE_M:
        return SEA_LEVEL_PA * math.pow(1 - 2.25577e-5 * altitude_m, 5.25588)
    above_m = altitude_m - TROPOPAUSE_M
    return TROPOPAUSE_PA * math.exp(
        -GRAVITY_M_PER_S2 * above_m / (GAS_CONSTANT_J_PER_KGK * TROPOPAUSE_K)
    )


def morgan_nusselt(rayleigh: float) -> float:
    """Nusselt number of a horizontal wire.

    Neighbouring ranges meet where they cross, so that it never falls.

    Source: Morgan (1975), 1e-10 to 1e7; the two lowest of the four ranges from memory.
    """
    return max(
        0.675 * math.pow(rayleigh, 0.058),
        1.02 * math.pow(rayleigh, 0.148),
        0.850 * math.pow(rayleigh, 0.188),
        0.480 * math.pow(rayleigh, 0.250),
    )


def churchill_chu_nusselt(rayleigh: float, prandtl: float) -> float:
    """Nusselt number of a horizontal cylinder in laminar flow, Rayleigh number up to 1e9.

    Source: Churchill and Chu (1975), laminar form (from memory).
    """
    by_prandtl = math.pow(1 + math.pow(0.559 / prandtl, 9 / 16), 4 / 9)
    return 0.36 + 0.518 * math.pow(rayleigh, 0.25) / by_prandtl


def nusselt(rayleigh: float, prandtl: float) -> float:
    """Nusselt number that the heat balance uses: Morgan below, Churchill and Chu above."""
    weight = churchill_chu_weight(rayleigh)
    if weight == 0:
        return morgan_nusselt(rayleigh)
    thick = churchill_chu_nusselt(rayleigh, prandtl)
    if weight == 1:
        return thick
    return math.pow(morgan_nusselt(rayleigh), 1 - weight) * math.pow(thick, weight)


def churchill_chu_weight(rayleigh: float) -> float:
    """Share of Churchill and Chu in the mixture, 0 to 1."""
    if rayleigh <= MORGAN_UP_TO_RAYLEIGH:
        return 0.0
    span = math.log(CHURCHILL_CHU_FROM_RAYLEIGH / MORGAN_UP_TO_RAYLEIGH)
    return min(1.0, math.log(rayleigh / MORGAN_UP_TO_RAYLEIGH) / span)


def convection(
    diameter_mm: float, rise_k: float, ambient_c: float, air_pressure_pa: float
) -> Convection:
    """How still air takes heat from a horizontal cylinder that is `rise_k` warmer.

    Source: correlations above, air at the mean of surface and surroundings.
    """
    film_k = ambient_c + ZERO_C_K + rise_k / 2
    air_w_per_mk = 2.64638e-3 * film_k**1.5 / (film_k + 245.4 * 10 ** (-12 / film_k))
    viscosity_pa_s = 1.458e-6 * film_k**1.5 / (film_k + 110.4)
    density = air_pressure_pa / (GAS_CONSTANT_J_PER_KGK * film_k)
    prandtl = viscosity_pa_s * HEAT_CAPACITY_J_PER_KGK / air_w_per_mk
    kinematic = viscosity_pa_s / density
    diameter_m = diameter_mm / 1000
    grashof = GRAVITY_M_PER_S2 * rise_k * diameter_m**3 / (film_k * kinematic**2)
    rayleigh = grashof * prandtl
    number = nusselt(rayleigh, prandtl)
    return Convection(rayleigh, prandtl, number, air_w_per_mk, number * air_w_per_mk / diameter_m)


def heat_given_off_w_per_m(
    diameter_mm: float, rise_k: float, ambient_c: float, air_pressure_pa: float
) -> float:
    """Heat that a cylinder gives off by convection and radiation, per metre.

    Args:
        diameter_mm: Its diameter. [mm]
        rise_k: How much warmer its surface is than the air and the walls around. [K]
        ambient_c: Their temperature. [°C]
        air_pressure_pa: Pressure of the air. [Pa]

    Returns:
        Heat. [W/m]

    Source: convection as above; Stefan-Boltzmann law with the fitted emissivity.
    """
    by_air = convection(diameter_mm, rise_k, ambient_c, air_pressure_pa).w_per_m2k * rise_k
    around_k = ambient_c + ZERO_C_K
    radiated = EMISSIVITY * STEFAN_BOLTZMANN_W_PER_M2K4 * ((around_k + rise_k) ** 4 - around_k**4)
    return math.pi * diameter_mm / 1000 * (by_air + radiated)
