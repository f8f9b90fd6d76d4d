"""Labels: which there are, on which sheet, and that they can be read again."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import read, start, with_launch, write
from tests.pages.reading import errors, fields
from tests.paper.reading import page_sizes_mm, page_texts, qr_codes
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.stages import label_sheets, received, workshop
from webapp.stages.clock import today
from webapp.stages.testing import readings
from webapp.stages.testing.readings import Measured


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


def sheet_id(client: TestClient, kind: str) -> int:
    sheets = read(client, label_sheets.everything)
    return next(one.id for one in sheets if one.values.kind == kind)


def counts(page: str) -> dict[str, int]:
    """How many labels of each kind the page offers."""
    row = re.compile(r'for="set-([a-z-]+)".*?<td class="n">(\d+)</td>', re.S)
    return {slug: int(count) for slug, count in row.findall(page)}


def test_every_stage_has_its_labels(client: TestClient, loom: Launch) -> None:
    start(client, loom)
    with write(client) as session:
        received.add(session, loom.project_id, what="VHF lead", quantity=1, from_whom="the club",
                     received_on=today(), condition="", person_id=1)  # fmt: skip
    page = client.get(f"/looms/{loom.loom_id}/labels").text
    assert counts(page) == {
        "job-ticket": 1,
        "customer-parts": 1,
        "wire-tags": 20,
        "plug-tags": 2,
        "branch-tags": 3,
        "cable-tags": 0,
        "cut-bundles": 7,
        "kit-bags": 2,
        "part-bins": 9,
        "travellers": 2,
        "verdicts": 0,
        "fuse-charts": 1,
        "hand-over": 2,
    }


def test_wire_tags_carry_number_destination_and_letters(client: TestClient, loom: Launch) -> None:
    sheet = sheet_id(client, "roll")
    answer = client.get(f"/looms/{loom.loom_id}/labels.pdf?set=wire-tags&sheet={sheet}&start=1&copies=1")  # fmt: skip  # noqa: E501
    assert answer.headers["content-type"] == "application/pdf"
    texts = page_texts(answer.content)
    assert len(texts) == 20
    assert len(set(page_sizes_mm(answer.content))) == 1
    tags = [text for text in texts if "2A" in text.split()]
    assert len(tags) == 2
    assert any("Engine plug · 1" in text for text in tags)
    assert any("Pump fuse · out" in text for text in tags)
    assert all("BN/RD" in text for text in tags)


def test_labels_start_where_the_sheet_is_free_and_their_codes_are_read(
    client: TestClient, loom: Launch
) -> None:
    unit_id = start(client, loom)[0]
    with write(client) as session:
        sheets = label_sheets.everything(session)
        sheet = max(
            (one for one in sheets if one.values.kind == "sheet"), key=lambda s: s.values.width_mm
        )
    answer = client.get(f"/units/{unit_id}/labels.pdf?set=travellers&set=hand-over&sheet={sheet.id}&start=2&copies=2")  # fmt: skip  # noqa: E501
    assert page_sizes_mm(answer.content)[0] == (210.0, 297.0)
    codes = [code.text for code in qr_codes(answer.content)]
    assert len(codes) == 4
    assert len(set(codes)) == 1
    (address,) = set(codes)
    assert re.fullmatch(r"http://bench\.invalid:8000/c/U[2-9A-Z]{5}", address)
    assert "26-001-01" in page_texts(answer.content)[0]
    assert client.get(address.removeprefix("http://bench.invalid:8000")).url.path.startswith(
        f"/units/{unit_id}"
    )


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("set=wire-tags&start=1&copies=1", "sheet"),
        ("set=wire-tags&sheet=999&start=1&copies=1", "sheet"),
        ("sheet=1&start=1&copies=1", "set"),
        ("set=nothing&sheet=1&start=1&copies=1", "set"),
        ("set=wire-tags&sheet=1&start=0&copies=1", "start"),
        ("set=wire-tags&sheet=1&start=9999&copies=1", "start"),
        ("set=wire-tags&sheet=1&start=x&copies=1", "start"),
        ("set=wire-tags&sheet=1&start=1&copies=999", "copies"),
        ("set=verdicts&sheet=1&start=1&copies=1", "set"),
    ],
)
def test_what_cannot_be_printed_is_said_beside_its_field(
    client: TestClient, loom: Launch, query: str, field: str
) -> None:
    answer = client.get(f"/looms/{loom.loom_id}/labels.pdf?{query}")
    assert answer.status_code == 422
    assert f'href="#{field}"' in answer.text
    if field != "set":
        assert errors(answer)[field]
    if "set=wire-tags" in query:
        assert fields(answer)["set"] == "wire-tags"


def test_a_failed_unit_is_tagged_failed_and_a_done_one_passed(
    client: TestClient, loom: Launch
) -> None:
    first, second = start(client, loom)
    with write(client) as session:
        passing.finish(session, loom, first)
        passing.build(session, loom, second)
        readings.record(session, second, Measured("n-lamp:function", verdict="fail"),
                        key="f" * 32, person_id=1)  # fmt: skip
    sheet = sheet_id(client, "sheet")
    answer = client.get(f"/looms/{loom.loom_id}/labels.pdf?set=verdicts&sheet={sheet}&start=1&copies=1")  # fmt: skip  # noqa: E501
    (text,) = page_texts(answer.content)
    for word in ("PASSED", "26-001-01", "FAILED", "26-001-02"):
        assert word in text


def test_printing_warns_while_the_address_is_loopback(client: TestClient, loom: Launch) -> None:
    assert "QR codes lead nowhere yet" not in client.get(f"/looms/{loom.loom_id}/labels").text
    with write(client) as session:
        now = workshop.get(session)
        opened = {name: getattr(now, name) for name in now.__dataclass_fields__}
        workshop.edit(session, opened, opened | {"address_url": "http://127.0.0.1:8000"})
    assert "QR codes lead nowhere yet" in client.get(f"/looms/{loom.loom_id}/labels").text


@pytest.mark.parametrize("path", ["/looms/9/labels", "/units/9/labels", "/units/9/labels.pdf"])
def test_what_is_not_there_is_not_found(client: TestClient, loom: Launch, path: str) -> None:
    assert client.get(path).status_code == 404
