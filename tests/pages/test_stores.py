import pytest
from sqlalchemy import delete
from starlette.testclient import TestClient

from tests.pages.launch import words
from tests.pages.reading import errors, fields
from webapp.database import writing
from webapp.records.catalogue import Part
from webapp.stages.catalogue import seed_parts

BOARD = "/stores/fuse-board-blade-4"


def opened(client: TestClient, address: str = BOARD) -> dict[str, str]:
    return fields(client.get(address))


def test_parts_stand_by_kind_with_facts_price_and_source(office: TestClient) -> None:
    page = words(office.get("/stores"))
    for said in (
        f"Cable {sum(part.kind == 'cable' for part in seed_parts())}",
        "1.5 mm² · tinned copper",
        "invented price",
        "£14.50 each",
        "common practice unconfirmed",
        "fuse board · 5 connections · up to 100 A · for blade-medium fuse-links",
    ):
        assert said in page, said
    assert page.index("Flexible cable 2.5 mm²") < page.index("Flexible cable 10 mm²")


@pytest.mark.parametrize(
    ("query", "there", "gone"),
    [
        ("q=fuse+board", "Fuse board, 4 ways", "Masking tape"),
        ("q=TINNED+1.5", "1.5 mm²", "Masking tape"),
        ("kind=consumable", "Masking tape", "Fuse board"),
        ("q=no+such+thing", "No such part", "Masking tape"),
    ],
)
@pytest.mark.parametrize("part", [False, True])
def test_the_list_is_filtered(
    office: TestClient, query: str, there: str, gone: str, part: bool
) -> None:
    answer = office.get(f"/stores?{query}", headers={"HX-Request-Type": "partial"} if part else {})
    assert there in answer.text
    assert gone not in answer.text
    assert ("<html" in answer.text) is not part


def test_a_kind_that_is_none_is_named(office: TestClient) -> None:
    answer = office.get("/stores?kind=rocket")
    assert answer.status_code == 422
    assert "kind" in errors(answer)


def test_empty_stores_say_what_to_do_first(office: TestClient) -> None:
    with writing(office.app.state.engine) as session:  # type: ignore[attr-defined]
        session.execute(delete(Part))
    assert "Add the cable that the workshop keeps first" in office.get("/stores").text
    assert office.get("/stores/new").status_code == 200


def test_a_price_that_is_entered_is_no_longer_invented(office: TestClient) -> None:
    page = office.post(BOARD, data=opened(office) | {"price_minor": "£15.20", "stocked": ""})
    assert "Saved." in page.text
    listed = office.get("/stores?q=fuse+board,+4+ways,+medium").text
    assert "£15.20" in listed
    assert "invented" not in listed
    assert "not kept" in listed
    assert "Fuse board, 4" not in office.get("/stores?stocked=1&q=4+ways,+medium").text


def test_saving_without_a_change_keeps_the_mark(office: TestClient) -> None:
    office.post(BOARD, data=opened(office))
    assert "invented price" in office.get(BOARD).text


@pytest.mark.parametrize(
    ("wrong", "field", "says"),
    [
        ({"name": ""}, "name", "missing"),
        ({"name": "fuse board, 6 ways, MEDIUM blade"}, "name", "already"),
        ({"price_minor": "-1"}, "price_minor", "0 or more"),
        ({"price_minor": "dear"}, "price_minor", "number"),
        ({"price_per": "0"}, "price_per", "1 or more"),
        ({"price_unit": "box"}, "price_unit", "choose one"),
        ({"confirmed": "1"}, "source", "Enter the document"),
        ({"confirmed": "1", "source": ""}, "source", "Enter the document"),
        ({"fact_max_a": "0"}, "fact_max_a", "more than 0"),
        ({"fact_max_a": "inf"}, "fact_max_a", "number"),
        ({"fact_what": ""}, "fact_what", "missing"),
        ({"fact_ways": "feed"}, "fact_ways", "label:contact"),
        ({"fact_ways": "feed:stud:x:1"}, "fact_ways", "label:contact"),
        ({"fact_ways": ":tab", "fact_bridges": ""}, "fact_ways", "label and a contact"),
        ({"fact_ways": "1:tab;1:tab", "fact_bridges": ""}, "fact_ways", "same label"),
        ({"fact_ways": "1:tab:0", "fact_bridges": ""}, "fact_ways", "1 to 50"),
        ({"fact_bridges": "feed-9:fuse"}, "fact_bridges", "named above"),
        ({"fact_bridges": "feed-1"}, "fact_bridges", "named above"),
        ({"fact_bridges": "feed-1:magic"}, "fact_bridges", "none of"),
    ],
)
def test_a_mistake_stands_beside_its_field(
    office: TestClient, wrong: dict[str, str], field: str, says: str
) -> None:
    before = opened(office)
    page = office.post(BOARD, data=before | wrong)
    assert page.status_code == 422
    assert list(errors(page)) == [field]
    assert says in errors(page)[field]
    assert opened(office) | {"once": ""} == before | {"once": ""}


