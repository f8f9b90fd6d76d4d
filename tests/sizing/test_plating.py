"""Platings that may touch (common practice)."""

import pytest

from webapp.sizing.plating import PLATINGS, mating_problem


@pytest.mark.parametrize("plating", PLATINGS)
def test_like_platings_mate(plating: str) -> None:
    assert mating_problem(plating, plating) is None


def test_tin_and_gold_do_not_either_way_round() -> None:
    assert "Use like platings" in str(mating_problem("tin", "gold"))
    assert "Use like platings" in str(mating_problem("gold", "tin"))


def test_what_is_not_known_is_not_judged() -> None:
    assert mating_problem("", "gold") is None
    assert mating_problem("mystery metal", "gold") is None
