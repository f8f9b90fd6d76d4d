"""A change while the loom is built, through its pages: priced, accepted or given away, printed."""

import re

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.pages.launch import words
from tests.pages.reading import errors, fields
from tests.paper.reading import page_texts
from tests.stages.launch import Launch, sign_off
from tests.stages.priced import priced_launch
from webapp.database import writing
from webapp.stages import quotes
from webapp.stages.building import taking, units
from webapp.stages.building.bench import Entry
from webapp.stages.design import change_gate, revisions
from webapp.stages.design.commands import Change, changed, removed, write
from webapp.stages.design.rows import load


@pytest.fixture
def loom(client: TestClient) -> Launch:
    """Signed off, two units at build, a wire of the first cut."""
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        launch = priced_launch(session, quantity=3)
        sign_off(session, launch)
        first, *_ = units.start(session, launch.loom_id, launch.person_id, "full")
        taking.tick(session, first, Entry("k" * 32, "l4.0:cut", "done", launch.person_id))
        return launch


@pytest.fixture
def here(loom: Launch) -> str:
    return f"/looms/{loom.loom_id}/change"


def edit(client: TestClient, loom: Launch, *, out: bool = False) -> None:
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        revision_id = revisions.open_for_edit(session, loom.loom_id)
        design = load(session, revision_id)
        link = design.link["l4"]
        ends = [end for end in design.wire_end.values() if end.link_uid == "l4"]
        changes: list[Change] = [changed(link, csa_mm2=2.5, cable_part_uid="t-2.5")]
        if out:
            changes = [*map(removed, ends), removed(link)]
        write(session, revision_id, "Change", changes, loom.person_id)


def issue(client: TestClient, here: str, *unit_ids: int) -> Response:
    query = "&".join(["asked=1", *(f"unit-{one}=1" for one in unit_ids)])
    form = fields(client.get(f"{here}?{query}"))
    kept = {name: value for name, value in form.items() if not name.startswith("unit-")}
    return client.post(f"{here}/issue", data=kept | {f"unit-{one}": "1" for one in unit_ids})


def test_without_a_change_the_page_says_so(client: TestClient, here: str) -> None:
    page = words(client.get(here))
    assert "Revision A is signed off and nothing has been changed since." in page
    answer = client.post(f"{here}/issue", data={"once": "x" * 32, "seen_minor": "0"})
    assert answer.status_code == 422
    assert "nothing has been changed since" in words(answer)


def test_the_page_prices_the_units_that_are_chosen(
    client: TestClient, loom: Launch, here: str
) -> None:
    edit(client, loom)
    page = words(client.get(here))
    assert "from revision A, signed off, to revision B, draft" in page
    assert "Wire 4: conductor 2.5 mm² instead of 1.5 mm²." in page
    assert "at build, built to A; 1 tick undone" in page
    assert "What it costs 3 units" in page
    assert "Cut one wire to length, done already" in page
    one = words(client.get(f"{here}?asked=1&unit-2=1"))
    assert "What it costs 1 unit" in one
    assert "done already" not in one
    none = words(client.get(f"{here}?asked=1"))
    assert "Choose at least one unit that the change is for." in none
    assert "Issue the change quote" not in none


def test_issued_accepted_and_printed(client: TestClient, loom: Launch, here: str) -> None:
    edit(client, loom)
    answer = issue(client, here, 1, 2)
    assert re.fullmatch("/quotes/[0-9]+", answer.url.path)
    page = words(answer)
    assert "Change quote" in page
    assert "What changes from revision A to B, 2 units" in page
    assert "Deposit" not in page
    path = answer.url.path
    (text,) = page_texts(client.get(f"{path}/quotation.pdf").content)
    said = " ".join(text.split())
    for sentence in (
        "for a change",
        "Revision A to revision B, for 26-001-01, 26-001-02",
        "Wire 4: conductor 2.5 mm² instead of 1.5 mm².",
        "Main loom to revision B instead of A",
        "Work on the change begins when it is accepted.",
    ):
        assert sentence in said
    form = {"accept-by_whom": "R. Dunlin", "accept-accepted_on": "", "accept-note": ""}
    form["accept-accepted_on"] = fields(client.get(path))["accept-accepted_on"]
    answer = client.post(f"{path}/accept", data=form)
    assert "this change can be signed off" in answer.text
    assert "This change, exactly as it stands, is accepted with quote" in words(client.get(here))
    assert "change" in words(client.get(f"/looms/{loom.loom_id}/price"))


