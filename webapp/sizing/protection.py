"""A fuse-link against the wire behind it: what it lets through, and what the wire stands."""

from dataclasses import dataclass

from webapp.sizing.conductors import Conductor, resistance_mohm_per_m
from webapp.sizing.damage import adiabatic_time_s, short_circuit_limit_c
from webapp.sizing.fuse_gates import family, first_sure_gate, longest_opening_s
from webapp.sizing.fuses import OPENS_BY_GATE, choose_fuse, fault_current_a
from webapp.sizing.heat.ampacity import refuse_no_room
from webapp.sizing.heat.circuit import WarmWire, warm_wire
from webapp.sizing.heat.place import Place, place
from webapp.sizing.heat.steady import TooHot, at_current
from webapp.sizing.heat.warming import Warming, warming
from webapp.sizing.reasons import (
    Reason,
    all_confirmed,
    current,
    length,
    temperature,
    voltage,
)
from webapp.sizing.tables.fuses import FuseKind
from webapp.sizing.tables.heat import ADIABATIC_UP_TO_S

CARRIES_FOR_EVER = 1.1


@dataclass(frozen=True)
class GateCheck:
    """What a wire comes to at a current that its fuse-link may let through for a time.

    share: the current in ratings. time_s: None for ever. temperature_c: None if it would melt.
    limit_c: what its insulation stands for that long.
    """

    share: float
    current_a: float
    time_s: float | None
    temperature_c: float | None
    limit_c: float

    @property
    def stands(self) -> bool:
        """Whether the wire stays within its limit."""
        return self.temperature_c is not None and self.temperature_c <= self.limit_c


