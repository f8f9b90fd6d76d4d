"""An old loom copied wire by wire, through its page."""

from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, loom, now
from tests.pages.reading import errors, fields
from tests.stages.test_pictures import picture

__all__ = ["designed_db", "loom"]
COPY = f"{LOOM}/copy"
PARTIAL = {"HX-Request-Type": "partial"}
WIRE = {
    "colour": "NR", "left": "headlamp switch 3", "right": "headlamp 2", "length_mm": "1.8 m",
    "left_place": "dash", "right_place": "nose", "once": "a" * 32,
}  # fmt: skip


def send(client: TestClient, partial: bool = True, **more: str):  # type: ignore[no-untyped-def]
    return client.post(COPY, data=WIRE | more, headers=PARTIAL if partial else {})


def test_a_wire_is_taken_and_shown_as_itself(loom: TestClient) -> None:
    before = now(loom)
    answer = send(loom, note="spliced near the lamp")
    assert answer.status_code == 200
    after = now(loom)
    (uid,) = after.link.keys() - before.link.keys()
    link = after.link[uid]
    assert (link.main, link.tracer, link.lengths_mm) == ("brown", "red", {"0": 1800})
    assert 'id="copied"' in answer.text
    assert 'id="design-state"' in answer.text
    assert f'id="wire-{uid}"' in answer.text
    assert "headlamp switch · 3" in answer.text
    assert "New run: dash to nose, 1,800 mm." in answer.text
    assert "spliced near the lamp" in answer.text
    assert "to mend" in answer.text
    assert answer.text.index(uid) < answer.text.index(
        max(before.link, key=lambda u: before.link[u].number)
    )


def test_sent_twice_it_is_one_wire_and_one_undo_takes_it_back(loom: TestClient) -> None:
    before = now(loom)
    for _ in range(2):
        assert send(loom).status_code == 200
    assert len(now(loom).link) == len(before.link) + 1
    loom.post(f"{LOOM}/undo")
    after = now(loom)
    assert (after.link, after.place, after.run) == (before.link, before.place, before.run)
    assert after.fitting == before.fitting


def test_without_scripts_the_page_comes_again_at_the_same_fitting(loom: TestClient) -> None:
    answer = send(loom, partial=False)
    assert answer.url.path == COPY
    assert fields(answer)["left"] == "headlamp switch "
    assert "Copy wire" in answer.text
    kept = send(loom, partial=False, left="loose at boot", right="headlamp 4", right_place="")
    assert kept.status_code == 200
    assert fields(send(loom, partial=False, left="loose at boot", once="b" * 32))["left"] == ""


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(loom: TestClient) -> None:
    before = now(loom)
    for more, field, words in (
        ({"left": ""}, "left", "left end is missing"),
        ({"right": "left loose", "right_place": ""}, "right_place", "at which place"),
        ({"length_mm": "1,2 m"}, "length_mm", "point"),
        ({"length_mm": "-4"}, "length_mm", "10 mm or more"),
        ({"csa_mm2": "2.4"}, "csa_mm2", "not a size of this cable"),
        ({"colour": "red/red"}, "colour", "must differ"),
        ({"colour": "x" * 41}, "colour", "40 fit"),
        ({"right": "headlamp switch 3", "right_place": ""}, "right", "same way"),
        ({"left_tag": "t" * 41}, "left_tag", "40 fit"),
    ):
        for partial in (True, False):
            answer = send(loom, partial, note="by the door", **more)
            assert answer.status_code == 422
            assert words in errors(answer)[field]
            assert fields(answer)["note"] == "by the door"
            assert fields(answer)[field] == more.get(field, "")
    assert now(loom).link == before.link


def test_loose_ends_and_what_stays_in_the_vehicle(loom: TestClient) -> None:
    answer = send(
        loom, right="left loose at boot", right_place="", right_loose_mm="250", right_tag="tow bar"
    )
    assert "left loose, 250 mm" in answer.text
    send(loom, right="Existing wiring 2", right_place="bulkhead", once="b" * 32)
    (own,) = (each for each in now(loom).fitting.values() if each.name == "Existing wiring")
    assert own.supplied_by == "customer"


def test_colours_of_the_customers_own_pass_through_every_page(loom: TestClient) -> None:
    send(loom, colour="maroon/salmon", csa_mm2="1.5")
    answer = send(loom, colour="", right="headlamp 7", right_place="", once="b" * 32)
    assert answer.status_code == 200
    assert "maroon/salmon" in loom.get(f"{LOOM}/wires").text
    for path in (
        "needs",
        "fittings",
        "circuits",
        "runs",
        "plan",
        "parts",
        "papers",
        "labels",
        "price",
    ):
        assert loom.get(f"{LOOM}/{path}").status_code == 200
    for paper in ("design-sheet", "cut-list"):
        assert loom.get(f"{LOOM}/papers/{paper}.pdf").status_code == 200


def test_fittings_have_their_photos_beside_them(loom: TestClient) -> None:
    send(loom)
    fitting = next(each for each in now(loom).fitting.values() if each.name == "headlamp")
    values = {"about": "fitting", "about_uid": fitting.uid, "next": COPY, "once": "c" * 32}
    answer = loom.post(f"{LOOM}/photos", data=values, files={"camera": ("x", picture())})
    assert answer.url.path == COPY
    assert f'src="{LOOM}/photos/1.jpg"' in answer.text


def test_the_contacts_of_what_grew_are_said_on_its_page(loom: TestClient) -> None:
    send(loom, csa_mm2="1.5")
    switch = next(each for each in now(loom).fitting.values() if each.name == "headlamp switch")
    send(loom, left="headlamp switch 4", right="headlamp 1", once="b" * 32, left_place="")
    here = f"{LOOM}/fittings/{switch.uid}"
    assert "Every way is" in loom.get(here).text
    value = {"field": "contact", "value": "tab 6.3", "seen": "unknown contact"}
    answer = loom.post(f"{here}?page=one", data=value, headers=PARTIAL)
    assert answer.status_code == 200
    first, second = now(loom).ways_of[switch.uid]
    assert (first.contact, second.contact) == ("tab 6.3", "tab 6.3")
    value = {"field": "contact", "value": "stud M5", "seen": "tab 6.3"}
    assert loom.post(f"{here}/way/{second.uid}", data=value, headers=PARTIAL).status_code == 200
    assert now(loom).way[second.uid].contact == "stud M5"
    value = {"field": "contact", "value": "a hook", "seen": "stud M5"}
    answer = loom.post(f"{here}/way/{second.uid}", data=value, headers=PARTIAL)
    assert answer.status_code == 422
    assert "no terminal for this" in answer.text
    assert loom.post(f"{here}/way/none", data=value).status_code == 404


def test_the_page_of_no_loom(loom: TestClient) -> None:
    assert loom.get("/looms/9/copy").status_code == 404
    assert loom.post("/looms/9/copy", data=WIRE).status_code == 404
