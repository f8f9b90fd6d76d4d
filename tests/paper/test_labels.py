"""Labels as printed: their size, what stands on them, and that nothing runs over the edge."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from PIL import Image

from tests.paper.label_samples import LABELS, LARGE, MIDDLE, SMALL, STOCKS, TAPE_8, TAPE_12
from tests.paper.reading import (
    Word,
    fonts,
    image,
    page_sizes_mm,
    page_texts,
    qr_codes,
    words_mm,
)
from tests.paper.samples import QR_TEXT
from webapp.paper.label_values import Label, LabelKind
from webapp.paper.labels import labels_html, labels_pdf
from webapp.paper.stock import LabelStock, TapeStock

Pdf = Callable[[str], bytes]
DPI = 600
DOT_MM = 25.4 / DPI
ENDLESS = "Wheelhouse searchlight relay behind the panel " * 6
LONG = tuple(
    replace(one, title=ENDLESS, lines=(ENDLESS, "x" * 200, "Ω" * 80), code="LONGCODE" * 4,
            letters="NR" * 20 if one.letters else "")
    for one in LABELS
)  # fmt: skip


def cell(stock: LabelStock, position: int) -> tuple[float, float, float, float]:
    row, column = divmod(position, stock.columns)
    left = stock.margin_left_mm + stock.offset_x_mm + column * stock.pitch_x_mm
    top = stock.margin_top_mm + stock.offset_y_mm + row * stock.pitch_y_mm
    return left, top, left + stock.width_mm, top + stock.height_mm


def inside(word: Word, box: tuple[float, float, float, float]) -> bool:
    left, top, right, bottom = box
    return word.left_mm >= left and word.right_mm <= right and within(word, top, bottom)


def within(word: Word, top: float, bottom: float) -> bool:
    # The reader's box is the font's whole ascent and descent, higher than any letter: the
    # descender of Barlow is 0.2 em, its ascender 1 em where capitals rise 0.7 em.
    em = (word.bottom_mm - word.top_mm) / 1.2
    return word.top_mm + 0.3 * em >= top - 0.01 and word.bottom_mm <= bottom + 0.01


@pytest.mark.parametrize("stock", [SMALL, MIDDLE, LARGE], ids=["small", "middle", "large"])
def test_outline_has_exactly_the_size_and_place_of_the_stock(stock: LabelStock) -> None:
    pdf = labels_pdf(stock, [Label(LabelKind.KIT_BAG, "")])
    assert page_sizes_mm(pdf) == [(210.0, 297.0)]
    printed = (
        image(pdf, dpi=DPI, side_mm=120).convert("L").point(lambda grey: 255 if grey < 200 else 0)
    )
    assert isinstance(printed, Image.Image)
    box = printed.getbbox()
    assert box is not None
    measured = tuple(edge * DOT_MM for edge in box)
    assert measured == pytest.approx(cell(stock, 0), abs=2 * DOT_MM)


def test_every_label_of_a_sheet_stands_in_its_own_cell(sheet_pdf: Pdf) -> None:
    stock = STOCKS["small"]
    assert isinstance(stock, LabelStock)
    (words,) = words_mm(sheet_pdf("small"))
    cells = [cell(stock, position) for position in range(len(LABELS))]
    homes = [[i for i, box in enumerate(cells) if inside(word, box)] for word in words]
    assert all(len(home) == 1 for home in homes)
    by_cell = [" ".join(w.words for w, h in zip(words, homes, strict=True) if h == [i])
               for i in range(len(cells))]  # fmt: skip
    assert by_cell[2] == "5 NR Pump fuse · out 26-041 B"
    assert "FAILED" in by_cell[11]
    assert "U3R1" in by_cell[11]
    assert "03-0417" in by_cell[11]


@pytest.mark.parametrize("name", STOCKS)
def test_words_without_end_never_leave_the_label(name: str) -> None:
    stock = STOCKS[name]
    pages = words_mm(labels_pdf(stock, LONG))
    if isinstance(stock, TapeStock):
        box = (0.0, 0.0, stock.label_length_mm, stock.width_mm)
        assert len(pages) == len(LONG)
        for words in pages:
            assert words
            assert all(inside(word, box) for word in words)
        return
    boxes = [cell(stock, i) for i in range(stock.columns * stock.rows)]
    for words in pages:
        assert words
        for word in words:
            assert sum(inside(word, box) for box in boxes) == 1, word


def test_cut_words_end_with_an_ellipsis(sheet_pdf: Pdf) -> None:
    words = " ".join(page_texts(labels_pdf(SMALL, LONG[:1])))
    assert "…" in words
    assert "…" not in page_texts(sheet_pdf("large"))[0]


@pytest.mark.parametrize("name", STOCKS)
def test_number_code_and_letters_stay_on_every_size(name: str, sheet_pdf: Pdf) -> None:
    words = " ".join(page_texts(sheet_pdf(name)))
    for one in LABELS:
        for part in (one.title, one.code, one.letters):
            assert part in words
    assert "PASSED" in words
    assert "FAILED" in words


@pytest.mark.parametrize("name", STOCKS)
def test_fonts_are_embedded(name: str, sheet_pdf: Pdf) -> None:
    found = fonts(sheet_pdf(name))
    assert found
    assert all(found.values())


@pytest.mark.parametrize("name", ["small", "middle"])
def test_every_qr_code_of_a_sheet_is_read_and_is_15_mm_or_more(name: str, sheet_pdf: Pdf) -> None:
    codes = qr_codes(sheet_pdf(name), dpi=300)
    assert [code.text for code in codes] == [QR_TEXT] * sum(bool(one.qr_text) for one in LABELS)
    for code in codes:
        side_mm = (code.position.top_right.x - code.position.top_left.x) * 25.4 / 300
        # The reader measures without the quiet zone: 29 of the 37 modules of this code.
        assert side_mm * 37 / 29 >= 14.9


def test_no_qr_code_where_15_mm_are_not_free(sheet_pdf: Pdf) -> None:
    assert qr_codes(sheet_pdf("tape12"), dpi=600) == []
    assert len(qr_codes(sheet_pdf("tape24"))) == 1


def test_every_tape_label_is_a_page_of_its_own_size(sheet_pdf: Pdf) -> None:
    assert page_sizes_mm(sheet_pdf("tape8")) == [(50.0, 8.0)] * len(LABELS)
    assert page_sizes_mm(sheet_pdf("tape24")) == [(70.0, 24.0)] * len(LABELS)


def test_part_used_sheet_starts_at_its_position_and_goes_on_to_the_next_page() -> None:
    stock = replace(LARGE, start_position=10)
    first, second = words_mm(labels_pdf(stock, LABELS[2:4]))
    assert all(inside(word, cell(stock, 9)) for word in first)
    assert all(inside(word, cell(stock, 0)) for word in second)


def test_offset_moves_everything() -> None:
    label = [Label(LabelKind.KIT_BAG, "Unit 2")]
    ((still, *_),) = words_mm(labels_pdf(SMALL, label))
    moved_stock = replace(SMALL, offset_x_mm=1.5, offset_y_mm=-2)
    ((moved, *_),) = words_mm(labels_pdf(moved_stock, label))
    assert moved.left_mm - still.left_mm == pytest.approx(1.5, abs=0.05)
    assert moved.top_mm - still.top_mm == pytest.approx(-2, abs=0.05)


def test_outline_can_be_left_out_for_cut_labels() -> None:
    pdf = labels_pdf(SMALL, [Label(LabelKind.KIT_BAG, "")], outline=False)
    words = " ".join(page_texts(pdf))
    assert words == "Kit bag"
    stripes = labels_html(SMALL, [Label(LabelKind.KIT_BAG, "")], outline=False).count("<rect")
    assert stripes == 0


def test_same_labels_make_the_same_pages() -> None:
    assert labels_html(TAPE_8, LONG) == labels_html(TAPE_8, LONG)
    assert labels_html(TAPE_12, LABELS) == labels_html(TAPE_12, LABELS)


def test_no_label_is_refused() -> None:
    with pytest.raises(ValueError, match="no label"):
        labels_pdf(SMALL, [])
