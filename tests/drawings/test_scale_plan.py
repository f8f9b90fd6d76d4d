"""The loom to scale: true lengths, the angles that were chosen, branches clear of each other."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.drawings.plan_values import PlanPlace, PlanRun
from webapp.drawings.scale_layout import Lying, lay_out, whole_turn
from webapp.drawings.scale_plan import scale_plan_svg

PLACES = [PlanPlace(name, name) for name in ("battery", "engine", "helm", "bow", "stern", "mast")]
RUNS = [
    PlanRun("battery", "engine", 900, 4, uid="r1"),
    PlanRun("engine", "helm", 2500, 8, uid="r2"),
    # Measured from the far end: its own direction is against the tree's.
    PlanRun("bow", "helm", 3700, 5, uid="r3"),
    PlanRun("engine", "stern", 1900, 3, uid="r4"),
    PlanRun("helm", "mast", 3600, 3, uid="r5"),
]


def by_name(angles: dict[str, float]) -> dict[str, Lying]:
    return {each.place.name: each for each in lay_out(PLACES, RUNS, angles).places}


@given(st.dictionaries(st.sampled_from(["r1", "r2", "r3", "r4", "r5"]), st.floats(-180, 180)))
def test_every_run_is_as_long_as_it_is_at_the_angle_chosen(angles: dict[str, float]) -> None:
    at = by_name(angles)
    for run in RUNS:
        a, b = at[run.from_uid].at, at[run.to_uid].at
        assert math.dist(a, b) == pytest.approx(run.length_mm)
        if run.uid in angles:
            drawn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
            assert abs(whole_turn(drawn - angles[run.uid])) == pytest.approx(0, abs=1e-6)


def test_left_alone_no_two_runs_cross_and_ends_keep_apart() -> None:
    at = by_name({})
    ends = [at[name].at for name in ("bow", "stern", "mast", "battery")]
    assert all(math.dist(a, b) > 600 for index, a in enumerate(ends) for b in ends[index + 1 :])


@pytest.mark.parametrize(
    ("angle", "same"), [(0, 0), (180, 180), (-180, 180), (181, -179), (540, 180), (-190, 170)]
)
def test_whole_turn(angle: float, same: float) -> None:
    assert whole_turn(angle) == same


def test_a_run_without_a_length_is_drawn_and_says_so() -> None:
    places = [PlanPlace("a", "A"), PlanPlace("b", "B")]
    drawn = scale_plan_svg(lay_out(places, [PlanRun("a", "b", 0, 2, uid="r")], {}))
    assert "not measured" in drawn


def test_a_ring_is_closed_by_a_dashed_bow() -> None:
    places = [PlanPlace(each, each) for each in "abc"]
    runs = [
        PlanRun("a", "b", 500, uid="1"),
        PlanRun("b", "c", 500, uid="2"),
        PlanRun("a", "c", 700, uid="3"),
    ]
    layout = lay_out(places, runs, {})
    assert len(layout.closing) == 1
    assert "stroke-dasharray" in scale_plan_svg(layout)


def test_words_are_escaped() -> None:
    places = [PlanPlace("a", "<A>"), PlanPlace("b", "B & C")]
    drawn = scale_plan_svg(lay_out(places, [PlanRun("a", "b", 500, uid="r")], {}))
    assert "&lt;A&gt;" in drawn
    assert "B &amp; C" in drawn


def test_the_bar_is_as_long_as_it_says() -> None:
    places = [PlanPlace("a", "A"), PlanPlace("b", "B")]
    drawn = scale_plan_svg(lay_out(places, [PlanRun("a", "b", 4000, uid="r")], {}), width=1020)
    # 1020 less two margins of 110 px over 4,000 mm: 0.2 px to the mm; the bar says 1,000 mm.
    assert "1,000 mm" in drawn
    assert 'x1="110"' in drawn
    assert 'x2="310"' in drawn
