"""Calls for one wire: resistance, voltage drop, temperature and capacity."""

from typing import Annotated, Any, Literal

from fastapi import APIRouter
from pydantic import Field

from webapp.sizing.conductors import resistance_mohm_per_m
from webapp.sizing.heat.ampacity import ampacity
from webapp.sizing.heat.place import HIGHEST_M, LOWEST_M, MOST_WIRES
from webapp.sizing.heat.temperature import conductor_temperature
from webapp.sizing.reasons import Reason
from webapp.sizing.voltage_drop import voltage_drop

from .answers import Answer, told
from .fields import WHOLE, Amps, Celsius, ConductorFields, MaybeSeconds, Metres, Volts
from .problems import RESPONSES, SizingRoute

router = APIRouter(
    prefix="/api/sizing", route_class=SizingRoute, responses=RESPONSES, tags=["sizing"]
)

Covering = Literal["none", "tape", "pvc-sleeve", "braid", "split-conduit"]


class ResistanceRequest(ConductorFields):
    """A length of wire at a temperature."""

    length_m: Metres
    temperature_c: Celsius = 20.0


class ResistanceAnswer(Answer):
    """The greatest resistance that the standard allows it."""

    resistance_ohm: float
    resistance_mohm_per_m: float


@router.post("/resistance")
def resistance(sent: ResistanceRequest) -> ResistanceAnswer:
    """Resistance of a wire."""
    per_m = resistance_mohm_per_m(sent.wire(), sent.temperature_c)
    ohm = per_m.value * sent.length_m / 1000
    whole = Reason(
        text=f"Over {sent.length_m:g} m.",
        name="resistance_ohm",
        value=ohm,
        unit="Ω",
        formula="resistance_mohm_per_m * length_m / 1000",
        inputs={"resistance_mohm_per_m": per_m.value, "length_m": sent.length_m},
        source="Ohm's law",
        confirmed=per_m.confirmed,
    )
    return ResistanceAnswer(
        resistance_ohm=ohm,
        resistance_mohm_per_m=per_m.value,
        reasons=told([*per_m.reasons, whole]),
    )


class VoltageDropRequest(ConductorFields):
    """A current through a wire out and, at the same size, back."""

    current_a: Amps
    length_m: Metres
    return_length_m: Metres = 0.0
    temperature_c: Celsius = 20.0
    system_voltage_v: Volts


class VoltageDropAnswer(Answer):
    """What is lost on the way."""

    drop_v: float
    drop_percent: float


@router.post("/voltage-drop")
def drop(sent: VoltageDropRequest) -> VoltageDropAnswer:
    """Voltage lost along a wire and its return."""
    lost = voltage_drop(
        sent.wire(),
        current_a=sent.current_a,
        length_m=sent.length_m,
        return_length_m=sent.return_length_m,
        temperature_c=sent.temperature_c,
        system_voltage_v=sent.system_voltage_v,
    )
    return VoltageDropAnswer(
        drop_v=lost.drop_v, drop_percent=lost.drop_percent, reasons=told(lost.reasons)
    )


class PlaceFields(ConductorFields):
    """A wire where it lies, and how long its current lasts."""

    ambient_c: Celsius
    altitude_m: Annotated[float, Field(ge=LOWEST_M, le=HIGHEST_M)] = 0.0
    bundle_wires: Annotated[int, Field(ge=1, le=MOST_WIRES), WHOLE] = 1
    bundle_loaded_percent: Annotated[float, Field(ge=0, le=100)] = 100.0
    covering: Covering = "none"
    on_s: MaybeSeconds = Field(None, description="On and off over and over; both or neither.")
    off_s: MaybeSeconds = None

    def place(self) -> dict[str, Any]:
        """The place and the times, as the heat balance takes them."""
        names = (
            *("ambient_c", "altitude_m", "bundle_wires", "bundle_loaded_percent", "covering"),
            *("on_s", "off_s", "outside_diameter_mm"),
        )
        return {name: getattr(self, name) for name in names}


class TemperatureRequest(PlaceFields):
    """A current in it."""

    current_a: Amps


class TemperatureAnswer(Answer):
    """How hot copper and surface get."""

    temperature_c: float
    surface_c: float


class AmpacityRequest(PlaceFields):
    """What its insulation stands."""

    limit_c: Celsius


class AmpacityAnswer(Answer):
    """What it may carry: the product of the five other figures."""

    current_a: float
    free_air_current_a: float
    bundle_factor: float
    covering_factor: float
    altitude_factor: float
    duty_factor: float


@router.post("/conductor-temperature")
def temperature(sent: TemperatureRequest) -> TemperatureAnswer:
    """Temperature of a wire in still air."""
    warm = conductor_temperature(sent.wire(), current_a=sent.current_a, **sent.place())
    return TemperatureAnswer(
        temperature_c=warm.temperature_c, surface_c=warm.surface_c, reasons=told(warm.reasons)
    )


@router.post("/ampacity")
def capacity(sent: AmpacityRequest) -> AmpacityAnswer:
    """Current at which a wire in still air reaches its limit."""
    stands = ampacity(sent.wire(), limit_c=sent.limit_c, **sent.place())
    return AmpacityAnswer(
        current_a=stands.current_a,
        free_air_current_a=stands.free_air_current_a,
        bundle_factor=stands.bundle_factor,
        covering_factor=stands.covering_factor,
        altitude_factor=stands.altitude_factor,
        duty_factor=stands.duty_factor,
        reasons=told(stands.reasons),
    )
