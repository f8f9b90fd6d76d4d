"""Wires sent out to a spreadsheet and back, and an old wire list typed in."""

import csv
import io

import pytest
from httpx2 import Response
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, loom, now
from tests.pages.launch import confirm, look, sent, words
from tests.pages.reading import errors

__all__ = ["designed_db", "loom"]
OLD = "No,From,From pin,To,To pin,From place,To place,Circuit,Colour,Size,Length\n"
Rows = list[dict[str, str]]


def exported(client: TestClient) -> Rows:
    text = client.get(f"{LOOM}/wires.csv").text.removeprefix("\ufeff")
    return list(csv.DictReader(io.StringIO(text)))


def as_csv(rows: Rows) -> str:
    out = io.StringIO(newline="")
    writer = csv.DictWriter(out, rows[0])
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def row_of(rows: Rows, number: str) -> dict[str, str]:
    return next(row for row in rows if row["number"] == number)


def take(client: TestClient, text: str, **ticks: str) -> Response:
    return confirm(client, LOOM, look(client, LOOM, "wires", text), **ticks)


def refusals(page: Response) -> dict[int, str]:
    """What stands beside each line that is refused."""
    body = page.text[page.text.index("<tbody>") : page.text.index("</tbody>")]
    rows = [row for row in body.split("<tr")[1:] if 'class="refused"' in row]
    return {int(row.split('class="n">')[1].split("<")[0]): row for row in rows}


def test_an_unchanged_list_changes_nothing(loom: TestClient) -> None:
    before = now(loom)
    text = loom.get(f"{LOOM}/wires.csv").text
    page = look(loom, LOOM, "wires", text)
    count = len(exported(loom))
    assert f"{count} rows read: {count} are there already" in words(page)
    assert "There is nothing to import" in page.text
    assert "columns not used: length_now_mm" in words(page).casefold()
    assert take(loom, text).status_code == 422
    assert now(loom) == before


def test_changes_are_shown_and_kept_as_one_step(loom: TestClient) -> None:
    before = now(loom)
    rows = exported(loom)
    row = next(each for each in rows if each["section_mm2"] == "1.5" and each["note"] == "")
    number = int(row["number"].rstrip("AB"))
    for part in rows:
        if part["number"].rstrip("AB") == str(number):
            part |= {"section_mm2": "2.5", "note": "heavier"}
    page = look(loom, LOOM, "wires", as_csv(rows))
    assert "Section: 1.5 → 2.5" in words(page)
    assert "Note: nothing → heavier" in words(page)
    assert now(loom) == before
    done = confirm(loom, LOOM, page)
    assert done.url.path == f"{LOOM}/wires"
    link = next(link for link in now(loom).link.values() if link.number == number)
    assert (link.csa_mm2, link.note) == (2.5, "heavier")
    assert {"csa_mm2", "cable_part_uid", "note"} <= set(link.by_hand)
    others = [each for each in now(loom).link.values() if each.uid != link.uid]
    assert others == [each for each in before.link.values() if each.uid != link.uid]
    loom.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    assert [link.csa_mm2 for link in now(loom).link.values()] == [
        link.csa_mm2 for link in before.link.values()
    ]


def test_an_old_list_makes_its_fittings_where_the_person_agrees(
    loom: TestClient,
) -> None:
    text = (
        OLD + "101,Fuse board,1,Bilge alarm,+,,bow,Bilge alarm,brown/black,1.5,2400\n"
        "102,Bilge alarm,−,Negative bar,1,,,Bilge alarm,,AWG 14,\n"
        ",Bilge alarm,sense,,,,helm,Bilge alarm,white,1,\n"
    )
    page = look(loom, LOOM, "wires", text)
    assert "3 rows read: 3 new" in words(page)
    assert "Make what the loom has not yet: Bilge alarm at bow" in words(page)
    without = {name: value for name, value in sent(page).items() if name != "make_fittings"}
    refused = loom.post(f"{LOOM}/import/rows", data=without)
    assert refused.status_code == 422
    assert set(refusals(refused)) == {2, 3, 4}
    assert "No fitting is called “Bilge alarm”" in words(refused)
    assert confirm(loom, LOOM, page).url.path == f"{LOOM}/wires"
    design = now(loom)
    alarm = next(each for each in design.fitting.values() if each.name == "Bilge alarm")
    assert [way.label for way in design.ways_of[alarm.uid]] == ["+", "−", "sense"]
    assert alarm.place_uid == next(p.uid for p in design.place.values() if p.name == "bow")
    made = {link.number: link for link in design.link.values() if link.number >= 101}
    assert set(made) == {101, 102, 103}
    assert (made[101].main, made[101].tracer, made[101].csa_mm2) == ("brown", "black", 1.5)
    assert made[101].lengths_mm or any(
        each.link_uid == made[101].uid for each in design.crossing.values()
    )
    assert made[102].main  # the next free colour
    assert made[102].csa_mm2 == 2.5  # AWG 14 is 2.08 mm²
    assert made[103].to_way_uid is None
    circuit = design.circuit[made[101].circuit_uid]
    assert circuit.name == "Bilge alarm"
    assert all(link.circuit_uid == circuit.uid for link in made.values())
    assert all(link.route is not None for link in made.values())


