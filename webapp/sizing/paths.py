"""Which way the current goes through a loom, and which fuse-link stands before each wire.

A loom is a graph: its nodes are ways (pins, studs, cavities), its edges are wires and what lies
inside fittings. Loads and coils take current; contacts count as closed. Each load's current takes
the path of least length to the supply.
"""

import heapq
import math
from collections.abc import Iterable
from dataclasses import dataclass, field

# Edges that let current through on its way between a load and the supply.
CONDUCTING = frozenset({"wire", "joined", "contact", "fuse", "chassis"})


@dataclass(frozen=True)
class Edge:
    """One connection between two nodes.

    kind: wire, joined, contact, fuse, chassis, load, coil, park, or source (a is positive).
    weight: what makes a path long: the wire's length. [mm]
    fuse_a: rating of a fuse. [A]
    """

    uid: str
    a: str
    b: str
    kind: str
    weight: float = 0.0
    fuse_a: float | None = None


@dataclass(frozen=True)
class LoadPath:
    """A load's way to the supply's feed pole and back from its return pole.

    feed and back are edge uids from the load outwards; None where there is no path. `reversed`
    tells that the load's first way leads to the negative pole.
    """

    load_uid: str
    feed: tuple[str, ...] | None
    back: tuple[str, ...] | None
    reversed: bool = False

    @property
    def complete(self) -> bool:
        return self.feed is not None and self.back is not None

    @property
    def edges(self) -> tuple[str, ...]:
        return (self.feed or ()) + (self.back or ())


@dataclass
class Graph:
    """Edges by node; wires and the insides of fittings alike."""

    edges: dict[str, Edge]
    at: dict[str, list[Edge]] = field(default_factory=dict)

    @classmethod
    def of(cls, edges: Iterable[Edge]) -> "Graph":
        graph = cls({edge.uid: edge for edge in edges})
        for edge in graph.edges.values():
            graph.at.setdefault(edge.a, []).append(edge)
            graph.at.setdefault(edge.b, []).append(edge)
        return graph

    def reach(self, start: str) -> dict[str, tuple[float, Edge | None, str | None]]:
        """Every node that current can reach from `start`: distance, last edge, node before."""
        found: dict[str, tuple[float, Edge | None, str | None]] = {start: (0.0, None, None)}
        queue: list[tuple[float, str]] = [(0.0, start)]
        while queue:
            distance, node = heapq.heappop(queue)
            if distance > found[node][0]:
                continue
            for edge in self.at.get(node, ()):
                if edge.kind not in CONDUCTING:
                    continue
                other = edge.b if edge.a == node else edge.a
                # One more for every edge: among equal lengths the fewest joints.
                there = distance + edge.weight + 1.0
                if other not in found or there < found[other][0]:
                    found[other] = (there, edge, node)
                    heapq.heappush(queue, (there, other))
        return found

    def path(self, reach: dict[str, tuple[float, Edge | None, str | None]], node: str) -> list[str]:
        """Edge uids from `node` back to where `reach` started."""
        uids = []
        _, edge, before = reach[node]
        while edge is not None and before is not None:
            uids.append(edge.uid)
            _, edge, before = reach[before]
        return uids


def load_paths(graph: Graph, positive: str, negative: str, feed_pole: str) -> list[LoadPath]:
    """The paths of every load and coil to the two poles of the supply.

    Args:
        graph: The loom.
        positive, negative: The supply's nodes.
        feed_pole: "positive", or "negative" on a positive-earth loom.

    Returns:
        One path a load; `feed` leads to the feed pole.

    Source: graph search; no outside source.
    """
    to_positive, to_negative = graph.reach(positive), graph.reach(negative)
    found = []
    for edge in graph.edges.values():
        if edge.kind not in ("load", "coil"):
            continue
        straight = (edge.a in to_positive) + (edge.b in to_negative)
        crossed = (edge.b in to_positive) + (edge.a in to_negative)
        plus, minus = (edge.b, edge.a) if crossed > straight else (edge.a, edge.b)
        positive_path = _path_or_none(graph, to_positive, plus)
        negative_path = _path_or_none(graph, to_negative, minus)
        feed, back = (
            (positive_path, negative_path)
            if feed_pole == "positive"
            else (negative_path, positive_path)
        )
        found.append(LoadPath(edge.uid, feed, back, reversed=crossed > straight))
    return found


def _path_or_none(
    graph: Graph, reach: dict[str, tuple[float, Edge | None, str | None]], node: str
) -> tuple[str, ...] | None:
    return tuple(graph.path(reach, node)) if node in reach else None


def protection_a(graph: Graph, feed_node: str) -> dict[str, float]:
    """What protects each node: the weakest fuse-link on the least protected path from the supply.

    Args:
        graph: The loom.
        feed_node: The supply's pole that is fused.

    Returns:
        For each node that the pole feeds, the rating of its fuse-link, infinite where no fuse-link
        stands between. [A]

    Source: widest-path search; no outside source.
    """
    widest: dict[str, float] = {feed_node: math.inf}
    queue = [(-math.inf, feed_node)]
    while queue:
        minus, node = heapq.heappop(queue)
        if -minus < widest[node]:
            continue
        for edge in graph.at.get(node, ()):
            if edge.kind not in CONDUCTING:
                continue
            other = edge.b if edge.a == node else edge.a
            through = -minus if edge.kind != "fuse" else min(-minus, edge.fuse_a or 0.0)
            if through > widest.get(other, -1.0):
                widest[other] = through
                heapq.heappush(queue, (-through, other))
    return widest


def unprotected_mm(graph: Graph, feed_node: str) -> dict[str, float]:
    """Length of unprotected wire from the supply up to the end of each unprotected wire. [mm]

    Args:
        graph: The loom.
        feed_node: The supply's pole that is fused.

    Returns:
        For each wire without a fuse-link, the least length from the pole to its far end. [mm]

    Source: graph search; no outside source.
    """
    distance: dict[str, float] = {feed_node: 0.0}
    found: dict[str, float] = {}
    queue = [(0.0, feed_node)]
    while queue:
        here, node = heapq.heappop(queue)
        if here > distance[node]:
            continue
        for edge in graph.at.get(node, ()):
            if edge.kind not in CONDUCTING or edge.kind == "fuse":
                continue
            other = edge.b if edge.a == node else edge.a
            there = here + edge.weight
            if edge.kind == "wire":
                found[edge.uid] = min(there, found.get(edge.uid, math.inf))
            if there < distance.get(other, math.inf):
                distance[other] = there
                heapq.heappush(queue, (there, other))
    return found