def test_facts_of_a_cable_and_a_terminal(office: TestClient) -> None:
    cable = "/stores/cable-vehicle-plain-1"
    page = office.post(cable, data=opened(office, cable) | {"fact_csa_mm2": "x"})
    assert list(errors(page)) == ["fact_csa_mm2"]
    terminal = "/stores/tab-receptacle-6.3-0.5-1"
    data = opened(office, terminal) | {"fact_csa_min_mm2": "2"}
    assert list(errors(office.post(terminal, data=data))) == ["fact_csa_max_mm2"]
    data = opened(office, terminal) | {"fact_soldered": "1"}
    assert "crimped · soldered" in words(office.post(terminal, data=data))
    data = {k: v for k, v in opened(office, terminal).items() if k != "fact_soldered"}
    assert "soldered" not in words(office.post(terminal, data=data)).split("Name")[0]


def test_every_part_of_the_seed_opens_and_saves_as_it_is(office: TestClient) -> None:
    listed = office.get("/stores").text
    addresses = {piece.split('"')[0] for piece in listed.split('href="')[1:]}
    parts = sorted(a for a in addresses if a.startswith("/stores/") and a != "/stores/new")
    assert len(parts) > 100
    for address in parts[::7]:
        page = office.post(address, data=opened(office, address))
        assert page.status_code == 200, (address, errors(page))


def test_a_document_that_was_seen_confirms_the_facts(office: TestClient) -> None:
    assert "Unconfirmed" in office.get(BOARD).text
    data = opened(office) | {"confirmed": "1", "source": "Maker's sheet FB-4, issue 2"}
    page = office.post(BOARD, data=data)
    assert "Unconfirmed" not in page.text
    assert "unconfirmed" not in office.get("/stores?q=FB-4").text.split("</p>")[-1]


def test_two_people_merge_or_see_both_values(office: TestClient) -> None:
    mine, theirs = opened(office), opened(office)
    office.post(BOARD, data=theirs | {"fact_max_a": "90"})
    office.post(BOARD, data=mine | {"price_minor": "16"})
    assert opened(office)["fact_max_a"] == "90"
    assert opened(office)["price_minor"] == "16.00"
    page = office.post(BOARD, data=mine | {"fact_max_a": "80"})
    assert page.status_code == 409
    assert "90" in page.text
    assert "80" in page.text
    chosen = fields(page) | {"keep-fact_max_a": "yours"}
    assert office.post(BOARD, data=chosen).status_code == 200
    assert opened(office)["fact_max_a"] == "80"


def test_a_part_is_added_from_a_copy_or_from_nothing(office: TestClient) -> None:
    page = office.get("/stores/new?like=fuse-board-blade-4")
    data = fields(page) | {"name": "Fuse board, 4 ways, sealed"}
    made = office.post("/stores/new?kind=fuse+holder", data=data)
    assert made.url.path == "/stores/fuse-board-4-ways-sealed"
    assert "is added" in made.text
    again = office.post("/stores/new?kind=fuse+holder", data=data)
    assert again.status_code == 422
    assert "already" in errors(again)["name"]
    blank = office.get("/stores/new?kind=cable")
    empty = office.post("/stores/new?kind=cable", data=fields(blank))
    assert {"name", "price_minor", "fact_csa_mm2", "fact_conductor_kind"} <= set(errors(empty))
    assert office.get("/stores/new").status_code == 200


def test_names_that_differ_only_in_signs_get_their_own_address(office: TestClient) -> None:
    for name, uid in (
        ("Tape – 19 mm", "tape-19-mm"),
        ("Tape + 19 mm", "tape-19-mm-2"),
        ("New", "new-2"),
    ):
        data = {"name": name, "price_minor": "1", "price_per": "1", "price_unit": "m",
                "fact_use": "bind"}  # fmt: skip
        assert office.post("/stores/new?kind=consumable", data=data).url.path == f"/stores/{uid}"


def test_what_is_not_there(office: TestClient) -> None:
    assert office.get("/stores/unobtainium").status_code == 404
    assert office.post("/stores/unobtainium", data={}).status_code == 404
    assert office.get("/stores/new?like=unobtainium").status_code == 404
    assert office.post("/stores/new?kind=rocket", data={}).status_code == 404
