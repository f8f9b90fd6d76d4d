"""How long a wire stands a current: its damage curve, adiabatic when short, balanced when long."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from webapp.sizing.conductors import INSULATIONS, Conductor
from webapp.sizing.heat.ampacity import refuse_no_room
from webapp.sizing.heat.circuit import WarmWire, warm_wire
from webapp.sizing.heat.place import Place
from webapp.sizing.heat.steady import TooHot, at_current
from webapp.sizing.heat.temperature import too_hot
from webapp.sizing.heat.warming import Warming, stored_reason, warming
from webapp.sizing.reasons import (
    Reason,
    Result,
    SizingError,
    Source,
    all_confirmed,
    choice,
    current,
    number,
    temperature,
)
from webapp.sizing.tables.heat import ADIABATIC_UP_TO_S, COPPER_HEAT_J_PER_M3K, SHORT_CIRCUIT_C

COPPER_RESISTIVITY_OHM_MM = 17.241e-6
COPPER_BETA_C = 234.5
IEC_60364_5_54 = Source("IEC 60364-5-54 annex A: k of copper")
MOST_POINTS = 500


@dataclass(frozen=True)
class DamageTime:
    """Time in s until a wire reaches a temperature; None: never. Why, in `reasons`."""

    time_s: float | None
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the figure."""
        return all_confirmed(self.reasons)


def adiabatic_k(start_c: float, final_c: float) -> Result:
    """Current density that takes copper from one temperature to another in a second.

    Args:
        start_c: Copper before the short circuit. [°C]
        final_c: Copper that the insulation stands for a moment. [°C]

    Returns:
        k. [A √s/mm²]

    Raises:
        SizingError: a value out of range; `final_c` no warmer than `start_c`.

    Source: IEC 60364-5-54 annex A, the factors of BS 7671 Tables 43.1 and 54.2.
    """
    start = temperature(start_c, "start_c")
    final = number(final_c, "final_c", low=start, high=1085, above_low=True, unit="°C")
    heat = COPPER_HEAT_J_PER_M3K / 1e9
    grown = math.log((COPPER_BETA_C + final) / (COPPER_BETA_C + start))
    value = math.sqrt(heat * (COPPER_BETA_C + 20) / COPPER_RESISTIVITY_OHM_MM * grown)
    reason = Reason(
        text=f"Copper from {start:g} to {final:g} °C, all heat kept.",
        name="k_a_sqrt_s_per_mm2",
        value=value,
        unit="A √s/mm²",
        formula="sqrt(heat_j_per_mm3k * (beta_c + 20) / resistivity_ohm_mm"
        " * ln((beta_c + final_c) / (beta_c + start_c)))",
        inputs={
            "heat_j_per_mm3k": heat,
            "beta_c": COPPER_BETA_C,
            "resistivity_ohm_mm": COPPER_RESISTIVITY_OHM_MM,
            "final_c": final,
            "start_c": start,
        },
        source=IEC_60364_5_54.text,
    )
    return Result(value, (reason,))


def short_circuit_limit_c(insulation: str) -> Result:
    """Temperature that insulation stands for up to 5 s, in °C; SizingError if it is unknown.

    Source: BS 7671 Table 43.1 for PVC and XLPE; others from memory.
    """
    value, source = SHORT_CIRCUIT_C[choice(insulation, "insulation", INSULATIONS)]
    reason = Reason(
        text=f"{insulation} stands {value:g} °C for the moment of a short circuit.",
        name="short_circuit_limit_c",
        value=value,
        unit="°C",
        source=source.text,
        confirmed=source.confirmed,
    )
    return Result(value, (reason,))


def adiabatic_time_s(
    wire: Conductor, *, current_a: float, start_c: float, final_c: float
) -> Result:
    """Time until a short circuit has taken the copper to a temperature, all heat kept.

    Args:
        wire: The conductor.
        current_a: Current. [A]
        start_c, final_c: as for `adiabatic_k`.

    Returns:
        Time; to be trusted up to about 5 s, beyond which heat leaves. [s]

    Raises:
        SizingError: as `adiabatic_k`.

    Source: t = (k S / I)², BS 7671 regulation 434.5.2.
    """
    amps = current(current_a, above_zero=True)
    k = adiabatic_k(start_c, final_c)
    inputs = {"k_a_sqrt_s_per_mm2": k.value, "csa_mm2": wire.csa_mm2, "current_a": amps}
    reason = Reason(
        text=f"{wire.label} stands {amps:.4g} A for this long, all heat kept.",
        name="adiabatic_time_s",
        value=(k.value * wire.csa_mm2 / amps) ** 2,
        unit="s",
        formula="(k_a_sqrt_s_per_mm2 * csa_mm2 / current_a) ** 2",
        inputs=inputs,
        source="BS 7671 regulation 434.5.2",
    )
    return Result(reason.value, (*k.reasons, reason))


