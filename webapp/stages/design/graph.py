"""The design as a graph for webapp.sizing.paths: links are wires, bridges lie inside fittings."""

from dataclasses import dataclass, replace
from functools import cached_property

from webapp.sizing.paths import Edge, Graph, LoadPath, load_paths, protection_a, unprotected_mm
from webapp.stages.design.rows import Bridge, Design, Fitting, Link
from webapp.stages.design.wires import wires

CHASSIS = "chassis"


@dataclass(frozen=True)
class Circuitry:
    """A design seen as a graph, with the supply's poles. Everything is worked out once."""

    design: Design

    @cached_property
    def supply(self) -> Bridge | None:
        for fitting in self.design.fitting.values():
            if fitting.kind == "supply":
                for bridge in self.design.bridge.values():
                    if bridge.fitting_uid == fitting.uid and bridge.kind == "source":
                        return bridge
        return None

    @property
    def feed_pole(self) -> str:
        return "negative" if self.design.polarity == "positive earth" else "positive"

    @property
    def feed_node(self) -> str | None:
        if self.supply is None:
            return None
        return self.supply.way_a_uid if self.feed_pole == "positive" else self.supply.way_b_uid

    @cached_property
    def lengths_mm(self) -> dict[str, int]:
        """Length of each link, all its wires together; nothing for a link not yet measured."""
        found: dict[str, int] = {}
        for wire in wires(self.design):
            if wire.length_mm is not None:
                found[wire.link.uid] = found.get(wire.link.uid, 0) + wire.length_mm
        return found

    @cached_property
    def graph(self) -> Graph:
        return Graph.of(
            [
                *(self._wire(link) for link in self.design.link.values() if _both_ends(link)),
                *(_inside(bridge) for bridge in self.design.bridge.values()),
                *self._mates(),
                *self._chassis(),
            ]
        )

    def _wire(self, link: Link) -> Edge:
        return Edge(
            link.uid,
            link.from_way_uid or "",
            link.to_way_uid or "",
            "wire",
            weight=float(self.lengths_mm.get(link.uid, 0)),
        )

    def _mates(self) -> list[Edge]:
        """Plug halves that were typed with wires of their own: each way meets its like."""
        edges = []
        for fitting in self.design.fitting.values():
            if fitting.mate_uid is None or fitting.uid > fitting.mate_uid:
                continue
            other = {way.label: way for way in self.design.ways_of.get(fitting.mate_uid, ())}
            for way in self.design.ways_of[fitting.uid]:
                if way.label in other:
                    uid = f"{way.uid}={other[way.label].uid}"
                    edges.append(Edge(uid, way.uid, other[way.label].uid, "joined"))
        return edges

    def _chassis(self) -> list[Edge]:
        """On a vehicle the body joins all earth studs; insulated return has no such path."""
        if self.design.polarity == "insulated return":
            return []
        return [
            Edge(f"{way.uid}={CHASSIS}", way.uid, CHASSIS, "chassis")
            for way in self.design.way.values()
            if is_earth(self.design.fitting[way.fitting_uid])
        ]

    @cached_property
    def paths(self) -> list[LoadPath]:
        if self.supply is None:
            return []
        return load_paths(self.graph, self.supply.way_a_uid, self.supply.way_b_uid, self.feed_pole)

    @cached_property
    def protection_a(self) -> dict[str, float]:
        """For each way that the supply feeds: the rating of its fuse-link, infinite without."""
        return {} if self.feed_node is None else protection_a(self.graph, self.feed_node)

    @cached_property
    def unprotected_mm(self) -> dict[str, float]:
        """Length of wire without a fuse-link, from where it leaves the battery or starter cable."""
        if self.feed_node is None:
            return {}
        starters = {link.uid for link in self.design.link.values() if link.starter_cable}
        edges = [
            replace(edge, weight=0.0) if edge.uid in starters else edge
            for edge in self.graph.edges.values()
        ]
        return unprotected_mm(Graph.of(edges), self.feed_node)


def is_earth(fitting: Fitting) -> bool:
    return fitting.kind == "earth stud"


def _both_ends(link: Link) -> bool:
    return link.from_way_uid is not None and link.to_way_uid is not None


def _inside(bridge: Bridge) -> Edge:
    return Edge(bridge.uid, bridge.way_a_uid, bridge.way_b_uid, bridge.kind, fuse_a=bridge.fuse_a)
