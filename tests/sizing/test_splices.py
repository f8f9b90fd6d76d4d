"""Where splices may lie along a run."""

import math
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from webapp.sizing.splices import (
    CLEAR_MM,
    Stretch,
    free_place_mm,
    to_bend_mm,
    to_breakout_mm,
    too_near,
)


def test_distances_are_to_the_nearer_breakout_and_to_the_end_of_the_bend() -> None:
    stretch = Stretch(500, True, True, bend_at_mm=200, bend_radius_mm=80)
    assert to_breakout_mm(stretch, 60) == 60
    assert to_breakout_mm(stretch, 470) == 30
    # A quarter of a circle of 80 mm radius is 125.7 mm long: half lies on either side.
    assert to_bend_mm(stretch, 300) == 100 - math.pi * 20
    assert to_bend_mm(stretch, 200) < 0
    plain = Stretch(None)
    assert math.isinf(to_breakout_mm(plain, 10))
    assert math.isinf(to_bend_mm(plain, 10))


def test_splices_nearer_than_the_clear_distance_are_named() -> None:
    found = list(too_near([("a", 60.0), ("c", 135.0), ("b", 100.0)]))
    assert found == [("c", "b", 35.0)]
    assert list(too_near([("a", 60.0), ("b", 60.0 + CLEAR_MM)])) == []


def test_a_run_too_short_has_no_place() -> None:
    assert free_place_mm(Stretch(70, True, True), []) is None
    assert free_place_mm(Stretch(90, True, True), []) == 45
    assert free_place_mm(Stretch(None), [], from_end=True) is None
    assert free_place_mm(Stretch(None), [60.0]) == 120


@given(
    length=st.integers(1, 3000),
    bend=st.none() | st.integers(0, 3000),
    radius=st.integers(0, 300),
    ends=st.lists(st.booleans(), max_size=12),
)
def test_every_place_given_is_clear_of_all_else(
    length: int, bend: int | None, radius: int, ends: list[bool]
) -> None:
    stretch = Stretch(length, True, True, bend, radius)
    taken: list[float] = []
    for from_end in ends:
        back = free_place_mm(stretch, taken, from_end=from_end)
        if back is not None:
            taken.append(length - back if from_end else back)
    for at in taken:
        assert to_breakout_mm(stretch, at) >= CLEAR_MM
        assert to_bend_mm(stretch, at) >= CLEAR_MM
    assert all(after - before >= CLEAR_MM for before, after in pairwise(sorted(taken)))
