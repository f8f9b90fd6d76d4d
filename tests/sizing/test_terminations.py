"""Terminals, heat-shrink, crimps, bundles and sleeves."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.sizing.evaluation import assert_reasons_hold
from webapp.sizing.bundle import SleeveFacts, bundle_diameter_mm, choose_sleeve
from webapp.sizing.crimp import PULL_STANDARDS, pull_force_n
from webapp.sizing.heat_shrink import (
    HeatShrinkFacts,
    choose_heat_shrink,
    heat_shrink_cut_mm,
    standard_heat_shrink,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.terminations import (
    STUDS,
    CannotFit,
    TerminalFacts,
    choose_terminal,
    ring_hole_mm,
    terminal_fit,
)

SMALL = TerminalFacts("small", "tab 6.3", 0.5, 1.5, 6.4, 15, 1.4, 2.6)
LARGE = TerminalFacts("large", "tab 6.3", 1.5, 2.5, 6.4, 24, 2.0, 3.4)
RING = TerminalFacts("ring", "stud M8", 4, 6, 8, 60)


def test_a_wire_end_that_fits_has_no_problems() -> None:
    assert terminal_fit(SMALL, csa_mm2=1.0, outside_diameter_mm=2.1, current_a=10) == ()
    assert terminal_fit(RING, csa_mm2=6, outside_diameter_mm=40, current_a=10) == ()


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"csa_mm2": 0.35}, "too thin for this terminal"),
        ({"csa_mm2": 2.5}, "too thick for this terminal"),
        ({"outside_diameter_mm": 1.2}, "too thin to be held"),
        ({"outside_diameter_mm": 2.7}, "will not go into"),
        ({"current_a": 16}, "more than the terminal's 15 A"),
    ],
)
def test_each_misfit_is_named(changed: dict[str, float], words: str) -> None:
    end = {"csa_mm2": 1.0, "outside_diameter_mm": 2.1, "current_a": 10.0} | changed
    problems = terminal_fit(SMALL, **end)
    assert len(problems) == 1
    assert words in problems[0]


def test_the_smallest_terminal_that_fits_is_chosen() -> None:
    offer = [LARGE, RING, SMALL]
    end = {"csa_mm2": 1.5, "outside_diameter_mm": 2.4}
    chosen = choose_terminal(offer, contact="tab 6.3", current_a=10, **end)
    assert chosen.terminal == SMALL
    assert_reasons_hold(chosen.reasons)
    assert choose_terminal(offer, contact="tab 6.3", current_a=20, **end).terminal == LARGE
    with pytest.raises(CannotFit, match="no terminal for stud M5"):
        choose_terminal(offer, contact="stud M5", current_a=1, **end)
    with pytest.raises(CannotFit, match="too thin"):
        choose_terminal(offer, contact="stud M8", current_a=1, **end)


def test_rings_clear_their_stud_and_grow_with_it() -> None:
    holes = [ring_hole_mm(stud).value for stud in STUDS]
    assert holes == sorted(holes)
    for stud, hole_mm in zip(STUDS, holes, strict=True):
        assert float(stud.removeprefix("M")) < hole_mm <= float(stud.removeprefix("M")) + 1
    assert not ring_hole_mm("M8").confirmed
    with pytest.raises(SizingError, match="Choose one of"):
        ring_hole_mm("M7")


@pytest.mark.parametrize("ratio", [2, 3, 4])
def test_sizes_of_each_ratio_shrink_by_it(ratio: float) -> None:
    sizes = standard_heat_shrink(ratio)
    assert [each.expanded_mm for each in sizes] == sorted(each.expanded_mm for each in sizes)
    for each in sizes:
        # The inch sizes are printed to a thousandth.
        assert each.expanded_mm / each.recovered_mm == pytest.approx(ratio, rel=0.04)
        assert not each.confirmed
    assert choose_heat_shrink(sizes, passes_over_mm=5, grips_mm=4).heat_shrink in sizes


def test_heat_shrink_of_an_unheard_ratio_is_refused() -> None:
    with pytest.raises(SizingError, match="2, 3, 4"):
        standard_heat_shrink(2.5)


@given(st.floats(0.3, 60), st.floats(0.3, 60))
@settings(max_examples=60)
def test_heat_shrink_passes_over_and_grips(one_mm: float, other_mm: float) -> None:
    grips_mm, over_mm = sorted((one_mm, other_mm))
    sizes = standard_heat_shrink()
    able = [each for each in sizes if each.expanded_mm > over_mm and each.recovered_mm < grips_mm]
    if not able:
        with pytest.raises(CannotFit):
            choose_heat_shrink(sizes, passes_over_mm=over_mm, grips_mm=grips_mm)
        return
    chosen = choose_heat_shrink(sizes, passes_over_mm=over_mm, grips_mm=grips_mm)
    assert chosen.heat_shrink == min(able, key=lambda each: each.expanded_mm)
    assert not chosen.reasons[0].confirmed


def test_heat_shrink_that_shrinks_more_is_taken_where_two_to_one_will_not_grip() -> None:
    three_to_one = HeatShrinkFacts("9/3", 9.5, 3.0)
    offer = [*standard_heat_shrink(), three_to_one]
    chosen = choose_heat_shrink(offer, passes_over_mm=8, grips_mm=3.5)
    assert chosen.heat_shrink == three_to_one
    assert chosen.reasons[0].confirmed


@given(st.floats(0, 2000), st.floats(-50, 50))
@settings(max_examples=60)
def test_recovered_heat_shrink_still_covers(covered_mm: float, change_percent: float) -> None:
    cut = heat_shrink_cut_mm(covered_mm, change_percent)
    assert cut.value >= covered_mm - 1e-6
    assert cut.value * (1 + min(change_percent, 0) / 100) >= covered_mm - 1e-6
    assert_reasons_hold(cut.reasons)


@pytest.mark.parametrize("standard", PULL_STANDARDS)
def test_thicker_wire_must_hold_more(standard: str) -> None:
    """These gauges stand in all three tables."""
    forces = [pull_force_n(standard, awg=awg) for awg in (26, 24, 22, 20, 18, 16, 14, 12, 10, 8)]
    for force in forces:
        assert_reasons_hold(force.reasons)
    values = [force.value for force in forces]
    assert values == sorted(set(values))


@pytest.mark.parametrize(
    ("standard", "size", "field"),
    [
        ("house", {"awg": 16}, "standard"),
        ("UL 486A", {}, "csa_mm2"),
        ("UL 486A", {"awg": 16, "csa_mm2": 1.5}, "csa_mm2"),
        ("UL 486A", {"csa_mm2": 1.5}, "csa_mm2"),
        ("UL 486A", {"awg": 1}, "awg"),
        ("UL 486A", {"awg": "16"}, "awg"),
        ("IEC 60352-2", {"csa_mm2": 16}, "csa_mm2"),
        ("IEC 60352-2", {"csa_mm2": float("nan")}, "csa_mm2"),
        ("IEC 60352-2", {"awg": 6}, "awg"),
    ],
)
def test_crimps_outside_the_table_are_refused(
    standard: str, size: dict[str, object], field: str
) -> None:
    with pytest.raises(SizingError) as refused:
        pull_force_n(standard, **size)  # type: ignore[arg-type]
    assert refused.value.field == field


def test_bundle_of_one_is_its_wire() -> None:
    assert bundle_diameter_mm([3.2]).value == pytest.approx(3.2)


@pytest.mark.parametrize("bad", [[], [0], [-1], [float("nan")], ["3"], [1.0] * 2001])
def test_bundles_that_make_no_sense_are_refused(bad: list[float]) -> None:
    with pytest.raises(SizingError):
        bundle_diameter_mm(bad)


def test_the_smallest_sleeve_that_covers_is_chosen() -> None:
    offer = [SleeveFacts("wide", 6, 20), SleeveFacts("close", 6, 10), SleeveFacts("thin", 2, 6)]
    chosen = choose_sleeve(offer, 8)
    assert chosen.sleeve.uid == "close"
    assert_reasons_hold(chosen.reasons)
    with pytest.raises(CannotFit, match="21 mm"):
        choose_sleeve(offer, 21)


def test_a_seal_grips_only_its_own_range() -> None:
    sealed = TerminalFacts("s", "cavity", 0.5, 1.0, 5.0, 10.0, seal_min_mm=1.4, seal_max_mm=2.1)
    assert terminal_fit(sealed, csa_mm2=0.75, outside_diameter_mm=1.9, current_a=1) == ()
    thin = terminal_fit(sealed, csa_mm2=0.75, outside_diameter_mm=1.2, current_a=1)
    thick = terminal_fit(sealed, csa_mm2=0.75, outside_diameter_mm=2.6, current_a=1)
    assert "thinner" in thin[0]
    assert "thicker" in thick[0]