def damage_time_s(
    wire: Conductor,
    *,
    current_a: float,
    limit_c: float,
    where: Place,
    start_c: float | None = None,
    outside_diameter_mm: float | None = None,
) -> DamageTime:
    """Time until a current has taken a wire to its limit.

    Args:
        wire: The conductor.
        current_a: Current. [A]
        limit_c: Temperature that is not to be passed. [°C]
        where: Where it lies, from `place()`.
        start_c: Copper at the beginning; None: as warm as the surroundings. [°C]
        outside_diameter_mm: The cable's own, where known. [mm]

    Returns:
        Time, or None if it never gets there. [s]

    Raises:
        SizingError: a value out of range; surroundings as hot as the limit.

    Source: heat balance step by step in time; for short times that is the adiabatic equation with
    the wire's own resistance, for long ones the steady balance.
    """
    amps = current(current_a)
    limit = _limit(limit_c, where)
    start = where.ambient_c if start_c is None else temperature(start_c, "start_c")
    warm = warm_wire(wire, outside_diameter_mm)
    time_s = _time_s(warming(warm, warm.path(where)), amps, max(start, where.ambient_c), limit)
    return DamageTime(time_s, (*warm.reasons, *_damage_reasons(warm, amps, limit, time_s)))


def damage_curve(
    wire: Conductor,
    *,
    currents_a: Sequence[float],
    limit_c: float,
    where: Place,
    start_c: float | None = None,
    outside_diameter_mm: float | None = None,
) -> tuple[tuple[float, float | None], ...]:
    """Current in A and time in s until the limit, None for never, at each of `currents_a`.

    Args and errors: as for `damage_time_s`.
    """
    _check_count(currents_a, "currents_a")
    limit = _limit(limit_c, where)
    start = where.ambient_c if start_c is None else temperature(start_c, "start_c")
    warm = warm_wire(wire, outside_diameter_mm)
    curve = warming(warm, warm.path(where))
    return tuple(
        (amps, _time_s(curve, amps, max(start, where.ambient_c), limit))
        for amps in (current(each, "currents_a") for each in currents_a)
    )


def heating_curve(
    wire: Conductor,
    *,
    current_a: float,
    times_s: Sequence[float],
    where: Place,
    start_c: float | None = None,
    outside_diameter_mm: float | None = None,
) -> tuple[tuple[float, float], ...]:
    """Time in s and temperature of the copper in °C at each of `times_s` after switching on.

    Args: as for `damage_time_s`.

    Raises:
        SizingError: as `damage_time_s`; a current that would melt the copper in that time.
    """
    _check_count(times_s, "times_s")
    amps = current(current_a)
    start = where.ambient_c if start_c is None else temperature(start_c, "start_c")
    warm = warm_wire(wire, outside_diameter_mm)
    curve = warming(warm, warm.path(where))
    try:
        return tuple(
            (time_s, curve.after_c(amps, max(start, where.ambient_c), time_s))
            for time_s in (number(each, "times_s", unit="s") for each in times_s)
        )
    except TooHot:
        raise too_hot(wire, amps) from None


def _check_count(values: Sequence[float], field: str) -> None:
    if len(values) > MOST_POINTS:
        raise SizingError(field, f"Give at most {MOST_POINTS} points.")


def _limit(limit_c: float, where: Place) -> float:
    limit = number(limit_c, "limit_c", low=-60, high=400, unit="°C")
    refuse_no_room(limit, where.ambient_c)
    return limit


def _time_s(curve: Warming, amps: float, start_c: float, limit_c: float) -> float | None:
    if start_c >= limit_c:
        return 0.0
    if _never(curve, amps, limit_c):
        return None
    time_s = curve.time_s(amps, start_c, limit_c)
    return time_s if math.isfinite(time_s) else None


def _never(curve: Warming, amps: float, limit_c: float) -> bool:
    try:
        return at_current(curve.path, curve.r20_ohm_per_m, amps).copper_c <= limit_c
    except TooHot:
        return False


def _damage_reasons(
    warm: WarmWire, amps: float, limit_c: float, time_s: float | None
) -> list[Reason]:
    if time_s is None:
        text = f"{warm.conductor.label} carries {amps:.4g} A for ever below {limit_c:g} °C."
        return [Reason(text, "", 0.0, "", "heat balance", confirmed=False)]
    stored = stored_reason(warm)
    kept = "all heat kept but a little" if time_s <= ADIABATIC_UP_TO_S else "heat leaving"
    reached = Reason(
        text=f"{amps:.4g} A takes {warm.conductor.label} to {limit_c:g} °C in about "
        f"{time_s:.3g} s, {kept}.",
        name="damage_time_s",
        value=time_s,
        unit="s",
        source="heat balance step by step in time",
        inputs={"current_a": amps, "limit_c": limit_c, "stored_j_per_mk": stored.value},
        confirmed=False,
    )
    return [stored, reached]
