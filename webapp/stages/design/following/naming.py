"""What the points, joints and branches on the way of a current are called."""

from collections.abc import Collection

from webapp.sizing.paths import Edge
from webapp.stages.design.figures import Figures
from webapp.stages.design.graph import CHASSIS
from webapp.stages.design.names import listed

BODY = "the body"


class Naming:
    """`on` are the loads that are on in the state."""

    def __init__(self, figures: Figures, on: Collection[str]) -> None:
        self._figures = figures
        self._design = figures.design
        self._on = frozenset(on)

    def point(self, node: str) -> str:
        return BODY if node == CHASSIS else self._design.way_name(node)

    def fitting_uid(self, node: str) -> str:
        return "" if node == CHASSIS else self._design.way[node].fitting_uid

    def inside(self, edge: Edge, start: str, end: str) -> str:
        """What lies between two ways of a fitting, or between a stud and the body."""
        if edge.kind == "chassis":
            return f"{self.point(start)} to {self.point(end)}"
        if edge.kind == "fuse":
            rating = "no rating yet" if edge.fuse_a is None else f"{edge.fuse_a:g} A"
            return f"{self.point(edge.b)}: fuse-link, {rating}"
        if self.fitting_uid(start) != self.fitting_uid(end):
            return f"{self.point(start)} mates with {self.point(end)}"
        name = self._design.fitting[self.fitting_uid(start)].name
        labels = f"{self._design.way[start].label} to {self._design.way[end].label}"
        what = "" if edge.kind == "joined" else f" {edge.kind}"
        return f"{name}:{what} {labels}"

    def branch(self, edge: Edge, node: str) -> str:
        """What else is joined to a point, with the loads that it serves."""
        other = edge.b if edge.a == node else edge.a
        if edge.kind in ("load", "coil", "source"):
            return self._design.fitting[self._design.bridge[edge.uid].fitting_uid].name
        if edge.kind == "wire":
            words = f"wire {self._design.link[edge.uid].number} to {self.point(other)}"
        elif edge.kind == "fuse" and edge.fuse_a is not None:
            words = f"{self.point(other)}, {edge.fuse_a:g} A"
        else:
            words = self.point(other)
        served = dict.fromkeys(
            load.name
            for load in self._figures.loads_through.get(edge.uid, ())
            if load.uid in self._on
        )
        return f"{words} ({listed(served, 3)})" if served else words
