"""The bench page: its orders, what stands on its rows, batches, set-ups, what a form may say."""

import json
import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import entry, read, start, with_launch, write
from tests.pages.reading import errors, fields
from tests.stages import passing
from tests.stages.launch import Launch
from webapp.records.catalogue import Part
from webapp.stages.building import bench, crimp_setups, depth_change, units

ORDERS = ("tool", "wire", "plug", "place")


@pytest.fixture
def loom(client: TestClient) -> Launch:
    return with_launch(client)


@pytest.fixture
def unit_id(client: TestClient, loom: Launch) -> int:
    return start(client, loom)[0]


def page_of(client: TestClient, query: str = "", unit: int = 1) -> str:
    answer = client.get(f"/units/{unit}/bench{query}")
    assert answer.status_code == 200
    return answer.text


def part_of(client: TestClient, query: str) -> str:
    answer = client.get(f"/units/1/bench{query}", headers={"HX-Request-Type": "partial"})
    return answer.text


def row(page: str, step: str) -> str:
    """What stands in a step's row, as read."""
    found = re.search(rf'<li data-row><button name="step" value="{step}".*?</li>', page, re.DOTALL)
    assert found, step
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", found[0])).split())


def attribute(page: str, name: str) -> str:
    found = re.search(rf"{name}=(?:\"([^\"]*)\"|'([^']*)')", page)
    assert found, name
    return unescape(found[1] if found[1] is not None else found[2])


def ticked(client: TestClient, unit: int = 1) -> dict[str, str]:
    found = read(client, lambda session: bench.state(session, unit))
    return {uid: now.state for uid, now in found.items()}


@pytest.mark.parametrize("order", ORDERS)
def test_every_step_is_on_the_page_once(client: TestClient, unit_id: int, order: str) -> None:
    page = page_of(client, f"?order={order}")
    steps = re.findall(r'data-step="([^"]+)"', page)
    plan = read(client, lambda s: units.plan_of(s, units.get(s, unit_id)))
    assert sorted(steps) == sorted(plan.by_uid)
    panels = re.findall(r'<template data-end="([^"]+)">', page)
    index = re.findall(r'<li><a data-turn="([^"]+)"', page)
    assert sorted(index) == sorted([*panels, attribute(page, "data-key")])
    assert f'order={order}" aria-current="true"' in page


def test_by_tool_is_the_usual_order_and_a_link_to_a_wire_opens_by_wire(
    client: TestClient, unit_id: int
) -> None:
    assert 'order=tool" aria-current="true"' in page_of(client)
    assert 'order=tool" aria-current="true"' in page_of(client, "?order=colour&at=nothing")
    page = page_of(client, "?at=l2:from")
    assert 'order=wire" aria-current="true"' in page
    assert attribute(page, "data-name") == "Wire 2A, left end"


def test_a_row_shows_what_the_hands_need(client: TestClient, unit_id: int) -> None:
    page = page_of(client, "?order=plug")
    assert "1 RD Battery · + – Pump fuse · in Cut 100 mm RD 2.5 mm² · Boat cable 2.5" in row(
        page, "l1.0:cut"
    )
    thread = row(page, "l1:to:thread")
    assert "right end Pump fuse · in Thread on tag “1 Pump fuse · in RD”" in thread
    assert "then shrink 6.4 → 3.2, cut 27 mm" in thread
    assert "Strip 6.4 mm" in row(page, "l1:to:strip")
    crimp = row(page, "l1:to:crimp")
    assert "Crimp Tab receptacle 6.3 · height 1.55 ± 0.05 mm · tool 3" in crimp
    assert "unconfirmed" not in crimp  # of this terminal a document was seen
    assert "height by the die" in row(page, "l1:from:crimp")
    assert "barrel only" in row(page, "l4:from:solder")
    assert "after Wire 1: Cut 100 mm" in thread


