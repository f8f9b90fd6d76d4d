"""Which conductor a wire takes, and what a given conductor falls short of."""

from dataclasses import dataclass, replace

from webapp.sizing.capacity import capacity, minimum_section, thinner_than_minimum
from webapp.sizing.conductors import Conductor, sizes
from webapp.sizing.fuses import required_wire_current_a
from webapp.sizing.reasons import Reason, SizingError, all_confirmed, current, number
from webapp.sizing.voltage_drop import voltage_drop


class CannotSize(SizingError):
    """No size of the cable will do; the message says why."""


@dataclass(frozen=True)
class Duty:
    """What a wire has to do.

    load_a: lasting current, at the highest voltage, for heat. [A]
    drop_load_a: current at a discharged battery, for the drop; None takes `load_a`. [A]
    length_m: length out; return_length_m: length of a return of the same size. [m]
    max_drop_percent: allowed share of `system_voltage_v` for this wire; None for no limit. [%]
    system_voltage_v: voltage of the discharged battery. [V]
    drop_temperature_c: copper temperature that the drop is reckoned at. [°C]
    fuse_rating_a, fuse_kind: the fuse-link before it; None where the code asks for none. [A]
    ambient_c: air around it; limit_c: what its insulation stands. [°C]
    standard: id of the capacity table.
    bundle_wires, bundle_loaded_percent, covering, engine_space: as for `capacity`.
    minimum_mm2, maximum_mm2: the job's own limits. [mm²]
    """

    load_a: float
    length_m: float
    system_voltage_v: float
    ambient_c: float
    limit_c: float
    standard: str
    return_length_m: float = 0.0
    max_drop_percent: float | None = None
    drop_load_a: float | None = None
    drop_temperature_c: float = 20.0
    fuse_rating_a: float | None = None
    fuse_kind: str = "blade-medium"
    bundle_wires: int = 1
    bundle_loaded_percent: float = 100.0
    covering: str = "none"
    engine_space: bool = False
    minimum_mm2: float | None = None
    maximum_mm2: float | None = None


@dataclass(frozen=True)
class Shortfall:
    """One thing that a conductor does not meet: `capacity`, `fuse`, `drop`, `minimum` or
    `maximum`, with a plain sentence."""

    kind: str
    sentence: str


