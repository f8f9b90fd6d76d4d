"""Which way the current goes through a loom, and which fuse-link stands before each wire.

A loom is a graph: its nodes are ways (pins, studs, cavities), its edges are wires and what lies
inside fittings. Loads and coils take current; contacts count as closed, but of a change-over only
one is closed at a time. Each load's current takes the path of least length to the supply.
"""

import heapq
import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

POSITIVE, NEGATIVE = "positive", "negative"
# Edges that let current through on its way between a load and the supply.
CONDUCTING = frozenset(
    {"wire", "joined", "contact", "fuse", "chassis", "diode", "resistor", "meter", "field"}
)
# The field of a charging machine at rest, which a charge lamp returns through; while the machine
# charges its terminal stands at the feed's voltage instead.
FIELD = "field"
# Closed only while a machine charges; it opens as soon as current would flow back.
CUT_OUT = "cut-out"
WHILE_CHARGING = CONDUCTING - {FIELD} | {CUT_OUT}


@dataclass(frozen=True)
class Edge:
    """One connection between two nodes.

    kind: wire, joined, contact, fuse, chassis, diode (a is the anode), resistor, meter, field,
        cut-out, load, coil, park, or source (a is positive).
    weight: what makes a path long: the wire's length. [mm]
    fuse_a: rating of a fuse. [A]
    change_over: the change-over that this contact is one position of; empty for any other.
    """

    uid: str
    a: str
    b: str
    kind: str
    weight: float = 0.0
    fuse_a: float | None = None
    change_over: str = ""


@dataclass(frozen=True)
class LoadPath:
    """A load's way to the supply's feed pole and back from its return pole.

    feed and back are edge uids from the load outwards; None where there is no path. `reversed`
    tells that the load's first way leads to the negative pole; `supply` is the place, in the list
    of supplies, of the one that feeds it; `charging` tells that it is fed only while a machine
    charges.
    """

    load_uid: str
    feed: tuple[str, ...] | None
    back: tuple[str, ...] | None
    reversed: bool = False
    supply: int = 0
    charging: bool = False

    @property
    def complete(self) -> bool:
        return self.feed is not None and self.back is not None

    @property
    def edges(self) -> tuple[str, ...]:
        return (self.feed or ()) + (self.back or ())


Reach = dict[str, tuple[float, Edge | None, str | None]]


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

    def without(self, uids: Iterable[str]) -> "Graph":
        """The same graph with these edges open."""
        gone = set(uids)
        return Graph.of(edge for edge in self.edges.values() if edge.uid not in gone)

    def onward(
        self,
        node: str,
        by: Edge | None,
        pole: str = POSITIVE,
        kinds: frozenset[str] = CONDUCTING,
    ) -> Iterator[tuple[Edge, str]]:
        """The edges that lead on from a node reached `by` an edge, with the node beyond.

        Looking from the positive pole a diode is entered at its anode, from the negative pole at
        its cathode. One change-over is never passed through two of its positions.
        """
        for edge in self.at.get(node, ()):
            if edge.kind not in kinds:
                continue
            if edge.kind == "diode" and node != (edge.a if pole == POSITIVE else edge.b):
                continue
            if by is not None and by.change_over and by.change_over == edge.change_over:
                continue
            yield edge, edge.b if edge.a == node else edge.a

    def reach(self, start: str, pole: str = POSITIVE, kinds: frozenset[str] = CONDUCTING) -> Reach:
        """Every node joined to `start`: distance, last edge, node before.

        pole: "positive" where current leaves `start`, "negative" where it comes in there.
        """
        found: Reach = {start: (0.0, None, None)}
        queue: list[tuple[float, str]] = [(0.0, start)]
        while queue:
            distance, node = heapq.heappop(queue)
            if distance > found[node][0]:
                continue
            for edge, other in self.onward(node, found[node][1], pole, kinds):
                # One more for every edge: among equal lengths the fewest joints.
                there = distance + edge.weight + 1.0
                if other not in found or there < found[other][0]:
                    found[other] = (there, edge, node)
                    heapq.heappush(queue, (there, other))
        return found

    def path(self, reach: Reach, node: str) -> list[str]:
        """Edge uids from `node` back to where `reach` started."""
        uids = []
        _, edge, before = reach[node]
        while edge is not None and before is not None:
            uids.append(edge.uid)
            _, edge, before = reach[before]
        return uids


