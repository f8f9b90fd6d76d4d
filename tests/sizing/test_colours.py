"""The next free colour: never a used pair, never a tracer on itself, earth left alone."""

import pytest

from webapp.sizing.colours import (
    COLOUR_CODE_IDS,
    FUNCTIONS,
    NoColourLeft,
    Pair,
    Palette,
    colour_codes,
    colour_for,
    colour_letters,
    colour_names,
    colours_in_turn,
    drawing_rgb,
    same_wire,
    workshop_code,
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


@pytest.mark.parametrize("code", ["small-craft", "iec-60757", "workshop"])
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


OWN = {"horn": ("orange", "black"), "lamp": ("tan", None), "negative": ("yellow", None)}


def test_the_workshops_own_code_gives_what_it_says_and_falls_back() -> None:
    code = workshop_code(OWN)
    for function, pair in OWN.items():
        given = colour_for(code, function)
        assert given.pair == pair
        assert given.reasons[0].source == "the workshop's own code"
    assert set(code.functions) == set(FUNCTIONS)
    assert colour_for(code, "positive") == colour_for("workshop", "positive")
    for function in set(FUNCTIONS) - {"negative"}:
        for main, _ in colours_in_turn(code, function):
            assert main != "yellow" or code.functions[function].main == "yellow"
        assert ("yellow", None) not in list(colours_in_turn(code, function))


@pytest.mark.parametrize(
    ("own", "field", "words"),
    [
        ({"kettle": ("red", None)}, "function", "Choose one of"),
        ({"horn": ("mauve", None)}, "horn", "Choose one of"),
        ({"horn": ("red", "mauve")}, "horn", "Choose one of"),
        ({"horn": ("red", "red")}, "horn", "must differ"),
        ({"horn": ("yellow", "green")}, "horn", "kept for bonding"),
        ({"negative": ("green", None)}, "negative", "kept for bonding"),
        ({"horn": ("black", None)}, "horn", "negative has this colour"),
        ({"negative": ("blue", None), "horn": ("blue", None)}, "horn", "negative has this colour"),
    ],
)
def test_an_own_code_that_cannot_be_is_refused(
    own: dict[str, Pair], field: str, words: str
) -> None:
    with pytest.raises(SizingError, match=words) as refused:
        workshop_code(own)
    assert refused.value.field == field


def test_only_what_is_stocked_is_given_and_negative_keeps_its_own() -> None:
    stocked = frozenset({("violet", None), ("violet", "white"), ("green", "orange")})
    given = list(colours_in_turn(COLOUR_CODES["bs-au-7"], "accessory", stocked))
    # Purple is violet by another name; with white it is the cabin lamps' own pair.
    assert given == [("purple", None), ("green", "orange")]
    assert all(same_wire(pair) in stocked for pair in given)
    used = {("purple", None)}
    assert colour_for("bs-au-7", "accessory", used, stocked=stocked).pair == ("green", "orange")
    with pytest.raises(NoColourLeft):
        colour_for("bs-au-7", "accessory", given, stocked=stocked)
    assert colour_for("bs-au-7", "negative", stocked=stocked).pair == ("black", None)


def test_a_barred_pair_is_not_even_given_to_the_negative() -> None:
    assert colour_for("small-craft", "negative", {("black", None)}).pair == ("black", None)
    other = colour_for("small-craft", "negative", barred={("black", None)}).pair
    assert other[0] == "black"
    assert other[1] not in (None, "yellow")


def test_a_palette_knows_its_own_code_and_what_it_lacks() -> None:
    palette = Palette(workshop_code(OWN), frozenset({("violet", None)}))
    assert palette.code("workshop") is palette.workshop
    assert palette.code("bs-au-7") is COLOUR_CODES["bs-au-7"]
    assert not palette.lacks(("purple", None))
    assert palette.lacks(("purple", "white"))
    assert not Palette().lacks(("purple", "white"))
    with pytest.raises(SizingError):
        palette.code("rainbow")
