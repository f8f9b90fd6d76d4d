"""The next free colour: never a used pair, never a tracer on itself, earth left alone."""

import pytest

from webapp.sizing.colours import (
    COLOUR_CODE_IDS,
    FUNCTIONS,
    NoColourLeft,
    Pair,
    colour_codes,
    colour_for,
    colour_letters,
    colour_names,
    drawing_rgb,
)
from webapp.sizing.reasons import SizingError
from webapp.sizing.tables.colours import COLOUR_CODES

SHARED = ("negative", "bonding")
codes = pytest.mark.parametrize("code", COLOUR_CODE_IDS)


def exhaust(code: str, function: str, used: set[Pair]) -> list[Pair]:
    given: list[Pair] = []
    while True:
        try:
            colour = colour_for(code, function, used)
        except NoColourLeft:
            return given
        given.append(colour.pair)
        used.add(colour.pair)


@codes
def test_every_code_knows_every_function(code: str) -> None:
    assert set(COLOUR_CODES[code].functions) == set(FUNCTIONS)
    for function in FUNCTIONS:
        colour = colour_for(code, function)
        assert colour.letters == colour_letters(code, colour.main, colour.tracer)
        assert colour.reasons[0].source


@codes
@pytest.mark.parametrize("function", [each for each in FUNCTIONS if each not in SHARED])
def test_a_pair_is_given_once_and_a_tracer_is_never_its_main(code: str, function: str) -> None:
    given = exhaust(code, function, set())
    assert len(given) > 60
    assert len(given) == len(set(given))
    assert all(main != tracer for main, tracer in given)
    negative = colour_for(code, "negative").pair
    bonding = colour_for(code, "bonding").pair
    assert negative not in given
    assert bonding not in given
    own = {colour_for(code, other).pair for other in FUNCTIONS} - {colour_for(code, function).pair}
    assert not own & set(given), "a pair that the code gives to another function"
    assert {colour for pair in given for colour in pair if colour} <= set(colour_names(code))


@codes
def test_own_main_colour_comes_first_then_tracers(code: str) -> None:
    first = colour_for(code, "other")
    second = colour_for(code, "other", {first.pair})
    assert first.tracer is None
    assert second.main == first.main
    assert second.tracer is not None
    assert second == colour_for(code, "other", [first.pair])


@pytest.mark.parametrize("code", ["small-craft", "iec-60757"])
def test_green_is_kept_for_bonding(code: str) -> None:
    for function in FUNCTIONS:
        if function not in SHARED:
            given = exhaust(code, function, set())
            assert all(main != "green" for main, _ in given)
            assert ("yellow", "green") not in given


@codes
@pytest.mark.parametrize("function", SHARED)
def test_returns_and_bonding_share_one_colour(code: str, function: str) -> None:
    once = colour_for(code, function)
    assert colour_for(code, function, {once.pair}) == once


def test_colours_are_drawn_and_written() -> None:
    for code, title in colour_codes():
        assert title
        letters = [colour_letters(code, name) for name in colour_names(code)]
        assert len(set(letters)) == len(letters)
        for name in colour_names(code):
            assert len(drawing_rgb(name)) == 7
            int(drawing_rgb(name)[1:], 16)
    assert colour_letters("bs-au-7", "brown", "light green") == "NLG"
    assert colour_letters("small-craft", "brown", "yellow") == "BN/YE"


def test_unknown_names_are_refused() -> None:
    with pytest.raises(SizingError) as refused:
        colour_for("rainbow", "horn")
    assert refused.value.field == "colour_code"
    with pytest.raises(SizingError):
        colour_for("bs-au-7", "kettle")
    with pytest.raises(SizingError):
        colour_letters("bs-au-7", "tan")
    with pytest.raises(SizingError):
        drawing_rgb("mauve")
