"""Where the places of a loom lie when every run is drawn to scale, each at its own angle.

Angles are in degrees from the right, counter-clockwise, in the run's own direction (from its
first place to its second). A run without an angle lies where it crosses least and keeps furthest
from what lies there already.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from .plan_tree import Node, plant
from .plan_values import PlanPlace, PlanRun

# Turns that a branch may take away from the run that it leaves, the likeliest first.
TURNS_DEG = (50.0, -50.0, 75.0, -75.0, 30.0, -30.0, 100.0, -100.0, 125.0, -125.0)
# A run that is not measured is drawn as if it were this long.
UNMEASURED_MM = 300
BETWEEN_TREES_MM = 400
ENOUGH_ROOM_SHARE = 0.18  # of the whole loom's reach: further apart gains nothing

Point = tuple[float, float]


@dataclass
class Lying:
    """A place where it lies, in mm to the right and up; `angle_deg` is that of the run to it."""

    place: PlanPlace
    at: Point
    run: PlanRun | None = None
    parent: "Lying | None" = None
    angle_deg: float = 0.0
    children: list["Lying"] = field(default_factory=list)

    @property
    def forward(self) -> bool:
        """Whether the run leads to this place in its own direction."""
        return self.run is not None and self.run.to_uid == self.place.uid

    @property
    def run_angle_deg(self) -> float:
        """The angle in the run's own direction."""
        return whole_turn(self.angle_deg if self.forward else self.angle_deg + 180)

    def beyond(self) -> Iterator["Lying"]:
        """This place and all that hangs on it."""
        yield self
        for child in self.children:
            yield from child.beyond()


@dataclass(frozen=True)
class Layout:
    """Trees of places, each by its root, and the runs that close rings."""

    roots: tuple[Lying, ...]
    closing: tuple[PlanRun, ...]

    @property
    def places(self) -> list[Lying]:
        return [lying for root in self.roots for lying in root.beyond()]

    def of_run(self, run_uid: str) -> Lying | None:
        """The place that a run leads to, away from the root; None for one that closes a ring."""
        return next(
            (each for each in self.places if each.run is not None and each.run.uid == run_uid),
            None,
        )


def whole_turn(angle_deg: float) -> float:
    """The same direction, from more than -180 to 180 degrees."""
    turned = math.fmod(angle_deg, 360.0)
    if turned > 180.0:
        return turned - 360.0
    return turned + 360.0 if turned <= -180.0 else turned


def lay_out(
    places: Sequence[PlanPlace], runs: Sequence[PlanRun], angles_deg: Mapping[str, float]
) -> Layout:
    """Every place where it lies.

    Args:
        places, runs: The loom.
        angles_deg: Angles that somebody chose, by the run's uid, in the run's direction.

    Returns:
        The layout; the first tree's root lies at (0, 0).

    Raises:
        ValueError: a run leads to an unknown place.
    """
    forest = plant(places, runs)
    drawn: list[tuple[Point, Point]] = []
    roots: list[Lying] = []
    for node in forest.nodes:
        if node.parent is None:
            below = min((min(a[1], b[1]) for a, b in drawn), default=BETWEEN_TREES_MM)
            root = Lying(node.place, (0.0, below - BETWEEN_TREES_MM))
            _lay(node, root, 0.0, angles_deg, drawn, _reach_mm(node))
            roots.append(root)
    return Layout(tuple(roots), tuple(forest.closing))


def _reach_mm(node: Node) -> float:
    return max((_length_mm(child) + _reach_mm(child) for child in node.children), default=0.0)


def _length_mm(node: Node) -> float:
    return float(node.length_mm or UNMEASURED_MM)


def _lay(
    node: Node,
    here: Lying,
    heading_deg: float,
    angles_deg: Mapping[str, float],
    drawn: list[tuple[Point, Point]],
    reach_mm: float,
) -> None:
    """The children of a place: the one that leads furthest straight on, the others aside."""
    onward = sorted(node.children, key=lambda child: -(_length_mm(child) + _reach_mm(child)))
    laid = []
    for index, child in enumerate(onward):
        run = child.run
        assert run is not None
        turns = (0.0, *TURNS_DEG) if index == 0 else TURNS_DEG
        chosen = angles_deg.get(run.uid)
        if chosen is not None:
            angle = chosen if run.to_uid == child.place.uid else chosen + 180
        else:
            angle = _freest(here.at, _length_mm(child), heading_deg, turns, drawn, reach_mm)
        lying = Lying(child.place, _ahead(here.at, angle, _length_mm(child)), run, here,
                      whole_turn(angle))  # fmt: skip
        drawn.append((here.at, lying.at))
        here.children.append(lying)
        laid.append((child, lying))
    for child, lying in laid:
        _lay(child, lying, lying.angle_deg, angles_deg, drawn, reach_mm)


def _ahead(start: Point, angle_deg: float, length_mm: float) -> Point:
    angle = math.radians(angle_deg)
    return start[0] + length_mm * math.cos(angle), start[1] + length_mm * math.sin(angle)


def _freest(
    start: Point,
    length_mm: float,
    heading_deg: float,
    turns: Sequence[float],
    drawn: Sequence[tuple[Point, Point]],
    reach_mm: float,
) -> float:
    """The first of the turns with the fewest crossings and enough room round its end."""
    enough = reach_mm * ENOUGH_ROOM_SHARE

    def badness(turn: float) -> tuple[int, float]:
        end = _ahead(start, heading_deg + turn, length_mm)
        crossed = sum(_cross(start, end, a, b) for a, b in drawn)
        room = min((_distance(end, a, b) for a, b in drawn), default=enough)
        return crossed, -min(room, enough)

    return heading_deg + min(turns, key=badness)


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two stretches cross elsewhere than at an end that they share."""
    if {a, b} & {c, d}:
        return False
    return _side(a, b, c) * _side(a, b, d) < 0 and _side(c, d, a) * _side(c, d, b) < 0


def _side(a: Point, b: Point, p: Point) -> float:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _distance(p: Point, a: Point, b: Point) -> float:
    """From a point to a stretch."""
    length2 = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2
    along = 0.0
    if length2 > 0:
        along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / length2
        along = min(1.0, max(0.0, along))
    return math.dist(p, (a[0] + along * (b[0] - a[0]), a[1] + along * (b[1] - a[1])))
