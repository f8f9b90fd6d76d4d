"""Where a wire lies, in a calculator's form."""

from typing import Any

from webapp.pages.forms import Form
from webapp.sizing.reasons import SizingError, voltage

PLACE_DEFAULTS = {
    "ambient_c": "30",
    "limit_c": "105",
    "bundle_wires": "1",
    "bundle_loaded_percent": "100",
    "covering": "none",
}
PLACE_NAMES = ("ambient_c", "bundle_wires", "bundle_loaded_percent", "covering")


def read_place(form: Form) -> None:
    """Surroundings, insulation limit, bundle and covering into the form's values."""
    form.number("ambient_c", "Surroundings", unit="°C", least=-60, most=300)
    form.number("limit_c", "What the insulation stands", unit="°C", least=-60, most=300)
    form.whole("bundle_wires", "Wires in the bundle", least=1, most=2000)
    form.number("bundle_loaded_percent", "Of the others loaded", unit="%", most=100)
    form.values["covering"] = form.typed("covering")


def read_voltage(form: Form) -> None:
    """The system's voltage, with the reason why more than 60 V is refused."""
    form.number("system_voltage_v", "Voltage", unit="V", above=0)
    if "system_voltage_v" in form.values and not form.error("system_voltage_v"):
        try:
            voltage(form.values["system_voltage_v"])
        except SizingError as refused:
            form.refuse(refused.field, refused.message)


def place(form: Form) -> dict[str, Any]:
    """Those of the values that say where the wire lies."""
    return {name: form.values[name] for name in PLACE_NAMES}
