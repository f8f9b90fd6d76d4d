"""Every paper as PDF: size, words, fonts, QR codes."""

import re
from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from datetime import date
from decimal import Decimal
from enum import Enum
from typing import Any

import pytest

from tests.paper.label_samples import LABELS, LARGE
from tests.paper.reading import fonts, page_sizes_mm, page_texts, qr_codes
from tests.paper.samples import ALL, CERTIFICATE, DESIGN, HEAD, QR_TEXT, QUOTE, TICKET, WIRES
from webapp.drawings.plan import PlanPlace, PlanRun
from webapp.paper.labels import labels_html
from webapp.paper.papers import to_html, to_pdf
from webapp.paper.values import Currency, Plan, QuoteLine

Pdf = Callable[[str], bytes]


@pytest.mark.parametrize("name", ALL)
def test_a4_with_letterhead_foot_and_page_numbers(name: str, paper_pdf: Pdf) -> None:
    pdf = paper_pdf(name)
    assert set(page_sizes_mm(pdf)) == {(210.0, 297.0)}
    pages = page_texts(pdf)
    for number, words in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words
        assert "Tern Lane Looms · 26-041 Day launch, main loom" in words
    first = pages[0]
    for words in ("Unit 4, The Ropewalk", "01632 960 417", "VAT no. GB 000 0000 00", "K7M4"):
        assert words in first


@pytest.mark.parametrize("name", ALL)
def test_qr_code_is_read_from_the_print(name: str, paper_pdf: Pdf) -> None:
    assert [code.text for code in qr_codes(paper_pdf(name))] == [QR_TEXT]


@pytest.mark.parametrize("name", ALL)
def test_fonts_are_embedded_and_are_ours(name: str, paper_pdf: Pdf) -> None:
    found = fonts(paper_pdf(name))
    assert all(found.values())
    assert {"Barlow", "Barlow-Semi-Bold"} <= {re.sub(r"-Regular$", "", font) for font in found}


@pytest.mark.parametrize("name", ALL)
def test_html_has_no_inline_style_or_script(name: str) -> None:
    html = to_html(ALL[name])
    assert not re.search(r"<script|\sstyle=|\son\w+=", html)


def test_quote_says_what_is_agreed(paper_pdf: Pdf) -> None:
    (words,) = page_texts(paper_pdf("quote"))
    for part in (
        "Quotation 26-041-B",
        "Dunlin Day Boats",
        "3 November 2026",
        "Valid until 3 December 2026",
        "Main loom, built and tested 6 684.00 4,104.00",
        "Together 4,749.00",
        "Discount 5 % -237.45",
        "Net 4,511.55",
        "VAT 20 % 902.31",
        "Total £5,413.86",
        "Deposit 30 %, with the order 1,624.16",
        "VHF radio with its own lead",
        "installation in the boats",
        "Accepted by Date",
    ):
        assert part in words
    assert "Draft" not in words


def test_draft_quote_says_so_and_cannot_be_accepted() -> None:
    html = to_html(replace(QUOTE, issued=False))
    assert "Draft, not issued" in html
    assert "Accepted by" not in html


def test_quote_without_vat_shows_no_vat() -> None:
    html = to_html(replace(QUOTE, vat_percent=None, vat_minor=0, total_minor=QUOTE.net_minor))
    assert "VAT 20" not in html
    assert "£4,511.55" in html


@pytest.mark.parametrize(
    "wrong",
    [
        {"total_minor": QUOTE.total_minor + 1},
        {"vat_minor": 0},
        {"discount_minor": 0},
        {"lines": QUOTE.lines[1:]},
    ],
)
def test_quote_that_does_not_add_up_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="add up"):
        replace(QUOTE, **wrong)  # type: ignore[arg-type]


def test_money_without_and_with_a_minor_unit() -> None:
    assert Currency().words(-123456) == "-£1,234.56"
    assert Currency("kr ", 0).words(1234) == "kr 1,234"
    assert Currency().plain(5) == "0.05"


EVIL = '<img src=x onerror="alert(1)">&'
COLOUR = re.compile(r"#[0-9a-f]{6}")


def with_evil(value: Any) -> Any:
    """The value with markup at the end of every text: a person may have typed any of them."""
    if isinstance(value, Enum):
        return value
    if isinstance(value, str):
        return value + EVIL if value and not COLOUR.fullmatch(value) else value
    if isinstance(value, tuple | list):
        return type(value)(with_evil(each) for each in value)
    if is_dataclass(value) and not isinstance(value, type):
        own = {one.name: with_evil(getattr(value, one.name)) for one in fields(value) if one.init}
        return replace(value, **own)
    return value


@pytest.mark.parametrize("name", ALL)
def test_no_text_becomes_markup_on_a_paper(name: str) -> None:
    html = to_html(with_evil(ALL[name]))
    assert html.count("&lt;img src=x onerror=&#34;alert(1)&#34;&gt;&amp;") > 10
    assert "<img" not in html