def test_a_credit_reads_as_one(client: TestClient, loom: Launch, here: str) -> None:
    edit(client, loom, out=True)
    page = words(client.get(f"{here}?asked=1&unit-2=1"))
    assert "What is given back 1 unit" in page
    assert "Credit −£" in page
    answer = issue(client, here, 2)
    (text,) = page_texts(client.get(f"{answer.url.path}/quotation.pdf").content)
    assert "What is given back" in text
    assert "Credit to you" in text
    assert "−£" in text or "-£" in text


def test_a_form_that_is_old_or_seen_otherwise_is_refused(
    client: TestClient, loom: Launch, here: str
) -> None:
    edit(client, loom)
    form = fields(client.get(here)) | {"unit-1": "1", "unit-2": "1", "unit-3": "1"}
    for wrong in ({"once": ""}, {"seen_minor": "much"}, {"seen_minor": "1"}, {"seen_design": ""}):
        answer = client.post(f"{here}/issue", data=form | wrong)
        assert answer.status_code == 422, wrong
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        assert quotes.of_loom(session, loom.loom_id) == ()


def test_no_charge_wants_a_reason_beside_its_field(
    client: TestClient, loom: Launch, here: str
) -> None:
    edit(client, loom)
    form = fields(client.get(here))
    answer = client.post(f"{here}/no-charge", data=form | {"free-reason": " "})
    assert answer.status_code == 422
    assert "free-reason" in errors(answer)
    answer = client.post(f"{here}/no-charge", data=form | {"free-reason": "x" * 401})
    assert fields(answer)["free-reason"] == "x" * 401
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        assert change_gate.no_charge_marks(session, loom.loom_id) == []
        sentence = change_gate.mark_no_charge(
            session, loom.loom_id, reason="our own mistake", seen=form["seen_design"],
            person_id=loom.person_id,
        )  # fmt: skip
    assert "is marked “no charge”" in words(client.get(here))
    job = words(client.get(f"/jobs/{loom.project_id}"))
    assert sentence in job


def test_what_is_not_there(client: TestClient, loom: Launch) -> None:
    for path in ("/looms/99/change", "/looms/99/change/draft.pdf"):
        assert client.get(path).status_code == 404
    here = f"/looms/{loom.loom_id}/change"
    assert client.get(f"{here}/draft.pdf").status_code == 404
    edit(client, loom)
    assert client.get(f"{here}/draft.pdf").content.startswith(b"%PDF")
    assert "for a change" in client.get(f"{here}/draft").text


def test_units_say_their_revision_wherever_they_are_listed(
    client: TestClient, loom: Launch
) -> None:
    edit(client, loom)
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        newer = revisions.latest(session, loom.loom_id).id
        revisions.freeze(session, newer, loom.person_id, None)
    before = words(client.get("/units/1/build"))
    assert "For this unit nothing beyond revision A is agreed with the customer" in before
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        units.move_to_revision(session, 1, newer, "wanted", loom.person_id)
    job = words(client.get(f"/jobs/{loom.project_id}"))
    assert "26-001-01 rev. B, build" in job
    assert "26-001-02 rev. A, build" in job
    assert "26-001-01 revision B, at build" in words(client.get(f"/looms/{loom.loom_id}/papers"))
    assert "26-001-01 B build" in words(client.get(f"/looms/{loom.loom_id}/test"))
    assert "Unit 1 rev. B Unit 2 rev. A" in words(client.get("/units/1/build"))
    assert "revision B" in words(client.get("/search?q=26-001-0"))
    for paper in ("bench-sheet", "test-sheet"):
        text = " ".join(page_texts(client.get(f"/units/1/papers/{paper}.pdf").content)[0].split())
        assert "Revision B" in text, paper
    superseded = words(client.get("/units/1/journal"))
    assert "superseded revision B changed this" in superseded
