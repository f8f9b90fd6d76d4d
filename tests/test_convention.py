"""Lengths, numbers and dates in each convention, and that what is shown reads back unchanged."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.convention import DATE_STYLES, DECIMAL_MARKS, PLAIN, Convention, now, using
from webapp.pages import wording
from webapp.pages.forms import Form, field_as_typed

INCHES = Convention(length_unit="inch")
COMMA = Convention(decimal_mark=",")
EVERY = [Convention(unit, mark) for unit in ("mm", "inch") for mark in DECIMAL_MARKS]


def read(text: str, convention: Convention = PLAIN) -> int | str:
    with using(convention):
        form = Form({"length_mm": text})
        form.mm("length_mm", "Length")
        return form.values["length_mm"] if form.ok else form.error("length_mm")


def test_lengths_in_inches() -> None:
    with using(INCHES):
        # 1 in = 25.4 mm exactly: the international yard and pound agreement of 1959.
        assert wording.mm(254) == "10.00"
        assert wording.with_unit(3520) == "138.58 in"
        assert wording.fine_mm(6.35) == "0.25"
        assert wording.length_unit() == "in"
    assert now() is PLAIN


@pytest.mark.parametrize(
    ("length_mm", "words"),
    [
        (3520, "138 9/16 (3,520 mm)"),
        (254, "10 (254 mm)"),
        (6, "1/4 (6 mm)"),
        (0, "0 (0 mm)"),
        (127, "5 (127 mm)"),
    ],
)
def test_what_is_cut_by_a_tape_stands_in_sixteenths_with_its_mm(length_mm: int, words: str) -> None:
    assert INCHES.tape(length_mm) == words
    assert PLAIN.tape(3520) == "3,520"


@pytest.mark.parametrize("convention", EVERY, ids=str)
@given(length_mm=st.integers(0, 1_000_000))
def test_a_length_that_is_shown_reads_back_as_the_same_millimetre(
    convention: Convention, length_mm: int
) -> None:
    with using(convention):
        typed = field_as_typed("length_mm", length_mm)
        shown = wording.mm(length_mm)
    assert read(typed, convention) == length_mm
    assert read(shown, convention) == length_mm


@pytest.mark.parametrize("convention", EVERY, ids=str)
@given(hundredths=st.integers(1, 10_000))
def test_a_strip_length_reads_back_to_the_hundredth(
    convention: Convention, hundredths: int
) -> None:
    with using(convention):
        form = Form({"strip_mm": wording.fine_mm(hundredths / 100)})
        form.fine_mm("strip_mm", "Strip", most=100)
    assert form.values["strip_mm"] == pytest.approx(hundredths / 100, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "length_mm"),
    [
        *(("12 in", 305), ('12"', 305), ("12 3/8 in", 314), ("3/8 in", 10), ("4 ft", 1219)),
        *(("300 mm", 300), ("30 cm", 300), ("0.3 m", 300), ("1.5 inches", 38)),
    ],
)
def test_a_unit_that_is_typed_holds_in_every_workshop(text: str, length_mm: int) -> None:
    assert read(text) == length_mm
    assert read(text, INCHES) == length_mm


def test_a_bare_length_is_in_the_workshops_unit() -> None:
    assert read("12") == 12
    assert read("12", INCHES) == 305
    assert read("12 3/8", INCHES) == 314


@pytest.mark.parametrize("text", ["12 3/8", "1/0 in", "5/4 in", "12 in in", "1,500 in"])
def test_what_cannot_be_read_as_a_length_is_refused(text: str) -> None:
    assert isinstance(read(text), str)


def test_the_limits_are_said_in_the_workshops_unit() -> None:
    with using(INCHES):
        form = Form({"length_mm": "0.1"})
        form.mm("length_mm", "Length", least=10)
    assert form.error("length_mm") == "Length must be 0.39 in or more."


def test_a_decimal_comma() -> None:
    with using(COMMA):
        assert wording.money(170964) == "£1\u202f709,64"
        assert wording.number(1234.5, 2) == "1\u202f234,50"
        assert wording.short(2.5) == "2,5"
        form = Form({"a": "1,5", "b": "1.5", "c": "0.125", "d": "1\u202f709,64", "e": "1.500"})
        for field in "abce":
            form.number(field, field)
        form.money("d", "Price")
        assert form.values == {"a": 1.5, "b": 1.5, "c": 0.125, "d": 170964}
        assert "two ways: write 1500 or 1,500" in form.error("e")


@pytest.mark.parametrize("style", DATE_STYLES)
def test_every_style_of_date_reads_back(style: str) -> None:
    convention = Convention(date_style=style)
    assert convention.day(date(2026, 12, 13)) == style
    with using(convention):
        form = Form({"day": wording.day(date(2026, 2, 3)), "long": wording.long_day("2026-02-03")})
        form.date("day", "Day")
        form.date("long", "Day")
    assert form.values == {"day": date(2026, 2, 3), "long": date(2026, 2, 3)}


def test_a_section_stands_in_both_measures() -> None:
    # ASTM B258: AWG 14 is 2.08 mm².
    assert wording.section(2.08) == "2.08 mm² = AWG 14"
    assert wording.section(1.5) == "1.5 mm² ≈ AWG 15"
