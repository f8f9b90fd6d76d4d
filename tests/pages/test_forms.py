"""What people type, and what it is taken for."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from webapp.pages import forms
from webapp.pages.forms import Form, as_typed, filled, filled_rows, tidy


def read(kind: str, typed: str, **limits: Any) -> Form:
    form = Form({"x": typed})
    getattr(form, kind)("x", "Value", **limits)
    return form


@pytest.mark.parametrize(
    ("typed", "length_mm"),
    [
        ("3520", 3520),
        (" 3,520 ", 3520),
        ("3 520", 3520),
        ("3\u202f520 mm", 3520),
        ("3520mm", 3520),
        ("3.52 m", 3520),
        ("352 cm", 3520),
        (".5m", 500),
        ("0", 0),
    ],
)
def test_lengths_are_read(typed: str, length_mm: int) -> None:
    assert read("mm", typed).values["x"] == length_mm


@pytest.mark.parametrize(
    "typed",
    ["3,52 m", "1,500 m", "3,5", "12.5", "3.5205 m", "abc", "m", "-5", "1e3", "2,000,000", "٣"],
)
def test_lengths_are_refused(typed: str) -> None:
    form = read("mm", typed)
    assert form.errors["x"].startswith("Value ")
    assert "x" not in form.values
    assert form.typed("x") == typed


@pytest.mark.parametrize(
    ("typed", "value"), [("1.5", 1.5), ("1.5 A", 1.5), ("1.5A", 1.5), ("2.", 2.0), ("1 500", 1500)]
)
def test_quantities_are_read(typed: str, value: float) -> None:
    assert read("number", typed, unit="A").values["x"] == value


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("1,5", "write 1.5"),
        ("1,500", "two ways: write 1500 or 1.500"),
        ("nan", "must be a number"),
        ("inf", "must be a number"),
        ("1e400", "must be a number"),
        ("9" * 40, "too long"),
        ("-1", "or more"),
        ("9999999999", "or less"),
        ("1.5 V", "must be a number"),
    ],
)
def test_quantities_are_refused_in_plain_words(typed: str, said: str) -> None:
    assert said in read("number", typed, unit="A").errors["x"]


def test_a_bound_may_itself_be_refused() -> None:
    assert read("number", "0", above=0).errors["x"] == "Value must be more than 0."


@pytest.mark.parametrize(
    ("typed", "minor"),
    [("12", 1200), ("12.5", 1250), ("£1,709.64", 170964), ("1,500", 150000), ("0", 0)],
)
def test_money_is_read(typed: str, minor: int) -> None:
    assert read("money", typed).values["x"] == minor


@pytest.mark.parametrize("typed", ["12,50", "1.005", "-1", "$5", "1.2.3", "£"])
def test_money_is_refused(typed: str) -> None:
    assert read("money", typed).errors["x"]


@pytest.mark.parametrize("typed", ["3 Nov 2026", "3 November 2026", "2026-11-03", "03 nov 2026"])
def test_dates_are_read(typed: str) -> None:
    assert read("date", typed).values["x"] == date(2026, 11, 3)


@pytest.mark.parametrize("typed", ["3/11/2026", "2026-02-30", "0001-01-01", "soon"])
def test_dates_are_refused(typed: str) -> None:
    assert read("date", typed).errors["x"]


def test_exact_fractions_stay_exact() -> None:
    assert read("decimal", "17.5", unit="%").values["x"] == Decimal("17.5")
    assert "2 figures" in read("decimal", "17.555", places=2).errors["x"]


def test_counts_are_whole() -> None:
    assert read("whole", "1,200").values["x"] == 1200
    assert "whole number" in read("whole", "1.5").errors["x"]


def test_words_are_tidied_and_measured() -> None:
    assert read("text", "  Cafe\u0301 ", most=4).values["x"] == "Café"
    assert read("text", "a\r\nb", lines=True).values["x"] == "a\nb"
    assert "3 fit" in read("text", "abcd", most=3).errors["x"]
    for bad in ("a\x00b", "a\nb", "\ud800"):
        assert "cannot be printed" in read("text", bad).errors["x"]


def test_a_heap_of_accents_is_composed_in_small_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    """Composing takes time with the square of how many stand on one letter."""
    composed: list[int] = []

    def normalize(_form: str, text: str) -> str:
        composed.append(len(text))
        return text

    monkeypatch.setattr(forms.unicodedata, "normalize", normalize)
    heap = "a" + "\u0315\u0316" * 1000
    assert tidy(f" {heap} b ") == f"{heap} b"
    assert max(composed) <= 200


def test_what_is_missing_is_said_only_where_needed() -> None:
    for kind in ("text", "mm", "whole", "number", "decimal", "money", "date"):
        assert "missing" in read(kind, "  ").errors["x"]
        form = read(kind, "  ", needed=False)
        assert not form.errors
        assert form.values["x"] == ("" if kind == "text" else None)


def test_a_choice_is_one_of_those_offered() -> None:
    form = Form({"polarity": "sideways"})
    form.choice("polarity", "Polarity", ["negative", "positive"])
    assert form.errors["polarity"]


def test_a_box_is_ticked_or_not() -> None:
    form = Form({"spare": "1"})
    form.yes("spare")
    form.yes("other")
    assert form.values == {"spare": True, "other": False}


def test_rows_are_read_in_order_and_blank_ones_left_out() -> None:
    fields = {
        "rows-7-name": "Horn",
        "rows-7-control": "switch",
        "rows-2-name": " ",
        "rows-2-control": "switch",
        "rows-9-name": "",
        "rows-9-id": "41",
        "rows-x-name": "no",
        "other-1-name": "no",
    }
    form = Form(fields)
    rows = form.rows("rows", ignore=["control"])
    for row in rows:
        row.text("name", "Name")
    assert [row.prefix for row in rows] == ["rows-7-", "rows-9-"]
    assert rows[0].ok
    assert not rows[1].ok
    assert list(form.errors) == ["rows-9-name"]


def test_rows_are_shown_with_blank_ones_below() -> None:
    form = filled_rows("rows", [{"name": "Horn", "length_mm": 640}])
    shown = form.shown_rows("rows", blanks=2)
    assert [row.prefix for row in shown] == ["rows-0-", "rows-1-", "rows-2-"]
    assert shown[0].typed("length_mm") == "640"
    assert form.row_pattern("rows").name("name") == "rows-__n__-name"


@given(st.integers(0, 1_000_000))
def test_a_stored_length_opens_as_it_is_read(length_mm: int) -> None:
    form = filled({"x": length_mm})
    form.mm("x", "Length")
    assert form.values["x"] == length_mm


@given(st.floats(0.001, 100_000, allow_nan=False).map(lambda value: round(value, 5)))
def test_a_stored_quantity_opens_as_it_is_read(value: float) -> None:
    form = Form({"x": as_typed(value)})
    form.number("x", "Current")
    assert form.values["x"] == pytest.approx(value, abs=1e-6)


@given(st.text(max_size=60), st.sampled_from(["text", "mm", "whole", "number", "money", "date"]))
def test_nothing_typed_raises(typed: str, kind: str) -> None:
    form = read(kind, typed, needed=False)
    assert form.errors or "x" in form.values
