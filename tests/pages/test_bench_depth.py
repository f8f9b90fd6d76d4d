"""A unit goes from full steps to short ones from its bench list, and keeps what is ticked."""

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import entry, read, start, with_launch
from tests.stages.launch import Launch
from webapp.stages.building import bench, units


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


def depth(client: TestClient) -> str:
    found: str = read(client, lambda s: units.get(s, 1).depth)
    return found


def test_the_list_leads_to_the_other_depth(client: TestClient, loom: Launch) -> None:
    start(client, loom)
    assert 'href="/units/1/depth">Change to short' in client.get("/units/1/bench").text
    # A splice's end: thread on and strip are all that make it.
    steps = ("l3.0:cut", "l3:from:thread", "l3:from:strip", "l1.0:cut", "l1:from:thread")
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in steps]})
    page = client.get("/units/1/depth").text
    assert "<li>1 step done</li>" in page
    assert "Wire 1, left end" in page
    assert "Strip 8.0 mm, Crimp, Shrink, Tug to do" in page
    assert depth(client) == "full"
    form = {"once": "d" * 32, "depth": "short", "reason": ""}
    answer = client.post("/units/1/depth", data=form)
    assert answer.url.path == "/units/1/bench"
    assert "Ticked in short steps from now on." in answer.text
    assert "Change to full" in answer.text
    states = read(client, lambda s: bench.state(s, 1))
    assert states["l3:from:made"].state == "done"
    assert "l1:from:made" not in states
    assert "picked on the bench list" in client.get("/units/1/journal").text
    # The same form again changes nothing.
    again = client.post("/units/1/depth", data=form)
    assert again.status_code == 422
    assert "in short steps already" in again.text


def test_a_depth_that_is_none_is_refused(client: TestClient, loom: Launch) -> None:
    start(client, loom, "short")
    assert "nothing has to be carried over" in client.get("/units/1/depth").text
    for wrong in ({"depth": "deep"}, {}, {"depth": "full", "reason": "x" * 400}):
        assert client.post("/units/1/depth", data={"once": "e" * 32, **wrong}).status_code == 422
    assert depth(client) == "short"
