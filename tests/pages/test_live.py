"""What an open page of a loom is told of what others do meanwhile."""

import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from tests.pages.conftest import ClientMaker
from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.database import make_engine, writing
from webapp.pages.presence import SEEN_WITHIN_S, Here, Presence
from webapp.settings import Settings
from webapp.stages import people
from webapp.stages.design import revisions
from webapp.stages.design.editing import wires
from webapp.stages.design.editing.edit import save

__all__ = ["designed_db"]
WIRE = min(PROPOSED.link.values(), key=lambda link: link.number)
ADA, BO = "a" * 32, "b" * 32


@pytest.fixture
def two(settings: Settings, designed_db: Path, client_with: ClientMaker) -> TestClient:
    """A workshop of two with a proposed loom; Ada is chosen."""
    shutil.copyfile(designed_db, settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        people.add(session, name="Bo Finch", initials="BF", role="office")
    engine.dispose()
    client = client_with()
    client.cookies.set("person", "1")
    return client


def engine_of(client: TestClient) -> Engine:
    engine: Engine = client.app.state.engine  # type: ignore[attr-defined]
    return engine


def mark(client: TestClient) -> str:
    found = re.search(r'data-mark="([\d.-]+)"', client.get(f"{LOOM}/wires").text)
    assert found
    return found.group(1)


def poll(client: TestClient, mark: str, tab: str = ADA, **more: str) -> Any:
    asked = {"tab": tab, "mark": mark, "page": "wires"} | more
    return client.get(f"{LOOM}/live", params=asked, headers={"Accept": "application/json"})


def note(client: TestClient, text: str, person: int) -> None:
    with writing(engine_of(client)) as session:
        save(session, 1, wires.note(WIRE.uid, text, WIRE.note), person)


@contextmanager
def counted(engine: Engine) -> Iterator[list[str]]:
    asked: list[str] = []

    def count(_c: Any, _cursor: Any, statement: str, *_: Any) -> None:
        asked.append(statement)

    event.listen(engine, "before_cursor_execute", count)
    yield asked
    event.remove(engine, "before_cursor_execute", count)


def scans(client: TestClient, statements: list[str]) -> list[str]:
    """The steps of these statements that read a whole table."""
    steps: list[str] = []
    with writing(engine_of(client)) as session:
        for each in statements:
            plan = session.connection().exec_driver_sql(
                "EXPLAIN QUERY PLAN " + each, (1,) * each.count("?")
            )
            steps += [row[-1] for row in plan]
    return [step for step in steps if step.startswith("SCAN") and "CONSTANT ROW" not in step]


def test_nothing_new_costs_two_statements_on_indexes(two: TestClient) -> None:
    now = mark(two)
    with counted(engine_of(two)) as asked:
        answer = poll(two, now)
    assert answer.status_code == 204
    assert answer.content == b""
    selects = [each for each in asked if each.startswith("SELECT")]
    # The people and the workshop's ways of writing stand before every page.
    own = [each for each in selects if "FROM person" not in each and "workshop" not in each]
    assert len(own) == 2
    assert len(selects) <= 4
    assert scans(two, own) == []


def test_what_another_did_is_said_with_the_name(two: TestClient) -> None:
    before = mark(two)
    note(two, "behind the panel", 2)
    answer = poll(two, before).json()
    (done,) = answer["done"]
    assert done["by"] == "Bo Finch"
    assert done["words"] == f"Bo Finch: Wire {WIRE.number}: note."
    assert answer["mark"] == mark(two) != before
    assert poll(two, answer["mark"]).status_code == 204


def test_an_undo_says_whose_edit_was_taken_back(two: TestClient) -> None:
    note(two, "behind the panel", 1)
    before = mark(two)
    two.cookies.set("person", "2")
    two.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    two.cookies.set("person", "1")
    (done,) = poll(two, before).json()["done"]
    assert done["words"].startswith("Bo Finch took back your edit: ")
    two.cookies.set("person", "2")
    (own,) = poll(two, before).json()["done"]
    assert own["words"].startswith("Bo Finch took back an edit: ")


def test_a_sign_off_by_another_is_said(two: TestClient) -> None:
    before = mark(two)
    with writing(engine_of(two)) as session:
        revisions.freeze(session, revisions.latest(session, 1).id, 2, figures={})
    answer = poll(two, before).json()
    assert answer["signedOff"].startswith("Revision A was signed off")
    note(two, "in the next revision", 2)
    later = poll(two, answer["mark"]).json()
    assert later["signedOff"] == ""
    assert len(later["done"]) == 1


def test_an_edits_answer_names_what_it_wrote(two: TestClient) -> None:
    sent = {"field": "note", "value": "behind the panel", "seen": WIRE.note}
    headers = {"HX-Request-Type": "partial"}
    answer = two.post(f"{LOOM}/wires/{WIRE.uid}", data=sent, headers=headers)
    (done,) = poll(two, "1.1.0.0").json()["done"]
    assert f'data-wrote="{done["id"]}"' in answer.text
    again = two.post(f"{LOOM}/wires/{WIRE.uid}", data=sent, headers=headers)
    assert 'data-wrote=""' in again.text


def test_who_else_is_here(two: TestClient) -> None:
    now = mark(two)
    assert poll(two, now, ADA).status_code == 204
    two.cookies.set("person", "2")
    bo = poll(two, now, BO, page="runs").json()
    assert bo["here"] == [{"name": "Ada Quill", "page": "wires"}]
    assert poll(two, now, BO, page="runs", others=bo["others"]).status_code == 204
    two.cookies.set("person", "1")
    assert poll(two, now, ADA).json()["here"] == [{"name": "Bo Finch", "page": "runs"}]
    # The same person at another device is no other.
    assert poll(two, now, "c" * 32, page="runs").json()["here"] == [
        {"name": "Bo Finch", "page": "runs"}
    ]


def test_who_is_gone_is_forgotten() -> None:
    now = [100.0]
    presence = Presence(lambda: now[0])
    ada, bo = Here("Ada Quill", "wires"), Here("Bo Finch", "runs")
    assert presence.seen("a", 1, 1, ada) == ()
    assert presence.seen("b", 1, 2, bo) == (ada,)
    assert presence.seen("c", 2, 3, bo) == ()
    now[0] += SEEN_WITHIN_S + 0.1
    assert presence.seen("b", 1, 2, bo) == ()


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        ({"mark": "no mark"}, 200),
        ({"mark": "x" * 200}, 422),
        ({"mark": "1.1.0.0", "tab": "<b>"}, 422),
        ({"mark": "1.1.0.0", "page": "../.."}, 422),
    ],
)
def test_what_no_page_asks_changes_nothing(
    two: TestClient, asked: dict[str, str], status: int
) -> None:
    answer = poll(two, **asked)
    assert answer.status_code == status
    if status == 200:
        assert answer.json()["done"] == []


def test_a_loom_that_is_not_there(two: TestClient) -> None:
    asked = {"tab": ADA, "mark": "1.1.0.0", "page": "wires"}
    assert two.get("/looms/99/live", params=asked).status_code == 404


def test_a_look_leaves_the_notice_to_the_page_that_is_coming(two: TestClient) -> None:
    page = two.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"}, follow_redirects=False)
    assert page.status_code == 303
    look = two.get(f"{LOOM}/wires", headers={"Live-Look": "1"})
    assert "Taken back" not in look.text
    assert "Taken back" in two.get(f"{LOOM}/wires").text
