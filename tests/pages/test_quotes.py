"""Price, parts and quotes as they are used: through the pages, and on paper."""

import csv
import io
from typing import Any

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.pages.reading import errors, fields
from tests.paper.reading import page_sizes_mm, page_texts, qr_codes
from tests.stages.launch import Launch
from tests.stages.priced import priced_launch
from webapp.database import writing
from webapp.pages import quotes as quote_pages
from webapp.paper import render as paper_render
from webapp.paper.render import PANGO_MISSING
from webapp.records.catalogue import Part
from webapp.records.workshop import Rates

A4_MM = [(210.0, 297.0)]


@pytest.fixture
def launch(client: TestClient) -> Launch:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return priced_launch(session)


@pytest.fixture
def here(launch: Launch) -> str:
    return f"/looms/{launch.loom_id}/price"


def save(client: TestClient, here: str, **new: str) -> Response:
    form = fields(client.get(here))
    form.pop("then", None)
    return client.post(here, data=form | new)


def extra(number: int, what: str, quantity: str, each: str) -> dict[str, str]:
    row = f"extras-{number}-"
    return {f"{row}what": what, f"{row}quantity": quantity, f"{row}each_minor": each}


def issue(client: TestClient, here: str, **new: str) -> Response:
    form = fields(client.get(f"{here}/check"))
    return client.post(f"{here}/issue", data=form | {"seen": "1"} | new)


# --- price ----------------------------------------------------------------------------------------


def test_every_figure_opens_to_its_reasons(client: TestClient, here: str) -> None:
    page = client.get(here).text
    for words in (
        "Materials of one unit, scrap included.",
        "round(base × overhead % ÷ 100)",
        "round(seconds × rate per hour ÷ (3600 × units))",
        "Boat cable 2.5, BN/RD",
        "Crimp one end",
        "Margin on cost",
    ):
        assert words in page


def test_terms_and_lines_are_saved(client: TestClient, here: str) -> None:
    answer = save(
        client, here, discount_percent="5", delivery="six weeks from deposit",
        **extra(0, "Roof plug and socket set", "6", "23.50"),
    )  # fmt: skip
    assert answer.url.path == here
    kept = fields(answer)
    assert kept["discount_percent"] == "5"
    assert kept["extras-0-each_minor"] == "23.50"
    assert "141.00" in answer.text
    assert "Discount 5 %" in answer.text


def test_saving_what_was_shown_changes_nothing(client: TestClient, here: str) -> None:
    save(client, here, margin_percent="17.5", **extra(0, "Spares", "1", "5"))
    before = fields(client.get(here)) | {"once": ""}
    assert fields(save(client, here)) | {"once": ""} == before


def test_a_line_is_taken_out(client: TestClient, here: str) -> None:
    save(client, here, **extra(0, "Spares", "1", "5"), **extra(1, "Drawings", "1", "9"))
    answer = save(client, here, **extra(0, "", "", ""))
    assert fields(answer)["extras-0-what"] == "Drawings"
    assert "Spares" not in answer.text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"discount_percent": "101"}, "discount_percent"),
        ({"margin_percent": "-1"}, "margin_percent"),
        ({"vat_percent": "twenty"}, "vat_percent"),
        ({"validity_days": "1.5"}, "validity_days"),
        ({"delivery": "x" * 201}, "delivery"),
        (extra(0, "", "6", "23.50"), "extras-0-what"),
        (extra(0, "Plug", "0", "23.50"), "extras-0-quantity"),
        (extra(0, "Plug", "6", ""), "extras-0-each_minor"),
        (extra(0, "Plug", "6", "1.234"), "extras-0-each_minor"),
    ],
)
def test_a_mistake_stands_beside_its_field_and_nothing_is_lost(
    client: TestClient, here: str, wrong: dict[str, str], field: str
) -> None:
    answer = save(client, here, rests_on="my own words", **wrong)
    assert answer.status_code == 422
    assert field in errors(answer)
    shown = fields(answer)
    assert shown["rests_on"] == "my own words"
    assert {name: shown[name] for name in wrong} == wrong
    assert fields(client.get(here))["rests_on"] != "my own words"


