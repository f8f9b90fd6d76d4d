"""Grommets and glands, coverings over a bundle, heat-shrink over joints, crowded crimps."""

import math

import pytest

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.bundle import covered_mm
from webapp.sizing.crowding import MOST_ON_STUD, crimp_problem
from webapp.sizing.glands import OpeningFacts, choose_opening
from webapp.sizing.heat_shrink import (
    HeatShrinkFacts,
    choose_heat_shrink,
    is_tight,
    over_splice_mm,
    over_terminal_mm,
    passes,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import CannotFit

GROMMETS = [OpeningFacts(f"g{bore}", 0, bore, bore) for bore in (8, 12, 16)]
GLANDS = [OpeningFacts("M16", 5, 10, 10), OpeningFacts("M20", 6, 12, 12)]


@pytest.mark.parametrize(
    ("offered", "through_mm", "taken"),
    [(GROMMETS, 8.0, "g8"), (GROMMETS, 8.1, "g12"), (GLANDS, 5.5, "M16"), (GLANDS, 10.5, "M20")],
)
def test_the_smallest_opening_that_holds_the_bundle_is_taken(
    offered: list[OpeningFacts], through_mm: float, taken: str
) -> None:
    found = choose_opening(offered, through_mm)
    assert found.opening.uid == taken
    assert_reasons_hold(found.reasons)


@pytest.mark.parametrize(("offered", "through_mm"), [(GROMMETS, 16.5), (GLANDS, 4.0)])
def test_a_bundle_that_nothing_holds_is_refused(
    offered: list[OpeningFacts], through_mm: float
) -> None:
    with pytest.raises(CannotFit) as caught:
        choose_opening(offered, through_mm)
    assert caught.value.field == "through_mm"


def test_a_covering_follows_the_bundle_or_keeps_its_shape() -> None:
    assert covered_mm(10.0, wall_mm=0.6).value == pytest.approx(11.2)
    assert covered_mm(10.0, outside_mm=17.6).value == 17.6
    assert covered_mm(10.0).value == 10.0
    assert_reasons_hold(covered_mm(10.0, wall_mm=0.6).reasons)


def test_heat_shrink_passes_over_the_barrel_and_grips_the_insulation() -> None:
    # NASA-STD-8739.4 par 9.8.1: larger than the largest object, tight after recovery.
    over, grips = over_terminal_mm(3.0)
    assert (over, grips) == (pytest.approx(3.45), 3.0)
    size = HeatShrinkFacts("4.8", 4.8, 2.4)
    assert passes(size, over)
    assert is_tight(size, grips)
    assert not passes(size, 4.8)
    assert not is_tight(size, 2.4)


def test_over_a_splice_the_thickest_wire_lies_on_its_own_side() -> None:
    over, grips = over_splice_mm([2.1, 4.3, 2.1])
    assert grips == pytest.approx(4.2)
    assert over == pytest.approx(4.3 * 1.15)
    _, two = over_splice_mm([2.0, 3.0])
    assert two == 2.0
    # Three wires of one size in a circle take 2.1547 of their diameter (exact geometry).
    over, _ = over_splice_mm([2.0] * 4)
    assert over >= 2.0 * (1 + 2 / math.sqrt(3)) * 1.15 * 0.999
    with pytest.raises(SizingError):
        over_splice_mm([2.0])


def test_a_splice_of_a_thin_wire_and_thick_ones_needs_more_shrinkage() -> None:
    two_to_one = [HeatShrinkFacts("a", 9.5, 4.8)]
    over, grips = over_splice_mm([6.0, 1.6, 1.6])
    with pytest.raises(CannotFit):
        choose_heat_shrink(two_to_one, passes_over_mm=over, grips_mm=grips)
    three_to_one = [HeatShrinkFacts("b", 9.0, 3.0)]
    found = choose_heat_shrink(three_to_one, passes_over_mm=over, grips_mm=grips)
    assert found.heat_shrink.uid == "b"


def test_sections_in_one_crimp_are_added() -> None:
    # NASA-STD-8739.4 par 19.11: the sum of the sections chooses the contact.
    assert crimp_problem([1.0, 1.5], takes_max_mm2=2.5) == ""
    assert "2.75 mm²" in crimp_problem([1.0, 1.75], takes_max_mm2=2.5)
    assert "3 wires" in crimp_problem([0.5, 0.5, 0.5], takes_max_mm2=2.5)
    assert crimp_problem([0.5, 0.5, 0.5], takes_max_mm2=2.5, most_wires=3) == ""
    with pytest.raises(SizingError):
        crimp_problem([], takes_max_mm2=2.5)
    # ABYC E-11 and AC 43.13-1B agree (both from memory).
    assert MOST_ON_STUD == 4
