"""The smallest circle around circles, and what is laid on or leads through it."""

import itertools
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.bundle import (
    bend_radius_mm,
    bundle_diameter_mm,
    splice_bulge_mm,
    tape_build_up_mm,
)
from webapp.sizing.glands import gland_thread_mm, grommet_bore_mm
from webapp.sizing.packing import Packing, pack
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import CannotFit

DIAMETERS_MM = st.lists(st.floats(0.5, 20), min_size=1, max_size=24)


def assert_valid(packing: Packing, diameters_mm: list[float]) -> None:
    """No overlap and nothing outside, to a billionth."""
    placed = list(zip(packing.centres_mm, diameters_mm, strict=True))
    for (centre, diameter), (other_centre, other) in itertools.combinations(placed, 2):
        assert math.dist(centre, other_centre) >= (diameter + other) / 2 * (1 - 1e-9)
    for centre, diameter in placed:
        assert math.hypot(*centre) + diameter / 2 <= packing.diameter_mm / 2 * (1 + 1e-9)


@given(DIAMETERS_MM)
@settings(max_examples=25, deadline=None)
def test_circles_neither_overlap_nor_stand_out(diameters_mm: list[float]) -> None:
    packing = pack(diameters_mm)
    assert_valid(packing, diameters_mm)
    assert_reasons_hold(packing.reasons)
    assert packing.diameter_mm >= math.sqrt(sum(each**2 for each in diameters_mm)) * (1 - 1e-12)
    assert packing.diameter_mm >= sum(sorted(diameters_mm)[-2:]) * (1 - 1e-12)
    turned = pack(diameters_mm[::-1])
    assert turned.diameter_mm == packing.diameter_mm
    assert_valid(turned, diameters_mm[::-1])


@given(DIAMETERS_MM, st.floats(0.5, 20))
@settings(max_examples=12, deadline=None)
def test_a_further_circle_never_makes_it_smaller_but_for_what_the_search_misses(
    diameters_mm: list[float], one_more_mm: float
) -> None:
    more = pack([*diameters_mm, one_more_mm]).diameter_mm
    assert more >= pack(diameters_mm).diameter_mm * 0.98


def test_three_circles() -> None:
    # Descartes' circle theorem: beside radii 2 and 3 in a circle of 5 there is room for a radius of
    # 1 / (1/2 + 1/3 - 1/5) = 1.58; three equal ones take 1 + 2 / sqrt(3) diameters.
    assert pack([2, 4, 6]).diameter_mm == pytest.approx(10, rel=1e-7)
    assert pack([3.157, 4, 6]).diameter_mm == pytest.approx(10, rel=1e-7)
    assert pack([3.2, 4, 6]).diameter_mm > 10.001
    assert pack([4, 4, 4]).diameter_mm == pytest.approx(4 * (1 + 2 / math.sqrt(3)), rel=1e-7)


def test_wires_much_thinner_than_the_rest_lie_in_the_gaps() -> None:
    four = [10.0] * 4
    gap_mm = 10 * (math.sqrt(2) - 1)
    assert pack([*four, gap_mm * 0.99]).diameter_mm == pytest.approx(
        pack(four).diameter_mm, rel=1e-6
    )


@pytest.mark.parametrize("scale", [0.01, 1, 40])
def test_size_does_not_matter(scale: float) -> None:
    sizes = [1.4, 1.9, 2.1, 2.4, 3.0, 3.7, 4.5, 6.5] * 3
    expected = pack(sizes).diameter_mm * scale
    assert pack([each * scale for each in sizes]).diameter_mm == pytest.approx(expected, rel=0.01)


def test_two_hundred_circles_are_laid_out_closely() -> None:
    sizes = [1.4, 1.9, 2.1, 2.4, 3.0, 3.7, 4.5, 6.5] * 25
    packing = pack(sizes)
    assert_valid(packing, sizes)
    # Denser than hand-laid bundles, looser than the plane's best of equal circles, pi / sqrt(12).
    assert 0.78 < sum(each**2 for each in sizes) / packing.diameter_mm**2 < 0.9069


@pytest.mark.parametrize(
    ("bad", "field"),
    [
        ([], "diameters_mm"),
        ([1.0] * 201, "diameters_mm"),
        ([1.0, 0.0], "diameters_mm.1"),
        ([1.0, float("nan")], "diameters_mm.1"),
        ([1e9], "diameters_mm.0"),
        ([True], "diameters_mm.0"),
    ],
)
def test_what_cannot_be_packed_is_refused(bad: list[float], field: str) -> None:
    with pytest.raises(SizingError) as refused:
        pack(bad)
    assert refused.value.field == field


def test_many_wires_are_reckoned_by_area() -> None:
    bundle = bundle_diameter_mm([2.0] * 300)
    assert_reasons_hold(bundle.reasons)
    assert bundle.value == pytest.approx(2 * math.sqrt(300 / 0.78))
    assert bundle.value > bundle_diameter_mm([2.0] * 200).value


@pytest.mark.parametrize(
    ("overlap_percent", "passes", "layers"), [(0, 1, 1), (50, 1, 2), (50, 2, 4), (66, 1, 3)]
)
def test_tape_lies_in_layers(overlap_percent: float, passes: int, layers: int) -> None:
    taped = tape_build_up_mm(10, 0.13, overlap_percent=overlap_percent, passes=passes)
    assert taped.value == pytest.approx(10 + 2 * 0.13 * layers)
    assert_reasons_hold(taped.reasons)


def test_a_splice_bulges() -> None:
    alone = splice_bulge_mm(5, heat_shrink_wall_mm=0.5)
    assert alone.value == pytest.approx(6)
    beside = splice_bulge_mm(5, heat_shrink_wall_mm=0.5, beside_mm=[2.4])
    assert beside.value == pytest.approx(8.4)
    assert_reasons_hold(beside.reasons)


def test_bends_are_wide() -> None:
    # FAA AC 43.13-1B par 11-96, from memory: 10 times the outside diameter, 3 times if supported.
    assert bend_radius_mm(4).value == 40
    supported = bend_radius_mm(4, supported=True)
    assert supported.value == 12
    assert not supported.confirmed


@given(st.floats(3, 45))
@settings(max_examples=40)
def test_glands_and_grommets_take_the_bundle(bundle_mm: float) -> None:
    gland = gland_thread_mm(bundle_mm)
    assert gland.value > bundle_mm
    assert not gland.confirmed
    grommet = grommet_bore_mm(bundle_mm, passes_over_mm=20)
    assert grommet.value >= max(bundle_mm, 20)
    assert_reasons_hold([*gland.reasons, *grommet.reasons])


def test_what_is_too_thick_for_the_panel_is_refused() -> None:
    with pytest.raises(CannotFit, match="46 mm"):
        gland_thread_mm(46)
    with pytest.raises(CannotFit) as refused:
        grommet_bore_mm(10, passes_over_mm=60)
    assert refused.value.field == "passes_over_mm"
