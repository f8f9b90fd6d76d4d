"""The loom as it lies: nothing crosses, everything is named."""

import re
from itertools import combinations, pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.drawings.plan import plan_svg
from webapp.drawings.plan_values import PlanPlace, PlanRun

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


def tree(parents: list[int], lengths: list[int]) -> tuple[list[PlanPlace], list[PlanRun]]:
    fittings = ("Bilge pump", "Float switch", "Blower")
    places = [PlanPlace(str(i), f"place {i}", "", fittings) for i in range(len(parents) + 1)]
    runs = [
        PlanRun(str(parent), str(child), length, 3, "PVC sleeve")
        for child, (parent, length) in enumerate(zip(parents, lengths, strict=True), 1)
    ]
    return places, runs


@st.composite
def trees(draw: st.DrawFn) -> tuple[list[PlanPlace], list[PlanRun]]:
    count = draw(st.integers(1, 14))
    parents = [draw(st.integers(0, child)) for child in range(count)]
    lengths = draw(st.lists(st.integers(50, 9000), min_size=count, max_size=count))
    return tree(parents, lengths)


def cords(svg: str) -> list[list[Point]]:
    paths = re.findall(r'<path d="M([\d.]+) ([\d.]+)(?:L([\d.]+) ([\d.]+))?H([\d.]+)"', svg)
    found = []
    for x1, y1, x2, y2, x3 in paths:
        middle = [(float(x2), float(y2))] if x2 else []
        found.append([(float(x1), float(y1)), *middle, (float(x3), float(y2 or y1))])
    return found


def side(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """True if the two segments meet anywhere but at a common end."""
    return side(a, b, c) * side(a, b, d) < -1e-6 and side(c, d, a) * side(c, d, b) < -1e-6


@settings(max_examples=60, deadline=None)
@given(trees())
def test_no_two_runs_cross_and_each_is_drawn(
    loom: tuple[list[PlanPlace], list[PlanRun]],
) -> None:
    places, runs = loom
    drawn = cords(plan_svg(places, runs))
    assert len(drawn) == len(runs)
    segments = [[*pairwise(cord)] for cord in drawn]
    for one, other in combinations(segments, 2):
        assert not any(cross(*a, *b) for a in one for b in other)


def text_boxes(svg: str) -> list[tuple[str, float, float, float, float]]:
    boxes = []
    for one in ElementTree.fromstring(svg).iter(f"{SVG}text"):
        words, size = one.text or "", float(one.attrib["font-size"])
        width = len(words) * size * 0.43
        x, y = float(one.attrib["x"]), float(one.attrib["y"])
        x -= {"start": 0, "middle": width / 2, "end": width}[one.attrib["text-anchor"]]
        if words:
            boxes.append((words, x, y - 0.7 * size, x + width, y))
    return boxes


@settings(max_examples=60, deadline=None)
@given(trees())
def test_words_keep_clear_of_each_other_and_of_the_edge(
    loom: tuple[list[PlanPlace], list[PlanRun]],
) -> None:
    svg = plan_svg(*loom)
    width = float(ElementTree.fromstring(svg).attrib["width"])
    boxes = text_boxes(svg)
    for _, left, _, right, _ in boxes:
        assert left >= 0
        assert right <= width
    for a, b in combinations(boxes, 2):
        apart = a[3] <= b[1] or b[3] <= a[1] or a[4] <= b[2] or b[4] <= a[2]
        assert apart, (a, b)


def test_longer_run_is_drawn_longer_when_there_is_room() -> None:
    svg = plan_svg(*tree([0, 1], [1000, 4000]), width=2000)
    first, second = (cord[-1][0] - cord[0][0] for cord in cords(svg))
    assert second > 2 * first


def test_places_fittings_and_passages_are_named() -> None:
    places = [PlanPlace("a", "helm"), PlanPlace("b", "roof", "plug", ("Roof plug", "Wiper"))]
    svg = plan_svg(places, [PlanRun("a", "b", 2100, 8, "PVC sleeve", "gland")])
    for words in ("helm", "roof", "Roof plug, Wiper", "2,100 mm · 8 wires", "PVC sleeve · gland"):
        assert f">{words}</text>" in svg
    assert "<title>Plan of the loom: helm to roof 2,100 mm</title>" in svg


def test_a_run_that_closes_a_ring_is_named_at_both_ends() -> None:
    places, runs = tree([0, 1, 1], [500, 600, 650])
    svg = plan_svg(places, [*runs, PlanRun("2", "3", 700)])
    assert ">700 mm to place 3," in svg
    assert ">700 mm to place 2," in svg


def test_unconnected_places_and_an_empty_plan_are_drawn() -> None:
    svg = plan_svg([PlanPlace("a", "bow"), PlanPlace("b", "stern")], [])
    assert "bow" in svg
    assert "stern" in svg
    assert "no runs yet" in plan_svg([], [])


def test_run_to_an_unknown_place_is_refused() -> None:
    with pytest.raises(ValueError, match="'x', which is not in the plan"):
        plan_svg([PlanPlace("a", "bow")], [PlanRun("a", "x", 1)])
