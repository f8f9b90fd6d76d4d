"""The mate rule against published ways and colours: ISO 1724, ISO 11446 and SAE J560."""

from dataclasses import dataclass, replace

import pytest

from tests.published.published import rows
from tests.stages.design.need_lists import CATALOGUE
from webapp.sizing.mates import CIRCUIT, COLOUR, EMPTY, NO_WAY, InWay, Unlike, unlike_ways
from webapp.stages.design.defaults import first_basis
from webapp.stages.design.findings import View
from webapp.stages.design.findings.finding import Said
from webapp.stages.design.findings.plugs import halves_agree, halves_coloured_alike
from webapp.stages.design.rows import Circuit, Design, Fitting, Link, Place, Way

CONNECTORS = ("ISO 1724 12N 7-pin 12 V", "ISO 11446 13-pin 12 V", "SAE J560 7-way")


@dataclass(frozen=True)
class Pin:
    """One published way: what it is for and its colour."""

    label: str
    function: str
    colour: str

    @property
    def pair(self) -> tuple[str, str]:
        main, _, tracer = self.colour.partition("/")
        return main, tracer


def published(connector: str) -> list[Pin]:
    """The ways in use; SAE J560 lists functions by colour, and the order of pins apart."""
    number = {}
    if connector.startswith("SAE"):
        order = rows("trailer_connector_pins", connector="SAE J560 pin order")
        number = {row["colour"]: row["pin"] for row in order}
    return [
        Pin(row["pin"] or number[row["colour"]], row["function"], row["colour"])
        for row in rows("trailer_connector_pins", connector=connector)
        if row["colour"] != "none"
    ]


PINS = {connector: published(connector) for connector in CONNECTORS}
BY_PIN = [(connector, pin) for connector in CONNECTORS for pin in PINS[connector]]
by_connector = pytest.mark.parametrize("connector", CONNECTORS)
by_pin = pytest.mark.parametrize(
    ("connector", "pin"), BY_PIN, ids=[f"{each[:8]} {pin.label}" for each, pin in BY_PIN]
)


def mated(one: list[Pin], other: list[Pin]) -> Design:
    """Two halves that are put together, each wired with single wires by its list."""
    base = Design(12, "negative earth", "road", first_basis(12, "road"))
    place = Place(uid="p", name="drawbar")
    fittings = {
        half: Fitting(uid=half, place_uid="p", name=half, kind=half, mate_uid=mate)
        for half, mate in (("plug", "socket"), ("socket", "plug"))
    }
    ways, links, circuits = {}, {}, {}
    labels = {pin.label for pin in (*one, *other)}
    for half, pins in (("plug", one), ("socket", other)):
        for label in labels:
            uid = f"{half} {label}"
            ways[uid] = Way(uid=uid, fitting_uid=half, label=label, contact="screw")
        for pin in pins:
            number = len(links) + 1
            circuits[pin.function] = Circuit(uid=pin.function, number=number, name=pin.function)
            main, tracer = pin.pair
            links[f"{half} wire {pin.label}"] = Link(
                uid=f"{half} wire {pin.label}", number=number, circuit_uid=pin.function,
                from_way_uid=f"{half} {pin.label}", to_way_uid=None, main=main, tracer=tracer,
            )  # fmt: skip
    return replace(
        base, place={"p": place}, fitting=fittings, way=ways, link=links, circuit=circuits
    )


def differences(design: Design) -> list[Said]:
    return list(halves_agree(View(design, CATALOGUE)))


def colours(design: Design) -> list[Said]:
    return list(halves_coloured_alike(View(design, CATALOGUE)))


def ways_named(found: list[Said]) -> set[str]:
    return {said.sentence.split(":")[0].removeprefix("Way ") for said in found}


def without(pins: list[Pin], pin: Pin) -> list[Pin]:
    return [each for each in pins if each != pin]


@by_connector
def test_the_list_names_each_way_once(connector: str) -> None:
    pins = PINS[connector]
    assert len(pins) >= 7
    for values in zip(*((pin.label, pin.function, pin.colour) for pin in pins), strict=True):
        assert len(set(values)) == len(pins)


@by_connector
def test_halves_by_the_published_list_agree(connector: str) -> None:
    design = mated(PINS[connector], list(reversed(PINS[connector])))
    assert differences(design) == []
    assert colours(design) == []


@by_pin
def test_two_wires_that_change_places_in_one_half_are_both_found(connector: str, pin: Pin) -> None:
    pins = PINS[connector]
    other = pins[(pins.index(pin) + 1) % len(pins)]
    crossed = [
        replace(each, label=other.label if each == pin else pin.label)
        if each in (pin, other)
        else each
        for each in pins
    ]
    assert ways_named(differences(mated(pins, crossed))) == {pin.label, other.label}
    assert ways_named(differences(mated(crossed, pins))) == {pin.label, other.label}


@by_pin
def test_a_wire_of_another_colour_in_one_way_is_found(connector: str, pin: Pin) -> None:
    pins = PINS[connector]
    wrong = [*without(pins, pin), replace(pin, colour="brown/green")]
    design = mated(pins, wrong)
    assert differences(design) == []
    (said,) = colours(design)
    assert ways_named([said]) == {pin.label}
    assert pin.pair[0] in said.sentence
    assert "brown with a green tracer" in said.sentence


@by_pin
def test_a_wire_that_is_missing_from_one_half_is_found(connector: str, pin: Pin) -> None:
    pins = PINS[connector]
    (said,) = differences(mated(pins, without(pins, pin)))
    assert ways_named([said]) == {pin.label}
    assert "is empty" in said.sentence


def test_seven_ways_of_iso_11446_keep_the_colours_of_iso_1724() -> None:
    seven = {pin.label: pin.pair for pin in PINS[CONNECTORS[0]]}
    thirteen = {pin.label: pin.pair for pin in PINS[CONNECTORS[1]]}
    by_colour = [
        {label: InWay("any", *pair) for label, pair in half.items()} for half in (seven, thirteen)
    ]
    unlike = unlike_ways(*by_colour)
    assert unlike == [Unlike(label, NO_WAY) for label in thirteen if label not in seven]


def test_halves_of_two_standards_do_not_pass_for_mates() -> None:
    """SAE J560 leads the same seven colours to other ways than ISO 1724."""
    one, other = PINS[CONNECTORS[0]], PINS[CONNECTORS[2]]
    assert {pin.colour for pin in one} == {pin.colour for pin in other}
    by_label = {pin.label: pin.colour for pin in other}
    wrong = {pin.label for pin in one if by_label[pin.label] != pin.colour}
    halves = [{pin.label: InWay(pin.colour, *pin.pair) for pin in each} for each in (one, other)]
    assert {unlike.label for unlike in unlike_ways(*halves)} == wrong
    assert len(wrong) >= 4


def test_what_is_unlike_is_said_once_a_way() -> None:
    here = {"1": InWay("a", "red"), "2": InWay("b"), "3": None, "4": InWay("d", "blue"), "6": None}
    there = {"1": InWay("b", "blue"), "2": None, "3": None, "4": InWay("d", "blue", "white"),
             "5": InWay("e")}  # fmt: skip
    assert unlike_ways(here, there) == [
        Unlike("1", CIRCUIT),
        Unlike("2", EMPTY),
        Unlike("4", COLOUR),
        Unlike("5", NO_WAY),
    ]
    assert unlike_ways({"1": InWay("a")}, {"1": InWay("a", "red")}) == []
