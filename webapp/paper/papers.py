"""Each paper's template. Any paper is turned into HTML or PDF by the same two functions."""

from .render import html_from, pdf_from
from .values import (
    BenchSheet,
    Certificate,
    CutList,
    DesignSheet,
    HandOver,
    JobTicket,
    KitList,
    Quote,
    TestSheet,
)

Paper = (
    Quote
    | JobTicket
    | DesignSheet
    | CutList
    | KitList
    | BenchSheet
    | TestSheet
    | Certificate
    | HandOver
)

TEMPLATES: dict[type[Paper], str] = {
    Quote: "quote.html",
    JobTicket: "job_ticket.html",
    DesignSheet: "design_sheet.html",
    CutList: "cut_list.html",
    KitList: "kit_list.html",
    BenchSheet: "bench_sheet.html",
    TestSheet: "test_sheet.html",
    Certificate: "certificate.html",
    HandOver: "hand_over.html",
}


def to_html(paper: Paper) -> str:
    """The paper as a page that a browser can print, for computers without Pango."""
    return html_from(TEMPLATES[type(paper)], paper=paper)


def to_pdf(paper: Paper) -> bytes:
    """The paper as PDF, A4. Raises PaperUnavailable."""
    return pdf_from(to_html(paper))