def test_a_short_row_shows_all_at_once(client: TestClient, loom: Launch) -> None:
    start(client, loom, "short")
    page = page_of(client, "?order=wire")
    assert (
        "Make right end strip 6.4 mm · Tab receptacle 6.3 · height 1.55 ± 0.05 mm · tool 3 · "
        "no solder · shrink 6.4 → 3.2, cut 27 mm · tag “1 Pump fuse · in RD”"
    ) in row(page, "l1:to:made")
    assert "Engine plug, way 1" in row(page, "l2:xl2.a:made")
    assert "crimp, then solder" in row(page, "l4:from:made")
    assert "strip 5 mm · Solder cup · solder" in row(page, "l4:to:made")


def test_a_splice_shows_solder_and_sleeve(client: TestClient, loom: Launch, unit_id: int) -> None:
    assert "Join wires 3A + 5 + 6" in row(page_of(client), "splice:join")
    shrink = row(page_of(client), "splice:shrink")
    assert "Shrink 6.4 → 3.2 · over the whole joint" in shrink
    with write(client) as session:
        depth_change.change(session, unit_id, "short", "a plain one", loom.person_id)
    join = row(page_of(client), "splice:join")
    assert "Join wires 3A + 5 + 6 · no solder · shrink 6.4 → 3.2, cut 27 mm" in join


def test_the_tool_that_is_set_up_stands_with_its_die_in_every_order(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    assert "tool 3 no set-up yet" in row(page_of(client, "?order=wire"), "l1:to:crimp")
    with write(client) as session:
        passing.set_up_crimps(session, loom, unit_id)
    for order in ("wire", "plug", "place"):
        crimp = row(page_of(client, f"?order={order}"), "l1:to:crimp")
        assert "height 1.55 ± 0.05 mm tool 3, die B" in crimp


def test_a_figure_that_nobody_has_seen_in_print_is_marked(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    with write(client) as session:
        session.get_one(Part, "t-tab").confirmed = False
    assert "height 1.55 ± 0.05 mm (unconfirmed)" in row(page_of(client), "l1:to:crimp")


def test_an_insert_shows_the_face_from_the_side_that_is_loaded(
    client: TestClient, unit_id: int
) -> None:
    page = part_of(client, "?order=tool&at=insert:plug")
    assert "seen from the side that is loaded" in page
    assert "Engine plug, seen from the wire side: way 1 marked" in page
    assert "Engine plug, seen from the wire side: way 2 marked" in page
    assert set(re.findall(r'data-way="([^"]+)"', page)) == {"plug.1", "plug.2"}
    assert set(re.findall(r'data-way-mark="([^"]+)"', page)) == {"plug.1", "plug.2", "plug.3"}
    assert "way 1 Insert click, then pull back" in row(page, "l2:xl2.a:insert")
    # Nothing can go in yet, so no way is next.
    assert "data-now" not in page
    alone = part_of(client, "?order=wire&at=l2:xl2.a")
    assert "Engine plug, seen from the wire side: way 1 marked" in alone


def test_the_way_that_is_next_is_marked_in_the_large_face(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    with write(client) as session:
        passing.set_up_crimps(session, loom, unit_id)
        plan = units.plan_of(session, units.get(session, unit_id))
        before = [uid for uid in plan.by_uid if uid.startswith(("l3.0", "l3:xl3.a"))]
    steps = [uid for uid in before if not uid.endswith(":insert")]
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in steps]})
    page = part_of(client, "?order=tool&at=insert:plug")
    (marked,) = re.findall(r'data-way-mark="([^"]+)" data-now', page)
    assert marked == "plug.2"


def test_a_waiting_step_says_what_it_waits_for(client: TestClient, unit_id: int) -> None:
    page = page_of(client, "?order=tool")
    assert "after Wire 1: Cut 100 mm" in row(page, "l1:from:thread")
    assert 'data-after="l1.0:cut"' in page
    steps = ("l1.0:cut", "l1:from:thread", "l1:from:strip")
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in steps]})
    page = page_of(client, "?order=tool")
    assert "crimp set-up first" in row(page, "l1:from:crimp")
    assert 'data-setup="t-ring|2.5"' in page


