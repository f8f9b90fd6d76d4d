"""The feed of the bench: cheap while nothing is new, and then whatever another tablet needs."""

import json
from typing import Any

import pytest
from sqlalchemy import Engine, event
from starlette.testclient import TestClient

from tests.pages.bench_client import entry, start, with_launch, write
from tests.pages.test_bench_page import attribute, page_of
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.stages import people
from webapp.stages.building import depth_change

FEED = "/looms/1/bench/feed"
MY_TAB, OTHER_TAB = "a" * 16, "b" * 16


@pytest.fixture
def loom(client: TestClient) -> Launch:
    made = with_launch(client)
    start(client, made)
    with write(client) as session:
        people.add(session, name="Bo Finch", initials="BF", role="bench")
    client.cookies.set("person", "1")
    return made


def poll(client: TestClient, **asked: Any) -> Any:
    known = {"seen": 0, "met": 0, "tab": MY_TAB, "unit": 1, "at": "Cut, Boat cable 1.5"} | asked
    return client.get(FEED, params=known, headers={"Accept": "application/json"})


def test_an_unchanged_bench_costs_one_statement(client: TestClient, loom: Launch) -> None:
    mark = attribute(page_of(client), "data-mark")
    assert poll(client, mark=mark).status_code == 204
    asked: list[str] = []
    engine: Engine = client.app.state.engine  # type: ignore[attr-defined]
    event.listen(engine, "before_cursor_execute", lambda *args: asked.append(args[2]), named=False)
    assert poll(client, mark=mark).status_code == 204
    of_bench = [sql for sql in asked if "tick" in sql]
    assert len(of_bench) == 1


def test_ticks_of_others_come_with_all_that_a_row_shows(client: TestClient, loom: Launch) -> None:
    mark = attribute(page_of(client), "data-mark")
    sent = entry("l1.0:cut", height_mm=1.5)
    client.post("/units/2/ticks", json={"ticks": [sent]})
    client.post("/units/2/ticks", json={"ticks": [entry("l2.0:cut", state="held", note="none")]})
    news = poll(client, mark=mark).json()
    assert news["last"] == 2
    assert news["mark"] != mark
    cut, held = news["ticks"]
    assert cut == cut | {
        "id": 1,
        "unit_id": 2,
        "step_uid": "l1.0:cut",
        "state": "done",
        "who": "AM",
        "person_id": 1,
        "height_mm": 1.5,
        "pull_n": None,
    }
    assert len(cut["when"]) == len("10:14")
    assert (held["state"], held["note"]) == ("held", "none")
    assert poll(client, mark=news["mark"], seen=2).status_code == 204
    # An answer that was lost on its way is given again.
    assert poll(client, mark=mark).json()["ticks"] == news["ticks"]
    assert poll(client, mark="", seen=1).json()["ticks"] == [held]


def test_meetings_and_set_ups_are_told(client: TestClient, loom: Launch) -> None:
    client.post("/units/1/ticks", json={"ticks": [entry("l1.0:cut", seen=0)]})
    mark = poll(client, mark="").json()["mark"]
    client.post("/units/1/ticks", json={"ticks": [entry("l1.0:cut", seen=0)]})
    news = poll(client, mark=mark, seen=1).json()
    assert news["ticks"] == []
    assert news["met"] == 1
    assert news["meetings"][0]["step_uid"] == "l1.0:cut"
    assert news["meetings"][0]["words"].startswith("unit 1, Wire 1: Cut 100 mm: done by AM")
    assert news["setups"] == {}
    with write(client) as session:
        passing.set_up_crimps(session, loom, 1)
    now = poll(client, mark=news["mark"], seen=1, met=1).json()
    assert now["meetings"] == []
    assert now["setups"]["t-tab|2.5"]["ready"] is True


def test_who_works_on_what(client: TestClient, loom: Launch) -> None:
    mine = poll(client, mark="").json()
    assert mine["people"] == []
    client.cookies.set("person", "2")
    theirs = poll(client, tab=OTHER_TAB, unit=2, at="Crimp, ring M8 on 4 mm²", mark="").json()
    assert theirs["people"] == [{"name": "Ada Marr", "unit": "unit 1", "at": "Cut, Boat cable 1.5"}]
    client.cookies.set("person", "1")
    news = poll(client, mark=mine["mark"]).json()
    assert news["people"] == [
        {"name": "Bo Finch", "unit": "unit 2", "at": "Crimp, ring M8 on 4 mm²"}
    ]
    assert poll(client, mark=news["mark"]).status_code == 204


def test_what_the_list_of_each_unit_is_made_from(client: TestClient, loom: Launch) -> None:
    page = page_of(client)
    own = json.loads(attribute(page, "data-lists"))
    lists = poll(client, mark="").json()["lists"]
    assert lists["1"] == own["1"] == f"{loom.revision_id} full build"
    with write(client) as session:
        depth_change.change(session, 1, "short", "it is a plain one", loom.person_id)
    now = poll(client, mark=attribute(page, "data-mark")).json()["lists"]
    assert now == lists | {"1": f"{loom.revision_id} short build"}


def test_what_makes_no_sense_is_no_fault_of_the_server(client: TestClient, loom: Launch) -> None:
    for wrong in ({"seen": -1}, {"seen": "x"}, {"tab": "../x"}, {"met": 2**70}, {"at": "x" * 999}):
        assert poll(client, **wrong).status_code == 422
    assert client.get("/looms/99/bench/feed").status_code == 404
    # A unit of another loom is nobody's business here.
    assert poll(client, unit=99, mark="").status_code == 200
