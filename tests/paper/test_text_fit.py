"""Computed widths against what is printed."""

import pytest

from tests.paper.reading import words_mm
from webapp.paper.label_values import Label, LabelKind
from webapp.paper.labels import labels_pdf
from webapp.paper.stock import TapeStock
from webapp.paper.text_fit import cut_to_fit, size_to_fit, width_em, wrap_to_fit

WORDS = "Searchlight·relay·87·AVATWM–2.5mm²"


def test_computed_width_is_the_printed_width_with_a_little_to_spare() -> None:
    ((*_, printed),) = words_mm(
        labels_pdf(TapeStock(24, 90), [Label(LabelKind.WIRE_TAG, "", (WORDS,))])
    )
    size_mm = (printed.bottom_mm - printed.top_mm) / 1.2
    computed = width_em(WORDS) * size_mm
    actual = printed.right_mm - printed.left_mm
    assert actual <= computed <= 1.06 * actual


def test_size_shrinks_to_the_width_and_never_grows() -> None:
    size = size_to_fit(WORDS, 20, 4)
    assert width_em(WORDS) * size == pytest.approx(20)
    assert size_to_fit("5", 20, 4) == 4
    assert size_to_fit("", 20, 4) == 4


def test_cut_is_as_long_as_fits() -> None:
    cut = cut_to_fit("abcdefgh " * 5, 10, 2)
    assert cut.endswith("…")
    assert width_em(cut) * 2 <= 10
    assert width_em(cut[:-1] + "mm…") * 2 > 10
    assert cut_to_fit("short", 10, 2) == "short"
    assert cut_to_fit("no room", 0.1, 2) == ""


def test_rows_break_between_words() -> None:
    rows = wrap_to_fit("6 units, due 12 December 2026", 10, 2)
    assert " ".join(rows) == "6 units, due 12 December 2026"
    assert len(rows) > 1
    assert all(width_em(row) * 2 <= 10 for row in rows)