def test_two_people_see_both_values(client: TestClient, here: str) -> None:
    opened = fields(client.get(here))
    client.post(here, data=opened | {"discount_percent": "5"} | extra(0, "A", "1", "1"))
    clash = client.post(
        here, data=opened | {"discount_percent": "10", "delivery": "soon"} | extra(0, "B", "1", "2")
    )
    assert clash.status_code == 409
    assert "1 × A, each 1.00" in clash.text
    assert "1 × B, each 2.00" in clash.text
    choice = fields(clash) | {"keep-discount_percent": "yours", "keep-extras": "theirs"}
    kept = fields(client.post(here, data=choice))
    assert (kept["discount_percent"], kept["delivery"]) == ("10", "soon")
    assert (kept["extras-0-what"], kept["extras-0-each_minor"]) == ("A", "1.00")


def test_or_keep_ones_own_lines(client: TestClient, here: str) -> None:
    opened = fields(client.get(here))
    client.post(here, data=opened | extra(0, "A", "1", "1") | extra(1, "C", "1", "1"))
    clash = client.post(here, data=opened | extra(0, "B", "1", "2"))
    kept = client.post(here, data=fields(clash) | {"keep-extras": "yours"})
    assert fields(kept)["extras-0-what"] == "B"
    assert fields(kept)["extras-1-what"] == ""


def test_a_loom_with_nothing_in_it_says_what_to_do(office: TestClient) -> None:
    job = office.post(
        "/jobs/new",
        data={
            "new_customer": "Dunlin", "title": "Trolley", "setting": "railway", "nominal_v": "24",
            "polarity": "negative earth", "loom_name": "main loom", "loom_quantity": "1",
        },
    )  # fmt: skip
    assert job.status_code == 200
    assert "Nothing to price yet" in office.get("/looms/1/price").text
    assert "There are no needs and no wires" in office.get("/looms/1/price/check").text
    assert "No parts yet" in office.get("/looms/1/parts").text
    refused = issue(office, "/looms/1/price")
    assert refused.status_code == 422


def test_a_price_too_large_is_a_sentence_not_a_fault(client: TestClient, here: str) -> None:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        session.get_one(Part, "t-ring").price_minor = 10**12
    assert "No price can be made" in client.get(here).text
    assert client.get(f"{here}/check").status_code == 200
    assert client.get(f"{here}/draft.pdf").status_code == 404
    assert client.get(here.replace("price", "parts")).status_code == 200


# --- parts ----------------------------------------------------------------------------------------


def test_the_parts_list_and_the_price_say_the_same(client: TestClient, here: str) -> None:
    page = client.get(here.replace("price", "parts")).text
    assert "invented price" in page
    assert "16.2 m" in page  # 2.5 m of grey, six off, with 8 %
    lines = _csv(client, here)
    total = sum(float(line["cost_all_units"]) for line in lines)
    assert f"{total:.2f}" in page
    assert f"{total:.2f}" in client.get(here).text


def _csv(client: TestClient, here: str) -> list[dict[str, str]]:
    answer = client.get(here.replace("price", "parts.csv"))
    assert answer.headers["content-type"].startswith("text/csv")
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


def test_a_part_cannot_put_a_formula_into_a_spreadsheet(client: TestClient, here: str) -> None:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        session.get_one(Part, "t-ring").name = "=1+1"
    names = [line["part"] for line in _csv(client, here)]
    assert "'=1+1" in names
    assert "=1+1" not in names


def test_what_is_missing_stands_above_the_list(client: TestClient, here: str) -> None:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        session.get_one(Part, "t-plug").price_minor = 0
    page = client.get(here.replace("price", "parts")).text
    assert "Plug 3-way, launch has no price in the stores." in page
    assert 'href="/stores/t-plug"' in page