@dataclass(frozen=True)
class ConductorCheck:
    """How a conductor does its duty. No shortfalls: it does."""

    conductor: Conductor
    drop_v: float
    drop_percent: float
    capacity_a: float
    needed_a: float
    shortfalls: tuple[Shortfall, ...]
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind a figure."""
        return all_confirmed(self.reasons)


def check_conductor(wire: Conductor, duty: Duty) -> ConductorCheck:
    """Hold a conductor against what it has to do.

    Args:
        wire: The conductor.
        duty: What it has to do.

    Returns:
        Drop, capacity, needed current, and each shortfall as a sentence.

    Raises:
        SizingError: a value out of range; a wire that the named table does not hold.

    Source: `capacity`, `voltage_drop`, `required_wire_current_a`.
    """
    load_a = current(duty.load_a, "load_a")
    _check_limits(duty)
    stands = capacity(
        wire,
        standard=duty.standard,
        limit_c=duty.limit_c,
        ambient_c=duty.ambient_c,
        bundle_wires=duty.bundle_wires,
        bundle_loaded_percent=duty.bundle_loaded_percent,
        covering=duty.covering,
        engine_space=duty.engine_space,
    )
    drop = voltage_drop(
        wire,
        current_a=load_a if duty.drop_load_a is None else duty.drop_load_a,
        length_m=duty.length_m,
        return_length_m=duty.return_length_m,
        temperature_c=duty.drop_temperature_c,
        system_voltage_v=duty.system_voltage_v,
    )
    needed_a, needed = _needed(duty, load_a)
    shortfalls = [
        *_heat_shortfalls(wire, duty, stands.current_a, needed_a),
        *_drop_shortfalls(wire, duty, drop.drop_percent),
        *_section_shortfalls(wire, duty),
    ]
    return ConductorCheck(
        conductor=wire,
        drop_v=drop.drop_v,
        drop_percent=drop.drop_percent,
        capacity_a=stands.current_a,
        needed_a=needed_a,
        shortfalls=tuple(shortfalls),
        reasons=(*needed, *stands.reasons, *drop.reasons, *minimum_section(duty.standard).reasons),
    )


def choose_conductor(
    kind: str, duty: Duty, *, finish: str = "plain", insulation: str | None = None
) -> ConductorCheck:
    """The thinnest conductor that does its duty.

    Args:
        kind, finish, insulation: as for `conductor`.
        duty: What it has to do.

    Returns:
        The conductor with its figures; its `shortfalls` are empty.

    Raises:
        CannotSize: no size of that cable will do.
        SizingError: a value out of range.

    Source: `check_conductor`.
    """
    last: ConductorCheck | None = None
    _check_limits(duty)
    for wire in sizes(kind, finish=finish, insulation=insulation):
        if _outside_limits(wire, duty) or _below_table(wire, duty):
            continue
        last = check_conductor(wire, duty)
        if not last.shortfalls:
            return replace(last, reasons=(*last.reasons, _chosen(last)))
    if last is None:
        raise CannotSize("maximum_mm2", "No size of this cable lies between the limits given.")
    said = " ".join(each.sentence for each in last.shortfalls)
    raise CannotSize(
        "load_a",
        f"No size of this cable will do. The largest allowed, {last.conductor.label}: {said}",
    )


def _check_limits(duty: Duty) -> None:
    for name in ("minimum_mm2", "maximum_mm2"):
        limit = getattr(duty, name)
        if limit is not None:
            number(limit, name, above_low=True, unit="mm²")


def _needed(duty: Duty, load_a: float) -> tuple[float, tuple[Reason, ...]]:
    if duty.fuse_rating_a is None:
        text = "No fuse-link stands before this wire; it carries its load."
        reason = Reason(text, "needed_a", load_a, "A", "electrical rule of the job", "", {})
        return load_a, (reason,)
    behind_fuse = required_wire_current_a(duty.fuse_rating_a, duty.fuse_kind)
    needed_a = max(load_a, behind_fuse.value)
    if needed_a == behind_fuse.value:
        return needed_a, behind_fuse.reasons
    more = Reason(
        text="The load is more than the fuse-link asks for.",
        name="needed_a",
        value=needed_a,
        unit="A",
        formula="max(load_a, fuse_needs_a)",
        inputs={"load_a": load_a, "fuse_needs_a": behind_fuse.value},
        source="electrical rule of the job",
    )
    return needed_a, (*behind_fuse.reasons, more)


def _heat_shortfalls(
    wire: Conductor, duty: Duty, capacity_a: float, needed_a: float
) -> list[Shortfall]:
    if duty.load_a > capacity_a:
        return [
            Shortfall(
                "capacity",
                f"{wire.label} may carry about {capacity_a:.3g} A here; "
                f"the load is {duty.load_a:.3g} A.",
            )
        ]
    if needed_a > capacity_a:
        return [
            Shortfall(
                "fuse",
                f"A {duty.fuse_rating_a:g} A fuse-link is too big for {wire.label}: the wire must "
                f"stand {needed_a:.3g} A and may carry about {capacity_a:.3g} A here.",
            )
        ]
    return []


def _drop_shortfalls(wire: Conductor, duty: Duty, drop_percent: float) -> list[Shortfall]:
    if duty.max_drop_percent is None:
        return []
    allowed = number(duty.max_drop_percent, "max_drop_percent", high=100, unit="%")
    if drop_percent <= allowed:
        return []
    return [
        Shortfall(
            "drop",
            f"{wire.label} loses {drop_percent:.2g} % of {duty.system_voltage_v:g} V; "
            f"{allowed:g} % is allowed.",
        )
    ]


def _section_shortfalls(wire: Conductor, duty: Duty) -> list[Shortfall]:
    found = []
    if thinner_than_minimum(wire, duty.standard):
        least = minimum_section(duty.standard).mm2
        found.append(
            Shortfall("minimum", f"{wire.label} is thinner than the {least:g} mm² of the standard.")
        )
    if duty.minimum_mm2 is not None and wire.csa_mm2 < duty.minimum_mm2:
        found.append(
            Shortfall(
                "minimum", f"{wire.label} is thinner than the job's {duty.minimum_mm2:g} mm²."
            )
        )
    if duty.maximum_mm2 is not None and wire.csa_mm2 > duty.maximum_mm2:
        found.append(
            Shortfall(
                "maximum", f"{wire.label} is thicker than the {duty.maximum_mm2:g} mm² limit."
            )
        )
    return found


def _outside_limits(wire: Conductor, duty: Duty) -> bool:
    return bool(_section_shortfalls(wire, duty))


def _below_table(wire: Conductor, duty: Duty) -> bool:
    try:
        capacity(wire, standard=duty.standard, limit_c=duty.limit_c, ambient_c=duty.ambient_c)
    except SizingError as error:
        if error.field in ("csa_mm2", "awg"):
            return True
        raise
    return False


def _chosen(check: ConductorCheck) -> Reason:
    return Reason(
        text=f"{check.conductor.label} is the thinnest that carries {check.needed_a:.3g} A "
        "and keeps the drop.",
        name="csa_mm2",
        value=check.conductor.csa_mm2,
        unit="mm²",
        source="the limits above",
        confirmed=all_confirmed(check.reasons),
    )