def test_no_text_becomes_markup_on_a_label() -> None:
    html = labels_html(LARGE, [with_evil(label) for label in LABELS])
    assert html.count("&lt;img src=x") > len(LABELS)
    assert "<img" not in html


def test_what_people_typed_is_escaped() -> None:
    html = to_html(replace(QUOTE, customer="<b>Salt & Sons</b>"))
    assert "&lt;b&gt;Salt &amp; Sons&lt;/b&gt;" in html


def test_design_sheet_lists_every_wire_fuse_and_way(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("design_sheet")))
    for wire in WIRES:
        assert f"{wire.letters} {wire.size}" in words
    assert words.count("tab receptacle 6.3") == 2 * sum(w.csa_mm2 < 4 for w in WIRES)
    for part in ("Bilge pump", "battery box, before the isolator", "3,520", "signed off"):
        assert part.lower() in words.lower()
    assert "Draft, not signed off" not in words
    assert "Draft, not signed off" in to_html(replace(DESIGN, signed_off=""))


def test_cut_list_groups_with_totals_and_strip_lengths(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("cut_list")))
    assert "6 pieces, 21.12 m, from reel 14, then offcut 3" in words
    assert "3,520 6 6.4 Main fuse · out 9.5 Fuse board · feed" in words


def test_bench_sheet_has_a_box_for_every_step(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("bench_sheet")))
    assert words.count("Strip 6.4 mm") == 2 * len(WIRES)
    assert words.count("10:14, A. Marr") == 4
    assert to_html(ALL["bench_sheet"]).count('class="tick"') == len(WIRES) * 11 + 2


def test_test_sheet_has_limits_and_cautions(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("test_sheet")))
    for part in ("at most 21.4 mΩ", "at least 1 MΩ", "Battery disconnected first", "Tested by"):
        assert part in words


def test_certificate_names_readings_instruments_and_what_is_left_out(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("certificate")))
    for part in (
        "Test certificate 26-041-02",
        "02-0417",
        "Passed",
        "at most 8.2 mΩ 7.6 mΩ pass after 1 retest Bridge 1",
        "Meter 2 70213 2 March 2026",
        "Bridge 1 118 no calibration on record",
        "Crimp height of tab receptacle 6.3",
        "Signed for Tern Lane Looms",
    ):
        assert part in words


def test_certificate_cannot_pass_over_a_failed_reading() -> None:
    group = CERTIFICATE.groups[1]
    failed = replace(group, rows=(replace(group.rows[0], passed=False),))
    with pytest.raises(ValueError, match="one of its readings failed"):
        replace(CERTIFICATE, groups=(failed,))
    with pytest.raises(ValueError, match="without a single reading"):
        replace(CERTIFICATE, groups=())
    html = to_html(replace(CERTIFICATE, groups=(failed,), passed=False))
    assert ">Failed</b>" in html
    assert "must not be used" in html


def test_hand_over_papers_warn_and_explain(paper_pdf: Pdf) -> None:
    words = " ".join(page_texts(paper_pdf("hand_over")))
    for part in (
        "disconnect the battery first",
        "Never fit a larger fuse-link",
        "Local codes and a competent person decide",
        "Pumps when the float rises",
        "each seen from the side where its wires go in",
        "Replace a wire by the same size and colour",
    ):
        assert part in words


def test_wide_plan_lies_across_the_last_page() -> None:
    places = tuple(PlanPlace(str(n), f"cupboard {n}") for n in range(14))
    runs = tuple(PlanRun(str(n), str(n + 1), 800, 2, "PVC sleeve") for n in range(13))
    pdf = to_pdf(replace(DESIGN, plan=Plan(places, runs)))
    sizes = page_sizes_mm(pdf)
    assert set(sizes[:-1]) == {(210.0, 297.0)}
    assert sizes[-1] == (297.0, 210.0)
    assert "cupboard 13" in page_texts(pdf)[-1]


def test_papers_stand_without_their_optional_parts() -> None:
    bare = replace(HEAD, qr_text=None, short_code="", revision="", printed_on=None)
    assert "<svg" in to_html(replace(TICKET, head=bare, serials=(), customer_parts=()))
    quote = replace(
        QUOTE,
        head=bare,
        customer_address=(),
        valid_until=None,
        lines=(QuoteLine("Loom", "1", 100),),
        discount_minor=0,
        net_minor=100,
        vat_percent=Decimal("17.5"),
        vat_minor=18,
        total_minor=118,
        deposit_minor=0,
        dated=date(2026, 1, 2),
    )
    html = to_html(quote)
    assert "Valid until" not in html
    assert "VAT 17.5 %" in html
    assert "None" not in html