@dataclass(frozen=True)
class FusedWire:
    """A fuse-link chosen for a load, held against the wire behind it.

    breaking_ok: whether it can break a short circuit right behind it.
    clearing_time_s: for a dead short at the far end, by the slowest gate; None: may never clear.
    wire_protected: the wire stands 1.1 × the rating for ever, and 1.35 × (or where the family is
        first sure to open) for that gate's longest time.
    checks: those two first, then every faster gate, each with its verdict.
    fault_stood: whether the wire stands the far-end short until it clears; None: may never clear.
    findings: plain sentences about all that is not as it should be.
    """

    rating_a: float
    voltage_ok: bool
    breaking_ok: bool
    fault_current_a: float
    clearing_time_s: float | None
    wire_protected: bool
    fault_stood: bool | None
    checks: tuple[GateCheck, ...]
    findings: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind a figure."""
        return all_confirmed(self.reasons)


def fuse(
    wire: Conductor,
    *,
    load_a: float,
    run_m: float,
    system_voltage_v: float,
    supply_mohm: float,
    ambient_c: float,
    limit_c: float,
    continuous: bool = True,
    inrush_a: float = 0.0,
    inrush_s: float = 0.0,
    fuse_kind: str = "blade-medium",
    return_m: float = 0.0,
    upstream_mohm: float = 0.0,
    max_fuse_a: float | None = None,
    outside_diameter_mm: float | None = None,
    altitude_m: float = 0.0,
    bundle_wires: int = 1,
    bundle_loaded_percent: float = 100.0,
    covering: str = "none",
) -> FusedWire:
    """Choose a fuse-link for a load and hold it against the wire that feeds the load.

    Args:
        wire: The conductor.
        load_a, continuous, inrush_a, inrush_s, fuse_kind, max_fuse_a: as for `choose_fuse`.
        run_m: Length of the wire out. [m]
        return_m: Length of a return of the same wire. [m]
        system_voltage_v: Open-circuit voltage of the supply. [V]
        supply_mohm: Its internal resistance. [mΩ]
        upstream_mohm: Everything between supply and fuse-link, out and back. [mΩ]
        ambient_c: Air around the wire. [°C]
        limit_c: What its insulation stands for ever. [°C]
        outside_diameter_mm: The cable's own, where known. [mm]
        altitude_m, bundle_wires, bundle_loaded_percent, covering: as for `conductor_temperature`.

    Returns:
        The rating, the far-end fault and what becomes of the wire.

    Raises:
        CannotFuse: no rating of the family will do.
        SizingError: a value out of range; surroundings as hot as the limit.

    Source: `choose_fuse`, `fault_current_a`, the family's gates and the heat balance; rule of this
    method for 1.1 × and 1.35 ×.
    """
    limit = temperature(limit_c, "limit_c")
    volts = voltage(system_voltage_v)
    where = place(
        ambient_c=ambient_c,
        altitude_m=altitude_m,
        bundle_wires=bundle_wires,
        bundle_loaded_percent=bundle_loaded_percent,
        covering=covering,
    )
    refuse_no_room(limit, where.ambient_c)
    loop_m = length(run_m, "run_m") + length(return_m, "return_m")
    r20 = resistance_mohm_per_m(wire)
    fault = fault_current_a(
        source_voltage_v=volts,
        supply_mohm=supply_mohm,
        upstream_mohm=upstream_mohm,
        wire_mohm=r20.value * loop_m,
    )
    behind_fuse_mohm = supply_mohm + upstream_mohm
    chosen = choose_fuse(
        load_a=load_a,
        continuous=continuous,
        inrush_a=inrush_a,
        inrush_s=inrush_s,
        fuse_kind=fuse_kind,
        max_fuse_a=max_fuse_a,
        system_voltage_v=volts,
        prospective_a=1000 * volts / behind_fuse_mohm if behind_fuse_mohm else None,
    )
    rating_a = chosen.rating_a
    warm = warm_wire(wire, outside_diameter_mm)
    checks = gate_checks(warm, fuse_kind, rating_a, limit_c=limit, where=where, before_a=load_a)
    clearing = longest_opening_s(fuse_kind, rating_a, fault.value)
    stood = fault_stood(warm, fuse_kind, rating_a, fault.value, limit_c=limit)
    findings = [
        *chosen.findings,
        *_no_resistance(chosen.breaking_ok),
        *_check_findings(wire, checks),
        *_fault_findings(fault.value, clearing.time_s, stood),
    ]
    return FusedWire(
        rating_a=rating_a,
        voltage_ok=chosen.voltage_ok,
        breaking_ok=chosen.breaking_ok is True,
        fault_current_a=fault.value,
        clearing_time_s=clearing.time_s,
        wire_protected=all(each.stands for each in checks[:2]),
        fault_stood=stood,
        checks=checks,
        findings=tuple(findings),
        reasons=(
            *chosen.reasons,
            *r20.reasons,
            *fault.reasons,
            *clearing.reasons,
            *(_check_reason(wire, each) for each in checks),
        ),
    )


def gate_checks(
    warm: WarmWire,
    fuse_kind: str,
    rating_a: float,
    *,
    limit_c: float,
    where: Place,
    before_a: float = 0.0,
) -> tuple[GateCheck, ...]:
    """What a wire comes to at each current and time that its fuse-link may let through.

    Args:
        warm: The wire, from `warm_wire`.
        fuse_kind, rating_a: The fuse-link. [A]
        limit_c: What the insulation stands for ever. [°C]
        where: Where the wire lies.
        before_a: Current that had warmed the wire before. [A]

    Returns:
        1.1 × the rating for ever; the first current at which the family is sure to open, at least
        1.35 ×, for its longest time; then every faster gate. A gate of up to 5 s may take the
        insulation to what it stands in a short circuit.

    Raises:
        SizingError: unknown family; a value out of range.

    Source: the family's time-current table; heat balance; BS 7671 for short circuits.
    """
    kind = family(fuse_kind)
    rating = current(rating_a, "rating_a", above_zero=True)
    curve = warming(warm, warm.path(where))
    start_c = _steady_c(curve, current(before_a, "before_a"))
    short_c = max(limit_c, short_circuit_limit_c(warm.conductor.insulation).value)
    checks = []
    for share, time_s in _gates_to_stand(kind):
        allowed_c = limit_c
        if time_s is not None and time_s <= ADIABATIC_UP_TO_S:
            allowed_c = short_c
        amps = share * rating
        reached_c = _reached_c(curve, amps, time_s, start_c, allowed_c)
        checks.append(GateCheck(share, amps, time_s, reached_c, allowed_c))
    return tuple(checks)


def fault_stood(
    warm: WarmWire, fuse_kind: str, rating_a: float, fault_a: float, *, limit_c: float
) -> bool | None:
    """Whether a wire at its limit stands a short circuit until the fuse-link has opened.

    What takes longer than 5 s is not a short circuit: `gate_checks` holds it against `limit_c`.

    Args:
        warm: The wire, from `warm_wire`.
        fuse_kind, rating_a: The fuse-link. [A]
        fault_a: Short-circuit current. [A]
        limit_c: Copper before the short circuit. [°C]

    Returns:
        None if the fuse-link may never open.

    Raises:
        SizingError: unknown family; a value out of range.

    Source: BS 7671 regulation 434.5.2; `let_through_s`.
    """
    clearing_s = let_through_s(fuse_kind, rating_a, fault_a)
    if clearing_s is None:
        return None
    if clearing_s > ADIABATIC_UP_TO_S:
        return True
    final_c = short_circuit_limit_c(warm.conductor.insulation).value
    if final_c <= limit_c:
        return False
    stood = adiabatic_time_s(warm.conductor, current_a=fault_a, start_c=limit_c, final_c=final_c)
    return clearing_s <= stood.value


def let_through_s(fuse_kind: str, rating_a: float, current_a: float) -> float | None:
    """Longest time that a fuse-link lets a current through.

    As `longest_opening_s`, but beyond the highest gate no more I²t than at that gate.

    Args:
        fuse_kind, rating_a: The fuse-link. [A]
        current_a: Current. [A]

    Returns:
        Time; None if the fuse-link may never open. [s]

    Raises:
        SizingError: unknown family; a value out of range.

    Source: the family's time-current table; constant let-through above it is common practice.
    """
    longest_s = longest_opening_s(fuse_kind, rating_a, current_a).time_s
    if longest_s is None:
        return None
    beyond = 100 * current_a / rating_a / family(fuse_kind).gates[-1].percent
    return longest_s / max(1.0, beyond) ** 2


def _gates_to_stand(kind: FuseKind) -> list[tuple[float, float | None]]:
    """Currents in ratings with the longest time that each may last; None: for ever."""
    sure = first_sure_gate(kind)
    let: list[tuple[float, float | None]] = [
        (CARRIES_FOR_EVER, None),
        (max(OPENS_BY_GATE, sure.percent / 100), sure.longest_s),
    ]
    let += [
        (gate.percent / 100, gate.longest_s)
        for gate in kind.gates
        if gate.percent > sure.percent and gate.longest_s is not None
    ]
    return let


def _steady_c(curve: Warming, amps: float) -> float:
    """Copper of a lasting current; as hot as copper goes, where there is no balance."""
    try:
        return at_current(curve.path, curve.r20_ohm_per_m, amps).copper_c
    except TooHot:
        return float("inf")


def _reached_c(
    curve: Warming, amps: float, time_s: float | None, start_c: float, allowed_c: float
) -> float | None:
    lasting_c = max(start_c, _steady_c(curve, amps))
    if lasting_c <= allowed_c:
        # Within the limit for ever, so for that time too: no need to follow it.
        return lasting_c
    if time_s is None or start_c > allowed_c:
        return lasting_c if lasting_c < float("inf") else None
    try:
        return curve.after_c(amps, start_c, time_s)
    except TooHot:
        return None


def _no_resistance(breaking_ok: bool | None) -> list[str]:
    if breaking_ok is not None:
        return []
    return [
        "With no resistance before the fuse-link there is no telling what it must break: give "
        "the supply's internal resistance."
    ]


def _check_findings(wire: Conductor, checks: tuple[GateCheck, ...]) -> list[str]:
    return [
        f"{wire.label} does not stand {each.share:g} × the fuse-link, {each.current_a:.3g} A "
        f"{_lasting(each.time_s)}: it comes to {_degrees(each.temperature_c)}, and stands "
        f"{each.limit_c:g} °C."
        for each in checks
        if not each.stands
    ]


def _fault_findings(fault_a: float, clearing_s: float | None, stood: bool | None) -> list[str]:
    if clearing_s is None:
        return [
            f"This fuse-link may never clear a short at the far end: only {fault_a:.0f} A would "
            "flow. Shorten the run, take thicker wire or a smaller fuse-link."
        ]
    if stood is False:
        return [
            f"A short at the far end draws {fault_a:.0f} A for up to {clearing_s:g} s, more than "
            "the insulation stands."
        ]
    return []


def _check_reason(wire: Conductor, check: GateCheck) -> Reason:
    reached_c = check.temperature_c
    return Reason(
        text=f"{check.share:g} × the rating {_lasting(check.time_s)}: {wire.label} comes to "
        f"{_degrees(reached_c)}, stands {check.limit_c:g} °C.",
        name="reached_c" if reached_c is not None else "",
        value=0.0 if reached_c is None else reached_c,
        unit="°C",
        source="heat balance; the family's time-current table",
        inputs={"share": check.share, "current_a": check.current_a, "limit_c": check.limit_c},
        confirmed=False,
    )


def _lasting(time_s: float | None) -> str:
    return "for ever" if time_s is None else f"for {time_s:g} s"


def _degrees(temperature_c: float | None) -> str:
    return "the melting of copper" if temperature_c is None else f"about {temperature_c:.0f} °C"
