import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from tests.pages.reading import errors, fields
from webapp.database import writing
from webapp.records.jobs import Loom
from webapp.stages.clock import today
from webapp.stages.design import revisions

NEW = {
    "new_customer": "Dunlin Day Boats",
    "title": "Day launch",
    "equipment": "6.4 m",
    "setting": "craft",
    "nominal_v": "12",
    "polarity": "insulated return",
    "due_on": "12 Dec 2026",
    "notes": "",
    "loom_name": "main loom",
    "loom_quantity": "6",
}


@pytest.fixture
def job(office: TestClient) -> str:
    answer = office.post("/jobs/new", data=NEW)
    assert answer.status_code == 200
    return answer.url.path


def sign_off(client: TestClient) -> None:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        loom_id = session.scalars(select(Loom.id)).one()
        revisions.freeze(session, revisions.latest(session, loom_id).id, 1, {})


def test_a_job_is_begun_with_customer_and_loom(office: TestClient, job: str) -> None:
    page = office.get(job).text
    for words in ("-001 Day launch", "Dunlin Day Boats", "main loom", "due 12 Dec 2026"):
        assert words in page
    lists = office.get("/jobs").text
    assert "Day launch" in lists
    assert "6 off" in lists


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"new_customer": ""}, "customer_id"),
        ({"title": ""}, "title"),
        ({"nominal_v": ""}, "nominal_v"),
        ({"nominal_v": "13"}, "nominal_v"),
        ({"polarity": "none"}, "polarity"),
        ({"due_on": "3/11/2026"}, "due_on"),
        ({"loom_name": ""}, "loom_name"),
        ({"loom_quantity": "0"}, "loom_quantity"),
        ({"loom_quantity": "six"}, "loom_quantity"),
    ],
)
def test_a_wrong_field_is_named_and_everything_typed_kept(
    office: TestClient, job: str, wrong: dict[str, str], field: str
) -> None:
    typed = NEW | {"new_customer": "Other", "notes": "one\ntwo"} | wrong
    answer = office.post("/jobs/new", data=typed)
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    shown = fields(answer)
    for name, value in typed.items():
        if name not in ("nominal_v", "polarity"):
            assert shown[name] == value
    assert "Other" not in office.get("/customers").text


def test_a_new_customer_is_not_kept_when_the_job_is_refused(office: TestClient, job: str) -> None:
    answer = office.post("/jobs/new", data=NEW | {"customer_id": "99", "new_customer": ""})
    assert answer.status_code == 422
    assert "customer_id" in errors(answer)
    both = office.post("/jobs/new", data=NEW | {"customer_id": "1"})
    assert "new_customer" in errors(both)
    taken = office.post("/jobs/new", data=NEW)
    assert "already" in errors(taken)["new_customer"]


def test_a_customer_can_be_chosen(office: TestClient, job: str) -> None:
    form = fields(office.get("/jobs/new?customer=1"))
    assert form["customer_id"] == "1"
    values = NEW | {"new_customer": "", "customer_id": "1", "title": "Roof"}
    assert office.post("/jobs/new", data=values).status_code == 200
    page = office.get("/customers/1").text
    assert "Roof" in page
    assert "Day launch" in page


def test_overdue_jobs_are_marked(office: TestClient) -> None:
    office.post("/jobs/new", data=NEW | {"due_on": "2020-01-01"})
    assert "overdue" in office.get("/jobs").text


def test_the_card_is_changed_and_clashes_are_shown(office: TestClient, job: str) -> None:
    first, second = (fields(office.get(f"{job}/edit")) for _ in range(2))
    office.post(f"{job}/edit", data=first | {"due_on": "13 Dec 2026", "notes": "a\r\nb"})
    answer = office.post(f"{job}/edit", data=second | {"due_on": "", "title": "Launch"})
    assert answer.status_code == 409
    assert "13 Dec 2026" in answer.text
    office.post(f"{job}/edit", data=fields(answer))
    now = fields(office.get(f"{job}/edit"))
    assert (now["due_on"], now["title"], now["notes"]) == ("13 Dec 2026", "Launch", "a\nb")
    assert "Changed on the job" in office.get(job).text


def test_a_refused_card_keeps_what_was_typed(office: TestClient, job: str) -> None:
    form = fields(office.get(f"{job}/edit"))
    answer = office.post(f"{job}/edit", data=form | {"title": "", "notes": "kept"})
    assert answer.status_code == 422
    assert list(errors(answer)) == ["title"]
    assert fields(answer)["notes"] == "kept"
    answer = office.post(f"{job}/edit", data=form | {"customer_id": "99"})
    assert list(errors(answer)) == ["customer_id"]


def test_a_signed_off_design_fixes_voltage_and_polarity(office: TestClient, job: str) -> None:
    before = fields(office.get(f"{job}/edit"))
    sign_off(office)
    assert "signed off for the bench" in office.get(f"{job}/edit").text
    answer = office.post(f"{job}/edit", data=before | {"nominal_v": "24"})
    assert answer.status_code == 422
    assert "signed off" in errors(answer)["nominal_v"]
    page = fields(office.get(f"{job}/edit"))
    assert office.post(f"{job}/edit", data=page | {"title": "New title"}).status_code == 200


