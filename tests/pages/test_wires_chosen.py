"""Several wires at once, chosen columns, sorting and renumbering, through the pages."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, loom, now, wire
from tests.pages.reading import errors

__all__ = ["designed_db", "loom"]
PARTIAL = {"HX-Request-Type": "partial"}
UIDS = [wire(number).uid for number in (2, 3, 4)]


def chosen(client: TestClient, field: str, value: str, rows: list[str] = UIDS, **seen: str):  # type: ignore[no-untyped-def]
    data = {"field": field, "value": value, "rows": rows} | {
        f"seen-{uid}": each for uid, each in seen.items()
    }
    return client.post(f"{LOOM}/wires/chosen", data=data, headers=PARTIAL)


def commands(client: TestClient) -> int:
    """How often undo can be asked."""
    count = 0
    while "Undo" in client.get(f"{LOOM}/wires").text and count < 9:
        client.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
        count += 1
    return count


def test_one_field_of_several_wires_is_one_step(loom: TestClient) -> None:
    before = now(loom)
    answer = chosen(loom, "note", "by the hatch")
    assert answer.status_code == 200
    assert "Wires 2, 3 and 4: note by the hatch." in answer.text
    for uid in UIDS:
        assert f'data-hx-target="#wire-{uid}"' in answer.text
        assert now(loom).link[uid].note == "by the hatch"
    loom.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    assert now(loom) == before


@pytest.mark.parametrize(
    ("field", "value", "column", "kept"),
    [
        ("csa_mm2", "AWG 10", "csa_mm2", None),
        ("main", "brown", "main", "brown"),
        ("length_mm", "", "lengths_mm", {}),
        ("circuit_uid", "horn", "circuit_uid", None),
    ],
)
def test_values_are_read_as_in_a_cell(
    loom: TestClient, field: str, value: str, column: str, kept: object
) -> None:
    rows = [wire(2).uid] if field == "length_mm" else UIDS
    assert chosen(loom, field, value, rows).status_code == 200
    horn = next(uid for uid, each in PROPOSED.circuit.items() if each.name == "Horn")
    expected = {"csa_mm2": (5.0, 6.0), "circuit_uid": (horn,)}.get(field, (kept,))
    assert all(getattr(now(loom).link[uid], column) in expected for uid in rows)


@pytest.mark.parametrize(
    ("field", "value", "rows", "words"),
    [
        ("csa_mm2", "2.4", UIDS, "not a size of this cable"),
        ("circuit_uid", "no such", UIDS, "choose from the list"),
        ("note", "x", [], "Choose the wires first"),
        ("uid", "x", UIDS, "Choose what is to be changed"),
        ("note", "x", [*UIDS, "none"], "no longer there"),
        ("tracer", "RD", UIDS, "must differ"),
    ],
)
def test_what_stands_in_the_way_is_named_and_nothing_changes(
    loom: TestClient, field: str, value: str, rows: list[str], words: str
) -> None:
    if field == "tracer":
        assert chosen(loom, "tracer", "").status_code == 200
        assert chosen(loom, "main", "RD", UIDS[:1]).status_code == 200
    before = now(loom)
    answer = chosen(loom, field, value, rows)
    assert answer.status_code == 422
    assert words in answer.text
    assert now(loom) == before


def test_a_clash_names_the_wire_and_both_values(loom: TestClient) -> None:
    chosen(loom, "note", "theirs", UIDS[:1])
    before = now(loom)
    answer = chosen(loom, "note", "mine", UIDS, **dict.fromkeys(UIDS, ""))
    assert answer.status_code == 409
    assert "Wire 2" in answer.text
    assert "Wire 3" not in answer.text
    assert "theirs" in answer.text
    assert "mine" in answer.text
    assert now(loom) == before


def test_one_wire_of_a_cut_link_is_named_by_its_place(loom: TestClient) -> None:
    cut = next(each.link_uid for each in PROPOSED.crossing.values())
    answer = chosen(loom, "length_mm", "900", [cut])
    assert answer.status_code == 422
    assert "each has a length of its own" in answer.text
    assert chosen(loom, "length_mm", "900", [f"{cut}.0", f"{cut}.1"]).status_code == 200
    assert now(loom).link[cut].lengths_mm == {"0": 900, "1": 900}


def test_without_scripts_the_answer_is_a_page(loom: TestClient) -> None:
    data = {"field": "note", "value": "plain", "rows": UIDS}
    answer = loom.post(f"{LOOM}/wires/chosen", data=data)
    assert answer.url.path == f"{LOOM}/wires"
    assert "note plain" in answer.text
    refused = loom.post(f"{LOOM}/wires/chosen", data={"field": "note", "rows": "none"})
    assert refused.status_code == 422
    assert "no longer there" in refused.text


def test_a_circuit_is_added_beside_the_table(loom: TestClient) -> None:
    data = {"circuit_name": "Deck", "service": "other", "rows": UIDS[:2]}
    answer = loom.post(f"{LOOM}/wires/circuit", data=data)
    assert "Deck, with wires 2 and 3" in answer.text
    (made,) = now(loom).circuit.keys() - PROPOSED.circuit.keys()
    assert {uid for uid, link in now(loom).link.items() if link.circuit_uid == made} == set(
        UIDS[:2]
    )
    again = loom.post(f"{LOOM}/wires/circuit", data=data)
    assert again.status_code == 422
    assert "circuit_name" in errors(again)
    assert 'value="Deck"' in again.text
    assert commands(loom) == 2


def test_taking_out_several_names_them_first(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/wires/take-out", params={"rows": [*UIDS[:2], "none"]}).text
    assert "Take out 2 wires?" in page
    assert "Wire 2, " in page
    answer = loom.post(f"{LOOM}/wires/take-out", data={"rows": UIDS[:2]})
    assert "Undo brings them back" in answer.text
    assert PROPOSED.link.keys() - now(loom).link.keys() == set(UIDS[:2])
    again = loom.post(f"{LOOM}/wires/take-out", data={"rows": UIDS[:2]})
    assert again.status_code == 409
    assert "No wires are chosen" in loom.get(f"{LOOM}/wires/take-out").text


# Columns, order, filter


def heads(client: TestClient, **query: str) -> list[str]:
    text = client.get(f"{LOOM}/wires", params=query).text
    head = text[text.index("<thead>") : text.index("</thead>")]
    inside = re.findall(r"<th [^>]*>(.*?)</th>", head)
    return [re.sub(r"<[^>]+>", " ", each).split(":")[0].strip() for each in inside]


def test_columns_are_kept_for_the_person(loom: TestClient) -> None:
    usual = heads(loom)
    assert "mm²" in usual
    assert "Fuse A" not in usual
    data = {"column": ["fuse", "awg", "circuit_uid", "main"], "next": f"{LOOM}/wires?sort=length"}
    answer = loom.post(f"{LOOM}/wires/columns", data=data)
    assert str(answer.url).endswith("?sort=length")
    assert [each for each in heads(loom) if each in ("Circuit", "Fuse A", "Main", "AWG")] == [
        "Circuit", "Fuse A", "Main", "AWG"
    ]  # fmt: skip
    assert "mm²" not in heads(loom)
    assert "the usual" not in loom.post(f"{LOOM}/wires/columns", data={"usual": "1"}).text
    assert heads(loom) == usual


def test_what_is_too_much_for_a_line_goes_on_a_second(loom: TestClient) -> None:
    from webapp.pages.wire_columns import COLUMNS, FIXED_PX, ROOM_PX, lay_out

    every = [column.key for column in COLUMNS]
    answer = loom.post(f"{LOOM}/wires/columns", data={"column": every})
    assert "On a second line" in answer.text
    layout = lay_out(every)
    assert sum(column.px for column in layout.first) <= ROOM_PX - FIXED_PX
    assert len(layout.first) + len(layout.second) == len(every)
    for column in layout.second:
        assert f"<b>{column.head}</b>" in answer.text
    uid = UIDS[0]
    row = loom.get(f"{LOOM}/wires/{uid}/row?open=1", headers=PARTIAL).text
    assert row.count(f'id="wire-{uid}-circuit_uid"') == 1
    assert row.count(f'id="wire-{uid}-note"') == 1


def order_of(client: TestClient, **query: str) -> list[int]:
    text = client.get(f"{LOOM}/wires", params=query, headers=PARTIAL).text
    uids = re.findall(r'<tbody id="wire-([^"]+)"', text)
    return [PROPOSED.link[uid].number for uid in uids]


def test_rows_are_sorted_as_the_address_says(loom: TestClient) -> None:
    by_number = order_of(loom)
    assert by_number == sorted(by_number)
    section = order_of(loom, sort="section")
    by = {link.number: link for link in PROPOSED.link.values()}
    sizes = [by[number].csa_mm2 or 0 for number in section]
    assert sizes == sorted(sizes)
    assert section != by_number
    for order in ("circuit", "place", "length"):
        assert sorted(order_of(loom, sort=order)) == by_number
    assert order_of(loom, sort="nonsense") == by_number
    page = loom.get(f"{LOOM}/wires", params={"sort": "length", "find": "horn"}).text
    assert 'aria-sort="ascending"' in page
    assert "sort=place&amp;find=horn" in page
    assert re.search(r'<option value="length" selected', page)


def test_the_filter_knows_states(loom: TestClient) -> None:
    assert order_of(loom, find="by hand") == []
    chosen(loom, "note", "x", UIDS[:1])
    assert order_of(loom, find="by hand") == [2]
    assert order_of(loom, find="not measured") == []
    with_findings = order_of(loom, find="findings")
    assert len(with_findings) < len(PROPOSED.link)
    chosen(loom, "csa_mm2", "", UIDS[1:2])
    assert 3 in order_of(loom, find="findings")


# Renumbering


def test_renumbering_is_shown_first_and_done_as_one_step(loom: TestClient) -> None:
    before = now(loom)
    page = loom.get(f"{LOOM}/wires/renumber", params={"order": "place", "start": "100"}).text
    assert "get another number" in page
    shown = re.search(r'name="shown" value="([^"]+)"', page)
    assert shown
    data = {"order": "place", "start": "100", "by_hand": "", "shown": shown.group(1)}
    answer = loom.post(f"{LOOM}/wires/renumber", data=data)
    assert "Undo takes it back" in answer.text
    numbers = sorted(link.number for link in now(loom).link.values())
    assert numbers == list(range(100, 100 + len(before.link)))
    again = loom.get(f"{LOOM}/wires/renumber", params={"order": "circuit", "start": "1"}).text
    assert "set by hand are kept" in again
    loom.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    assert now(loom) == before


def test_renumbering_asks_again_when_the_wires_have_changed(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/wires/renumber", params={"start": "50"}).text
    shown = re.search(r'name="shown" value="([^"]+)"', page)
    assert shown
    loom.post(f"{LOOM}/wires/take-out", data={"rows": UIDS[:1]})
    before = now(loom)
    data = {"order": "circuit", "start": "50", "shown": shown.group(1)}
    answer = loom.post(f"{LOOM}/wires/renumber", data=data)
    assert answer.status_code == 409
    assert "have changed since this was shown" in answer.text
    assert now(loom) == before


@pytest.mark.parametrize(
    ("typed", "field"),
    [({"start": "0"}, "start"), ({"start": "x"}, "start"), ({"start": "99999"}, "start"),
     ({"order": "colour"}, "order")],
)  # fmt: skip
def test_a_rule_that_makes_no_sense_is_refused(
    loom: TestClient, typed: dict[str, str], field: str
) -> None:
    answer = loom.get(f"{LOOM}/wires/renumber", params=typed)
    assert answer.status_code == 422
    assert field in errors(answer)


def test_a_wire_after_another_starts_where_that_ends(loom: TestClient) -> None:
    link = wire(2)
    page = loom.get(f"{LOOM}/wires/new", params={"after": link.uid}).text
    assert f'value="{PROPOSED.way_name(link.to_way_uid)}"' in page
    assert f'value="{PROPOSED.circuit[link.circuit_uid].name}"' in page


@pytest.mark.parametrize(
    "path", ["wires/chosen", "wires/circuit", "wires/take-out", "wires/renumber", "wires/columns"]
)
def test_a_loom_that_is_not_there(loom: TestClient, path: str) -> None:
    assert loom.post(f"/looms/9/{path}", data={"field": "note", "rows": "x"}).status_code == 404