BAD = {
    "Fuse board,99,Lamp 0,+,,,C,red,1.5,": "Fuse board has no way 99",
    "Fuse board,1,Lamp 0,,,,C,red,1.5,": "Say which way of Lamp 0",
    "Fuse board,1,Lamp 0,+,bow,,C,red,1.5,": "Fuse board sits at battery box, not at bow",
    "Fuse board,1,Lamp 0,+,,,,red,1.5,": "Say which circuit the wire belongs to",
    "Fuse board,1,Lamp 0,+,,,C,mauve,1.5,": "No “mauve” in this colour code",
    "Fuse board,1,Lamp 0,+,,,C,red/red,1.5,": "The tracer must differ from the main colour",
    "Fuse board,1,Lamp 0,+,,,C,red,1.7,": "“1.7” is not a size of this cable",
    "Fuse board,1,Lamp 0,+,,,C,red,AWG x,": "A gauge is typed as AWG 14",
    "Fuse board,1,Lamp 0,+,,,C,red,1.5,5": "Length by hand must be 10 mm or more",
    "Fuse board,1,Fuse board,1,,,C,red,1.5,": "Both ends go to the same way",
    ",,,,bow,helm,C,red,1.5,": "both are left loose",
    ",,Lamp 0,+,,,C,red,1.5,": "or at which place it is left loose",
    "Nowhere,1,Lamp 0,+,,,C,red,1.5,": "say in from_place where it sits",
}


def test_what_typing_refuses_a_list_is_refused_too(loom: TestClient) -> None:
    lines = "".join(f"{900 + n},{line}\n" for n, line in enumerate(BAD))
    said = refusals(look(loom, LOOM, "wires", OLD + lines))
    for at, (line, why) in enumerate(BAD.items(), start=2):
        assert why in said.get(at, ""), line


def test_a_number_that_is_taken_and_one_given_twice(loom: TestClient) -> None:
    line = "Fuse board,1,Lamp 0,+,,,C,red,1.5,"
    page = look(loom, LOOM, "wires", f"{OLD}1,{line}\n901,{line}\n901,{line}\nx9,{line}\n")
    said = refusals(page)
    assert "There is a wire 1 already" in said[2]
    assert "There is a wire 901 already" in said[3]
    assert "Number must be 1 to" in said[5]


def test_wires_that_the_list_leaves_out_go_only_when_ticked(loom: TestClient) -> None:
    rows = [row for row in exported(loom) if row["number"].rstrip("AB") != "2"]
    page = look(loom, LOOM, "wires", as_csv(rows))
    assert "Take out what the list does not name: wire 2" in words(page)
    assert take(loom, as_csv(rows)).status_code == 422  # nothing else in it
    assert any(link.number == 2 for link in now(loom).link.values())
    done = take(loom, as_csv(rows), take_out="1")
    assert "1 wire taken out" in words(done)
    assert all(link.number != 2 for link in now(loom).link.values())


def test_ways_of_a_plug_change_places_in_one_list(loom: TestClient) -> None:
    before = now(loom)
    rows = exported(loom)
    parts = [row for row in rows if row["number"].endswith("A")]
    cut = [row for row in parts if row["to_fitting"] == parts[0]["to_fitting"]][:2]
    first, second = (row["to_way"] for row in cut)
    for row, way in zip(cut, (second, first), strict=True):
        row["to_way"] = way
        row_of(rows, row["number"].replace("A", "B"))["from_way"] = way
    done = take(loom, as_csv(rows))
    assert done.url.path == f"{LOOM}/wires"
    after = {row["number"]: row for row in exported(loom)}
    assert after[cut[0]["number"]]["to_way"] == second
    assert after[cut[1]["number"]]["to_way"] == first
    assert set(now(loom).crossing) == set(before.crossing)
    # Only one of them: the other half does not follow, and neither does the other wire.
    rows = exported(loom)
    row_of(rows, cut[0]["number"])["to_way"] = first
    page = look(loom, LOOM, "wires", as_csv(rows))
    assert "the way of a plug and socket in which the part before it ends" in words(page)
    row_of(rows, cut[0]["number"].replace("A", "B"))["from_way"] = first
    page = look(loom, LOOM, "wires", as_csv(rows))
    assert "Another wire goes through" in words(page)


