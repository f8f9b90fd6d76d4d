"""The pages of build: units, wires as rows, the bench tablet, its journal, the gate."""

import json

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from tests.pages.bench_client import entry, read, set_up_crimps, start, with_launch, write
from tests.pages.reading import errors
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.records.bench import Tick, Unit
from webapp.stages import stage_line
from webapp.stages.building import bench, units
from webapp.stages.design import revisions
from webapp.stages.design.commands import changed
from webapp.stages.design.commands import write as write_design
from webapp.stages.design.rows import load


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


@pytest.fixture
def unit_id(client: TestClient, loom: Launch) -> int:
    return start(client, loom)[0]


def states(client: TestClient, unit_id: int) -> dict[str, str]:
    found = read(client, lambda session: bench.state(session, unit_id))
    return {uid: step.state for uid, step in found.items()}


def test_building_waits_for_the_sign_off(client: TestClient) -> None:
    draft = with_launch(client, signed=False)
    page = client.get(f"/looms/{draft.loom_id}/build")
    assert "Nothing is signed off for the bench yet" in page.text
    answer = client.post(f"/looms/{draft.loom_id}/build", data={"depth": "full"})
    assert answer.status_code == 422
    assert "Sign the design off for the bench first." in answer.text


def test_units_are_started_at_the_depth_that_is_chosen(client: TestClient, loom: Launch) -> None:
    answer = client.post(f"/looms/{loom.loom_id}/build", data={"depth": "deep"})
    assert answer.status_code == 422
    assert "choose one from the list" in errors(answer)["depth"]
    answer = client.post(f"/looms/{loom.loom_id}/build", data={"depth": "short"})
    assert "2 units started." in answer.text
    assert "26-001-01" in answer.text
    assert read(client, lambda s: {u.depth for u in s.scalars(select(Unit))}) == {"short"}


def test_a_units_page_draws_each_wire_with_its_ends(client: TestClient, unit_id: int) -> None:
    client.post(f"/units/{unit_id}/ticks", json={"ticks": [entry("l1.0:cut")]})
    page = client.get(f"/units/{unit_id}/build").text
    assert "Wire 1 RD: left end cut, right end cut" in page
    assert "Wire 2A BN/RD: left end not cut yet, right end not cut yet" in page
    assert "1 of 117 steps" in page
    assert "places have work left" in page


def test_the_outbox_learns_what_is_saved_and_what_is_refused(
    client: TestClient, unit_id: int
) -> None:
    good, early = entry("l1.0:cut"), entry("l2:from:crimp")
    answer = client.post(f"/units/{unit_id}/ticks", json={"ticks": [good, early]})
    assert answer.status_code == 200
    assert answer.json()["saved"] == [good["key"]]
    (refused,) = answer.json()["refused"]
    assert refused["key"] == early["key"]
    assert "comes after “Strip 6.4 mm”" in refused["why"]
    again = client.post(f"/units/{unit_id}/ticks", json={"ticks": [good]})
    told = {"saved": [good["key"]], "refused": [], "told": [], "kept": [], "last": 1}
    assert again.json() == told
    assert read(client, lambda s: len(s.scalars(select(Tick)).all())) == 1


@pytest.mark.parametrize(
    "body",
    [
        "",
        "[]",
        '{"ticks": [{"key": "\\ud800", "step_uid": "", "state": ""}]}',
        "{}",
        '{"ticks": 5}',
        '{"ticks": [5]}',
        '{"ticks": [{}]}',
        "\x00",
        '"x"',
        "[" * 100_000,
    ],
    ids=lambda body: body[:20],
)
def test_entries_that_cannot_be_read_are_answered_in_words(
    client: TestClient, unit_id: int, body: str
) -> None:
    answer = client.post(
        f"/units/{unit_id}/ticks", content=body, headers={"Content-Type": "application/json"}
    )
    assert answer.status_code == 422
    assert "why" in answer.json()


