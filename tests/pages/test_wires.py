"""The wire table, one wire, and a wire typed by hand, through their pages."""

import re
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, fitting, loom, now, wire
from tests.pages.reading import errors
from tests.pages.test_jobs import sign_off
from webapp.stages.design.wires import wires

__all__ = ["designed_db", "loom"]
PARTIAL = {"HX-Request-Type": "partial"}


def post_cell(client: TestClient, path: str, field: str, value: str, seen: str) -> object:
    data = {"field": field, "value": value, "seen": seen}
    return client.post(f"{LOOM}/{path}", data=data, headers=PARTIAL)


def cell(client: TestClient, field: str, value: str, seen: str, number: int = 2, **more: str):  # type: ignore[no-untyped-def]
    query = "&".join(f"{name}={each}" for name, each in more.items())
    return post_cell(client, f"wires/{wire(number).uid}?{query}", field, value, seen)


def test_every_wire_is_a_row_with_its_figures(loom: TestClient) -> None:
    text = loom.get(f"{LOOM}/wires").text
    assert text.count("<svg") >= len(wires(PROPOSED))
    for each in wires(PROPOSED):
        assert PROPOSED.way_name(each.left.way_uid) in text
    assert "about °C" in text
    assert "Revision A, draft" in text


def test_the_filter_finds_by_number_colour_fitting_and_circuit(loom: TestClient) -> None:
    def found(words: str) -> int:
        answer = loom.get(f"{LOOM}/wires", params={"find": words}, headers=PARTIAL)
        assert "<html" not in answer.text
        return len(re.findall(r'<tbody id="wire-', answer.text))

    horn = next(circuit for circuit in PROPOSED.circuit.values() if circuit.name == "Horn")
    of_horn = sum(link.circuit_uid == horn.uid for link in PROPOSED.link.values())
    assert found("2") == 1
    assert found("horn relay 87") <= found("horn relay") <= found("horn")
    assert found("horn") >= of_horn
    assert found(wire().main) >= 1
    assert found("nothing of this kind") == 0


@pytest.mark.parametrize(
    ("field", "typed", "seen", "column", "kept"),
    [
        ("number", "77", "2", "number", 77),
        ("main", "brown", "", "main", "brown"),
        ("note", "behind the panel", "", "note", "behind the panel"),
        ("csa_mm2", "6 mm²", "", "csa_mm2", 6.0),
        ("length_mm", "1.25 m", "", "lengths_mm", {"0": 1250}),
        ("own_lead", "1", "", "own_lead", True),
    ],
)
def test_a_cell_is_kept_and_marked_as_set_by_hand(
    loom: TestClient, field: str, typed: str, seen: str, column: str, kept: object
) -> None:
    answer = cell(loom, field, typed, seen or shown(loom, field))
    assert answer.status_code == 200
    link = now(loom).link[wire().uid]
    assert getattr(link, column) == kept
    assert column in link.by_hand


def shown(client: TestClient, field: str) -> str:
    """What the table shows in a cell of wire 2."""
    text = client.get(f"{LOOM}/wires/{wire().uid}").text
    match = re.search(
        rf'name="field" value="{field}">\s*<input type="hidden" name="seen" value="([^"]*)"', text
    )
    return match.group(1) if match else ""


def test_a_gauge_becomes_the_nearest_size_and_is_said(loom: TestClient) -> None:
    answer = cell(loom, "csa_mm2", "AWG 10", shown(loom, "csa_mm2"))
    assert "AWG 10 is 5.26 mm²; 5 mm² is the nearest" in answer.text or (
        "AWG 10 is 5.26 mm²; 6 mm² is the nearest" in answer.text
    )
    link = now(loom).link[wire().uid]
    assert link.csa_mm2 in (5.0, 6.0)


def test_a_new_section_brings_its_cable_and_terminals(loom: TestClient) -> None:
    answer = cell(loom, "csa_mm2", "4", shown(loom, "csa_mm2"))
    design = now(loom)
    link = design.link[wire().uid]
    assert link.cable_part_uid
    assert link.cable_part_uid.endswith("-4")
    before = PROPOSED.wire_end[f"{link.uid}:to"].terminal_part_uid
    after = design.wire_end[f"{link.uid}:to"].terminal_part_uid
    if before != after:
        assert "Done" in answer.text
    assert "design-state" in answer.text