def test_the_panel_of_crimps_shows_its_set_up(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    at = "?order=tool&at=crimp:t-tab%7C2.5"
    page = part_of(client, at)
    assert "Tab receptacle 6.3 on 2.5 mm²" in page
    assert "no set-up yet" in page
    assert "Crimp set-up first" in page
    assert 'href="/units/1/crimp-setups/t-tab%7C2.5"' in page
    setups = json.loads(attribute(page_of(client, at), "data-setups"))
    assert setups["t-tab|2.5"] == {"ready": False, "words": "no set-up yet"}
    with write(client) as session:
        passing.set_up_crimps(session, loom, unit_id)
        words = crimp_setups.of_loom(session, 1)["t-tab|2.5"].words
    page = part_of(client, at)
    assert f'data-setup-of="t-tab|2.5" data-ready>{words}<' in page


def test_marks_say_why_a_step_is_open_again(client: TestClient, unit_id: int) -> None:
    done = ("l1.0:cut", "l2.0:cut", "l3.0:cut")
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in done]})
    later = [
        entry("l4.0:cut", state="held", note="no grey left"),
        entry("l2.0:cut", state="rework", note="nicked"),
        entry("l3.0:cut", state="scrapped", note="cut short"),
    ]
    assert client.post("/units/1/ticks", json={"ticks": later}).json()["refused"] == []
    page = page_of(client, "?order=wire")
    assert "on hold: no grey left (AM)" in row(page, "l4.0:cut")
    assert "make again: nicked (AM)" in row(page, "l2.0:cut")
    assert "cut again: cut short (AM)" in row(page, "l3.0:cut")
    states = dict(re.findall(r'data-step="([^"]+)".*?data-state="(\w+)"', page))
    named = ("l1.0:cut", "l2.0:cut", "l3.0:cut", "l4.0:cut", "l1:from:thread", "l2:from:thread")
    assert [states[uid] for uid in named] == ["done", "rework", "scrapped", "held", "todo", "wait"]
    known = json.loads(attribute(page, "data-states"))["1"]
    assert known["l4.0:cut"][0] == "held"
    assert known["l4.0:cut"][3:] == ["AM", "no grey left"]


def test_units_of_one_revision_and_depth_are_ticked_along(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    page = page_of(client)
    assert attribute(page, "data-units") == "1"
    assert "and unit 2" in page
    assert "step-units" not in page
    for along in ("2", "all", "2,99,x"):
        page = page_of(client, f"?with={along}")
        assert attribute(page, "data-units") == "1,2"
        assert set(json.loads(attribute(page, "data-states"))) == {"1", "2"}
    assert '<button type="button" data-unit="2" data-name="unit 2" aria-label="unit 2">' in page
    assert "units 1, 2 of 2" in page
    assert "with=2" in page
    with write(client) as session:
        units.get(session, 2).depth = "short"
    page = page_of(client, "?with=all")
    assert attribute(page, "data-units") == "1"
    assert "and unit 2" not in page


def test_a_step_can_be_scrapped_or_made_again_by_a_form(client: TestClient, unit_id: int) -> None:
    steps = ("l1.0:cut", "l1:from:thread", "l1:from:strip")
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in steps]})
    address = f"/units/{unit_id}/bench/say?order=wire&at=l1:from"
    form = {"once": "s" * 32, "step": "l1:from:strip", "state": "rework", "note": ""}
    assert "missing" in errors(client.post(address, data=form))["note"]
    answer = client.post(address, data=form | {"note": "strands nicked"})
    assert answer.url.path == f"/units/{unit_id}/bench"
    assert ticked(client)["l1:from:strip"] == "rework"
    # What is scrapped is the wire, whichever of its steps shows it.
    again = {"once": "t" * 32, "step": "l1:from:thread", "state": "scrapped", "note": "cut short"}
    client.post(address, data=again)
    assert ticked(client)["l1.0:cut"] == "scrapped"
    assert ticked(client)["l1:from:thread"] == "undone"


