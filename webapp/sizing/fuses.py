"""Which fuse-link a circuit takes, and what the wire behind it must stand."""

from dataclasses import dataclass

from webapp.sizing.fuse_gates import family, first_sure_gate, shortest_opening_s
from webapp.sizing.reasons import (
    COMMON_PRACTICE,
    Reason,
    Result,
    SizingError,
    all_confirmed,
    current,
    from_memory,
    number,
    voltage,
)
from webapp.sizing.tables.fuses import FuseKind

CONTINUOUS_SHARE = 0.75
OPENS_BY_GATE = 1.35


class CannotFuse(SizingError):
    """No fuse-link of the family will do; the message says why."""


@dataclass(frozen=True)
class FuseChoice:
    """A rating, and plain sentences about what it does not meet."""

    rating_a: float
    voltage_ok: bool
    breaking_ok: bool | None
    findings: tuple[str, ...]
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the choice."""
        return all_confirmed(self.reasons)


def choose_fuse(
    *,
    load_a: float,
    continuous: bool,
    inrush_a: float = 0.0,
    inrush_s: float = 0.0,
    fuse_kind: str,
    max_fuse_a: float | None = None,
    system_voltage_v: float,
    prospective_a: float | None = None,
) -> FuseChoice:
    """The smallest rating that carries the load and its inrush.

    A load's own limit outranks the habit of loading a fuse-link to 75 %: then the largest rating
    within the limit is taken and a finding says what it does not meet.

    Args:
        load_a: Current of everything behind it. [A]
        continuous: Whether that can last; bilge pumps, blowers and fans count as lasting.
        inrush_a: Current at switching on; 0 for none. [A]
        inrush_s: How long the inrush lasts. [s]
        fuse_kind: One of `FUSE_KIND_IDS`.
        max_fuse_a: Largest fuse-link that the load's maker allows; None for no limit. [A]
        system_voltage_v: Highest voltage of the system. [V]
        prospective_a: Short-circuit current at the fuse-link from a new battery and the
            chargers; None if it is not known. [A]

    Returns:
        The rating, with findings.

    Raises:
        CannotFuse: no rating of the family carries the load, or none within `max_fuse_a`.
        SizingError: a value out of range.

    Source: 75 % of the rating for lasting loads (common practice); ISO 8820-3 for rated voltage,
    breaking capacity and gates.
    """
    load = current(load_a, "load_a", above_zero=True)
    rush = current(inrush_a, "inrush_a")
    rush_s = number(inrush_s, "inrush_s", unit="s")
    limit = None if max_fuse_a is None else current(max_fuse_a, "max_fuse_a", above_zero=True)
    system_v = voltage(system_voltage_v)
    kind = family(fuse_kind)
    share = CONTINUOUS_SHARE if continuous else 1.0
    wanted = Reason(
        text="A lasting load takes at most three quarters of the rating."
        if continuous
        else "A short load may take the whole rating.",
        name="least_rating_a",
        value=load / share,
        unit="A",
        formula="load_a / share",
        inputs={"load_a": load, "share": share},
        source=COMMON_PRACTICE,
    )
    rating, findings = _rating(kind, load, wanted.value, limit, (rush, rush_s))
    reasons = [wanted, _rating_reason(kind, rating, wanted.value)]
    reasons += _inrush_reasons(kind, rating, rush)
    voltage_ok = system_v <= kind.rated_voltage_v
    if not voltage_ok:
        findings.append(
            f"{kind.title} is rated {kind.rated_voltage_v:g} V, less than the {system_v:g} V here."
        )
    breaking_ok = _breaking(kind, prospective_a, findings)
    reasons.append(_limits_reason(kind))
    return FuseChoice(rating, voltage_ok, breaking_ok, tuple(findings), tuple(reasons))


def required_wire_current_a(rating_a: float, fuse_kind: str) -> Result:
    """Current that each wire behind a fuse-link must stand for ever.

    A wire stands 1.1 × the rating for ever. For the gate's longest time it stands the current at
    which the family is first sure to open: 1.35 × or, where the family's gate lies higher, that.
    The time is minutes to hours, many times what a single wire takes to reach its temperature, so
    the current is taken as lasting.

    Args:
        rating_a: Rating. [A]
        fuse_kind: One of `FUSE_KIND_IDS`.

    Returns:
        Current. [A]

    Raises:
        SizingError: unknown family; a rating out of range.

    Source: rule of this method; the family's time-current table.
    """
    rating = current(rating_a, "rating_a", above_zero=True)
    kind = family(fuse_kind)
    gate = first_sure_gate(kind)
    opens_at = max(OPENS_BY_GATE, gate.percent / 100)
    needed = opens_at * rating
    reason = Reason(
        text=f"A {rating:g} A fuse-link may take {gate.longest_s:g} s to open at "
        f"{gate.percent / 100:g} × its rating; the wire stands {opens_at:g} × as if it lasted.",
        name="needed_a",
        value=needed,
        unit="A",
        formula="opens_at * rating_a",
        inputs={"opens_at": opens_at, "rating_a": rating},
        source="rule of this method: no credit for the time that the gate allows",
    )
    return Result(needed, (reason,))


def fault_current_a(
    *,
    source_voltage_v: float,
    supply_mohm: float,
    wire_mohm: float,
    upstream_mohm: float = 0.0,
) -> Result:
    """Current that flows into a dead short.

    Args:
        source_voltage_v: Open-circuit voltage of the supply. [V]
        supply_mohm: Internal resistance of the supply. [mΩ]
        wire_mohm: Wire out and back to the short, at 20 °C. [mΩ]
        upstream_mohm: Everything between supply and this wire, out and back. [mΩ]

    Returns:
        Current. [A]

    Raises:
        SizingError: a value out of range; no resistance at all.

    Source: Ohm's law.
    """
    source_v = voltage(source_voltage_v, "source_voltage_v")
    inputs = {
        "source_voltage_v": source_v,
        "supply_mohm": number(supply_mohm, "supply_mohm", unit="mΩ"),
        "upstream_mohm": number(upstream_mohm, "upstream_mohm", unit="mΩ"),
        "wire_mohm": number(wire_mohm, "wire_mohm", unit="mΩ"),
    }
    loop_mohm = inputs["supply_mohm"] + inputs["upstream_mohm"] + inputs["wire_mohm"]
    if loop_mohm <= 0:
        raise SizingError("supply_mohm", "A short circuit with no resistance has no end.")
    amps = 1000 * source_v / loop_mohm
    reason = Reason(
        text=f"A dead short behind {loop_mohm:.3g} mΩ.",
        name="fault_current_a",
        value=amps,
        unit="A",
        formula="1000 * source_voltage_v / (supply_mohm + upstream_mohm + wire_mohm)",
        inputs=inputs,
        source="Ohm's law",
    )
    return Result(amps, (reason,))


def _rating(
    kind: FuseKind,
    load_a: float,
    wanted_a: float,
    limit_a: float | None,
    inrush: tuple[float, float],
) -> tuple[float, list[str]]:
    """The rating to take, and what it does not meet."""
    allowed = [each for each in kind.ratings_a if limit_a is None or each <= limit_a]
    carrying = [each for each in allowed if each >= load_a]
    if not carrying:
        raise CannotFuse("load_a", _cannot_carry(kind, load_a, limit_a, bool(allowed)))
    lasting = [each for each in carrying if each >= wanted_a]
    standing = [each for each in lasting if _stands_inrush(kind, each, inrush)]
    if standing:
        return standing[0], []
    if not lasting and limit_a is None:
        raise CannotFuse(
            "load_a",
            f"{load_a:g} A that lasts asks for a {wanted_a:.3g} A fuse-link or more; "
            f"{kind.title} ends at {kind.ratings_a[-1]:g} A.",
        )
    rating = carrying[-1] if limit_a is not None else lasting[0]
    findings = []
    if rating < wanted_a:
        findings.append(
            f"The {load_a:g} A load takes {100 * load_a / rating:.0f} % of the {rating:g} A "
            f"fuse-link that its limit of {limit_a:g} A allows; 75 % is usual for a lasting load."
        )
    if not _stands_inrush(kind, rating, inrush):
        findings.append(
            f"The {inrush[0]:g} A inrush for {inrush[1]:g} s may open the {rating:g} A fuse-link: "
            "the gate promises less. Ask the load's maker, or take a slower kind."
        )
    return rating, findings


def _cannot_carry(kind: FuseKind, load_a: float, limit_a: float | None, any_allowed: bool) -> str:
    if limit_a is None:
        return f"{kind.title} ends at {kind.ratings_a[-1]:g} A, less than the load of {load_a:g} A."
    if not any_allowed:
        return f"{kind.title} has no rating of {limit_a:g} A or less."
    return f"The load of {load_a:g} A is more than its own limit of {limit_a:g} A allows to fuse."


def _stands_inrush(kind: FuseKind, rating_a: float, inrush: tuple[float, float]) -> bool:
    rush_a, rush_s = inrush
    if rush_a <= rating_a or rush_s == 0:
        return True
    promised_s = shortest_opening_s(kind.id, rating_a, rush_a).time_s
    return promised_s is not None and rush_s <= promised_s


def _inrush_reasons(kind: FuseKind, rating_a: float, rush_a: float) -> list[Reason]:
    if rush_a <= rating_a:
        return []
    return list(shortest_opening_s(kind.id, rating_a, rush_a).reasons)


def _rating_reason(kind: FuseKind, rating_a: float, wanted_a: float) -> Reason:
    remembered = rating_a in kind.ratings_remembered
    source = from_memory(kind.ratings_source.text) if remembered else kind.ratings_source
    listed = ", ".join(f"{each:g}" for each in kind.ratings_a)
    return Reason(
        text=f"{kind.title} comes in {listed} A.",
        name="rating_a",
        value=rating_a,
        unit="A",
        source=source.text,
        inputs={"least_rating_a": wanted_a},
        confirmed=source.confirmed,
    )


def _limits_reason(kind: FuseKind) -> Reason:
    return Reason(
        text=f"{kind.title} is rated {kind.rated_voltage_v:g} V and breaks up to "
        f"{kind.breaking_capacity_a:g} A.",
        name="breaking_capacity_a",
        value=kind.breaking_capacity_a,
        unit="A",
        source=kind.limits_source.text,
        confirmed=kind.limits_source.confirmed,
    )


def _breaking(kind: FuseKind, prospective_a: float | None, findings: list[str]) -> bool | None:
    if prospective_a is None:
        return None
    fault = number(prospective_a, "prospective_a", unit="A")
    if fault <= kind.breaking_capacity_a:
        return True
    findings.append(
        f"A short here could draw {fault:.0f} A, more than the {kind.breaking_capacity_a:g} A "
        f"that {kind.title} can break: it may burst. Take a kind that breaks more."
    )
    return False