# --- quotes ---------------------------------------------------------------------------------------


def test_from_check_to_acceptance(client: TestClient, here: str) -> None:
    check = client.get(f"{here}/check").text
    for words in ("Main loom, built and tested", "Harbour Launch Club", "Change", "invented price"):
        assert words in check
    issued = issue(client, here)
    assert issued.url.path == "/quotes/1"
    number = "-001-A"
    assert number in issued.text
    assert "Waits for the customer" in issued.text
    assert number in client.get(here).text
    form = fields(issued) | {"accept-by_whom": "R. Dunlin"}
    accepted = client.post("/quotes/1/accept", data=form)
    assert "Accepted by R. Dunlin" in accepted.text
    assert "accepted by R. Dunlin" in client.get(here).text
    assert 'class="done"' in accepted.text


def test_the_same_sending_twice_is_one_quote(client: TestClient, here: str) -> None:
    form = fields(client.get(f"{here}/check")) | {"seen": "1"}
    paths = {client.post(f"{here}/issue", data=form).url.path for _ in range(2)}
    assert paths == {"/quotes/1"}
    assert client.get("/quotes/2").status_code == 404


@pytest.mark.parametrize("new", [{"seen": ""}, {"once": ""}, {"once": "x"}, {"seen_minor": "abc"}])
def test_a_form_that_is_not_whole_issues_nothing(
    client: TestClient, here: str, new: dict[str, str]
) -> None:
    assert issue(client, here, **new).status_code == 422
    assert client.get("/quotes/1").status_code == 404


def test_a_price_that_moved_is_looked_at_again(client: TestClient, here: str) -> None:
    form = fields(client.get(f"{here}/check")) | {"seen": "1"}
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        session.get_one(Rates, 1).labour_minor_per_hour = 9900
    answer = client.post(f"{here}/issue", data=form)
    assert answer.status_code == 422
    assert "The price has changed" in answer.text
    again = client.post(f"{here}/issue", data=fields(answer) | {"seen": "1"})
    assert again.url.path == "/quotes/1"


@pytest.mark.parametrize(
    ("action", "typed", "field"),
    [
        ("accept", {"accept-by_whom": ""}, "accept-by_whom"),
        ("accept", {"accept-by_whom": "R", "accept-accepted_on": "3/11/26"}, "accept-accepted_on"),
        ("accept", {"accept-by_whom": "R", "accept-accepted_on": "3 Nov 2020"},
         "accept-accepted_on"),
        ("decline", {"decline-reason": ""}, "decline-reason"),
    ],
)  # fmt: skip
def test_a_mistake_on_the_quotes_page(
    client: TestClient, here: str, action: str, typed: dict[str, str], field: str
) -> None:
    form = fields(issue(client, here)) | typed
    answer = client.post(f"/quotes/1/{action}", data=form)
    assert answer.status_code == 422
    assert field in errors(answer)
    assert {name: fields(answer)[name] for name in typed} == typed
    assert "Waits for the customer" in answer.text


def test_declined_and_opened_again(client: TestClient, here: str) -> None:
    issue(client, here)
    declined = client.post("/quotes/1/decline", data={"decline-reason": "too dear"})
    assert "Declined: too dear" in declined.text
    assert client.post("/quotes/1/reopen", data={"reopen-reason": ""}).status_code == 422
    opened = client.post("/quotes/1/reopen", data={"reopen-reason": "wrong quote"})
    assert "Open again: wrong quote" in opened.text


def test_to_design_without_a_quote(client: TestClient, here: str) -> None:
    refused = client.post(f"{here}/without-quote", data={"reason": " "})
    assert refused.status_code == 422
    assert "reason" in errors(refused)
    client.post(f"{here}/without-quote", data={"reason": "ordered by telephone"})
    assert "Go to design without" not in client.get(here).text
    assert "ordered by telephone" in client.get("/jobs/1").text