def test_a_step_that_asks_takes_what_was_measured(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    with write(client) as session:
        part = session.get_one(Part, "t-tab")
        part.facts = part.facts | {"measure_each": "height pull"}
        passing.set_up_crimps(session, loom, unit_id)
    page = page_of(client, "?order=wire&at=l1:to")
    assert 'data-asks="height:1.5:1.6:mm: pull:' in page
    assert "Measure: Crimp height (1.50 to 1.60 mm), Pull force (at least" in page
    steps = ("l1.0:cut", "l1:to:thread", "l1:to:strip")
    client.post("/units/1/ticks", json={"ticks": [entry(uid) for uid in steps]})
    address = f"/units/{unit_id}/bench/say?order=wire&at=l1:to"
    form = {"once": "m" * 32, "step": "l1:to:crimp", "state": "done", "note": ""}
    answer = client.post(address, data=form | {"height_mm": "thick", "pull_n": "300"})
    assert "number" in errors(answer)["height_mm"]
    answer = client.post(address, data=form | {"height_mm": "1.72", "pull_n": "300"})
    assert answer.status_code == 422
    assert "1.60" in answer.text
    client.post(address, data=form | {"height_mm": "1.56", "pull_n": "300"})
    assert ticked(client)["l1:to:crimp"] == "done"
    assert "height 1.56 mm, pull 300 N" in row(page_of(client), "l1:to:crimp")


def test_a_measured_tick_comes_from_a_tablet(client: TestClient, unit_id: int) -> None:
    sent = entry("l1.0:cut", height_mm=1.5, pull_n=220, seen=0)
    assert client.post("/units/1/ticks", json={"ticks": [sent]}).json()["refused"] == []
    now = read(client, lambda s: bench.state(s, 1))["l1.0:cut"]
    assert (now.height_mm, now.pull_n) == (1.5, 220)
    for wrong in ("1.5", True, [1]):
        answer = client.post("/units/1/ticks", json={"ticks": [entry("l2.0:cut", height_mm=wrong)]})
        assert answer.status_code == 422


def test_two_tablets_on_one_step_are_both_told(client: TestClient, unit_id: int) -> None:
    first = client.post("/units/1/ticks", json={"ticks": [entry("l1.0:cut", seen=0)]}).json()
    assert first["last"] == 1
    second = entry("l1.0:cut", seen=0)
    answer = client.post("/units/1/ticks", json={"ticks": [second]}).json()
    assert answer["saved"] == [second["key"]]
    (told,) = answer["told"]
    assert "already" in told["words"]


def test_a_unit_that_is_past_the_bench_says_so(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    assert "nothing more is ticked" not in page_of(client)
    with write(client) as session:
        passing.build(session, loom, unit_id)
    page = page_of(client)
    assert "Unit 1 is at test:</b> nothing more is ticked until it is sent back" in page
    assert "Change to short" not in page
    assert "unit 2" not in page


@pytest.mark.parametrize("depth", ["short", "full"])
def test_cautions_stand_where_the_act_happens(client: TestClient, loom: Launch, depth: str) -> None:
    start(client, loom, depth)
    hot = part_of(client, "?order=wire&at=l4:from")
    assert "Hot iron" in hot
    assert "Heat gun" in hot
    assert "Eye protection" in hot  # the wire is cut here
    assert "Hot iron" not in part_of(client, "?order=wire&at=l1:to")
    assert "Heat gun" in part_of(client, "?order=wire&at=l1:to")
    assert "Heat gun" in part_of(client, "?order=wire&at=splice")
    assert "Disconnect the battery" in part_of(client, "?order=wire&at=loom")


def test_lengths_stand_as_the_workshop_writes_them(
    client: TestClient, loom: Launch, unit_id: int
) -> None:
    assert "Cut 100 mm" in row(page_of(client), "l1.0:cut")
    settings = fields(client.get("/settings")) | {"length_unit": "inch", "decimal_mark": ","}
    assert client.post("/settings", data=settings).status_code == 200
    assert "Thread on and strip, 0,252 in, 2.5 mm²" in page_of(client, "?order=tool")
    page = page_of(client, "?order=wire")
    # By the tape to the nearest sixteenth: 100 mm are 3.937 in, and 3 15/16 are 3.9375 in.
    assert "Cut 3 15/16 in (100 mm)" in row(page, "l1.0:cut")
    assert "0,252 in · no strand nicked" in row(page, "l1:to:strip")
    assert "height 1,55 ± 0,05 mm" in row(page, "l1:to:crimp")