def load_paths(
    graph: Graph,
    supplies: Iterable[tuple[str, str]],
    feed_pole: str,
    only: Collection[str] | None = None,
) -> list[LoadPath]:
    """The paths of every load and coil to the two poles of the supply that feeds it.

    Args:
        graph: The loom.
        supplies: The positive and the negative node of each supply.
        feed_pole: "positive", or "negative" on a positive-earth loom.
        only: The loads that are asked about, by uid; all where it is left out.

    Returns:
        One path a load, to the supply whose feed is shortest of those that it can come to whole;
        `feed` leads to the feed pole. What nothing feeds otherwise is fed while machines charge.

    Source: graph search; no outside source.
    """
    poles = list(supplies)
    loads = [
        edge
        for edge in graph.edges.values()
        if edge.kind in ("load", "coil") and (only is None or edge.uid in only)
    ]
    found = _paths(graph, poles, feed_pole, loads, CONDUCTING)
    if any(edge.kind == CUT_OUT for edge in graph.edges.values()):
        unfed = [load for load in loads if not found[load.uid].complete]
        charging = _paths(graph, poles, feed_pole, unfed, WHILE_CHARGING)
        found |= {uid: path for uid, path in charging.items() if path.complete}
    return list(found.values())


def _paths(
    graph: Graph,
    poles: list[tuple[str, str]],
    feed_pole: str,
    loads: list[Edge],
    kinds: frozenset[str],
) -> dict[str, LoadPath]:
    best: dict[str, tuple[tuple[bool, float], LoadPath]] = {}
    for number, (positive, negative) in enumerate(poles):
        reached = (
            graph.reach(positive, POSITIVE, kinds),
            graph.reach(negative, NEGATIVE, kinds),
        )
        for load in loads:
            path, feed_length = _path(graph, reached, feed_pole, load, number, kinds)
            rank = (not path.complete, feed_length)
            if load.uid not in best or rank < best[load.uid][0]:
                best[load.uid] = (rank, path)
    return {uid: path for uid, (_, path) in best.items()}


def _path(
    graph: Graph,
    reached: tuple[Reach, Reach],
    feed_pole: str,
    load: Edge,
    supply: int,
    kinds: frozenset[str],
) -> tuple[LoadPath, float]:
    """A load's path to one supply, and the length of its feed."""
    to_positive, to_negative = reached
    straight = (load.a in to_positive) + (load.b in to_negative)
    crossed = (load.b in to_positive) + (load.a in to_negative)
    plus, minus = (load.b, load.a) if crossed > straight else (load.a, load.b)
    ends = [(to_positive, plus), (to_negative, minus)]
    if feed_pole != POSITIVE:
        ends.reverse()
    feed, back = (tuple(graph.path(reach, node)) if node in reach else None for reach, node in ends)
    reach, node = ends[0]
    length = reach[node][0] if node in reach else math.inf
    charging = kinds is WHILE_CHARGING
    return LoadPath(load.uid, feed, back, crossed > straight, supply, charging), length


def shorting_diodes(graph: Graph, positive: str, negative: str) -> list[str]:
    """Diodes that join a supply's poles: a coil's suppression diode the wrong way round, say.

    Args:
        graph: The loom, contacts closed.
        positive, negative: The supply's nodes.

    Returns:
        The uids of diodes whose anode leads to the positive and cathode to the negative pole.

    Source: graph search; no outside source.
    """
    to_positive = graph.reach(positive, POSITIVE)
    to_negative = graph.reach(negative, NEGATIVE)
    return [
        edge.uid
        for edge in graph.edges.values()
        if edge.kind == "diode" and edge.a in to_positive and edge.b in to_negative
    ]


