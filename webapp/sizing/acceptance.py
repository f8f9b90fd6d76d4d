"""What a wire must measure to pass: end-to-end resistance and isolation."""

from dataclasses import dataclass

from webapp.sizing.conductors import Conductor, resistance_mohm_per_m
from webapp.sizing.reasons import (
    COMMON_PRACTICE,
    Reason,
    Result,
    Source,
    choice,
    length,
    number,
    temperature,
    whole_number,
)

CRIMP_MOHM = 1.0
CONTACT_MOHM = 5.0


@dataclass(frozen=True)
class IsolationLimit:
    """Least resistance between circuits, at a test voltage."""

    least_megohm: float
    test_voltage_v: float
    reasons: tuple[Reason, ...]


# Id: (title, MΩ, V d.c., source).
_ISOLATION: dict[str, tuple[str, float, float, Source]] = {
    "workshop": (
        "Clean, dry loom, electronics unplugged",
        1.0,
        100.0,
        Source(f"1 MΩ is {COMMON_PRACTICE}; 100 V d.c. is MIL-STD-202H method 302 condition A"),
    ),
    "assembled-wiring": (
        "Assembled wiring, 16 to 28 °C, electronics unplugged",
        100.0,
        200.0,
        Source("US Army SB 740-91-01 par 4c: 100 MΩ at 200 to 1000 V d.c."),
    ),
}
ISOLATION_RULES = tuple(_ISOLATION)


def resistance_limit_mohm(
    wire: Conductor,
    *,
    length_m: float,
    temperature_c: float = 20.0,
    crimps: int = 2,
    contacts: int = 0,
    lead_mohm: float = 0.0,
) -> Result:
    """Greatest end-to-end resistance that a good wire can show.

    Args:
        wire: The conductor.
        length_m: Its length. [m]
        temperature_c: Temperature of the loom at the test. [°C]
        crimps: Crimped or soldered joints in the measured path.
        contacts: Mated contacts in the measured path.
        lead_mohm: Resistance of the test leads that the instrument does not take off itself; 0 for
            a four-wire reading. [mΩ]

    Returns:
        Limit. [mΩ]

    Raises:
        SizingError: a value out of range.

    Source: greatest conductor resistance of the table; 1 mΩ for a crimp and 5 mΩ for a mated
    contact are common practice.
    """
    conductor = resistance_mohm_per_m(wire, temperature(temperature_c))
    inputs = {
        "resistance_mohm_per_m": conductor.value,
        "length_m": length(length_m),
        "crimps": whole_number(crimps, "crimps", high=1000),
        "crimp_mohm": CRIMP_MOHM,
        "contacts": whole_number(contacts, "contacts", high=1000),
        "contact_mohm": CONTACT_MOHM,
        "lead_mohm": number(lead_mohm, "lead_mohm", high=10_000, unit="mΩ"),
    }
    limit = (
        inputs["resistance_mohm_per_m"] * inputs["length_m"]
        + inputs["crimps"] * CRIMP_MOHM
        + inputs["contacts"] * CONTACT_MOHM
        + inputs["lead_mohm"]
    )
    reason = Reason(
        text=f"{length_m:g} m of {wire.label} with its joints, measured at {temperature_c:g} °C.",
        name="limit_mohm",
        value=limit,
        unit="mΩ",
        formula="resistance_mohm_per_m * length_m + crimps * crimp_mohm"
        " + contacts * contact_mohm + lead_mohm",
        inputs=inputs,
        source=f"table of the conductor; joints {COMMON_PRACTICE}",
        confirmed=conductor.confirmed,
    )
    return Result(limit, (*conductor.reasons, reason))


def isolation_limit(rule: str = "workshop") -> IsolationLimit:
    """Least insulation resistance between circuits that are not joined.

    Args:
        rule: One of `ISOLATION_RULES`.

    Returns:
        Resistance in MΩ and the test voltage in V d.c.

    Raises:
        SizingError: unknown rule.

    Source: common practice; US Army SB 740-91-01 par 4c; MIL-STD-202H method 302.
    """
    title, least_megohm, test_voltage_v, source = _ISOLATION[choice(rule, "rule", _ISOLATION)]
    reason = Reason(
        text=f"{title}: at least {least_megohm:g} MΩ at {test_voltage_v:g} V d.c.",
        name="least_megohm",
        value=least_megohm,
        unit="MΩ",
        source=source.text,
        inputs={"test_voltage_v": test_voltage_v},
        confirmed=source.confirmed,
    )
    return IsolationLimit(least_megohm, test_voltage_v, (reason,))
