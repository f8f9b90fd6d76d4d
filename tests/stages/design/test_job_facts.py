import pytest

from webapp.stages.design import basis
from webapp.stages.design.imports import Line
from webapp.stages.design.job_facts import Fact, JobAsItIs, choose, read_facts

JOB = JobAsItIs("day launch", 12, "insulated return", 6)


def fact(name: str, value: str) -> Fact:
    return read_facts([Line(2, {"field": name, "value": value})], JOB)[0]


def test_places_figures_and_choices_fill_the_basis() -> None:
    assert fact("isolator", "battery box").cells == {"isolator_place": "battery box"}
    assert fact("Heat at V", "14.4").cells == {"heat_at_v": "14.4"}
    assert fact("colour_code", "small craft (ISO 13297)").cells == {"colour_code": "small-craft"}
    assert fact("terminal_finish", "Crimp only").cells == {"terminal_finish": "crimp only"}


def test_words_about_the_cable() -> None:
    said = "tinned copper; limit printed on the cable 105 C"
    assert fact("cable", said).cells == {"cable_finish": "tinned", "limit_c": "105"}
    assert "Not used" in fact("cable", "the red one").said


@pytest.mark.parametrize(
    ("name", "value"),
    [("nominal_v", "12 V"), ("polarity", "Insulated return"), ("units", "6")],
)
def test_what_the_job_says_too_is_only_compared(name: str, value: str) -> None:
    found = fact(name, value)
    assert not found.cells
    assert not found.differs
    assert "As on the job's card" in found.said


@pytest.mark.parametrize(
    ("name", "value"), [("nominal_v", "24"), ("polarity", "negative earth"), ("units", "5")]
)
def test_a_difference_from_the_job_is_named_and_changes_nothing(name: str, value: str) -> None:
    found = fact(name, value)
    assert found.differs
    assert not found.cells
    assert "not changed from here" in found.said


def test_what_is_unknown_wrong_or_said_twice() -> None:
    assert "Not used" in fact("hull number", "7").said
    assert "is none of" in fact("colour_code", "rainbow").problem
    assert "not named" in fact("", "7").problem
    twice = read_facts([Line(n, {"field": "battery", "value": str(n)}) for n in (2, 3)], JOB)
    assert twice[1].problem == "Line 2 says this already."


def test_a_choice_has_to_be_the_only_one_that_fits() -> None:
    assert choose("BS AU 7", basis.COLOUR_CODES) == "bs-au-7"
    assert choose("ISO 10133", basis.STANDARDS) == "small-craft-iso10133"
    assert choose("small craft", basis.STANDARDS) is None
    assert choose("", basis.STANDARDS) is None