def protection_a(
    graph: Graph, feed_nodes: Iterable[str], feed_pole: str = POSITIVE
) -> dict[str, float]:
    """What protects each node: the weakest fuse-link on the least protected path from a supply.

    Behind diodes that feed one wire from several sides, the fuse-links of all of them let current
    into a fault, so their ratings add up.

    Args:
        graph: The loom.
        feed_nodes: The pole of each supply that is fused.
        feed_pole: "positive", or "negative" on a positive-earth loom.

    Returns:
        For each node that a supply feeds, the rating of its fuse-link, infinite where no fuse-link
        stands between, or none whose rating is known. [A]

    Source: widest-path search; no outside source.
    """
    feeds = dict.fromkeys(feed_nodes, math.inf)
    found = _widest(graph, feeds, feed_pole)
    diodes = [edge for edge in graph.edges.values() if edge.kind == "diode"]
    entered = [edge.a if feed_pole == POSITIVE else edge.b for edge in diodes]
    if not any(node in found for node in entered):
        return found
    open_graph = graph.without(edge.uid for edge in diodes)
    besides = _widest(open_graph, feeds, feed_pole)
    let_in: dict[str, float] = {}
    for edge, node in zip(diodes, entered, strict=True):
        beyond = edge.b if node == edge.a else edge.a
        if node in found and beyond not in besides:
            let_in[beyond] = let_in.get(beyond, 0.0) + found[node]
    unfused = CONDUCTING - {"fuse"}
    joined = {
        node: sum(let_in[other] for other in let_in.keys() & open_graph.reach(node, kinds=unfused))
        for node in let_in
    }
    return found | {
        node: max(rating, found.get(node, 0.0))
        for node, rating in _widest(open_graph, joined, feed_pole).items()
        if node not in besides
    }


def _widest(graph: Graph, from_a: Mapping[str, float], feed_pole: str) -> dict[str, float]:
    """The weakest fuse-link on the least protected path from any of these nodes. [A]"""
    widest: dict[str, tuple[float, Edge | None]] = {
        node: (rating, None) for node, rating in from_a.items()
    }
    queue = [(-rating, node) for node, rating in from_a.items()]
    heapq.heapify(queue)
    while queue:
        minus, node = heapq.heappop(queue)
        if -minus < widest[node][0]:
            continue
        for edge, other in graph.onward(node, widest[node][1], feed_pole):
            through = -minus if edge.kind != "fuse" else min(-minus, edge.fuse_a or math.inf)
            if through > widest.get(other, (-1.0, None))[0]:
                widest[other] = (through, edge)
                heapq.heappush(queue, (-through, other))
    return {node: rating for node, (rating, _) in widest.items()}


def unprotected_mm(
    graph: Graph, feed_nodes: Iterable[str], feed_pole: str = POSITIVE
) -> dict[str, float]:
    """Length of unprotected wire from a supply up to the end of each unprotected wire. [mm]

    Args:
        graph: The loom.
        feed_nodes: The pole of each supply that is fused.
        feed_pole: "positive", or "negative" on a positive-earth loom.

    Returns:
        For each wire without a fuse-link, the least length from the pole to its far end. [mm]

    Source: graph search; no outside source.
    """
    distance: dict[str, tuple[float, Edge | None]] = dict.fromkeys(feed_nodes, (0.0, None))
    found: dict[str, float] = {}
    queue = [(0.0, node) for node in distance]
    kinds = CONDUCTING - {"fuse"}
    while queue:
        here, node = heapq.heappop(queue)
        if here > distance[node][0]:
            continue
        for edge, other in graph.onward(node, distance[node][1], feed_pole, kinds):
            there = here + edge.weight
            if edge.kind == "wire":
                found[edge.uid] = min(there, found.get(edge.uid, math.inf))
            if there < distance.get(other, (math.inf, None))[0]:
                distance[other] = (there, edge)
                heapq.heappush(queue, (there, other))
    return found
