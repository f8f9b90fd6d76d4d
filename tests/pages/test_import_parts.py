"""The stores as a list: out, changed in a spreadsheet, looked through and brought in."""

import csv
import io

from httpx2 import Response
from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.pages.designed import designed_db, loom
from tests.pages.launch import sent, words
from tests.pages.test_import_wires import as_csv, refusals
from webapp.stages import catalogue
from webapp.stages.catalogue import Catalogue

__all__ = ["designed_db", "loom"]
IMPORT = "/stores/import"
Rows = list[dict[str, str]]


def kept(client: TestClient) -> Catalogue:
    with Session(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return catalogue.read(session)


def exported(client: TestClient, query: str = "") -> Rows:
    text = client.get(f"/stores.csv{query}").text.removeprefix("\ufeff")
    return list(csv.DictReader(io.StringIO(text)))


def look(client: TestClient, text: str) -> Response:
    return client.post(IMPORT, data={"text": text})


def confirm(client: TestClient, page: Response, **new: str) -> Response:
    return client.post(f"{IMPORT}/rows", data=sent(page) | new)


def test_the_whole_stores_and_a_filtered_view_go_out_and_back(loom: TestClient) -> None:
    before = kept(loom)
    assert len(exported(loom)) == len(before.parts)
    cables = exported(loom, "?kind=cable&stocked=1&q=2.5")
    assert cables
    assert all(row["kind"] == "cable" and "2.5" in str(row) for row in cables)
    page = look(loom, loom.get("/stores.csv").text)
    assert f"{len(before.parts)} are there already" in words(page)
    assert "There is nothing to import" in words(page)
    assert 'href="/stores.csv?' in loom.get("/stores?kind=cable").text


def test_prices_and_facts_change_as_shown_in_one_write(loom: TestClient) -> None:
    before = kept(loom)
    rows = exported(loom, "?kind=cable")
    first, second = rows[0], rows[1]
    first |= {"price": "99.95", "outside_mm": "12.3"}
    second |= {"stocked": "no", "source": "our own measurement"}
    new = dict(rows[2]) | {"uid": "", "name": "Cable of our own, 2.5 mm²"}
    page = look(loom, as_csv([*rows, new]))
    old = before.parts[first["uid"]]
    assert f"Price: {old.price_minor / 100:.2f} → 99.95" in words(page)
    assert f"Outside: {old.facts['outside_mm']:g} → 12.3" in words(page)
    assert "Kept in stock: yes → no" in words(page)
    assert kept(loom) == before
    assert "3 rows imported" in words(confirm(loom, page))
    after = kept(loom)
    assert after.parts[first["uid"]].price_minor == 9995
    assert after.parts[first["uid"]].price_note == ""
    assert after.parts[first["uid"]].facts == old.facts | {"outside_mm": 12.3}
    assert not after.parts[second["uid"]].stocked
    assert "cable-of-our-own-2.5-mm2" in after.parts
    untouched = set(after.parts) & set(before.parts) - {first["uid"], second["uid"]}
    assert all(after.parts[uid] == before.parts[uid] for uid in untouched)


def test_a_price_in_the_smallest_coin(loom: TestClient) -> None:
    part = next(iter(kept(loom).parts.values()))
    page = look(loom, f"name,price_minor\n{part.name},{part.price_minor + 1}\n".replace(", ", " "))
    if "," in part.name:
        page = look(loom, f'name,price_minor\n"{part.name}",{part.price_minor + 1}\n')
    confirm(loom, page)
    assert kept(loom).parts[part.uid].price_minor == part.price_minor + 1
    both = f'name,price,price_minor\n"{part.name}",3.00,299\n'
    assert "differ: give one" in words(look(loom, both))


def test_what_is_wrong_is_named_with_its_line_and_column(loom: TestClient) -> None:
    rows = exported(loom, "?kind=terminal")[:9]
    rows[0]["kind"] = "rope"
    rows[1]["csa_max_mm2"] = "0"
    rows[2]["price"] = "twelve"
    rows[3]["crimped"] = "perhaps"
    rows[4]["conductor_kind"] = "awg"
    rows[5]["name"] = rows[6]["name"]
    rows[7]["strip_mm"] = "1,5"
    rows[8] |= {"confirmed": "yes", "source": "from memory"}
    # Columns of other kinds are there as well: the list is of the whole stores.
    names = dict.fromkeys(exported(loom)[0], "")
    page = look(loom, as_csv([names | row for row in rows]))
    said = refusals(page)
    assert "No kind “rope”" in said[2]
    assert "Conductor to" in said[3]
    assert "Price must be a number" in said[4]
    assert "Crimped: write yes or no" in said[5]
    assert "A terminal has no conductor_kind" in said[6]
    assert "already" in said[7]
    assert "Strip has a comma" in said[9]
    assert "Enter the document" in said[10]
    assert 8 not in said
    refused = confirm(loom, page)
    assert refused.status_code == 422


def test_a_column_that_no_part_has_is_refused(loom: TestClient) -> None:
    page = look(loom, "name,kind,weight_g\nX,cable,3\n")
    assert page.status_code == 422
    assert "has a column “weight_g”" in words(page)


def test_stores_that_changed_meanwhile_are_looked_at_again(loom: TestClient) -> None:
    rows = exported(loom, "?kind=cable")
    rows[0]["price"] = "1.00"
    page = look(loom, as_csv(rows))
    other = rows[1]["uid"]
    form = sent(loom.get(f"/stores/{other}"))
    loom.post(f"/stores/{other}", data=form | {"price_minor": "7.77"})
    assert kept(loom).parts[other].price_minor == 777
    stale = confirm(loom, page)
    assert stale.status_code == 409
    assert "stores were changed after this list was shown" in words(stale)
    assert kept(loom).parts[rows[0]["uid"]].price_minor != 100


def test_two_parts_change_names(loom: TestClient) -> None:
    rows = exported(loom, "?kind=cable")[:2]
    first, second = rows[0]["name"], rows[1]["name"]
    rows[0]["name"], rows[1]["name"] = second, first
    confirm(loom, look(loom, as_csv(rows)))
    after = kept(loom)
    assert [after.parts[row["uid"]].name for row in rows] == [second, first]


def test_a_part_of_a_known_uid_comes_back_as_it_was(loom: TestClient) -> None:
    rows = exported(loom, "?kind=cable")[:1]
    rows[0] |= {"uid": "our-cable-7", "name": "Cable 7"}
    confirm(loom, look(loom, as_csv(rows)))
    assert kept(loom).parts["our-cable-7"].name == "Cable 7"
    for wrong in ("new", "import", "../x", "a b"):
        rows[0]["uid"] = wrong
        assert "A uid has letters" in words(look(loom, as_csv(rows))), wrong