def test_an_emptied_length_is_computed_again(loom: TestClient) -> None:
    computed = shown(loom, "length_mm")
    assert cell(loom, "length_mm", "999", computed).status_code == 200
    assert cell(loom, "length_mm", "", "999").status_code == 200
    link = now(loom).link[wire().uid]
    assert link.lengths_mm == {}
    assert "lengths_mm" not in link.by_hand
    assert shown(loom, "length_mm") == computed


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("number", "1", "There is a wire 1 already"),
        ("number", "0", "1 or more"),
        ("number", "NaN", "whole number"),
        ("main", "plaid", "in this colour code"),
        ("csa_mm2", "2.4", "not a size of this cable"),
        ("csa_mm2", "AWG x", "AWG 14"),
        ("csa_mm2", "nan", "not a size"),
        ("csa_mm2", "1e999", "not a size"),
        ("length_mm", "-5", "10 mm or more"),
        ("length_mm", "9999999", "or less"),
        ("length_mm", "1,5", "point"),
        ("circuit_uid", "no such", "choose from the list"),
        ("from", "nowhere", "no longer there"),
        ("to", "loose:nowhere", "no longer there"),
        ("route", "r9,r8", "do not lead"),
        ("cable_part_uid", "fuse-blade-medium-1", "no longer in the stores"),
    ],
)
def test_what_makes_no_sense_is_refused_beside_its_cell(
    loom: TestClient, field: str, typed: str, words: str
) -> None:
    before = now(loom).link
    answer = cell(loom, field, typed, shown(loom, field), page="one")
    assert answer.status_code == 422
    assert words in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert now(loom).link == before


def test_two_people_at_one_cell_both_see_both_values(loom: TestClient) -> None:
    seen = shown(loom, "note")
    assert cell(loom, "note", "theirs", seen).status_code == 200
    answer = cell(loom, "note", "mine", seen)
    assert answer.status_code == 409
    assert "theirs" in answer.text
    assert "mine" in answer.text
    assert now(loom).link[wire().uid].note == "theirs"


def test_two_people_at_different_cells_of_a_wire_both_win(loom: TestClient) -> None:
    note, main = shown(loom, "note"), shown(loom, "main")
    assert cell(loom, "note", "theirs", note).status_code == 200
    assert cell(loom, "main", "brown", main).status_code == 200
    link = now(loom).link[wire().uid]
    assert (link.note, link.main) == ("theirs", "brown")


def test_undo_and_redo_of_a_cell(loom: TestClient) -> None:
    before = now(loom)
    cell(loom, "csa_mm2", "6", shown(loom, "csa_mm2"))
    changed = now(loom)
    assert changed != before
    loom.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    assert now(loom) == before
    loom.post(f"{LOOM}/redo", data={"next": f"{LOOM}/wires"})
    assert now(loom) == changed


def test_the_answer_brings_the_figures_that_changed_elsewhere(loom: TestClient) -> None:
    """Another number of loaded wires in a bundle, another share of the drop."""
    through = next(link for link in PROPOSED.link.values() if link.route == ("r1",))
    answer = cell(loom, "csa_mm2", "16", f"{through.csa_mm2:g}", number=through.number)
    assert answer.status_code == 200
    assert 'data-hx-target="#design-state"' in answer.text


def test_a_change_after_sign_off_starts_the_next_revision(loom: TestClient) -> None:
    sign_off(loom)
    assert "the next change starts revision B" in loom.get(f"{LOOM}/wires").text
    assert cell(loom, "note", "later", "").status_code == 200
    assert "Revision B, draft" in loom.get(f"{LOOM}/wires").text


def test_without_scripts_a_cell_leads_back_to_the_table(loom: TestClient) -> None:
    data = {"field": "note", "value": "plain", "seen": ""}
    answer = loom.post(f"{LOOM}/wires/{wire().uid}?segment=0", data=data)
    assert answer.url.path == f"{LOOM}/wires"
    data = {"field": "number", "value": "x", "seen": "2"}
    answer = loom.post(f"{LOOM}/wires/{wire().uid}?segment=0", data=data)
    assert answer.status_code == 422
    assert "must be a whole number" in answer.text


def test_the_reasons_open_under_the_row(loom: TestClient) -> None:
    answer = loom.get(f"{LOOM}/wires/{wire().uid}/row?open=1", headers=PARTIAL)
    assert "formulas and sources" in answer.text
    assert "Ohm&#39;s law" in answer.text
    assert "Why" in answer.text


# One wire