def test_looms_are_added_and_changed(office: TestClient, job: str) -> None:
    answer = office.post(f"{job}/looms", data={"loom-name": "main loom", "loom-quantity": "0"})
    assert answer.status_code == 422
    assert list(errors(answer)) == ["loom-quantity"]
    assert fields(answer)["loom-name"] == "main loom"
    answer = office.post(f"{job}/looms", data={"loom-name": "Main Loom", "loom-quantity": "1"})
    assert "already" in errors(answer)["loom-name"]
    assert (
        "roof" in office.post(f"{job}/looms", data={"loom-name": "roof", "loom-quantity": "2"}).text
    )
    first, second = (fields(office.get("/looms/2/edit")) for _ in range(2))
    assert office.post("/looms/2/edit", data=first | {"quantity": "3"}).url.path == job
    assert office.post("/looms/2/edit", data=second | {"quantity": "4"}).status_code == 409
    answer = office.post("/looms/2/edit", data=second | {"name": "", "quantity": "2"})
    assert answer.status_code == 422
    answer = office.post("/looms/2/edit", data=second | {"name": "main loom"})
    assert "already" in errors(answer)["name"]


def test_parts_that_came_in_get_a_code(office: TestClient, job: str) -> None:
    good = {
        "part-what": "VHF lead",
        "part-quantity": "2",
        "part-from_whom": "Mr Dunlin",
        "part-received_on": "3 Nov 2026",
        "part-condition": "new",
    }
    for name, value in (("what", ""), ("quantity", "0"), ("received_on", "")):
        answer = office.post(f"{job}/received", data=good | {f"part-{name}": value})
        assert answer.status_code == 422
        assert list(errors(answer)) == [f"part-{name}"]
        assert fields(answer)["part-condition"] == "new"
    page = office.post(f"{job}/received", data=good).text
    assert "Written down under P" in page
    assert "3 Nov 2026" in page


def test_the_journal_takes_a_sentence(office: TestClient, job: str) -> None:
    assert office.post(f"{job}/journal", data={"sentence": " "}).status_code == 422
    page = office.post(f"{job}/journal", data={"sentence": "Rang Mr Dunlin <b>."}).text
    assert "Rang Mr Dunlin &lt;b&gt;." in page
    assert "Ada Quill" in page


def test_a_job_is_begun_from_an_old_one(office: TestClient, job: str) -> None:
    answer = office.post(f"{job}/again")
    assert answer.url.path == "/jobs/2/edit"
    form = fields(answer)
    assert (form["title"], form["due_on"]) == ("Day launch", "")
    assert "main loom" in office.get("/jobs/2").text


def test_past_jobs_are_filtered(office: TestClient, job: str) -> None:
    year = today().year
    for query in ("", "text=dunlin+launch", f"year={year}", "customer=1"):
        assert "Day launch" in office.get(f"/past?{query}").text
    for query in ("text=tractor", f"year={year - 1}", "customer=7"):
        answer = office.get(f"/past?{query}")
        assert answer.status_code == 200
        assert "No such job" in answer.text
    assert office.get("/past?year=soon").status_code == 422
    part = office.get("/past?text=launch", headers={"HX-Request-Type": "partial"}).text
    assert "Day launch" in part
    assert "<html" not in part


def test_nobody_chosen_is_asked_and_nothing_lost(office: TestClient, job: str) -> None:
    office.post("/people", data={"name": "Tom Hale", "initials": "TH", "role": "bench"})
    office.cookies.clear()
    answer = office.post(f"{job}/journal", data={"sentence": "Rang."})
    assert answer.status_code == 409
    assert fields(answer)["sentence"] == "Rang."
    assert "Rang." not in office.get(job).text
    office.post(f"{job}/journal", data={"sentence": "Rang.", "who": "2"})
    assert "Rang." in office.get(job).text


@pytest.mark.parametrize(
    "path", ["/jobs/9", "/jobs/9/edit", "/looms/9", "/looms/9/edit", "/units/9", "/jobs/x"]
)
def test_what_is_not_there(office: TestClient, path: str) -> None:
    assert office.get(path).status_code == 404


@pytest.mark.parametrize(
    ("path", "data"),
    [
        ("/jobs/9/looms", {"loom-name": "x", "loom-quantity": "1"}),
        (
            "/jobs/9/received",
            {"part-what": "x", "part-quantity": "1", "part-received_on": "3 Nov 2026"},
        ),
        ("/jobs/9/journal", {"sentence": "x"}),
        ("/jobs/9/again", {}),
    ],
)
def test_nothing_is_written_to_a_job_that_is_not_there(
    office: TestClient, path: str, data: dict[str, str]
) -> None:
    assert office.post(path, data=data).status_code == 404


def test_a_loom_leads_to_a_page_that_exists(office: TestClient, job: str) -> None:
    answer = office.get("/looms/1")
    assert answer.status_code == 200
    assert answer.url.path in ("/jobs/1", "/looms/1/needs")


def test_a_form_that_is_sent_twice_is_written_once(office: TestClient) -> None:
    for _ in range(2):
        assert office.post("/jobs/new", data=NEW | {"once": "k1"}).url.path == "/jobs/1"
        assert office.post("/jobs/1/again", data={"once": "k2"}).url.path == "/jobs/2/edit"
        part = {"part-what": "lead", "part-quantity": "1", "part-received_on": "3 Nov 2026"}
        office.post("/jobs/1/received", data=part | {"once": "k3"})
        office.post("/jobs/1/journal", data={"sentence": "Rang.", "once": "k4"})
    page = office.get("/jobs/1").text
    assert page.count("<td>Rang.</td>") == 1
    assert page.count(">lead</th>") == 1
    assert office.get("/jobs/3").status_code == 404