@pytest.mark.parametrize(
    "wrong",
    [
        {"person_id": 999},
        {"person_id": None},
        {"person_id": 10**30},
        {"state": "toggle"},
        {"step_uid": "nothing"},
        {"key": "x"},
        {"note": "x" * 2000},
        {"step_uid": "\ud800"},
        {"note": "\ud800"},
        {"note": "\x00"},
        {"client_at": "0001-01-01T00:00:00+23:59", "state": "nothing"},
    ],
)
def test_a_wrong_entry_is_refused_by_itself(
    client: TestClient, unit_id: int, wrong: dict[str, object]
) -> None:
    good = entry("l2.0:cut")
    bad = entry("l1.0:cut") | wrong
    answer = client.post(
        f"/units/{unit_id}/ticks",
        content=json.dumps({"ticks": [bad, good]}),
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 200
    assert answer.json()["saved"] == [good["key"]]
    assert len(answer.json()["refused"]) == 1


def test_a_tick_from_a_page_of_another_revision_is_refused(
    client: TestClient, unit_id: int
) -> None:
    answer = client.post(f"/units/{unit_id}/ticks?revision=99", json={"ticks": [entry("l1.0:cut")]})
    assert "another revision" in answer.json()["refused"][0]["why"]


def test_the_bench_works_without_scripts(client: TestClient, unit_id: int) -> None:
    page = client.get(f"/units/{unit_id}/bench?order=wire")
    assert "<h1>Wire 1 <span>left end" in page.text
    address = f"/units/{unit_id}/ticks/plain?state=done&order=wire&at=l1:from"
    form = {"once": "k" * 32, "step": "l1.0:cut"}
    for _ in range(2):  # pressed twice
        answer = client.post(address, data=form)
        assert answer.url.path == f"/units/{unit_id}/bench"
    assert states(client, unit_id) == {"l1.0:cut": "done"}
    answer = client.post(address, data=form | {"step": "l1:from:crimp"})
    assert answer.status_code == 422
    assert "comes after" in answer.text
    # Another row of the same form, as after the browser's own way back.
    client.post(address, data=form | {"step": "l1:from:thread"})
    assert states(client, unit_id) == {"l1.0:cut": "done", "l1:from:thread": "done"}


def test_the_refresh_gets_only_the_end_in_view(client: TestClient, unit_id: int) -> None:
    answer = client.get(
        f"/units/{unit_id}/bench?at=l2:from", headers={"HX-Request-Type": "partial"}
    )
    assert answer.text.strip().startswith('<div id="bench-part" data-key="l2:from"')
    assert "data-end" not in answer.text
    assert "<html" not in answer.text


def test_a_gaps_link_opens_the_end_that_has_the_step(client: TestClient, unit_id: int) -> None:
    for order, key in (("wire", "l4:to"), ("tool", "solder"), ("plug", "lamp"), ("place", "at:p3")):
        page = client.get(f"/units/{unit_id}/bench?step=l4:to:solder&order={order}").text
        assert f'<div id="bench-part" data-key="{key}"' in page
    assert client.get(f"/units/{unit_id}/bench?at=nothing").status_code == 200


def test_a_step_is_left_out_with_a_reason_and_a_name(client: TestClient, unit_id: int) -> None:
    address = f"/units/{unit_id}/bench/say?at=l1:from"
    form = {"once": "w" * 32, "step": "l1.0:cut", "state": "waived", "note": ""}
    answer = client.post(address, data=form)
    assert answer.status_code == 422
    assert "missing" in errors(answer)["note"]
    answer = client.post(address, data=form | {"note": "the old wire stays"})
    assert answer.status_code == 200
    page = client.get(f"/units/{unit_id}/build").text
    assert "Wire 1: Cut 100 mm left out: the old wire stays (AM)" in page


def test_the_journal_shows_that_a_joint_was_taken_apart(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    set_up_crimps(client, loom, unit_id)
    steps = ["l4.0:cut", *(f"l4:from:{x}" for x in ("thread", "strip", "crimp", "solder"))]
    client.post(f"/units/{unit_id}/ticks", json={"ticks": [entry(uid) for uid in steps]})
    form = {
        "once": "t" * 32,
        "step": "l4:from:crimp",
        "state": "undone",
        "note": "taken apart and remade <b>",
    }
    client.post(f"/units/{unit_id}/bench/say?at=l4:from", data=form)
    page = client.get(f"/units/{unit_id}/journal").text
    assert "because “Crimp” was undone: taken apart and remade &lt;b&gt;" in page
    assert states(client, unit_id)["l4:from:solder"] == "undone"


def test_the_gate_opens_only_when_everything_is_done(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    address = f"/units/{unit_id}/build"
    answer = client.post(address, data={"act": "pass"})
    assert answer.status_code == 422
    assert "have work left" in answer.text
    with write(client) as session:
        passing.tick_everything(session, loom, unit_id)
    assert "Every step is done" in client.get(address).text
    assert client.post(address, data={"act": "pass"}).url.path == f"/units/{unit_id}/test"
    answer = client.post(address, data={"act": "back", "reason": ""})
    assert answer.status_code == 422
    assert "missing" in errors(answer)["reason"]
    client.post(address, data={"act": "back", "reason": "wire 1 is short"})
    assert read(client, lambda s: stage_line.stage_of_unit(s, unit_id)) == "build"


def test_a_unit_goes_to_a_newer_revision_on_purpose(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    client.post(f"/units/{unit_id}/ticks", json={"ticks": [entry("l4.0:cut"), entry("l1.0:cut")]})
    with write(client) as session:
        newer = revisions.open_for_edit(session, loom.loom_id)
        lamp = load(session, newer).link["l4"]
        write_design(session, newer, "Longer", [changed(lamp, lengths_mm={"0": 2700})], 1)
        revisions.freeze(session, newer, 1, None)
    page = client.get(f"/units/{unit_id}/build").text
    assert "Revision B is signed off." in page
    assert "It would change 1 step, add 0 and drop 0" in page
    form = {"act": "revision", "revision_id": str(newer), "reason": "customer moved the lamp"}
    answer = client.post(f"/units/{unit_id}/build", data=form | {"reason": " "})
    assert answer.status_code == 422
    assert read(client, lambda s: units.row(s, unit_id).revision) == "A"
    answer = client.post(f"/units/{unit_id}/build", data=form)
    assert "1 tick superseded." in answer.text
    assert states(client, unit_id) == {"l4.0:cut": "superseded", "l1.0:cut": "done"}
    journal = client.get(f"/units/{unit_id}/journal").text
    assert "revision B changed this" in journal


def test_the_cut_list_shows_reel_and_lengths(client: TestClient, loom: Launch) -> None:
    page = client.get(f"/looms/{loom.loom_id}/cut-list").text
    assert "BN/RD 2.5 mm²" in page
    assert "1,900" in page
    assert "6.3 m" in page  # 2 × 2,900 mm and 8 % to the next 100 mm


def test_a_clock_that_is_wrong_loses_no_tick(client: TestClient, unit_id: int) -> None:
    clocks = ("0001-01-01T00:00:00+23:59", "9999-12-31T23:59:59-23:59", "", None, 5, "yesterday")
    for number, client_at in enumerate(clocks):
        sent = entry(f"l{number + 1}.0:cut", client_at=client_at)
        answer = client.post(f"/units/{unit_id}/ticks", json={"ticks": [sent]})
        assert answer.json()["saved"] == [sent["key"]]


@pytest.mark.parametrize(
    "path",
    ["/looms/9/build", "/looms/9/cut-list", "/units/9/build", "/units/9/bench",
     "/units/9/bench/say", "/units/9/journal", "/units/x/build",
     f"/units/{10**30}/build", f"/looms/{10**30}/build"],
)  # fmt: skip
def test_what_is_not_there_is_not_found(client: TestClient, loom: Launch, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "Not found" in answer.text


def test_writes_to_what_is_not_there_are_not_found(client: TestClient, loom: Launch) -> None:
    assert client.post("/units/9/ticks", json={"ticks": [entry("l1.0:cut")]}).status_code == 404
    assert client.post("/units/9/build", data={"act": "pass"}).status_code == 404
    assert client.post("/looms/9/build", data={"depth": "full"}).status_code == 404
