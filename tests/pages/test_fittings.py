"""Fittings, their ways, plugs and circuits, through their pages."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, fitting, loom, now
from tests.pages.reading import errors
from webapp.stages.design.rows import Bridge, Circuit, Design, Fitting
from webapp.stages.design.wires import wires

__all__ = ["designed_db", "loom"]
PARTIAL = {"HX-Request-Type": "partial"}


def cell(client: TestClient, path: str, field: str, value: str, seen: str):  # type: ignore[no-untyped-def]
    data = {"field": field, "value": value, "seen": seen}
    return client.post(f"{LOOM}/{path}", data=data, headers=PARTIAL)


def fuse() -> Bridge:
    board = fitting("Fuse board")
    return next(
        bridge
        for bridge in PROPOSED.bridge.values()
        if bridge.fitting_uid == board.uid and bridge.fuse_a
    )


def horn() -> Circuit:
    return next(circuit for circuit in PROPOSED.circuit.values() if circuit.name == "Horn")


def numbers(design: Design) -> list[str]:
    return [wire.number for wire in wires(design)]


def test_fittings_stand_by_place_with_what_goes_to_them(loom: TestClient) -> None:
    text = loom.get(f"{LOOM}/fittings").text
    for row in PROPOSED.fitting.values():
        assert f'id="fitting-{row.uid}"' in text
    assert text.index("battery box</th>") < text.index("bow</th>")
    assert "mates" in text


def test_a_fitting_is_renamed_and_another_keeps_its_name(loom: TestClient) -> None:
    lamp = fitting("Lamp 0")
    assert cell(loom, f"fittings/{lamp.uid}", "name", "Chart lamp", "Lamp 0").status_code == 200
    assert now(loom).fitting[lamp.uid].name == "Chart lamp"
    answer = cell(loom, f"fittings/{lamp.uid}", "name", "lamp 1", "Chart lamp")
    assert answer.status_code == 422
    assert "called lamp 1 already" in answer.text


def test_two_people_rename_a_fitting(loom: TestClient) -> None:
    lamp = fitting("Lamp 0")
    cell(loom, f"fittings/{lamp.uid}", "name", "Theirs", "Lamp 0")
    answer = cell(loom, f"fittings/{lamp.uid}", "name", "Mine", "Lamp 0")
    assert answer.status_code == 409
    assert "Theirs" in answer.text
    assert 'value="Mine"' in answer.text
    assert cell(loom, f"fittings/{lamp.uid}", "note", "by the door", "").status_code == 200


def test_a_fitting_moves_and_its_wires_with_it(loom: TestClient) -> None:
    lamp = fitting("Lamp 0")
    answer = cell(loom, f"fittings/{lamp.uid}", "place_uid", "helm", "bow")
    assert answer.status_code == 200
    assert "Routed anew" in answer.text
    design = now(loom)
    ways = {way.uid for way in design.ways_of[lamp.uid]}
    for link in design.link.values():
        if link.to_way_uid in ways:
            assert "r1" not in (link.route or ())


def test_another_part_keeps_the_wires_of_ways_of_the_same_name(loom: TestClient) -> None:
    relay = fitting("Horn relay")
    before = now(loom)
    answer = cell(loom, f"fittings/{relay.uid}", "part_uid", "relay-heavy", relay.part_uid or "")
    assert answer.status_code == 200
    design = now(loom)
    assert design.fitting[relay.uid].part_uid == "relay-heavy"
    old = {way.label: way.uid for way in before.ways_of[relay.uid]}
    new = {way.label: way.uid for way in design.ways_of[relay.uid]}
    assert old == new
    contacts = {way.label: way.contact for way in design.ways_of[relay.uid]}
    assert contacts["30"] == "tab 9.5"
    assert {b.kind for b in design.bridge.values() if b.fitting_uid == relay.uid} == {
        "contact",
        "coil",
    }


def test_a_part_that_lacks_a_way_in_use_is_refused(loom: TestClient) -> None:
    relay = fitting("Horn relay")
    before = now(loom)
    path = f"fittings/{relay.uid}?page=one"
    answer = cell(loom, path, "part_uid", "switch", relay.part_uid or "")
    assert answer.status_code == 422
    assert "lead that elsewhere first" in answer.text
    assert now(loom) == before


def test_a_fuse_link_is_chosen_from_its_family(loom: TestClient) -> None:
    one = fuse()
    path = f"fittings/{one.fitting_uid}/inside/{one.uid}"
    assert cell(loom, path, "fuse_a", "10", f"{one.fuse_a:g}").status_code == 200
    bridge = now(loom).bridge[one.uid]
    assert bridge.fuse_a == 10
    assert bridge.fuse_part_uid
    assert bridge.fuse_part_uid.endswith("-10")
    assert "fuse_a" in bridge.by_hand
    answer = cell(loom, path, "fuse_a", "11", "10")
    assert answer.status_code == 422
    assert "The stores have no" in answer.text
    assert cell(loom, path, "fuse_a", "", "10").status_code == 200
    assert now(loom).bridge[one.uid].by_hand == ()


def test_a_load_current_is_typed_and_given_back(loom: TestClient) -> None:
    lamp = fitting("Lamp 0")
    load = next(b for b in PROPOSED.bridge.values() if b.fitting_uid == lamp.uid)
    path = f"fittings/{lamp.uid}/inside/{load.uid}"
    assert cell(loom, path, "load_a", "3.2 A", "").status_code == 200
    assert now(loom).bridge[load.uid].load_a == 3.2
    assert cell(loom, path, "load_a", "", "3.2").status_code == 200
    assert now(loom).bridge[load.uid].load_a is None


@pytest.mark.parametrize("field", ["fuse_a", "load_a"])
@pytest.mark.parametrize("typed", ["NaN", "-1", "0", "1e400", "9" * 40, "1,5", "x"])
def test_odd_ratings_are_refused(loom: TestClient, field: str, typed: str) -> None:
    one = fuse()
    path = f"fittings/{one.fitting_uid}/inside/{one.uid}"
    before = now(loom)
    assert cell(loom, path, field, typed, f"{one.fuse_a:g}").status_code == 422
    assert now(loom) == before


def test_a_fitting_is_added_with_its_ways(loom: TestClient) -> None:
    data = {
        "name": "Chart light switch", "part_uid": "switch", "place_uid": "Helm",
        "supplied_by": "workshop", "note": "",
    }  # fmt: skip
    answer = loom.post(f"{LOOM}/fittings/new", data=data)
    assert answer.url.path == f"{LOOM}/fittings"
    (new,) = [row for uid, row in now(loom).fitting.items() if uid not in PROPOSED.fitting]
    assert (new.kind, new.origin) == ("switch", "")
    assert [way.label for way in now(loom).ways_of[new.uid]] == ["in", "out"]
    inside = [b for b in now(loom).bridge.values() if b.fitting_uid == new.uid]
    assert [b.kind for b in inside] == ["contact"]
    again = loom.post(f"{LOOM}/fittings/new", data=data)
    assert errors(again) == {
        "name": "There is a fitting called Chart light switch already: give each its own name."
    }


def test_a_loom_may_end_in_a_plug_half(loom: TestClient) -> None:
    data = {"name": "Mast socket", "part_uid": "plug-6.3-4|socket", "place_uid": "bow",
            "supplied_by": "workshop", "note": ""}  # fmt: skip
    assert loom.post(f"{LOOM}/fittings/new", data=data).status_code == 200
    (new,) = [row for uid, row in now(loom).fitting.items() if uid not in PROPOSED.fitting]
    assert (new.kind, new.mate_uid, new.run_uid) == ("socket", None, None)
    ways = now(loom).ways_of[new.uid]
    assert [way.label for way in ways] == ["1", "2", "3", "4"]
    assert {way.contact for way in ways} == {"housed receptacle 6.3"}
    assert loom.get(f"{LOOM}/fittings/{new.uid}").status_code == 200
    assert loom.get(f"{LOOM}/wires").status_code == 200


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"part_uid": "cable-vehicle-plain-1"}, "part_uid"),
        ({"part_uid": ""}, "part_uid"),
        ({"place_uid": "the moon"}, "place_uid"),
        ({"supplied_by": "nobody"}, "supplied_by"),
    ],
)
def test_a_fitting_is_refused_beside_its_field(
    loom: TestClient, wrong: dict[str, str], field: str
) -> None:
    data = {"name": "X", "part_uid": "switch", "place_uid": "helm", "supplied_by": "workshop"}
    answer = loom.post(f"{LOOM}/fittings/new", data=data | wrong)
    assert answer.status_code == 422
    assert field in errors(answer)


def test_a_fitting_goes_with_its_wires_once_they_are_named(loom: TestClient) -> None:
    relay = fitting("Horn relay")
    page = loom.get(f"{LOOM}/fittings/{relay.uid}/remove").text
    agreed = re.search(r'name="agreed" value="([^"]*)"', page)
    assert agreed
    uids = agreed.group(1).split(",")
    for uid in uids:
        assert f"Wire {PROPOSED.link[uid].number}," in page
    refused = loom.post(f"{LOOM}/fittings/{relay.uid}/remove", data={"agreed": uids[0]})
    assert refused.status_code == 409
    assert relay.uid in now(loom).fitting
    before = now(loom)
    loom.post(f"{LOOM}/fittings/{relay.uid}/remove", data={"agreed": agreed.group(1)})
    after = now(loom)
    assert relay.uid not in after.fitting
    assert not set(uids) & set(after.link)
    assert relay.uid in after.removed
    loom.post(f"{LOOM}/undo", data={})
    assert now(loom) == before


def test_a_plug_is_put_in_and_taken_out(loom: TestClient) -> None:
    before = now(loom)
    answer = loom.post(f"{LOOM}/fittings/plug", data={"run_uid": "r1|bow"})
    assert answer.url.path == f"{LOOM}/fittings"
    assert "ways used" in answer.text
    plugged = now(loom)
    assert len(numbers(plugged)) > len(numbers(before))
    for uid in plugged.fitting.keys() - before.fitting.keys():
        if uid in now(loom).fitting:
            assert loom.post(f"{LOOM}/fittings/{uid}/remove", data={}).status_code == 200
    assert numbers(now(loom)) == numbers(before)
    again = loom.post(f"{LOOM}/fittings/plug", data={"run_uid": "r9|moon"})
    assert again.status_code == 422
    helm = loom.post(f"{LOOM}/fittings/plug", data={"run_uid": "r0|helm"})
    assert helm.status_code == 422
    assert "No plug was put in" in helm.text


def test_a_wire_takes_another_way_of_its_plug(loom: TestClient) -> None:
    one, two = list(PROPOSED.crossing.values())[:2]
    label = PROPOSED.way[two.way_a_uid].label
    fitting_uid = PROPOSED.way[one.way_a_uid].fitting_uid
    half = PROPOSED.fitting[fitting_uid]
    socket = half if half.run_uid else PROPOSED.fitting[half.mate_uid or ""]
    here = PROPOSED.way[one.way_a_uid].label
    path = f"fittings/{socket.uid}/through/{one.uid}"
    answer = cell(loom, path, "way", f"{socket.uid}|{label}", f"{socket.uid}|{here}")
    assert answer.status_code == 200
    design = now(loom)
    assert design.way[design.crossing[one.uid].way_a_uid].label == label
    assert design.way[design.crossing[one.uid].way_b_uid].label == label
    for odd in ("", "x", "none|1", f"{socket.uid}|99"):
        odd_answer = cell(loom, path, "way", odd, f"{socket.uid}|{label}")
        assert odd_answer.status_code in (404, 422)


@pytest.mark.parametrize(
    "path",
    [
        "/looms/9/fittings", "/looms/9/circuits", f"{LOOM}/fittings/none",
        f"{LOOM}/fittings/none/remove", "/looms/9/fittings/new", "/looms/9/fittings/plug",
    ],
)  # fmt: skip
def test_what_is_not_there(loom: TestClient, path: str) -> None:
    assert loom.get(path).status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "fittings/none", "fittings/none/inside/none", "fittings/none/through/none",
        "fittings/none/remove", "circuits/none", "circuits/none/fuse/none", "circuits/none/remove",
        f"fittings/{fitting('Battery').uid}/inside/{fuse().uid}",
    ],
)  # fmt: skip
def test_what_is_not_there_cannot_be_changed(loom: TestClient, path: str) -> None:
    assert cell(loom, path, "name", "x", "").status_code == 404


# Circuits


def test_circuits_stand_with_fuse_links_wires_and_the_chart(loom: TestClient) -> None:
    text = loom.get(f"{LOOM}/circuits").text
    assert "Fuse chart" in text
    for link in PROPOSED.link.values():
        assert f"/wires/{link.uid}" in text
    assert f'id="circuit-{horn().uid}"' in text


def test_a_circuit_is_named_numbered_and_given_a_service(loom: TestClient) -> None:
    path = f"circuits/{horn().uid}"
    assert cell(loom, path, "name", "Fog horn", "Horn").status_code == 200
    assert cell(loom, path, "number", "40", str(horn().number)).status_code == 200
    assert cell(loom, path, "service", "other", "horn").status_code == 200
    circuit = now(loom).circuit[horn().uid]
    assert (circuit.name, circuit.number, circuit.service) == ("Fog horn", 40, "other")
    assert circuit.by_hand == ("name", "number", "service")
    assert cell(loom, path, "number", "1", "40").status_code == 422
    assert cell(loom, path, "service", "magic", "other").status_code == 422
    assert cell(loom, path, "name", "Lamp 0", "Fog horn").status_code == 422
    assert cell(loom, path, "name", "Mine", "Horn").status_code == 409


def test_a_circuits_fuse_link_is_chosen_there(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/circuits").text
    found = re.search(rf"/circuits/{horn().uid}/fuse/([0-9a-f]+)", page)
    assert found
    bridge = PROPOSED.bridge[found.group(1)]
    path = f"circuits/{horn().uid}/fuse/{bridge.uid}"
    answer = cell(loom, path, "fuse_a", "20", f"{bridge.fuse_a:g}")
    assert answer.status_code == 200
    assert 'data-hx-target="#fuse-chart"' in answer.text
    assert now(loom).bridge[bridge.uid].fuse_a == 20


def test_a_circuit_is_added_and_only_an_empty_one_taken_out(loom: TestClient) -> None:
    answer = loom.post(f"{LOOM}/circuits", data={"name": "Spare", "service": "other"})
    assert answer.status_code == 200
    (new,) = [row for uid, row in now(loom).circuit.items() if uid not in PROPOSED.circuit]
    assert new.number == max(row.number for row in PROPOSED.circuit.values()) + 1
    assert (
        loom.post(f"{LOOM}/circuits", data={"name": "spare", "service": "other"}).status_code == 422
    )
    assert loom.post(f"{LOOM}/circuits", data={"name": "", "service": "x"}).status_code == 422
    refused = loom.post(f"{LOOM}/circuits/{horn().uid}/remove")
    assert refused.status_code == 422
    assert "cannot be taken out" in refused.text
    assert loom.post(f"{LOOM}/circuits/{new.uid}/remove").status_code == 200
    assert new.uid not in now(loom).circuit
    assert new.uid not in now(loom).removed


def test_a_plug_shows_both_its_sides_and_says_what_is_spare(loom: TestClient) -> None:
    answer = loom.post(f"{LOOM}/fittings/plug", data={"run_uid": "r1|bow", "sealed": "1"})
    assert "ways used" in answer.text
    plugged = now(loom)
    half = next(
        each
        for each in plugged.fitting.values()
        if each.kind == "socket" and plugged.place[each.place_uid].name == "bow"
    )
    assert (half.part_uid or "").startswith("plug-sealed")
    page = loom.get(f"{LOOM}/fittings/{half.uid}").text
    assert "From the wire side" in page
    assert f'aria-label="{half.name} from the mating side"' in page
    assert (
        f"{plugged.fitting[half.mate_uid or ''].name}, seen from the wire side: way 1 wire" in page
    )
    spots = loom.get(f"{LOOM}/fittings/plug").text
    assert "at bow, on the run to helm: 8 wires, 8 through a plug there" in spots
    bar = next(each for each in plugged.fitting.values() if each.kind == "bar")
    assert "From the wire side" not in loom.get(f"{LOOM}/fittings/{bar.uid}").text


# Wires led to other ways


def lead(client: TestClient, at: Fitting, wire: str, to: str, partial: bool = True):  # type: ignore[no-untyped-def]
    headers = PARTIAL if partial else {}
    data = {"wire": wire, "to": to}
    return client.post(f"{LOOM}/fittings/{at.uid}/ways", data=data, headers=headers)


def options(client: TestClient, at: Fitting, name: str) -> list[str]:
    page = client.get(f"{LOOM}/fittings/{at.uid}").text
    (inside,) = re.findall(rf'<select id="{name}".*?</select>', page, re.S)
    return [value for value in re.findall(r'value="([^"]*)"', inside) if value]


def plug() -> Fitting:
    return next(each for each in PROPOSED.fitting.values() if each.kind == "socket")


def test_two_wires_change_places_in_a_plug_and_both_halves_agree(loom: TestClient) -> None:
    half = plug()
    wires_there, ways = options(loom, half, "wire"), options(loom, half, "to")
    answer = lead(loom, half, wires_there[0], ways[1])
    assert answer.status_code == 200
    assert "change places in" in answer.text
    assert 'data-hx-target="#ways"' in answer.text
    before, after = PROPOSED, now(loom)
    one, other = (value.partition("|")[0] for value in wires_there[:2])

    def labels(design: Design, link: str) -> set[str]:
        return {
            design.way[uid].label
            for each in design.crossing.values()
            if each.link_uid == link
            for uid in (each.way_a_uid, each.way_b_uid)
            if design.way[uid].fitting_uid in (half.uid, half.mate_uid)
        }

    assert labels(after, one) == labels(before, other)
    assert labels(after, other) == labels(before, one)
    assert loom.post(f"{LOOM}/undo").status_code == 200
    assert now(loom).crossing == before.crossing


def test_a_wire_sent_twice_to_a_way_goes_there_once(loom: TestClient) -> None:
    board = fitting("Fuse board")
    wire, free = options(loom, board, "wire")[1], options(loom, board, "to")[-1]
    for _ in range(2):
        assert lead(loom, board, wire, free, partial=False).url.path.endswith(board.uid)
    assert "change places" not in loom.get(f"{LOOM}/wires").text
    ways = now(loom).ways_of[board.uid]
    link = now(loom).link[wire.partition("|")[0]]
    assert link.from_way_uid == ways[-1].uid


def test_what_changed_meanwhile_or_cannot_be_is_said_beside_the_face(loom: TestClient) -> None:
    half = plug()
    wires_there, ways = options(loom, half, "wire"), options(loom, half, "to")
    lead(loom, half, wires_there[0], ways[1])
    for wire, to, field, words in (
        (wires_there[0], ways[2], "to", "led wires here meanwhile"),
        ("", ways[1], "wire", "Choose the wire"),
        (wires_there[2], "", "to", "Choose the way"),
        ("gone|w", ways[1], "wire", "no longer there"),
        (wires_there[2], "gone|", "to", "no longer has this way"),
    ):
        answer = lead(loom, half, wire, to)
        assert answer.status_code == 422
        assert words in errors(answer)[field]
    full = lead(loom, half, wires_there[2], ways[1], partial=False)
    assert full.status_code == 422
    assert wires_there[2] in full.text


def test_other_fittings_have_their_ways_as_a_list_with_room_to_put_a_wire(loom: TestClient) -> None:
    relay = fitting("Horn relay")
    page = loom.get(f"{LOOM}/fittings/{relay.uid}").text
    assert 'data-face="ways"' in page
    for way in PROPOSED.ways_of[relay.uid]:
        assert f'data-way="{way.uid}"' in page
    wires_there = options(loom, relay, "wire")
    ways = options(loom, relay, "to")
    assert "change places in Horn relay" in lead(loom, relay, wires_there[0], ways[1]).text
