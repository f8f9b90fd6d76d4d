"""Voltage lost along a wire and its return."""

from sqlalchemy.orm import Session

from webapp.pages.forms import Form
from webapp.sizing.voltage_drop import voltage_drop

from .answer import FIRE, Answer, Calculator, Figure, about
from .place_fields import read_voltage
from .wire_fields import FINISH_CHOICES, INSULATION_CHOICES, KIND_CHOICES, WIRE_DEFAULTS, read_wire


def work(form: Form, _session: Session) -> Answer | None:
    wire = read_wire(form)
    form.number("current_a", "Current", unit="A", most=10_000)
    form.number("length_m", "Length out", unit="m", most=1000)
    form.number("return_length_m", "Return", unit="m", most=1000)
    form.number("temperature_c", "Temperature of the copper", unit="°C", least=-60, most=300)
    read_voltage(form)
    if wire is None or form.errors:
        return None
    values = form.values
    lost = voltage_drop(
        wire,
        current_a=values["current_a"],
        length_m=values["length_m"],
        return_length_m=values["return_length_m"],
        temperature_c=values["temperature_c"],
        system_voltage_v=values["system_voltage_v"],
    )
    left_v = values["system_voltage_v"] - lost.drop_v
    return Answer(
        says=f"{wire.label} loses {about(lost.drop_v)} V, {about(lost.drop_percent)} % of "
        f"{about(values['system_voltage_v'])} V.",
        figures=(
            Figure("Lost", f"{about(lost.drop_v)} V"),
            Figure("Share", f"{about(lost.drop_percent)} %"),
            Figure("Left at the load", f"{about(left_v)} V", bad=left_v <= 0),
        ),
        findings=["More is lost than there is: the load cannot draw this."] if left_v <= 0 else [],
        reasons=lost.reasons,
    )


CALCULATOR = Calculator(
    slug="voltage-drop",
    title="Voltage drop",
    about="What a wire loses out and back.",
    defaults=WIRE_DEFAULTS
    | {
        "current_a": "5",
        "length_m": "6",
        "return_length_m": "6",
        "temperature_c": "20",
        "system_voltage_v": "12",
    },
    work=work,
    caution=FIRE,
    choices={"kind": KIND_CHOICES, "finish": FINISH_CHOICES, "insulation": INSULATION_CHOICES},
)
