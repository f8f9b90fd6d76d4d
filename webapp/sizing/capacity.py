"""Current that a wire may carry for ever, by the published table that the job names."""

import math
from dataclasses import dataclass, replace

from webapp.sizing.bundle_factor import bundle_factor
from webapp.sizing.conductors import COPPER_OFFSET_C, Conductor, awg_label
from webapp.sizing.reasons import (
    Reason,
    SizingError,
    all_confirmed,
    choice,
    number,
    temperature,
    whole_number,
)
from webapp.sizing.tables.bundles import COVERING, COVERING_FACTORS
from webapp.sizing.tables.capacity import STANDARDS, Row, Standard

COVERINGS = tuple(COVERING_FACTORS)
CRAFT_BUNDLES_FROM_V = 50.0
# Gauges are listed with their section to four figures.
ROUNDING = 1.001


@dataclass(frozen=True)
class StandardName:
    """A capacity table that a job can name."""

    id: str
    title: str


@dataclass(frozen=True)
class Section:
    """The thinnest conductor that a standard allows."""

    mm2: float
    awg: int | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True)
class Capacity:
    """What a wire may carry, and why. `current_a` is the table's current times the factors."""

    current_a: float
    table_current_a: float
    ambient_factor: float
    bundle_factor: float
    covering_factor: float
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the figure."""
        return all_confirmed(self.reasons)


def standards() -> tuple[StandardName, ...]:
    """The capacity tables that a job can name."""
    return tuple(StandardName(each.id, each.title) for each in STANDARDS.values())


def minimum_section(standard: str) -> Section:
    """The thinnest single conductor that a standard allows outside a sheath.

    Args:
        standard: Id of one of `standards()`.

    Raises:
        SizingError: unknown standard.

    Source: ISO 10133 clause 7; 33 CFR 183.425(e); elsewhere common practice.
    """
    rules = _standard(standard)
    reason = Reason(
        text=f"{rules.title}: thinnest single conductor.",
        name="minimum_mm2",
        value=rules.minimum_mm2,
        unit="mm²",
        source=rules.minimum_source.text,
        confirmed=rules.minimum_source.confirmed,
    )
    return Section(rules.minimum_mm2, rules.minimum_awg, (reason,))


def bundle_counts(standard: str, system_voltage_v: float) -> bool:
    """Whether the standard takes current off for wires that lie together.

    Args:
        standard: Id of one of `standards()`.
        system_voltage_v: Nominal voltage. [V]

    Raises:
        SizingError: unknown standard.

    Source: small craft: the factors of 33 CFR 183.425 for bundles hold at 50 V or more (coast guard
    compliance guideline); elsewhere the MIL-W-5088L curves hold at any voltage.
    """
    _standard(standard)
    return not standard.startswith("small-craft") or system_voltage_v >= CRAFT_BUNDLES_FROM_V


def minimum_section_mm2(standard: str) -> float:
    """The section of `minimum_section` in mm². AWG wire goes by the gauge instead."""
    return minimum_section(standard).mm2


def thinner_than_minimum(wire: Conductor, standard: str) -> bool:
    """Whether `wire` is thinner than `standard` allows, by gauge where both are in AWG."""
    least = minimum_section(standard)
    if wire.awg is not None and least.awg is not None:
        return wire.awg > least.awg
    return wire.csa_mm2 < least.mm2


def capacity(
    wire: Conductor,
    *,
    standard: str,
    limit_c: float,
    ambient_c: float,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    covering: str = "none",
    engine_space: bool = False,
) -> Capacity:
    """Current that the wire may carry for ever.

    Args:
        wire: The conductor.
        standard: Id of one of `standards()`.
        limit_c: Temperature that its insulation stands, as the cable says. [°C]
        ambient_c: Air around it. [°C]
        bundle_wires: Wires in the bundle, this one counted.
        bundle_loaded_percent: Share of the bundle's whole capacity that is in use at once. [%]
        covering: One of `COVERINGS`.
        engine_space: Whether it runs in an engine space, where the standard has a rule for that.

    Returns:
        The current, the table's own current and each factor.

    Raises:
        SizingError: values out of range; a wire thinner than the table; insulation below the
            table; surroundings as hot as the insulation stands.

    Source: the named table; ambient by the square root of the temperature rise (as the factors of
    33 CFR 183.425 note 1) with copper's resistance at temperature; MIL-W-5088L bundle curves.
    """
    rules = _standard(standard)
    limit = temperature(limit_c, "limit_c")
    air_c = temperature(ambient_c, "ambient_c")
    wires = whole_number(bundle_wires, "bundle_wires", low=1)
    loaded = number(bundle_loaded_percent, "bundle_loaded_percent", high=100, unit="%")
    choice(covering, "covering", COVERINGS)
    row = _row(rules, wire)
    table_limit_c = _column(rules, row, limit)
    looked_up = _look_up(rules, row, wire, table_limit_c)
    # Between two columns the cable counts as the lower: the higher is not the table's to give.
    insulation_c = limit if len(row.current_a) == 1 else table_limit_c
    ambient = _ambient_reasons(rules, table_limit_c, insulation_c, air_c, engine_space)
    bundle = bundle_factor(wires, loaded, built_in=row.built_in_bundle_factor)
    cover = _covering_reason(covering)
    reasons = [looked_up, *ambient]
    if wires > 1:
        reasons += [_bundle_note(rules, reason) for reason in bundle.reasons]
    if covering != "none":
        reasons.append(cover)
    result = looked_up.value * ambient[-1].value * bundle.value * cover.value
    reasons.append(
        Reason(
            text=f"{wire.label} may carry about {result:.3g} A here.",
            name="capacity_a",
            value=result,
            unit="A",
            formula="table_current_a * ambient_factor * bundle_factor * covering_factor",
            inputs={
                "table_current_a": looked_up.value,
                "ambient_factor": ambient[-1].value,
                "bundle_factor": bundle.value,
                "covering_factor": cover.value,
            },
            source=looked_up.source,
            confirmed=all_confirmed(reasons),
        )
    )
    return Capacity(
        result, looked_up.value, ambient[-1].value, bundle.value, cover.value, tuple(reasons)
    )


def _standard(standard: str) -> Standard:
    return STANDARDS[choice(standard, "standard", STANDARDS)]


def _row(rules: Standard, wire: Conductor) -> Row:
    """The table's row for the wire: its own size, or the next below."""
    if wire.awg is not None and all(row.awg is not None for row in rules.rows):
        fitting = [row for row in rules.rows if row.awg is not None and row.awg >= wire.awg]
    else:
        fitting = [row for row in rules.rows if row.csa_mm2 <= wire.csa_mm2 * ROUNDING]
    if not fitting:
        raise SizingError(
            "csa_mm2" if wire.awg is None else "awg",
            f"{wire.label} is thinner than anything in the table of {rules.title}.",
        )
    return max(fitting, key=lambda row: row.csa_mm2)


