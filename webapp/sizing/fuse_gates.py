"""When a fuse-link opens: the soonest and the latest that its standard allows."""

from dataclasses import dataclass

from webapp.sizing.reasons import Reason, choice, current, from_memory, number
from webapp.sizing.tables.fuses import FUSE_KINDS, FuseKind, Gate

FUSE_KIND_IDS = tuple(FUSE_KINDS)


@dataclass(frozen=True)
class OpeningTime:
    """A time in s; None where the gates set no limit, and `reasons` say which was read."""

    time_s: float | None
    reasons: tuple[Reason, ...]


def fuse_kinds() -> tuple[tuple[str, str], ...]:
    """Id and title of each family of fuse-links."""
    return tuple((each.id, each.title) for each in FUSE_KINDS.values())


def fuse_ratings_a(fuse_kind: str) -> tuple[float, ...]:
    """The ratings of a family in A, smallest first; SizingError if the family is unknown."""
    return family(fuse_kind).ratings_a


def family(fuse_kind: str) -> FuseKind:
    """The family of fuse-links of that id; SizingError if it is unknown."""
    return FUSE_KINDS[choice(fuse_kind, "fuse_kind", FUSE_KINDS)]


def first_sure_gate(kind: FuseKind) -> Gate:
    """The lowest gate by which the family is sure to open."""
    return next(gate for gate in kind.gates if gate.longest_s is not None)


def shortest_opening_s(fuse_kind: str, rating_a: float, current_a: float) -> OpeningTime:
    """Time for which a fuse-link is sure to carry a current.

    Between two gates the shorter time, that of the higher gate, is taken. Above the last gate the
    let-through I²t of that gate.

    Args:
        fuse_kind: One of `FUSE_KIND_IDS`.
        rating_a: Rating. [A]
        current_a: Current through it. [A]

    Returns:
        Time, or None where the standard promises none. [s]

    Raises:
        SizingError: unknown family; a value out of range.

    Source: the family's time-current table.
    """
    kind = family(fuse_kind)
    percent = _percent(rating_a, current_a)
    for gate in kind.gates:
        if percent <= gate.percent:
            return _read(kind, gate, percent, "shortest_s", gate.shortest_s)
    last = kind.gates[-1]
    if last.shortest_s is None:
        return _read(kind, last, percent, "shortest_s", None)
    scaled_s = last.shortest_s * (last.percent / percent) ** 2
    return _read(kind, last, percent, "shortest_s", scaled_s)


def longest_opening_s(fuse_kind: str, rating_a: float, current_a: float) -> OpeningTime:
    """Time by which a fuse-link is sure to have opened.

    Between two gates the longer time, that of the lower gate, is taken; so above the last.

    Args:
        fuse_kind: One of `FUSE_KIND_IDS`.
        rating_a: Rating. [A]
        current_a: Current through it. [A]

    Returns:
        Time, or None below the first gate with a limit: it may never open. [s]

    Raises:
        SizingError: unknown family; a value out of range.

    Source: the family's time-current table.
    """
    kind = family(fuse_kind)
    percent = _percent(rating_a, current_a)
    passed = [g for g in kind.gates if g.longest_s is not None and g.percent <= percent]
    if not passed:
        return _read(kind, kind.gates[0], percent, "longest_s", None)
    return _read(kind, passed[-1], percent, "longest_s", passed[-1].longest_s)


def _percent(rating_a: float, current_a: float) -> float:
    rating = current(rating_a, "rating_a", above_zero=True)
    return 100 * number(current_a, "current_a", unit="A") / rating


def _read(
    kind: FuseKind, gate: Gate, percent: float, name: str, time_s: float | None
) -> OpeningTime:
    if time_s is None:
        return OpeningTime(None, ())
    scaled = percent > gate.percent and name == "shortest_s"
    gate_s = time_s / (gate.percent / percent) ** 2 if scaled else time_s
    source = kind.gates_source if gate.confirmed else from_memory(kind.gates_source).text
    word = "no sooner than" if name == "shortest_s" else "no later than"
    reason = Reason(
        text=f"{kind.title} at {percent:.0f} % of its rating opens {word} {time_s:.3g} s "
        f"(gate at {gate.percent:g} %).",
        name=name,
        value=time_s,
        unit="s",
        formula="gate_s * (gate_percent / percent) ** 2" if scaled else "",
        inputs={"gate_s": gate_s, "gate_percent": gate.percent, "percent": percent},
        source=source,
        confirmed=gate.confirmed,
    )
    return OpeningTime(time_s, (reason,))
