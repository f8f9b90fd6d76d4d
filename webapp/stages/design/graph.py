"""The design as a graph for webapp.sizing.paths: links are wires, bridges lie inside fittings."""

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property

from webapp.sizing.paths import (
    FIELD,
    NEGATIVE,
    POSITIVE,
    Edge,
    Graph,
    LoadPath,
    load_paths,
    protection_a,
    shorting_diodes,
    unprotected_mm,
)
from webapp.stages.design.rows import Bridge, Design, Fitting, Link
from webapp.stages.design.wires import Wire, wires

CHASSIS = "chassis"
# What a battery is among the kinds of fittings.
SUPPLY = "supply"


@dataclass(frozen=True)
class Circuitry:
    """A design seen as a graph, with the supply's poles. Everything is worked out once."""

    design: Design

    @cached_property
    def supplies(self) -> list[Bridge]:
        """Every battery, the main one first: those that serve a need of their own come after."""
        found = [
            bridge
            for bridge in self.design.bridge.values()
            if bridge.kind == "source" and self.design.fitting[bridge.fitting_uid].kind == SUPPLY
        ]
        order = list(self.design.fitting)
        return sorted(
            found,
            key=lambda bridge: (bridge.need_uid is not None, order.index(bridge.fitting_uid)),
        )

    @property
    def supply(self) -> Bridge | None:
        """The main battery."""
        return self.supplies[0] if self.supplies else None

    @property
    def feed_pole(self) -> str:
        return NEGATIVE if self.design.polarity == "positive earth" else POSITIVE

    def feed_node(self, supply: Bridge) -> str:
        return supply.way_a_uid if self.feed_pole == POSITIVE else supply.way_b_uid

    @cached_property
    def feed_nodes(self) -> list[str]:
        return [self.feed_node(supply) for supply in self.supplies]

    @cached_property
    def change_overs(self) -> dict[str, list[str]]:
        """Contacts of which one is closed at a time: those of one fitting that share its way
        `in`, as its positions. By that way."""
        shared = Counter(
            bridge.way_a_uid for bridge in self.design.bridge.values() if bridge.kind == "contact"
        )
        found: dict[str, list[str]] = {}
        for bridge in self.design.bridge.values():
            way = self.design.way[bridge.way_a_uid]
            if bridge.kind == "contact" and way.label == "in" and shared[way.uid] > 1:
                found.setdefault(way.uid, []).append(bridge.uid)
        return found

    @cached_property
    def lengths_mm(self) -> dict[str, int]:
        """Length of each link, all its wires together; nothing for a link not yet measured."""
        found: dict[str, int] = {}
        for wire in self._wires:
            if wire.length_mm is not None:
                found[wire.link.uid] = found.get(wire.link.uid, 0) + wire.length_mm
        return found

    @cached_property
    def links_in_run(self) -> dict[str, list[str]]:
        """The links whose wires lie in each run, once for every wire."""
        found: dict[str, list[str]] = {}
        for wire in self._wires:
            for run_uid in wire.route or ():
                found.setdefault(run_uid, []).append(wire.link.uid)
        return found

    @cached_property
    def _wires(self) -> list[Wire]:
        return wires(self.design)

    @cached_property
    def graph(self) -> Graph:
        return Graph.of(
            [
                *(self._wire(link) for link in self.design.link.values() if _both_ends(link)),
                *(self._inside(bridge) for bridge in self.design.bridge.values()),
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

    def _inside(self, bridge: Bridge) -> Edge:
        change_over = bridge.way_a_uid if bridge.way_a_uid in self.change_overs else ""
        return Edge(
            bridge.uid,
            bridge.way_a_uid,
            bridge.way_b_uid,
            FIELD if self._is_field(bridge) else bridge.kind,
            fuse_a=bridge.fuse_a,
            change_over=change_over if bridge.kind == "contact" else "",
        )

    def _is_field(self, bridge: Bridge) -> bool:
        """Whether it joins a machine's terminals through its field winding."""
        return bridge.kind == "joined" and bridge.fitting_uid in self._machines

    @cached_property
    def _machines(self) -> set[str]:
        """The fittings that charge a battery."""
        return {
            bridge.fitting_uid
            for bridge in self.design.bridge.values()
            if bridge.kind == "source" and self.design.fitting[bridge.fitting_uid].kind != SUPPLY
        }

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

    @property
    def _poles(self) -> list[tuple[str, str]]:
        return [(supply.way_a_uid, supply.way_b_uid) for supply in self.supplies]

    @cached_property
    def paths(self) -> list[LoadPath]:
        return self.paths_in(self.graph) if self.supplies else []

    def paths_in(self, graph: Graph, only: Collection[str] | None = None) -> list[LoadPath]:
        """The loads' paths with some edges open; of these loads alone where any are named."""
        return load_paths(graph, self._poles, self.feed_pole, only)

    @cached_property
    def shorting_diodes(self) -> list[str]:
        """Diodes that are the wrong way round: they join the poles of a battery."""
        return list(
            dict.fromkeys(
                uid
                for positive, negative in self._poles
                for uid in shorting_diodes(self.graph, positive, negative)
            )
        )

    @cached_property
    def protection_a(self) -> dict[str, float]:
        """For each way that a battery feeds: the rating of its fuse-link, infinite without."""
        return protection_a(self.graph, self.feed_nodes, self.feed_pole)

    @cached_property
    def unprotected_mm(self) -> dict[str, float]:
        """Length of wire without a fuse-link, from where it leaves a battery or starter cable.

        Alternators and dynamos limit themselves (33 CFR 183.460(b), from memory): their cables are
        protected at the battery's end.
        """
        starters = {link.uid for link in self.design.link.values() if link.starter_cable}
        edges = [
            replace(edge, weight=0.0) if edge.uid in starters else edge
            for edge in self.graph.edges.values()
        ]
        return unprotected_mm(Graph.of(edges), self.feed_nodes, self.feed_pole)


def is_earth(fitting: Fitting) -> bool:
    return fitting.kind == "earth stud"


def _both_ends(link: Link) -> bool:
    return link.from_way_uid is not None and link.to_way_uid is not None