def test_an_end_left_loose_empties_its_way_and_comes_back(loom: TestClient) -> None:
    link = wire()
    way = link.to_way_uid or ""
    answer = cell(loom, "to", "loose:bow", way, page="one")
    assert answer.status_code == 200
    design = now(loom)
    assert design.link[link.uid].to_way_uid is None
    made = design.wire_end[f"{link.uid}:to"]
    assert (made.loose_mm, made.terminal_part_uid) == (300, None)
    assert "left loose" in loom.get(f"{LOOM}/wires").text
    assert cell(loom, "to", way, "loose:bow", page="one").status_code == 200
    made = now(loom).wire_end[f"{link.uid}:to"]
    assert made.loose_mm is None
    assert made.terminal_part_uid == PROPOSED.wire_end[made.uid].terminal_part_uid


def test_the_other_end_cannot_be_left_loose_as_well(loom: TestClient) -> None:
    link = wire()
    cell(loom, "to", "loose:bow", link.to_way_uid or "", page="one")
    answer = cell(loom, "from", "loose:helm", link.from_way_uid or "", page="one")
    assert answer.status_code == 422
    assert "left loose already" in answer.text


def end_cell(client: TestClient, field: str, value: str, seen: str):  # type: ignore[no-untyped-def]
    uid = wire().uid
    return post_cell(client, f"wires/{uid}/ends/{uid}:from", field, value, seen)


@pytest.mark.parametrize(
    ("field", "typed", "kept"),
    [
        ("strip_mm", "7.5", 7.5),
        ("shrink_mm", "30", 30),
        ("allowance_mm", "120", 120),
        ("solder", "1", True),
        ("tag", "2 HELM", "2 HELM"),
        ("shrink_part_uid", "none", None),
    ],
)
def test_an_end_is_edited_and_given_back(
    loom: TestClient, field: str, typed: str, kept: object
) -> None:
    uid = f"{wire().uid}:from"
    before = now(loom).wire_end[uid]
    standing = "" if field in ("solder", "shrink_part_uid") else f"{getattr(before, field)}"
    answer = end_cell(loom, field, typed, standing.removesuffix(".0"))
    assert answer.status_code == 200, answer.text[:500]
    assert getattr(now(loom).wire_end[uid], field) == kept
    assert field in now(loom).wire_end[uid].by_hand
    answer = end_cell(loom, field, "", typed)
    assert answer.status_code == 200
    assert getattr(now(loom).wire_end[uid], field) == getattr(before, field)


def test_a_terminal_chosen_by_hand_brings_its_strip_length(loom: TestClient) -> None:
    text = loom.get(f"{LOOM}/wires/{wire().uid}").text
    assert "no terminal" in text
    answer = end_cell(loom, "terminal_part_uid", "ring-M8-2.5-6", "")
    assert answer.status_code == 200
    made = now(loom).wire_end[f"{wire().uid}:from"]
    assert (made.terminal_part_uid, made.strip_mm) == ("ring-M8-2.5-6", 8.0)


@pytest.mark.parametrize("field", ["strip_mm", "shrink_mm", "allowance_mm", "loose_mm", "solder"])
@pytest.mark.parametrize("typed", ["NaN", "-1", "1e99", "9" * 40, "x"])
def test_an_end_refuses_what_makes_no_sense(loom: TestClient, field: str, typed: str) -> None:
    before = now(loom)
    assert end_cell(loom, field, typed, "").status_code in (409, 422)
    assert now(loom) == before


def test_taking_a_wire_out_says_what_goes_and_is_undone(loom: TestClient) -> None:
    link = wire()
    before = now(loom)
    page = loom.get(f"{LOOM}/wires/{link.uid}/remove").text
    assert f"Wire {link.number}" in page
    answer = loom.post(f"{LOOM}/wires/{link.uid}/remove")
    assert "Undo brings it back" in answer.text
    after = now(loom)
    assert link.uid not in after.link
    assert link.uid in after.removed
    assert not [end for end in after.wire_end.values() if end.link_uid == link.uid]
    loom.post(f"{LOOM}/undo", data={})
    assert now(loom) == before


# A wire typed by hand


def typed_wire(**values: str) -> dict[str, str]:
    bar = fitting("Battery")
    lamp_way = next(way for way in PROPOSED.ways_of[fitting("Lamp 0").uid] if way.label == "+")
    return {
        "from": PROPOSED.way_name(PROPOSED.ways_of[bar.uid][0].uid),
        "to": PROPOSED.way_name(lamp_way.uid),
        "circuit": "Searchlight",
        "main": "", "tracer": "", "csa_mm2": "", "note": "",
    } | values  # fmt: skip


