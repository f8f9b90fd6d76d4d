"""Colour letters and functions against BS AU 7, IEC 60757 and ABYC E-11."""

from itertools import islice

import pytest

from tests.published.published import rows
from webapp.sizing.colours import (
    FUNCTIONS,
    colour_for,
    colour_letters,
    colour_names,
    colours_in_turn,
)
from webapp.sizing.tables.colours import COLOUR_CODES

IEC_60757 = [
    row
    for row in rows("colour_letter_codes", scheme="IEC 60757")
    # Metallic colours make no wire; green-and-yellow is a pair, checked below.
    if row["colour"] not in ("gold", "silver", "green-and-yellow")
]


@pytest.mark.parametrize("row", rows("colour_letter_codes", scheme="BS AU 7"))
def test_bs_au_7_letters(row: dict[str, str]) -> None:
    assert colour_letters("bs-au-7", row["colour"]) == row["code"]


@pytest.mark.parametrize("row", IEC_60757)
def test_iec_60757_letters(row: dict[str, str]) -> None:
    assert colour_letters("iec-60757", row["colour"]) == row["code"]


def test_bonding_pair_carries_the_letters_of_green_and_yellow() -> None:
    row = rows("colour_letter_codes", scheme="IEC 60757", colour="green-and-yellow")[0]
    for code in ("small-craft", "iec-60757", "workshop"):
        assert colour_for(code, "bonding").letters.replace("/", "") == row["code"]


@pytest.mark.parametrize("row", rows("colours_bs_au7"), ids=lambda row: row["code"])
def test_bs_au_7_pairs_are_written_as_the_list_writes_them(row: dict[str, str]) -> None:
    written = colour_letters("bs-au-7", row["main_colour"], row["tracer_colour"] or None)
    assert written == row["code"]


BS_FUNCTIONS = {
    "negative": "B",
    "positive": "N",
    "start": "WR",
    "charge": "NY",
    "pump": "WP",
    "blower": "GY",
    "accessory": "P",
    "ignition": "W",
    "instrument": "G",
    "cabin lamps": "PW",
    "fuel sender": "GB",
    "temperature sender": "GU",
    "oil sender": "WN",
    "horn": "PB",
    "wiper": "NLG",
    "search lamp": "UY",
    "head lamp main": "UW",
    "head lamp dip": "UR",
    "side lamp": "R",
    "stop lamp": "GP",
    "indicator left": "GR",
    "indicator right": "GW",
}
BS_WORDS = {
    "negative": "earth",
    "positive": "main battery feed",
    "start": "starter relay",
    "charge": "charge warning",
    "pump": "fuel pump",
    "blower": "heater motor",
    "accessory": "not through ignition switch",
    "ignition": "ignition circuits",
    "instrument": "controlled by ignition",
    "cabin lamps": "interior lamp",
    "fuel sender": "fuel gauge",
    "temperature sender": "temperature gauge",
    "oil sender": "oil pressure",
    "horn": "horn",
    "wiper": "wiper motor",
    "search lamp": "long-range lamp",
    "head lamp main": "main beam",
    "head lamp dip": "dipped beam",
    "side lamp": "side lamps",
    "stop lamp": "stop lamp",
    "indicator left": "left flasher",
    "indicator right": "right flasher",
}


@pytest.mark.parametrize(("function", "code"), BS_FUNCTIONS.items())
def test_bs_au_7_functions(function: str, code: str) -> None:
    row = rows("colours_bs_au7", code=code)[0]
    assert BS_WORDS[function] in row["function"]
    given = colour_for("bs-au-7", function)
    assert (given.main, given.tracer or "") == (row["main_colour"], row["tracer_colour"])
    assert given.reasons[0].confirmed == (row["how"] == "read")


CRAFT_WORDS = {
    "bonding": "dc bonding",
    "negative": "dc negative",
    "positive": "dc positive",
    "start": "starting circuit",
    "blower": "bilge blowers",
    "navigation": "navigation lights",
    "charge": "charge lamp",
    "pump": "pumps",
    "accessory": "accessory feed",
    "ignition": "ignition",
    "instrument": "instrument feed",
    "cabin lamps": "cabin and instrument lights",
    "oil sender": "oil pressure sender",
    "temperature sender": "water temperature sender",
    "fuel sender": "fuel gauge sender",
}


@pytest.mark.parametrize(("function", "words"), CRAFT_WORDS.items())
def test_small_craft_functions(function: str, words: str) -> None:
    printed = [row for row in rows("colours_small_craft") if words in row["function"]]
    allowed = {colour.strip() for row in printed for colour in row["colour"].split(" or ")}
    given = colour_for("small-craft", function)
    written = given.main if given.tracer is None else f"{given.main}/{given.tracer}"
    assert written in allowed


def test_small_craft_letters_follow_iec_60757_where_it_has_the_colour() -> None:
    iec = {row["colour"]: row["code"] for row in IEC_60757}
    shades = {"dark blue": "blue", "dark grey": "grey", "purple": "violet"}
    for colour in colour_names("small-craft"):
        plain = shades.get(colour, colour)
        if plain in iec:
            assert colour_letters("small-craft", colour) == iec[plain]


BS_OWN = {code: function for function, code in BS_FUNCTIONS.items()}
BS_ELSEWHERE = [row for row in rows("colours_bs_au7") if row["code"] not in BS_OWN]
# Free pairs of the code that its list gives no meaning to.
UNLISTED = 40


@pytest.mark.parametrize("row", BS_ELSEWHERE, ids=lambda row: row["code"])
def test_a_pair_that_bs_au_7_lists_for_something_else_is_given_last(row: dict[str, str]) -> None:
    listed = (row["main_colour"], row["tracer_colour"] or None)
    for function in BS_FUNCTIONS:
        if function != "negative":
            first = list(islice(colours_in_turn(COLOUR_CODES["bs-au-7"], function), UNLISTED))
            assert listed not in first


def test_every_row_of_the_small_craft_list_is_looked_at() -> None:
    reached = set(CRAFT_WORDS.values()) | {"dc negative (allowed", "protective"}
    trim = ("tilt down or trim in", "tilt up or trim out")  # no such function here
    for row in rows("colours_small_craft"):
        assert any(words in row["function"] for words in reached) or row["function"] in trim


def test_iso_10133_keeps_green_for_protective_and_bonding_conductors() -> None:
    row = rows("colours_small_craft", function="protective and bonding only")[0]
    allowed = {tuple(pair.split("/")) for pair in row["colour"].split(" or ")}
    bonding = colour_for("small-craft", "bonding")
    assert tuple(filter(None, bonding.pair)) in allowed
    for function in set(FUNCTIONS) - {"bonding"}:
        for main, tracer in colours_in_turn(COLOUR_CODES["small-craft"], function):
            assert main != "green"
            assert {main, tracer} != {"green", "yellow"}


def test_iso_10133_allows_a_yellow_negative_so_nothing_else_is_plain_yellow_or_black() -> None:
    row = rows("colours_small_craft", function="dc negative (allowed with black)")[0]
    for function in set(FUNCTIONS) - {"negative"}:
        given = list(colours_in_turn(COLOUR_CODES["small-craft"], function))
        assert (row["colour"], None) not in given
        assert ("black", None) not in given


@pytest.mark.parametrize("row", IEC_60757)
def test_the_workshops_own_code_writes_iec_60757_letters(row: dict[str, str]) -> None:
    assert colour_letters("workshop", row["colour"]) == row["code"]
