"""Two revisions side by side, through the page."""

import pytest
from starlette.testclient import TestClient

from tests.pages.launch import words
from tests.stages.launch import Launch, sign_off
from tests.stages.priced import priced_launch
from webapp.database import writing
from webapp.stages.building import taking, units
from webapp.stages.building.bench import Entry
from webapp.stages.design import revisions
from webapp.stages.design.commands import added, changed, removed, write
from webapp.stages.design.rows import Link, load


@pytest.fixture
def loom(client: TestClient) -> Launch:
    """Signed off, two units at build, one wire of the first one cut and half made."""
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        launch = priced_launch(session, quantity=2)
        sign_off(session, launch)
        first, _ = units.start(session, launch.loom_id, launch.person_id, "full")
        for number, step in enumerate(("l4.0:cut", "l4:from:thread", "l1.0:cut")):
            entry = Entry(f"{number:032d}", step, "done", launch.person_id)
            taking.tick(session, first, entry)
        return launch


@pytest.fixture
def draft(client: TestClient, loom: Launch) -> int:
    """Revision B: a wire changed, one taken out, one added."""
    with writing(client.app.state.engine) as session:  # type: ignore[attr-defined]
        newer = revisions.open_for_edit(session, loom.loom_id)
        design = load(session, newer)
        new = Link(
            uid="l9", number=9, circuit_uid="c1", from_way_uid="switch.out",
            to_way_uid="lamp.+", route=("r3",), csa_mm2=1.5, main="blue",
        )  # fmt: skip
        changes = [
            changed(design.link["l4"], csa_mm2=2.5, main="green"),
            removed(design.link["l8"]),
            added(new),
        ]
        write(session, newer, "Change the lamp", changes, loom.person_id)
        return newer


def test_the_page_draws_what_differs_and_names_the_ticks(
    client: TestClient, loom: Launch, draft: int
) -> None:
    answer = client.get(f"/looms/{loom.loom_id}/revisions")
    page = words(answer)
    assert "from revision A, signed off, to revision B, draft" in page
    assert "Wires 1 added, 1 removed, 1 changed" in page
    assert "conductor: 1.5 mm² is now 2.5 mm²" in page
    # Drawn as itself, before and after; once where it was added or removed.
    table = answer.text.split('<table class="wires compared">')[1].split("</table>")[0]
    assert table.count("<svg") == 4
    assert "Price, before discount and VAT" in page
    assert "built to revision A, at build: 2 ticks" in page
    assert "built to revision A, at build: 0 ticks" in page
    assert "AM" in page.split("Which, and who ticked them")[1]


def test_the_other_way_round_is_the_reverse(client: TestClient, loom: Launch, draft: int) -> None:
    page = words(client.get(f"/looms/{loom.loom_id}/revisions?from=B&to=A"))
    assert "Wires 1 added, 1 removed, 1 changed" in page
    assert "conductor: 2.5 mm² is now 1.5 mm²" in page
    same = words(client.get(f"/looms/{loom.loom_id}/revisions?from=b&to=b"))
    assert "Nothing differs" in same


def test_a_first_revision_and_one_that_is_not_there(client: TestClient, loom: Launch) -> None:
    here = f"/looms/{loom.loom_id}/revisions"
    assert "This is the first revision" in words(client.get(here))
    assert client.get(f"{here}?to=Q").status_code == 404
    assert client.get("/looms/99/revisions").status_code == 404