def test_a_wire_is_typed_and_finished_as_a_proposal_would(loom: TestClient) -> None:
    answer = loom.post(f"{LOOM}/wires/new", data=typed_wire())
    assert answer.url.path == f"{LOOM}/wires"
    (link,) = [link for uid, link in now(loom).link.items() if uid not in PROPOSED.link]
    design = now(loom)
    assert link.number == max(each.number for each in PROPOSED.link.values()) + 1
    assert link.route == ("r0", "r1")
    assert link.csa_mm2
    assert link.cable_part_uid
    assert design.circuit[link.circuit_uid].name == "Searchlight"
    ends = [end for end in design.wire_end.values() if end.link_uid == link.uid]
    assert len(ends) >= 2
    assert all(end.allowance_mm and end.terminal_part_uid for end in ends)
    assert link.origin == ""


def test_a_wire_may_end_loose(loom: TestClient) -> None:
    data = typed_wire(to="left loose at bow", to_loose_mm="450", main="brown", csa_mm2="AWG 14")
    answer = loom.post(f"{LOOM}/wires/new", data=data)
    assert answer.status_code == 200
    (link,) = [link for uid, link in now(loom).link.items() if uid not in PROPOSED.link]
    assert link.to_way_uid is None
    assert link.main == "brown"
    assert now(loom).wire_end[f"{link.uid}:to"].loose_mm == 450
    assert "AWG 14 is 2.08 mm²" in answer.text


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"from": ""}, "from"),
        ({"to": "Nowhere · 3"}, "to"),
        ({"circuit": ""}, "circuit"),
        ({"main": "plaid"}, "main"),
        ({"tracer": "red"}, "tracer"),
        ({"main": "red", "tracer": "RD"}, "tracer"),
        ({"csa_mm2": "NaN"}, "csa_mm2"),
        ({"to": "left loose at bow", "to_loose_mm": "-4"}, "to_loose_mm"),
        ({"from": "left loose at bow", "to": "left loose at helm"}, "to"),
        ({"to": typed_wire()["from"]}, "to"),
        ({"note": "x" * 500}, "note"),
    ],
)
def test_a_typed_wire_is_refused_beside_its_field(
    loom: TestClient, wrong: dict[str, str], field: str
) -> None:
    before = now(loom)
    answer = loom.post(f"{LOOM}/wires/new", data=typed_wire(**wrong))
    assert answer.status_code == 422
    assert field in errors(answer)
    assert now(loom) == before


# Not there


@pytest.mark.parametrize(
    "path",
    [
        "/looms/9/wires",
        "/looms/9/wires/new",
        f"{LOOM}/wires/none",
        f"{LOOM}/wires/none/row",
        f"{LOOM}/wires/none/remove",
        f"/looms/9/wires/{wire().uid}",
    ],
)
def test_what_is_not_there(loom: TestClient, path: str) -> None:
    assert loom.get(path).status_code == 404


@pytest.mark.parametrize(
    "path",
    ["wires/none", "wires/none/remove", "wires/none/ends/none", f"wires/{wire().uid}/ends/none:to"],
)
def test_what_is_not_there_cannot_be_changed(loom: TestClient, path: str) -> None:
    data = {"field": "note", "value": "x", "seen": ""}
    assert loom.post(f"{LOOM}/{path}", data=data).status_code == 404


def test_an_unknown_field_is_not_understood(loom: TestClient) -> None:
    assert cell(loom, "uid", "x", "").status_code == 422
    assert loom.post(f"{LOOM}/wires/{wire().uid}").status_code == 422


def test_a_mend_is_done_only_while_it_is_proposed(loom: TestClient) -> None:
    heavy = max(PROPOSED.link.values(), key=lambda link: link.csa_mm2 or 0)
    cell(loom, "csa_mm2", "1", f"{heavy.csa_mm2:g}", number=heavy.number)
    page = loom.get(f"{LOOM}/wires").text
    found = re.search(
        rf'name="rule" value="([^"]+)"><input type="hidden" name="table" value="wire">'
        rf'<input type="hidden" name="uid" value="{heavy.uid}">'
        r'<input type="hidden" name="sentence" value="([^"]+)">.*?<button[^>]*>Use ([\d.]+) mm²',
        page,
    )
    assert found
    rule, sentence, csa = found.groups()
    mend = {"rule": rule, "table": "wire", "uid": heavy.uid, "sentence": unescape(sentence)}
    other = loom.post(f"{LOOM}/mend", data=mend | {"sentence": "It says something else."})
    assert other.status_code == 409
    assert loom.post(f"{LOOM}/mend", data=mend).status_code == 200
    assert now(loom).link[heavy.uid].csa_mm2 == float(csa)
    assert loom.post(f"{LOOM}/mend", data=mend).status_code == 409
    assert loom.post(f"{LOOM}/mend", data={}).status_code == 409
