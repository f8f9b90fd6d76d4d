"""The loom's runs as trees, and the row on which each chain of runs lies.

A chain is a straight line of places. Branches leave it above and below; a branch that leaves
early lies further out than one that leaves late, so that no two branches cross.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

from .plan_values import PlanPlace, PlanRun


@dataclass
class Node:
    """A place in its tree. run leads to it from its parent; row and x_px are set by the layout."""

    place: PlanPlace
    parent: "Node | None" = None
    run: PlanRun | None = None
    children: list["Node"] = field(default_factory=list)
    row: int = 0
    x_px: float = 0.0
    ring_words: list[str] = field(default_factory=list)

    @property
    def reach_mm(self) -> int:
        """Length from here to the furthest place beyond."""
        return max((c.length_mm + c.reach_mm for c in self.children), default=0)

    @property
    def length_mm(self) -> int:
        return self.run.length_mm if self.run else 0

    @property
    def is_branch(self) -> bool:
        """True if the run to this place leaves its parent's row."""
        return self.parent is not None and self.parent.row != self.row


@dataclass
class Forest:
    """nodes parents first.

    Closing: runs that close a ring and so belong to no tree; rows: how many.
    """

    nodes: list[Node]
    closing: list[PlanRun]
    rows: int


def plant(places: Sequence[PlanPlace], runs: Sequence[PlanRun]) -> Forest:
    """Trees and rows for all places, connected or not.

    Raises ValueError for a run to an unknown place.
    """
    by_uid = {place.uid: place for place in places}
    for run in runs:
        for uid in (run.from_uid, run.to_uid):
            if uid not in by_uid:
                raise ValueError(f"A run leads to the place {uid!r}, which is not in the plan.")
    forest = Forest([], [], 0)
    for place in places:
        if all(place.uid != node.place.uid for node in forest.nodes):
            _plant_tree(place, by_uid, runs, forest)
    used = {id(node.run) for node in forest.nodes}
    forest.closing = [run for run in runs if id(run) not in used]
    _name_rings(forest, by_uid)
    return forest


def _name_rings(forest: Forest, by_uid: dict[str, PlanPlace]) -> None:
    at = {node.place.uid: node for node in forest.nodes}
    for run in forest.closing:
        for here, there in ((run.from_uid, run.to_uid), (run.to_uid, run.from_uid)):
            words = f"{run.length} to {by_uid[there].name}"
            at[here].ring_words.append(words)


def _plant_tree(
    first: PlanPlace, by_uid: dict[str, PlanPlace], runs: Sequence[PlanRun], forest: Forest
) -> None:
    """The tree starts at the place listed first; if that lies amid the loom, at an end far away."""
    nodes = _grow(first, by_uid, runs)
    if len(nodes[0].children) > 1:
        nodes = _grow(_furthest(nodes[0]).place, by_uid, runs)
    for offset, chain in enumerate(_lay(nodes[0])):
        for node in chain:
            node.row = forest.rows + offset
    forest.rows = max(node.row for node in nodes) + 1
    forest.nodes += nodes


def _grow(root: PlanPlace, by_uid: dict[str, PlanPlace], runs: Sequence[PlanRun]) -> list[Node]:
    nodes, seen = [Node(root)], {root.uid}
    for node in nodes:  # grows while it is walked
        for run in runs:
            ends = (run.from_uid, run.to_uid)
            if node.place.uid not in ends:
                continue
            far = ends[1] if ends[0] == node.place.uid else ends[0]
            if far not in seen:
                seen.add(far)
                child = Node(by_uid[far], node, run)
                node.children.append(child)
                nodes.append(child)
    return nodes


def _furthest(node: Node) -> Node:
    while node.children:
        node = _main_child(node)
    return node


def _main_child(node: Node) -> Node:
    return max(node.children, key=lambda child: child.length_mm + child.reach_mm)


def _lay(start: Node) -> list[list[Node]]:
    """Chains from top to bottom.

    Branches above, the chain from start straight on, branches below.
    """
    chain, above, below = [start], list[list[Node]](), list[list[Node]]()
    while chain[-1].children:
        node = chain[-1]
        onward = _main_child(node)
        for child in node.children:
            if child is onward:
                continue
            branch = _lay(child)
            if len(above) <= len(below):
                above = above + branch
            else:
                below = branch + below
        chain.append(onward)
    return [*above, chain, *below]
