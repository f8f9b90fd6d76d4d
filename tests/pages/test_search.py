import re

import pytest
from starlette.testclient import TestClient

from tests.pages.test_jobs import NEW


@pytest.fixture
def job(office: TestClient) -> str:
    page = office.post("/jobs/new", data=NEW).text
    code = re.search(r"J[2-9A-Z]{5}", page)
    assert code
    return code.group()


def test_search_groups_what_it_finds(office: TestClient, job: str) -> None:
    page = office.get("/search?q=dunlin").text
    assert 'href="/jobs/1"' in page
    assert 'href="/customers/1"' in page
    assert "Nothing found" in office.get("/search?q=tractor").text
    assert "What are you looking for?" in office.get("/search?q=").text


def test_a_lone_code_or_number_goes_straight_there(office: TestClient, job: str) -> None:
    number = re.search(r"\d\d-001", office.get("/jobs").text)
    assert number
    for text in (job, job.lower(), f"{job[:3]} {job[3:]}", number.group()):
        assert office.get("/search", params={"q": text}).url.path == "/jobs/1"


def test_strange_searches_are_answered(office: TestClient, job: str) -> None:
    for text in ("%", "'; --", "<script>", "x" * 5000, "\x00", "🚤"):
        answer = office.get("/search", params={"q": text})
        assert answer.status_code == 200
        assert "<script>" not in answer.text.split("<main")[1]


def test_a_permanent_address_leads_to_what_it_names(office: TestClient, job: str) -> None:
    assert office.get(f"/c/{job}").url.path == "/jobs/1"
    loom = re.search(r"L[2-9A-Z]{5}", office.get("/jobs/1").text)
    assert loom
    assert office.get(f"/c/{loom.group()}").url.path in ("/jobs/1", "/looms/1/needs")
    answer = office.get("/c/J22222")
    assert answer.status_code == 404
    assert "J22222" in answer.text
