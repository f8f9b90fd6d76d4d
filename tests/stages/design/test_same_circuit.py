"""Figures carried over to other sizes and ratings of one circuit are those worked out afresh."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.stages.design.need_lists import CATALOGUE, any_list
from webapp.stages.design.figures import Figures
from webapp.stages.design.proposal import propose
from webapp.stages.design.rows import Design
from webapp.stages.design.warmth import RunHeat

PROPOSED = [
    propose(any_list(seed, 8, 12, polarity, "craft"), CATALOGUE).design
    for seed, polarity in ((2, "insulated return"), (5, "negative earth"), (9, "positive earth"))
]


def thicker(design: Design) -> Design:
    links = {uid: replace(link, csa_mm2=16.0) for uid, link in design.link.items()}
    return replace(design, link=links)


def rated_otherwise(design: Design) -> Design:
    bridges = {
        uid: replace(bridge, fuse_a=2 * bridge.fuse_a) if bridge.fuse_a else bridge
        for uid, bridge in design.bridge.items()
    }
    return replace(design, bridge=bridges)


@pytest.mark.parametrize("design", PROPOSED)
@pytest.mark.parametrize("changed", [thicker, rated_otherwise])
def test_nothing_of_another_size_or_rating_is_kept(
    design: Design, changed: Callable[[Design], Design]
) -> None:
    figures = Figures(design)
    for uid in design.link:
        figures.wire(uid)
    other = changed(design)
    carried, fresh = figures.of(other), Figures(other)
    assert other.link
    for uid in other.link:
        assert carried.wire(uid) == fresh.wire(uid)
    assert [drop.drop_v for drop in carried.drops] == [drop.drop_v for drop in fresh.drops]
    before = Figures(design)
    assert any(carried.wire(uid) != before.wire(uid) for uid in design.link)


@given(
    st.lists(st.floats(0, 1e4), min_size=1, max_size=40),
    st.floats(0.001, 1e4),
    st.integers(0, 39),
)
def test_a_runs_heat_added_up_once_is_that_added_wire_by_wire(
    heats: list[float], heat: float, which: int
) -> None:
    uid = str(which % len(heats))
    named = [(str(number), each) for number, each in enumerate(heats)]
    others = [each for number, each in named if number != uid]
    found = RunHeat(named).loaded_percent(uid, heat)
    if not others:
        assert found == 0.0
        return
    exact = 100 * math.fsum(min(1.0, each / heat) for each in others) / len(others)
    assert exact - 1e-6 <= found <= min(100.0, exact + 1 + 1e-6)
    assert found == int(found)
