"""Fuse-links in series: does only the one nearest the fault open?"""

from dataclasses import dataclass

from webapp.sizing.fuse_gates import family, longest_opening_s, shortest_opening_s
from webapp.sizing.protection import let_through_s
from webapp.sizing.reasons import Reason, all_confirmed, current

JUST_ABOVE = 1 + 1e-9


@dataclass(frozen=True)
class FuseLink:
    """A fuse-link: its family and its rating in A."""

    fuse_kind: str
    rating_a: float


@dataclass(frozen=True)
class Selectivity:
    """Whether only the downstream fuse-link opens.

    up_to_a: the lowest fault current at which the gates no longer promise that; None if they do
        all the way.
    """

    selective: bool
    up_to_a: float | None
    reasons: tuple[Reason, ...]

    @property
    def confirmed(self) -> bool:
        """False when a remembered value stands behind the answer."""
        return all_confirmed(self.reasons)


def selectivity(upstream: FuseLink, downstream: FuseLink, fault_a: float) -> Selectivity:
    """Hold the soonest that the upstream fuse-link opens against the latest of the downstream one.

    Args:
        upstream: Nearer the source.
        downstream: Nearer the fault.
        fault_a: Largest current that a fault behind `downstream` draws. [A]

    Returns:
        Whether, at every current up to `fault_a`, the downstream one has surely opened before the
        upstream one may.

    Raises:
        SizingError: unknown family; a value out of range.

    Source: the time-current tables of both families.
    """
    most_a = current(fault_a, "fault_a", above_zero=True)
    for amps in _tests_a(upstream, downstream, most_a):
        if not _in_order(upstream, downstream, amps):
            return Selectivity(False, amps, _reasons(upstream, downstream, amps))
    return Selectivity(True, None, _reasons(upstream, downstream, most_a))


def _tests_a(upstream: FuseLink, downstream: FuseLink, most_a: float) -> list[float]:
    """Every current up to `most_a` at which one of the two tables takes a step."""
    steps = {most_a}
    for link in (upstream, downstream):
        rating_a = current(link.rating_a, "rating_a", above_zero=True)
        for gate in family(link.fuse_kind).gates:
            step_a = gate.percent / 100 * rating_a
            steps.update((step_a, step_a * JUST_ABOVE))
    return sorted(amps for amps in steps if amps <= most_a)


def _in_order(upstream: FuseLink, downstream: FuseLink, amps: float) -> bool:
    if amps <= _carried_a(upstream):
        return True
    opened_s = let_through_s(downstream.fuse_kind, downstream.rating_a, amps)
    held_s = shortest_opening_s(upstream.fuse_kind, upstream.rating_a, amps).time_s
    return opened_s is not None and held_s is not None and opened_s < held_s


def _carried_a(link: FuseLink) -> float:
    """What the fuse-link carries for hours, in A."""
    return family(link.fuse_kind).gates[0].percent / 100 * link.rating_a


def _reasons(upstream: FuseLink, downstream: FuseLink, amps: float) -> tuple[Reason, ...]:
    opened_s = let_through_s(downstream.fuse_kind, downstream.rating_a, amps)
    held = shortest_opening_s(upstream.fuse_kind, upstream.rating_a, amps)
    read = longest_opening_s(downstream.fuse_kind, downstream.rating_a, amps)
    steps = (*read.reasons, *held.reasons)
    latest = "never surely" if opened_s is None else f"by {opened_s:.3g} s"
    soonest = "at any time" if held.time_s is None else f"after {held.time_s:.3g} s"
    if amps <= _carried_a(upstream):
        soonest = "not for hours"
    verdict = Reason(
        text=f"At {amps:.4g} A the {downstream.rating_a:g} A fuse-link opens {latest}; the "
        f"{upstream.rating_a:g} A one before it may open {soonest}.",
        name="",
        value=0.0,
        unit="",
        source="the time-current tables of both families; above them the same I²t",
        inputs={"fault_a": amps},
        confirmed=all_confirmed(steps),
    )
    return (*steps, verdict)
