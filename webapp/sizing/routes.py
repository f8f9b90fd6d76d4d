"""The shortest way through the runs of a loom."""

import heapq
from collections.abc import Iterable
from dataclasses import dataclass

from webapp.sizing.reasons import Reason, SizingError, whole_number


@dataclass(frozen=True)
class Run:
    """The stretch of loom between two places. A length of 0 is allowed."""

    uid: str
    a: str
    b: str
    length_mm: int


@dataclass(frozen=True)
class Route:
    """The runs to follow, in order; the places passed, both ends counted; and the length."""

    runs: tuple[str, ...]
    places: tuple[str, ...]
    length_mm: int
    reasons: tuple[Reason, ...]


class NoRoute(SizingError):
    """No runs lead from one place to the other."""


def shortest_route(runs: Iterable[Run], a: str, b: str) -> Route:
    """The shortest way from one place to another.

    Of two ways of one length the one with fewer runs is taken, and of those the one whose run uids
    sort first, so that the same runs give the same route in any order. From b to a it is the same
    way backwards.

    Args:
        runs: The runs of the loom; lengths in mm.
        a: Place to start from.
        b: Place to reach.

    Returns:
        The route; empty, of length 0, when both places are one.

    Raises:
        NoRoute: nothing leads there.
        SizingError: a run with a length that is no whole number, or negative.

    Source: Dijkstra's shortest path.
    """
    start, end = sorted((a, b))
    links = _links(runs)
    # Length, count of runs and uids, in that order, decide which way is taken from the heap first.
    waiting: list[tuple[int, int, tuple[str, ...], tuple[str, ...]]] = [(0, 0, (), (start,))]
    done: set[str] = set()
    while waiting:
        length_mm, count, uids, places = heapq.heappop(waiting)
        here = places[-1]
        if here == end:
            return _route(uids, places, length_mm, links, backwards=start != a)
        if here in done:
            continue
        done.add(here)
        for run in links.get(here, ()):
            there = run.b if run.a == here else run.a
            if there not in done:
                step = (length_mm + run.length_mm, count + 1, (*uids, run.uid), (*places, there))
                heapq.heappush(waiting, step)
    raise NoRoute("runs", f"No runs lead from {a} to {b}.")


def _links(runs: Iterable[Run]) -> dict[str, list[Run]]:
    links: dict[str, list[Run]] = {}
    for run in runs:
        whole_number(run.length_mm, "length_mm", high=1_000_000)
        links.setdefault(run.a, []).append(run)
        links.setdefault(run.b, []).append(run)
    return links


def _route(
    uids: tuple[str, ...],
    places: tuple[str, ...],
    length_mm: int,
    links: dict[str, list[Run]],
    *,
    backwards: bool,
) -> Route:
    lengths = {run.uid: run.length_mm for found in links.values() for run in found}
    if backwards:
        uids, places = uids[::-1], places[::-1]
    inputs = {f"run_{number}_mm": float(lengths[uid]) for number, uid in enumerate(uids, start=1)}
    reason = Reason(
        text=f"The shortest way: {' – '.join(places)}.",
        name="route_mm",
        value=length_mm,
        unit="mm",
        formula=" + ".join(inputs),
        inputs=inputs,
        source="shortest path through the measured runs",
    )
    return Route(uids, places, length_mm, (reason,))
