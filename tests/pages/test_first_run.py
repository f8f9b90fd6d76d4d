import pytest
from starlette.testclient import TestClient

from tests.pages.reading import errors, fields

GOOD = {"name": "Tern Lane Looms", "currency": "£", "person_name": "Ada Quill", "initials": "AQ"}


@pytest.mark.parametrize(
    "path", ["/", "/jobs", "/jobs/new", "/settings", "/search?q=x", "/c/J22222"]
)
def test_every_page_leads_here_first(client: TestClient, path: str) -> None:
    answer = client.get(path, follow_redirects=False)
    assert answer.status_code in (303, 307)
    assert client.get(path).url.path == "/first-run"


def test_a_write_leads_here_too_and_changes_nothing(client: TestClient) -> None:
    answer = client.post("/customers/new", data={"name": "Dunlin"}, follow_redirects=False)
    assert answer.headers["location"] == "/first-run"
    client.post("/first-run", data=GOOD)
    assert "No customers yet" in client.get("/customers").text


def test_set_up_chooses_the_owner_and_says_what_comes_first(client: TestClient) -> None:
    answer = client.post("/first-run", data=GOOD)
    assert answer.url.path == "/jobs"
    assert "Tern Lane Looms is set up." in answer.text
    assert "No open jobs" in answer.text
    assert "Begin a job" in answer.text
    assert client.cookies["person"] == "1"
    assert client.get("/first-run").url.path == "/jobs"


@pytest.mark.parametrize("field", sorted(GOOD))
def test_what_is_missing_is_named_beside_its_field(client: TestClient, field: str) -> None:
    answer = client.post("/first-run", data=GOOD | {field: "", "phone": "01 234"})
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    assert fields(answer)["phone"] == "01 234"
    assert client.get("/jobs").url.path == "/first-run"


def test_it_works_once(office: TestClient) -> None:
    answer = office.post("/first-run", data=GOOD | {"name": "Other"})
    assert answer.status_code == 422
    assert "set up already" in answer.text
    assert "Tern Lane Looms" in office.get("/settings").text