def _column(rules: Standard, row: Row, limit_c: float) -> float:
    """The table's insulation temperature to read at: the highest that the cable stands."""
    stood = [column for column in row.current_a if column <= limit_c]
    if stood:
        return max(stood)
    if len(row.current_a) == 1:
        return next(iter(row.current_a))
    raise SizingError(
        "limit_c",
        f"{rules.title} begins with insulation that stands {min(row.current_a):g} °C.",
    )


def _look_up(rules: Standard, row: Row, wire: Conductor, table_limit_c: float) -> Reason:
    printed_a = row.current_a[table_limit_c]
    size = f"{row.csa_mm2:g} mm²" if row.awg is None else f"AWG {awg_label(row.awg)}"
    text = f"{size}: {printed_a:g} A at {table_limit_c:g} °C in {rules.ambient_c:g} °C."
    if row.awg != wire.awg or (wire.awg is None and row.csa_mm2 != wire.csa_mm2):
        text = f"{wire.label} is read as {size}, the size listed that is not larger. {text}"
    return Reason(
        text=text,
        name="table_current_a",
        value=printed_a,
        unit="A",
        source=row.source.text,
        inputs={"csa_mm2": wire.csa_mm2, "table_limit_c": table_limit_c},
        confirmed=row.source.confirmed,
    )


def _ambient_reasons(
    rules: Standard, table_limit_c: float, limit_c: float, air_c: float, engine_space: bool
) -> list[Reason]:
    if engine_space and rules.engine_space_ambient_c is not None:
        air_c = max(air_c, rules.engine_space_ambient_c)
    if air_c >= limit_c:
        raise SizingError(
            "ambient_c",
            f"Surroundings at {air_c:g} °C leave nothing for insulation that counts as "
            f"{limit_c:g} °C: take cable for more heat, or another way.",
        )
    by_rise = math.sqrt(
        (limit_c - air_c)
        / (table_limit_c - rules.ambient_c)
        * (COPPER_OFFSET_C + table_limit_c)
        / (COPPER_OFFSET_C + limit_c)
    )
    reasons = [
        Reason(
            text=f"Surroundings at {air_c:g} °C and insulation that counts as {limit_c:g} °C; "
            "nothing is gained above the table.",
            name="ambient_factor",
            value=min(1.0, by_rise),
            unit="",
            formula="min(1, sqrt((limit_c - ambient_c) / (table_limit_c - table_ambient_c)"
            " * (234.5 + table_limit_c) / (234.5 + limit_c)))",
            inputs={
                "limit_c": limit_c,
                "ambient_c": air_c,
                "table_limit_c": table_limit_c,
                "table_ambient_c": rules.ambient_c,
            },
            source="heat in proportion to temperature rise; gives the factors of 33 CFR 183.425 "
            "note 1 to 0.01",
        )
    ]
    if engine_space and table_limit_c in rules.engine_space_factor:
        reasons.append(_engine_space_reason(rules, table_limit_c, reasons[-1].value))
    return reasons


def _engine_space_reason(rules: Standard, table_limit_c: float, ambient_factor: float) -> Reason:
    printed, source = rules.engine_space_factor[table_limit_c]
    return Reason(
        text=f"In an engine space the standard's own factor is {printed:g}.",
        name="ambient_factor",
        value=min(printed, ambient_factor),
        unit="",
        formula="min(engine_space_factor, ambient_factor)",
        inputs={"engine_space_factor": printed, "ambient_factor": ambient_factor},
        source=source.text,
        confirmed=source.confirmed,
    )


def _bundle_note(rules: Standard, reason: Reason) -> Reason:
    return replace(reason, text=f"{reason.text} {rules.bundle_note}")


def _covering_reason(covering: str) -> Reason:
    factor = COVERING_FACTORS[covering]
    return Reason(
        text=f"Covering: {covering.replace('-', ' ')}.",
        name="covering_factor",
        value=factor,
        unit="",
        source=COVERING.text,
        confirmed=COVERING.confirmed,
    )
