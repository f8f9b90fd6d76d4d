"""Papers from the records: their words, their size, their codes."""

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import start, with_launch, write
from tests.paper.reading import page_sizes_mm, page_texts, qr_codes
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.pages.papers import routes
from webapp.stages.building import units


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


@pytest.fixture
def done_id(client: TestClient, loom: Launch) -> int:
    unit_id = start(client, loom)[0]
    with write(client) as session:
        passing.finish(session, loom, unit_id)
    return unit_id


def pdf(client: TestClient, address: str) -> bytes:
    answer = client.get(address)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("inline; filename=")
    assert set(page_sizes_mm(answer.content)) == {(210.0, 297.0)}
    return answer.content


@pytest.mark.parametrize(
    ("slug", "words"),
    [
        ("job-ticket", ("Job ticket 26-001", "Harbour Launch Club", "day launch 6.4 m")),
        ("design-sheet", ("Engine plug", "BN/RD", "Ada Marr", "insulated return", "2A")),
        ("cut-list", ("Boat cable 2.5", "1,900", "laid in uncut: wires 8", "6.3 m")),
        ("kit-list", ("Parts to collect", "Tab receptacle 6.3", "Boat cable 2.5", "2 units")),
    ],
)
def test_papers_of_the_loom(
    client: TestClient, loom: Launch, slug: str, words: tuple[str, ...]
) -> None:
    text = " ".join(page_texts(pdf(client, f"/looms/{loom.loom_id}/papers/{slug}.pdf")))
    for word in words:
        assert word in text


def test_the_bench_sheet_has_every_step_and_its_tick(client: TestClient, done_id: int) -> None:
    text = " ".join(page_texts(pdf(client, f"/units/{done_id}/papers/bench-sheet.pdf")))
    for word in ("Strip 8.0 mm", "Leave loose 300 mm", "Return splice", "Bind with masking tape"):
        assert word in text


def test_the_test_sheet_gives_both_ways_of_reading(client: TestClient, done_id: int) -> None:
    text = " ".join(page_texts(pdf(client, f"/units/{done_id}/papers/test-sheet.pdf")))
    assert "at most 36.25 mΩ" in text
    assert "181.2 mV at 5 A" in text
    assert "unconfirmed" in text


def test_the_certificate_states_what_was_measured(client: TestClient, done_id: int) -> None:
    body = pdf(client, f"/units/{done_id}/papers/certificate.pdf")
    text = " ".join(page_texts(body))
    for word in ("26-001-01-C1", "Passed", "36.25 mΩ", "Micro-ohmmeter, M1", "Ada Marr"):
        assert word in text
    (code,) = qr_codes(body)
    assert code.text.startswith("http://bench.invalid:8000/c/U")


def test_no_unconfirmed_figure_reaches_the_certificate(client: TestClient, done_id: int) -> None:
    """Wire 6's limit rests on a table from memory: named, but without its figure."""
    text = " ".join(page_texts(pdf(client, f"/units/{done_id}/papers/certificate.pdf")))
    tested, left_out = text.split("Left out", 1)
    assert "10.95" not in text
    assert "Wire 6, 4 mm²" in left_out
    assert "Wire 6, 4 mm²" not in tested
    assert "unconfirmed" not in text


def test_hand_over_papers_serve_a_stranger(client: TestClient, done_id: int) -> None:
    text = " ".join(page_texts(pdf(client, f"/units/{done_id}/papers/hand-over.pdf")))
    for word in ("26-001-01-C1", "Fuse chart", "5 A", "disconnect the battery", "2B", "Bow lamp"):
        assert word in text


def test_no_certificate_before_somebody_signed(client: TestClient, loom: Launch) -> None:
    unit_id = start(client, loom)[0]
    answer = client.get(f"/units/{unit_id}/papers/certificate.pdf")
    assert answer.status_code == 409
    assert "is not signed off" in answer.text
    assert "when every test passes" in client.get(f"/units/{unit_id}/papers").text


def test_without_pango_the_pages_say_what_is_missing(
    client: TestClient, loom: Launch, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(routes, "available", lambda: "PDF needs the Pango text library.")
    page = client.get(f"/looms/{loom.loom_id}/papers").text
    assert "PDF needs the Pango text library." in page
    assert "job-ticket.pdf" not in page


@pytest.mark.parametrize(
    "path",
    ["/looms/9/papers", "/units/9/papers", "/looms/9/papers/cut-list.pdf",
     "/units/9/papers/certificate.pdf", "/looms/1/papers/nothing.pdf"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(client: TestClient, loom: Launch, path: str) -> None:
    assert client.get(path).status_code == 404


def test_a_draft_says_so(client: TestClient) -> None:
    draft = with_launch(client, signed=False)
    text = " ".join(page_texts(pdf(client, f"/looms/{draft.loom_id}/papers/design-sheet.pdf")))
    assert "A, draft" in text


def test_every_unit_has_its_own_papers(client: TestClient, loom: Launch) -> None:
    for unit_id in start(client, loom):
        with write(client) as session:
            serial = units.get(session, unit_id).serial
        assert serial in client.get(f"/units/{unit_id}/papers").text