@pytest.mark.parametrize(
    "address",
    [
        "/looms/9/price", "/looms/9/price/check", "/looms/9/price/draft.pdf", "/looms/9/parts",
        "/looms/9/parts.csv", "/quotes/9", "/quotes/9/quotation.pdf", "/quotes/x",
    ],
)  # fmt: skip
def test_what_is_not_there(client: TestClient, here: str, address: str) -> None:
    assert client.get(address).status_code == 404


@pytest.mark.parametrize(
    ("address", "data"),
    [
        ("/looms/9/price", {}),
        ("/looms/9/price/issue", {"once": "a" * 32, "seen_minor": "1", "seen": "1"}),
        ("/looms/9/price/without-quote", {"reason": "x"}),
        ("/quotes/9/accept", {"accept-by_whom": "x", "accept-accepted_on": "3 Nov 2026"}),
        ("/quotes/9/decline", {"decline-reason": "x"}),
        ("/quotes/9/reopen", {"reopen-reason": "x"}),
    ],
)
def test_nothing_is_written_to_what_is_not_there(
    client: TestClient, here: str, address: str, data: dict[str, str]
) -> None:
    assert client.post(address, data=data).status_code == 404


# --- paper ----------------------------------------------------------------------------------------


def test_the_quotation_on_paper(client: TestClient, here: str) -> None:
    save(
        client, here, discount_percent="5", customer_supplies="VHF radio leads\nsounder",
        **extra(0, "Roof plug and socket set", "6", "23.50"),
    )  # fmt: skip
    issued = issue(client, here)
    pdf = client.get("/quotes/1/quotation.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    assert page_sizes_mm(pdf.content) == A4_MM
    (page,) = page_texts(pdf.content)
    kept = _kept_words(issued)
    for words in (
        *kept,
        "-001-A",
        "Harbour Launch Club",
        "Roof plug and socket set 6 23.50 141.00",
        "Discount 5 %",
        "VAT 20 %",
        "VHF radio leads",
        "Accepted by",
        "12 V insulated return, design revision A",
    ):
        assert words in page
    for secret in ("argin", "verhead", "Materials", "Crimp", "Draft"):
        assert secret not in page
    (code,) = qr_codes(pdf.content)
    assert code.text.startswith("http://bench.invalid:8000/c/Q")


def _kept_words(issued: Response) -> list[str]:
    """Figures that the quote's page shows and the paper has to show too."""
    found = [text for text in issued.text.split(">") if text.startswith("£")]
    return [text.split("<")[0] for text in found if "." in text][:1]


def test_the_paper_of_an_issued_quote_stays_as_it_was(client: TestClient, here: str) -> None:
    issue(client, here)
    before = page_texts(client.get("/quotes/1/quotation.pdf").content)
    save(client, here, margin_percent="90", delivery="never")
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        session.get_one(Rates, 1).labour_minor_per_hour = 9900
    assert page_texts(client.get("/quotes/1/quotation.pdf").content) == before


def test_a_draft_says_so_and_has_nothing_to_sign(client: TestClient, here: str) -> None:
    (page,) = page_texts(client.get(f"{here}/draft.pdf").content)
    assert "DRAFT" in page.upper()
    assert "Accepted by" not in page


def test_without_the_text_library_the_page_says_what_is_missing(
    client: TestClient, here: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    issue(client, here)
    for module in (quote_pages, paper_render):
        monkeypatch.setattr(module, "available", lambda: PANGO_MISSING)
    page: Any = client.get("/quotes/1")
    assert "PDF needs the Pango text library" in page.text
    assert client.get("/quotes/1/quotation.pdf").status_code == 503
    paper = client.get("/quotes/1/quotation")
    assert paper.status_code == 200
    assert "Accepted by" in paper.text
    assert "Draft, not issued" in client.get(f"{here}/draft").text
