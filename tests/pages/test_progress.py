"""What the pages show of the bench's work, and how an open page is told that it went on."""

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.pages import bench_client
from tests.pages.bench_client import entry, write
from tests.stages.launch import Launch
from webapp.pages.presence import AtBench, Presence
from webapp.stages import people, stage_line

TAB = "a" * 32


@pytest.fixture
def made(client: TestClient) -> Launch:
    return bench_client.with_launch(client)


@pytest.fixture
def unit(client: TestClient, made: Launch) -> int:
    return bench_client.start(client, made)[0]


def tick(client: TestClient, unit: int, step_uid: str, state: str = "done", **more: Any) -> None:
    sent = {"ticks": [entry(step_uid, state=state, **({"note": "in the test"} | more))]}
    assert client.post(f"/units/{unit}/ticks", json=sent).json()["refused"] == []


def known(page: str) -> dict[str, str]:
    """What a page says that it knows, as its script asks with it."""
    (mark,) = re.findall(r'data-mark="([\d.-]+)"', page)
    working = re.search(r'data-at-work="(\w+)"', page)
    return {"mark": mark} | ({"working": working.group(1)} if working else {})


@pytest.mark.parametrize(
    ("page", "asks"),
    [
        ("/jobs", "/live/jobs"),
        ("/jobs/1", "/live/jobs"),
        ("/past", "/live/jobs"),
        ("/looms/1/build", "/looms/1/live"),
        ("/units/1/build", "/looms/1/live"),
        ("/units/1/journal", "/looms/1/live"),
        ("/units/1/test", "/looms/1/live"),
    ],
)
def test_an_open_page_is_told_of_a_tick_and_else_of_nothing(
    client: TestClient, unit: int, page: str, asks: str
) -> None:
    asked = known(client.get(page).text) | {"tab": TAB, "page": "build"}
    assert client.get(asks, params=asked).status_code == 204
    tick(client, unit, "l1.0:cut")
    news = client.get(asks, params=asked).json()
    assert news["mark"] != asked["mark"]
    assert news.get("done", []) == []
    after = known(client.get(page).text)
    assert after["mark"] == news["mark"]
    assert after.get("working", "") == news["working"]
    assert client.get(asks, params=asked | after).status_code == 204


def test_a_stage_move_and_a_new_unit_are_told_too(client: TestClient, made: Launch) -> None:
    def mark() -> str:
        return known(client.get("/looms/1/test").text)["mark"]

    first = mark()
    unit, _ = bench_client.start(client, made)
    begun = mark()
    with write(client) as session:
        stage_line.move(session, made.loom_id, unit, "test", made.person_id)
    assert len({first, begun, mark()}) == 3
    # The design is the same: nobody is offered the page anew.
    assert first.partition("-")[0] == mark().partition("-")[0]


def test_who_has_a_bench_list_open_is_said_and_else_who_ticked_last(
    client: TestClient, unit: int
) -> None:
    page = client.get("/looms/1/build").text
    assert "at-work" not in re.sub(r'data-at-work="\w+"', "", page)
    tick(client, unit, "l1.0:cut")
    page = client.get("/looms/1/build").text
    assert re.search(r"<b>Ada Marr</b>: <a [^>]+>unit 1</a>, wire 1 <small[^>]+>last tick", page)
    assert "Ada Marr: unit 1" in client.get("/jobs").text
    with write(client) as session:
        bo = people.add(session, name="Bo Finch", initials="BF", role="bench")
    asked = known(page) | {"tab": TAB, "page": "build"}
    presence: Presence = client.app.state.presence  # type: ignore[attr-defined]
    presence.at_bench("b" * 32, AtBench(bo, "Bo Finch", 1, unit, "Crimp, tab receptacle 6.3"))
    assert client.get("/looms/1/live", params=asked).json()["working"] != asked["working"]
    page = client.get("/units/1/build").text
    assert re.search(r"<b>Bo Finch</b>: <a [^>]+>unit 1</a>, crimp, tab receptacle 6.3", page)
    # A page that does not show it is not told of it.
    asked.pop("working")
    assert client.get("/looms/1/live", params=asked).status_code == 204


def test_what_was_cut_again_stands_on_the_unit_the_loom_and_the_cut_list(
    client: TestClient, unit: int
) -> None:
    tick(client, unit, "l1.0:cut")
    tick(client, unit, "l1.0:cut", "scrapped", note="cut 40 mm short")
    for page in (f"/units/{unit}/build", "/looms/1/build", "/looms/1/cut-list"):
        shown = client.get(page).text
        assert "cut 40 mm short" in shown
        assert "to be cut again" in shown
        assert re.search(r"\d\.\d\d m</b>", shown)
    other = client.get(f"/units/{unit + 1}/build").text
    assert "cut 40 mm short" not in other


def test_the_time_taken_stands_beside_the_workshops_own(client: TestClient, unit: int) -> None:
    times = ("10:14:00", "10:14:30", "10:15:12")
    for uid, clock in zip(("l1.0:cut", "l4.0:cut", "l5.0:cut"), times, strict=True):
        tick(client, unit, uid, client_at=f"2026-11-24T{clock}.000Z")
    page = client.get(f"/units/{unit}/build").text
    cut = re.search(r"<tr><td>Cut</td>(.*?)</tr>", page)
    assert cut
    cells = re.findall(r'class="n">([^<]*)<', cut.group(1))
    assert cells == ["3", "2", "1 min 12 s", "36 s", "25 s"]
    assert "took 1 min 12 s" in client.get("/jobs/1").text
    rates = client.get("/rates").text
    assert 'data-fill="time_cut" data-value="36"' in rates
    assert "2 ticks" in rates
    assert re.search(r'name="time_cut"[^>]* value="25"', rates)
