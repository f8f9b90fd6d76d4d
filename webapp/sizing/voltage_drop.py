"""Voltage lost along a wire and its return."""

from dataclasses import dataclass

from webapp.sizing.conductors import Conductor, resistance_mohm_per_m
from webapp.sizing.reasons import Reason, all_confirmed, current, length, temperature, voltage


@dataclass(frozen=True)
class VoltageDrop:
    """What a wire loses, and why."""

    drop_v: float
    drop_percent: float
    reasons: tuple[Reason, ...]


def voltage_drop(
    wire: Conductor,
    *,
    current_a: float,
    length_m: float,
    return_length_m: float = 0.0,
    temperature_c: float = 20.0,
    system_voltage_v: float,
) -> VoltageDrop:
    """Voltage lost along a wire out and, at the same size, back.

    Args:
        wire: The conductor.
        current_a: Current in it. [A]
        length_m: Length out. [m]
        return_length_m: Length of a return of the same conductor; 0 if the return is reckoned
            apart. [m]
        temperature_c: Temperature of the copper. [°C]
        system_voltage_v: Voltage that the percentage refers to. [V]

    Returns:
        Drop in V and in per cent of the system voltage.

    Raises:
        SizingError: a value that is no number, negative, or out of range.

    Source: Ohm's law with the resistance of `resistance_mohm_per_m`.
    """
    amps = current(current_a)
    out_m = length(length_m)
    back_m = length(return_length_m, "return_length_m")
    copper_c = temperature(temperature_c)
    system_v = voltage(system_voltage_v)
    resistance = resistance_mohm_per_m(wire, copper_c)
    drop_v = amps * (out_m + back_m) * resistance.value / 1000
    drop_percent = 100 * drop_v / system_v
    confirmed = all_confirmed(resistance.reasons)
    lost = Reason(
        text=f"{amps:g} A through {out_m + back_m:g} m of {wire.label} at {copper_c:g} °C.",
        name="drop_v",
        value=drop_v,
        unit="V",
        formula="current_a * (length_m + return_length_m) * resistance_mohm_per_m / 1000",
        inputs={
            "current_a": amps,
            "length_m": out_m,
            "return_length_m": back_m,
            "resistance_mohm_per_m": resistance.value,
        },
        source="Ohm's law",
        confirmed=confirmed,
    )
    share = Reason(
        text=f"Against {system_v:g} V.",
        name="drop_percent",
        value=drop_percent,
        unit="%",
        formula="100 * drop_v / system_voltage_v",
        inputs={"drop_v": drop_v, "system_voltage_v": system_v},
        source="definition",
        confirmed=confirmed,
    )
    return VoltageDrop(drop_v, drop_percent, (*resistance.reasons, lost, share))
