"""How hot a wire becomes."""

from dataclasses import dataclass

from webapp.sizing.conductors import Conductor
from webapp.sizing.heat.balance_reasons import balance_reasons
from webapp.sizing.heat.circuit import WarmWire, place_reasons, warm_wire
from webapp.sizing.heat.intermittent import duty_peak_c
from webapp.sizing.heat.place import Duty, Place, duty, place
from webapp.sizing.heat.steady import COPPER_MELTS_C, TooHot, at_current, at_limit
from webapp.sizing.heat.warming import stored_reason, warming
from webapp.sizing.reasons import Reason, SizingError, all_confirmed, current


@dataclass(frozen=True)
class WireTemperature:
    """Temperature of the copper and of the outermost surface, and why."""

    temperature_c: float
    surface_c: float
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the figure."""
        return all_confirmed(self.reasons)


def conductor_temperature(
    wire: Conductor,
    *,
    current_a: float,
    ambient_c: float,
    altitude_m: float = 0.0,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    covering: str = "none",
    on_s: float | None = None,
    off_s: float | None = None,
    outside_diameter_mm: float | None = None,
) -> WireTemperature:
    """Temperature of a wire in still air that carries a current, for ever or on and off.

    Args:
        wire: The conductor.
        current_a: Current. [A]
        ambient_c: Air and walls around. [°C]
        altitude_m: Above the sea, -500 to 20,000. [m]
        bundle_wires: Wires of this size in the bundle, this one counted.
        bundle_loaded_percent: Share of the other wires that carry the same current. [%]
        covering: One of `place.COVERING_NAMES`.
        on_s, off_s: Times on and off, repeated for ever; both None for a lasting current. [s]
        outside_diameter_mm: The cable's own, where known. [mm]

    Returns:
        Temperature of the copper, on and off: at the end of each time on; and of the outermost
        surface.

    Raises:
        SizingError: a value out of range; a current that would melt the copper.

    Source: heat balance: Joule heat at temperature against convection (Morgan; Churchill and Chu)
    and radiation, through insulation (IEC 60287-2-1), bundle and covering.
    """
    amps = current(current_a)
    where = place(
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent,
        covering=covering,
    )
    times = duty(on_s, off_s)
    warm = warm_wire(wire, outside_diameter_mm)
    try:
        if times is None:
            return _lasting(warm, where, amps)
        return _on_and_off(warm, where, amps, times)
    except TooHot:
        raise too_hot(wire, amps) from None


def too_hot(wire: Conductor, current_a: float, field: str = "current_a") -> SizingError:
    """The refusal of a current for which there is no temperature to give."""
    return SizingError(
        field,
        f"{current_a:.4g} A would melt {wire.label} (copper melts at {COPPER_MELTS_C:g} °C).",
    )


def _lasting(warm: WarmWire, where: Place, amps: float) -> WireTemperature:
    balance = at_current(warm.path(where), warm.r20_ohm_per_m, amps)
    reasons = balance_reasons(warm, where, amps, balance)
    return WireTemperature(reasons[-1].value, balance.surface_c, tuple(reasons))


def _on_and_off(warm: WarmWire, where: Place, amps: float, times: Duty) -> WireTemperature:
    path = warm.path(where)
    peak_c = duty_peak_c(warming(warm, path), times, amps)
    surface_c = at_limit(path, peak_c).surface_c if peak_c > where.ambient_c else where.ambient_c
    stored = stored_reason(warm)
    reasons = [*warm.reasons, *place_reasons(warm, where), stored]
    reasons.append(
        Reason(
            text=f"With {times.on_s:g} s on and {times.off_s:g} s off for ever, the copper swings "
            f"up to about {peak_c:.0f} °C.",
            name="temperature_c",
            value=peak_c,
            unit="°C",
            source="heat balance step by step in time, heat stored in the copper",
            inputs={
                "current_a": amps,
                "on_s": times.on_s,
                "off_s": times.off_s,
                "stored_j_per_mk": stored.value,
                "ambient_c": where.ambient_c,
            },
            confirmed=False,
        )
    )
    return WireTemperature(peak_c, surface_c, tuple(reasons))
