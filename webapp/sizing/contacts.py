"""What the contact of a switch or relay must be rated for, by what it switches."""

from webapp.sizing.reasons import Reason, Result, choice, current, voltage
from webapp.sizing.tables.contacts import (
    DERATING_12_V,
    DERATING_28_V,
    DERATING_SOURCE,
    LOAD_ON_CONTACT,
    UP_TO_V,
)

CONTACT_LOADS = tuple(LOAD_ON_CONTACT)


def contact_rating_a(kind: str, *, load_a: float, system_voltage_v: float) -> Result:
    """Rating for resistive loads that a contact needs to switch a load.

    Args:
        kind: One of `CONTACT_LOADS`: a load's kind, or `coil`.
        load_a: Lasting current of the load. [A]
        system_voltage_v: Nominal voltage. [V]

    Returns:
        Least resistive rating of the contact. [A]

    Raises:
        SizingError: unknown kind; a value out of range.

    Source: AC 43.13-1B (1998) Table 11-4, its 12 V column up to 14 V and its 28 V column above;
    against its resistive row, since catalogues rate contacts for resistive loads at the voltage of
    use (common practice).
    """
    load = current(load_a, "load_a")
    volts = voltage(system_voltage_v)
    table = DERATING_12_V if volts <= UP_TO_V else DERATING_28_V
    row = LOAD_ON_CONTACT[choice(kind, "kind", CONTACT_LOADS)]
    factor = table[row] / table["resistive"]
    rating = factor * load
    reason = Reason(
        text=f"A contact that switches a load like this ({row}) takes {factor:g} times its "
        f"current as rated for resistive loads.",
        name="contact_rating_a",
        value=rating,
        unit="A",
        formula="factor * load_a",
        inputs={"factor": factor, "load_a": load},
        source=DERATING_SOURCE.text,
        confirmed=DERATING_SOURCE.confirmed,
    )
    return Result(rating, (reason,))