def test_a_list_that_was_shown_before_an_edit_is_looked_at_again(
    loom: TestClient,
) -> None:
    rows = exported(loom)
    rows[0]["note"] = "from the list"
    page = look(loom, LOOM, "wires", as_csv(rows))
    link = rows[1]["uid"].rpartition(".")[0]
    loom.post(f"{LOOM}/wires/{link}", data={"field": "note", "value": "typed", "seen": ""})
    stale = confirm(loom, LOOM, page)
    assert stale.status_code == 409
    assert "changed after this list was shown" in stale.text
    assert all(link.note != "from the list" for link in now(loom).link.values())
    # It is weighed anew: the other's note would be taken back, and that is shown.
    assert "Note: typed → nothing" in words(stale)
    assert confirm(loom, LOOM, stale).url.path == f"{LOOM}/wires"


def test_parts_of_one_wire_must_agree(loom: TestClient) -> None:
    rows = exported(loom)
    number = next(row["number"] for row in rows if row["number"].endswith("A")).rstrip("A")
    row_of(rows, f"{number}A")["section_mm2"] = "4"
    row_of(rows, f"{number}B")["section_mm2"] = "6"
    assert "says otherwise" in words(look(loom, LOOM, "wires", as_csv(rows)))
    row_of(rows, f"{number}B")["section_mm2"] = "1.5"
    page = look(loom, LOOM, "wires", as_csv(rows))
    assert "2 change what is there" in words(page)


WRONG_FILES = (
    b"\x89PNG\r\n\x1a\n\x00\x01",
    b"\x00" * 400,
    bytes(range(256)) * 20,
    b"\xff\xfe\x00",
    b"uid,uid,uid\n1,2,3\n",
    ("from,to,name\n" + "x" * 200_000 + ",b,c\n").encode(),
    ("from,to,need,place,kind,rating,field,value\n" + "a,b,c,d,e,f,g,h\n" * 2100).encode(),
    'from,to,name\n"never closed,b\n'.encode("utf-16"),
    "from,to,name\r=1+1,@b,\U0001f600\u202e\r".encode(),
    b'"\n"\n"',
)


@pytest.mark.parametrize("what", ["needs", "runs", "wires", "facts", "stores"])
def test_a_wrong_file_is_named_not_a_fault(loom: TestClient, what: str) -> None:
    address = "/stores/import" if what == "stores" else f"{LOOM}/import"
    for content in WRONG_FILES:
        file = {"file": ("list.csv", content, "text/csv")}
        page = loom.post(address, data={"what": what, "text": ""}, files=file)
        assert page.status_code in (200, 422), content[:40]
        if page.status_code == 422:
            assert errors(page)["text"], content[:40]
        else:
            answer = loom.post(f"{address}/rows", data=sent(page))
            assert answer.status_code in (200, 422), content[:40]


def test_empty_lists_name_their_columns(loom: TestClient) -> None:
    for what in ("needs", "runs", "wires", "facts", "parts"):
        page = "/stores/import" if what == "parts" else f"{LOOM}/import"
        address = "/stores/import/empty.csv" if what == "parts" else f"/lists/{what}.csv"
        assert f'href="{address}"' in loom.get(page).text
        answer = loom.get(address)
        assert answer.headers["content-type"] == "text/csv; charset=utf-8"
        header = answer.text.removeprefix("\ufeff").strip()
        assert "," in header
        assert "\n" not in header
        if what != "parts":
            page = look(loom, LOOM, what, header)
            assert "has no rows below" in errors(page)["text"]
    assert loom.get("/lists/poems.csv").status_code == 404


def test_a_list_pasted_into_the_table_finds_its_wires_by_number(loom: TestClient) -> None:
    before = now(loom)
    rows = exported(loom)
    first = next(row for row in rows if row["number"].isdecimal())
    ends = [first[f"{side}_{name}"] for side in ("from", "to") for name in ("fitting", "way")]
    line = ",".join([first["number"], *ends, "16", ""])
    text = f"number,from_fitting,from_way,to_fitting,to_way,section_mm2,note\n{line}\n"
    data = {"what": "wires", "text": text, "in_dialog": "1"}
    page = loom.post(f"{LOOM}/import", data=data)
    assert "1 row read: 1 changes what is there" in words(page)
    assert "Take out what the list does not name" not in page.text
    assert "<html" not in page.text
    loom.post(f"{LOOM}/import/rows", data=sent(page))
    changed = [uid for uid, link in now(loom).link.items() if link != before.link[uid]]
    assert changed == [first["uid"].rpartition(".")[0]]
    assert now(loom).link[changed[0]].csa_mm2 == 16
