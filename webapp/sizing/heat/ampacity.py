"""Current that a wire may carry: the heat balance solved for the current."""

from dataclasses import dataclass

from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.balance_reasons import surface_reasons
from webapp.sizing.heat.circuit import WarmWire, place_reasons, warm_wire
from webapp.sizing.heat.intermittent import duty_current_a
from webapp.sizing.heat.place import Duty, Place, duty, place
from webapp.sizing.heat.steady import Balance, at_limit, current_at, current_for_heat
from webapp.sizing.heat.warming import stored_reason, warming
from webapp.sizing.reasons import Reason, SizingError, all_confirmed, temperature


@dataclass(frozen=True)
class Ampacity:
    """What a wire may carry by the heat balance. `current_a` is `free_air_current_a` times the
    factors."""

    current_a: float
    free_air_current_a: float
    bundle_factor: float
    covering_factor: float
    altitude_factor: float
    duty_factor: float
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the figure."""
        return all_confirmed(self.reasons)


def ampacity(
    wire: Conductor,
    *,
    limit_c: float,
    ambient_c: float,
    altitude_m: float = 0.0,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    covering: str = "none",
    on_s: float | None = None,
    off_s: float | None = None,
    outside_diameter_mm: float | None = None,
) -> Ampacity:
    """Current at which a wire in still air reaches its limit.

    Args:
        limit_c: Temperature that its insulation stands, as the cable says. [°C]
        wire, ambient_c, altitude_m, bundle_wires, bundle_loaded_percent, covering, on_s, off_s,
        outside_diameter_mm: as for `conductor_temperature`.

    Returns:
        The current; that of the same wire alone, bare, at sea level, for ever; and the factor of
        each condition, taken in this order: altitude (wire alone), bundle, covering, duty.

    Raises:
        SizingError: a value out of range; surroundings as hot as the limit.

    Source: as for `conductor_temperature`.
    """
    limit = temperature(limit_c, "limit_c")
    where = place(
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent,
        covering=covering,
    )
    times = duty(on_s, off_s)
    refuse_no_room(limit, where.ambient_c)
    warm = warm_wire(wire, outside_diameter_mm)
    alone = at_limit(warm.path(where.alone()), limit)
    free_a = current_for_heat(alone.heat_w_per_m, warm.r20_ohm_per_m, limit)
    altitude, bundle, covered = _factors(warm, where, limit, free_a)
    lasting_a = free_a * altitude * bundle * covered
    cycled = 1.0 if times is None else _duty_factor(warm, where, times, limit)
    reasons = [
        *_free_air_reasons(warm, where.alone(), alone, free_a),
        *place_reasons(warm, where),
        *_condition_reasons(where, free_a, altitude, bundle, covered),
    ]
    if times is not None:
        reasons += _duty_reasons(warm, times, lasting_a, cycled)
    total = _total(free_a, (altitude, bundle, covered, cycled), limit)
    return Ampacity(total.value, free_a, bundle, covered, altitude, cycled, (*reasons, total))


def refuse_no_room(limit_c: float, ambient_c: float) -> None:
    """SizingError if the surroundings are as hot as the limit."""
    if ambient_c >= limit_c:
        raise SizingError(
            "ambient_c",
            f"Surroundings at {ambient_c:g} °C leave nothing for insulation that stands "
            f"{limit_c:g} °C: take cable for more heat, or another way.",
        )


def _factors(
    warm: WarmWire, where: Place, limit_c: float, free_a: float
) -> tuple[float, float, float]:
    """Altitude, bundle and covering, each against the one before."""
    ratios = []
    before, before_a = where.alone(), free_a
    for step in (where.at_altitude(), where.uncovered(), where):
        step_a = before_a
        if step != before:
            step_a = current_at(warm.path(step), warm.r20_ohm_per_m, limit_c)
        ratios.append(step_a / before_a)
        before, before_a = step, step_a
    return ratios[0], ratios[1], ratios[2]


def _duty_factor(warm: WarmWire, where: Place, times: Duty, limit_c: float) -> float:
    path = warm.path(where)
    cycled_a = duty_current_a(warming(warm, path), times, limit_c)
    return max(1.0, cycled_a / current_at(path, warm.r20_ohm_per_m, limit_c))


def _free_air_reasons(
    warm: WarmWire, alone: Place, balance: Balance, free_a: float
) -> list[Reason]:
    reasons = [*warm.reasons, *surface_reasons(warm, alone, balance)]
    reasons.append(
        Reason(
            text=f"Alone in free air, about {free_a:.3g} A keeps the copper at "
            f"{balance.copper_c:g} °C in {alone.ambient_c:g} °C.",
            name="free_air_current_a",
            value=free_a,
            unit="A",
            formula="sqrt(heat_w_per_m / (r20_ohm_per_m * ((234.5 + limit_c) / (234.5 + 20))))",
            inputs={
                "heat_w_per_m": balance.heat_w_per_m,
                "r20_ohm_per_m": warm.r20_ohm_per_m,
                "limit_c": balance.copper_c,
            },
            source="heat balance: the surface gives off what the current makes",
            confirmed=all_confirmed(reasons),
        )
    )
    return reasons


def _condition_reasons(
    where: Place, free_a: float, altitude: float, bundle: float, covered: float
) -> list[Reason]:
    listed = (
        ("altitude_factor", altitude, f"Air at {where.altitude_m:g} m takes less heat."),
        (
            "bundle_factor",
            bundle,
            f"{where.bundle_wires} wires together, {where.bundle_loaded_percent:g} % of the "
            "others loaded.",
        ),
        ("covering_factor", covered, f"Covering: {where.covering.replace('-', ' ')}."),
    )
    reasons = []
    before_a = free_a
    for name, factor, text in listed:
        if factor != 1:
            with_it_a = before_a * factor
            reasons.append(
                Reason(
                    text=text,
                    name=name,
                    value=with_it_a / before_a,
                    unit="",
                    formula="with_it_a / without_it_a",
                    inputs={"with_it_a": with_it_a, "without_it_a": before_a},
                    source="heat balance with it and without",
                    confirmed=False,
                )
            )
            before_a = with_it_a
    return reasons


def _duty_reasons(warm: WarmWire, times: Duty, lasting_a: float, cycled: float) -> list[Reason]:
    stored = stored_reason(warm)
    factor = Reason(
        text=f"{times.on_s:g} s on and {times.off_s:g} s off: the wire is at its limit only at "
        "the end of each time on.",
        name="duty_factor",
        value=cycled,
        unit="",
        source="heat balance step by step in time",
        inputs={
            "on_s": times.on_s,
            "off_s": times.off_s,
            "stored_j_per_mk": stored.value,
            "lasting_a": lasting_a,
        },
        confirmed=False,
    )
    return [stored, factor]


def _total(free_a: float, factors: tuple[float, float, float, float], limit_c: float) -> Reason:
    altitude, bundle, covered, cycled = factors
    amps = free_a * bundle * covered * altitude * cycled
    return Reason(
        text=f"About {amps:.3g} A keeps the copper at {limit_c:g} °C.",
        name="current_a",
        value=amps,
        unit="A",
        formula="free_air_current_a * bundle_factor * covering_factor * altitude_factor"
        " * duty_factor",
        inputs={
            "free_air_current_a": free_a,
            "bundle_factor": bundle,
            "covering_factor": covered,
            "altitude_factor": altitude,
            "duty_factor": cycled,
        },
        source="heat balance",
        confirmed=False,
    )
