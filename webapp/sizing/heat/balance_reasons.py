"""The heat balance of a wire, step by step, for a person to follow."""

import math

from webapp.sizing.conductors import COPPER_OFFSET_C
from webapp.sizing.heat.air import (
    CORRELATIONS,
    STANDARD_ATMOSPHERE,
    ZERO_C_K,
    churchill_chu_nusselt,
    churchill_chu_weight,
    convection,
    morgan_nusselt,
)
from webapp.sizing.heat.circuit import WarmWire, covering_k_m_per_w, place_reasons
from webapp.sizing.heat.place import Place
from webapp.sizing.heat.steady import Balance
from webapp.sizing.reasons import Reason, all_confirmed
from webapp.sizing.tables.heat import EMISSIVITY, FITTED_SURFACE


def balance_reasons(
    wire: WarmWire, where: Place, current_a: float, balance: Balance
) -> list[Reason]:
    """Heat made, heat given off and the temperatures between, in a balance of a lasting current.

    Source: Joule heat at temperature; convection and radiation of a horizontal cylinder.
    """
    reasons = [*wire.reasons, *place_reasons(wire, where), _made(wire, current_a, balance)]
    if balance.surface_c > where.ambient_c:
        reasons += surface_reasons(wire, where, balance)
    reasons.append(_copper(wire, where, balance, confirmed=all_confirmed(reasons)))
    return reasons


def surface_reasons(wire: WarmWire, where: Place, balance: Balance) -> list[Reason]:
    """How the surface gives the heat off."""
    path = wire.path(where)
    rise_k = balance.surface_c - where.ambient_c
    air = convection(path.diameter_mm, rise_k, where.ambient_c, path.air_pressure_pa)
    weight = churchill_chu_weight(air.rayleigh)
    at_altitude = f" at {where.altitude_m:g} m" if where.altitude_m else ""
    number = Reason(
        text=f"Still air{at_altitude} around the surface, at a Rayleigh number of "
        f"{air.rayleigh:.3g}.",
        name="nusselt",
        value=air.nusselt,
        unit="",
        formula="morgan ** (1 - weight) * churchill_chu ** weight",
        inputs={
            "morgan": morgan_nusselt(air.rayleigh),
            "churchill_chu": churchill_chu_nusselt(air.rayleigh, air.prandtl),
            "weight": weight,
        },
        source=f"{CORRELATIONS.text}; air of the {STANDARD_ATMOSPHERE.text}",
        confirmed=CORRELATIONS.confirmed and STANDARD_ATMOSPHERE.confirmed,
    )
    by_air = Reason(
        text="Heat that the air takes from each square metre and kelvin.",
        name="air_w_per_m2k",
        value=air.w_per_m2k,
        unit="W/(m² K)",
        formula="nusselt * air_w_per_mk / (diameter_mm / 1000)",
        inputs={
            "nusselt": air.nusselt,
            "air_w_per_mk": air.air_w_per_mk,
            "diameter_mm": path.diameter_mm,
        },
        source=f"conductivity of air, {STANDARD_ATMOSPHERE.text}",
        confirmed=STANDARD_ATMOSPHERE.confirmed,
    )
    return [number, by_air, _given_off(path.diameter_mm, where, balance, by_air)]


def _given_off(diameter_mm: float, where: Place, balance: Balance, by_air: Reason) -> Reason:
    inputs = {
        "diameter_mm": diameter_mm,
        "air_w_per_m2k": by_air.value,
        "surface_c": balance.surface_c,
        "ambient_c": where.ambient_c,
        "emissivity": EMISSIVITY,
    }
    by_radiation = (
        EMISSIVITY
        * 5.670374e-8
        * ((balance.surface_c + ZERO_C_K) ** 4 - (where.ambient_c + ZERO_C_K) ** 4)
    )
    by_convection = by_air.value * (balance.surface_c - where.ambient_c)
    return Reason(
        text=f"A surface at about {balance.surface_c:.0f} °C gives off what the current makes.",
        name="given_off_w_per_m",
        value=math.pi * diameter_mm / 1000 * (by_convection + by_radiation),
        unit="W/m",
        formula="pi * diameter_mm / 1000 * (air_w_per_m2k * (surface_c - ambient_c)"
        " + emissivity * 0.00000005670374"
        " * ((surface_c + 273.15) ** 4 - (ambient_c + 273.15) ** 4))",
        inputs=inputs,
        source=f"Newton and Stefan-Boltzmann; emissivity {FITTED_SURFACE.text}",
        confirmed=by_air.confirmed,
    )


def _made(wire: WarmWire, current_a: float, balance: Balance) -> Reason:
    at_temperature = (COPPER_OFFSET_C + balance.copper_c) / (COPPER_OFFSET_C + 20)
    return Reason(
        text=f"{current_a:.4g} A makes this much heat in copper at about "
        f"{balance.copper_c:.0f} °C.",
        name="heat_w_per_m",
        value=current_a**2 * wire.r20_ohm_per_m * at_temperature,
        unit="W/m",
        formula="current_a ** 2 * r20_ohm_per_m * ((234.5 + copper_c) / (234.5 + 20))",
        inputs={
            "current_a": current_a,
            "r20_ohm_per_m": wire.r20_ohm_per_m,
            "copper_c": balance.copper_c,
        },
        source="Joule's law; FAA AC 43.13-1B Chg 1, par 11-66",
        confirmed=all_confirmed(wire.reasons),
    )


def _copper(wire: WarmWire, where: Place, balance: Balance, *, confirmed: bool) -> Reason:
    path = wire.path(where)
    covering = covering_k_m_per_w(path.diameter_mm, where.covering)
    shared = (path.to_surface_k_m_per_w - wire.insulation_k_m_per_w) / path.sources
    inputs = {
        "surface_c": balance.surface_c,
        "heat_w_per_m": balance.heat_w_per_m,
        "insulation_k_m_per_w": wire.insulation_k_m_per_w,
        "loaded_wires": path.sources,
        "bundle_k_m_per_w": shared - covering,
        "covering_k_m_per_w": covering,
    }
    within = inputs["loaded_wires"] * (inputs["bundle_k_m_per_w"] + covering)
    return Reason(
        text=f"The copper is at about {balance.copper_c:.0f} °C.",
        name="temperature_c",
        value=balance.surface_c + balance.heat_w_per_m * (inputs["insulation_k_m_per_w"] + within),
        unit="°C",
        formula="surface_c + heat_w_per_m * (insulation_k_m_per_w"
        " + loaded_wires * (bundle_k_m_per_w + covering_k_m_per_w))",
        inputs=inputs,
        source="conduction through insulation, bundle and covering",
        confirmed=confirmed,
    )
