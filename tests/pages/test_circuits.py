"""The circuits list, one circuit whole, its current followed, its control changed, its twin."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, loom, now
from tests.pages.launch import words
from tests.pages.reading import errors, fields
from webapp.stages.design.figures import Figures
from webapp.stages.design.rows import Circuit

__all__ = ["designed_db", "loom"]

PARTIAL = {"HX-Request": "true", "HX-Request-Type": "partial"}


def circuit(name: str) -> Circuit:
    return next(each for each in PROPOSED.circuit.values() if each.name == name)


LAMP, HORN = circuit("Lamp 1"), circuit("Horn")
ONE = f"{LOOM}/circuits/{LAMP.uid}"


def load_uid(name: str) -> str:
    return next(uid for uid, load in Figures(PROPOSED).loads.items() if load.name == name)


def test_the_list_leads_to_each_circuit(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/circuits").text
    for each in PROPOSED.circuit.values():
        assert f'href="{LOOM}/circuits/{each.uid}"' in page


def test_one_circuit_shows_its_need_fuse_link_loads_wires_and_fittings(loom: TestClient) -> None:
    answer = loom.get(ONE)
    sent = fields(answer)
    assert sent["needs-0-name"] == "Lamp 1"
    assert sent["needs-0-control"] == "switch"
    text = words(answer)
    assert "Follow the current of Lamp 1" in text
    for link in PROPOSED.link.values():
        shown = f'id="wire-{link.uid}"' in answer.text
        assert shown == (link.circuit_uid == LAMP.uid)
    assert "all that lasts" in text
    assert 'aria-label="Fuse-link at' in answer.text


def test_every_circuit_has_a_page_and_one_that_is_not_there_has_none(loom: TestClient) -> None:
    for each in PROPOSED.circuit.values():
        assert loom.get(f"{LOOM}/circuits/{each.uid}").status_code == 200
    for path in ("", "/current", "/control", "/twin", "/loads"):
        assert loom.get(f"{LOOM}/circuits/none{path}").status_code == 404


def test_its_need_is_changed_here_and_wires_stay_until_taken(loom: TestClient) -> None:
    sent = fields(loom.get(ONE)) | {"needs-0-rating": "21"}
    answer = loom.post(f"{ONE}/needs", data=sent, follow_redirects=True)
    assert "Needs: 1 changed" in answer.text
    assert now(loom).need["lamp1"].rating == 21
    assert now(loom).link == PROPOSED.link
    looked = loom.post(f"{ONE}/needs", data=sent | {"then": "look"}, follow_redirects=True)
    assert looked.url.path == f"{ONE}/control"
    assert "What would change" in looked.text


@pytest.mark.parametrize(
    ("name", "typed"), [("rating", "lots"), ("name", "Lamp 2"), ("control_place", "")]
)
def test_a_need_that_is_wrong_is_refused_beside_its_field(
    loom: TestClient, name: str, typed: str
) -> None:
    sent = fields(loom.get(ONE)) | {f"needs-0-{name}": typed}
    answer = loom.post(f"{ONE}/needs", data=sent)
    assert answer.status_code == 422
    assert f"needs-0-{name}" in errors(answer)
    assert fields(answer)[f"needs-0-{name}"] == typed
    assert now(loom).need == PROPOSED.need


def test_a_load_s_current_is_set_by_hand_in_its_row(loom: TestClient) -> None:
    uid = load_uid("Lamp 1")
    edit = {"field": "load_a", "value": "2.5", "seen": ""}
    answer = loom.post(f"{ONE}/load/{uid}", data=edit, headers=PARTIAL)
    assert answer.status_code == 200
    assert f'id="load-{uid}"' in answer.text
    assert now(loom).bridge[uid].load_a == 2.5
    wrong = loom.post(f"{ONE}/load/{uid}", data=edit | {"value": "much"}, headers=PARTIAL)
    assert wrong.status_code == 422
    assert "must be a number" in wrong.text


def sound_at_times(loom: TestClient) -> str:
    """Gives the horn a duty, so that it is off in what lasts; returns its circuit's address."""
    here = f"{LOOM}/circuits/{HORN.uid}"
    sent = fields(loom.get(here)) | {"needs-0-duty": "5 s on 60 s off"}
    assert loom.post(f"{here}/needs", data=sent, follow_redirects=True).status_code == 200
    return here


def test_the_state_and_voltage_are_chosen(loom: TestClient) -> None:
    horn = sound_at_times(loom)
    off = words(loom.get(f"{horn}?state=all+that+lasts&at=heat"))
    assert "off then" in off.split("Loads")[1].split("Wires")[0]

    assert ">off then<" not in loom.get(f"{horn}?state=Horn+besides&at=drop").text
    assert loom.get(f"{horn}?state=nonsense&at=nonsense").status_code == 200


def test_the_current_is_followed_out_and_back_with_its_reasons(loom: TestClient) -> None:
    uid = load_uid("Lamp 1")
    answer = loom.get(f"{ONE}/current?load={uid}&at=drop")
    text = words(answer)
    order = [
        "Out to the load", "Battery · +", "fuse-link", "The load", "Lamp 1", "Back to the supply",
        "Battery · −",
    ]  # fmt: skip
    assert answer.text.count('class="step wire"') >= 4
    at = 0
    for each in order:
        at = text.index(each, at)
    assert "Here it forks" in text
    assert "formulas and sources" in text
    assert "current_a * resistance_mohm_per_m * length_m / 1000" in text


def test_what_is_off_or_not_a_load_is_said(loom: TestClient) -> None:
    horn = load_uid("Horn")
    here = f"{sound_at_times(loom)}/current?load={horn}"
    assert "Horn is off in this state" in words(loom.get(f"{here}&state=all+that+lasts"))
    assert loom.get(f"{ONE}/current?load={horn}").status_code == 404


def test_another_control_is_looked_at_taken_and_undone(loom: TestClient) -> None:
    before = now(loom)
    asked = loom.get(f"{ONE}/control")
    assert "What would change" not in asked.text
    looked = loom.get(f"{ONE}/control?control=switch+via+relay&control_place=helm")
    text = words(looked)
    assert "Lamp 1 relay" in text
    assert "Price of the job" in text
    assert now(loom) == before
    taken = loom.post(f"{ONE}/control", data=fields(looked), follow_redirects=True)
    assert "Undo takes it back whole" in taken.text
    assert now(loom).need["lamp1"].control == "switch via relay"
    again = loom.post(f"{ONE}/control", data=fields(looked))
    assert again.status_code == 409
    loom.post(f"{LOOM}/undo", data={"next": ONE})
    assert now(loom).need["lamp1"].control == "switch"
    assert now(loom).link == before.link


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("control=two-way+switches&control_place=helm", "second_place"),
        ("control=switch&control_place=", "control_place"),
        ("control=diode+fed", "also_with"),
        ("control=", "control"),
        ("control=switch&control_place=helm&switched_with=nobody", "switched_with"),
    ],
)
def test_what_a_control_asks_for_is_said_beside_its_field(
    loom: TestClient, query: str, field: str
) -> None:
    answer = loom.get(f"{ONE}/control?{query}")
    assert answer.status_code == 422
    assert field in errors(answer)


def test_nonsense_sent_to_be_taken_changes_nothing(loom: TestClient) -> None:
    before = now(loom)
    for path in ("control", "twin"):
        for sent in ({}, {"last_command": "x"}, {"last_command": "1", "control": "", "name": ""}):
            assert loom.post(f"{ONE}/{path}", data=sent).status_code == 409
    assert now(loom) == before


def test_another_like_it_is_looked_at_and_taken(loom: TestClient) -> None:
    asked = fields(loom.get(f"{ONE}/twin"))
    assert asked["name"] == "Lamp 3"
    assert asked["place-0"] == "bow"
    looked = loom.get(f"{ONE}/twin?name=Lamp+3&place-0=helm&place-1=helm")
    assert "Lamp 3" in words(looked)
    assert looked.text.count('<tbody class="added">') >= 2
    taken = loom.post(f"{ONE}/twin", data=fields(looked), follow_redirects=True)
    assert "Undo takes it back whole" in taken.text
    new = [need for need in now(loom).need.values() if need.name == "Lamp 3"]
    assert [now(loom).place[need.place_uid].name for need in new] == ["helm"]


def test_a_name_that_is_taken_is_refused_beside_its_field(loom: TestClient) -> None:
    answer = loom.get(f"{ONE}/twin?name=Lamp+2&place-0=bow&place-1=helm")
    assert answer.status_code == 422
    assert "name" in errors(answer)
    empty = loom.get(f"{ONE}/twin?name=&place-0=&place-1=helm")
    assert set(errors(empty)) == {"name", "place-0"}


def test_a_circuit_typed_by_hand_is_copied_by_its_own_wires(loom: TestClient) -> None:
    loom.post(f"{LOOM}/circuits", data={"name": "Left spare", "service": "other"})
    made = next(each for each in now(loom).circuit.values() if each.name == "Left spare")
    here = f"{LOOM}/circuits/{made.uid}"
    assert "No wires yet" in loom.get(here).text
    assert loom.get(f"{here}/twin").status_code == 404
    assert loom.get(f"{here}/control").status_code == 404
    way = next(
        each for each in PROPOSED.way.values() if PROPOSED.fitting[each.fitting_uid].name == "Horn"
    )
    sent = {
        "from": PROPOSED.way_name(way.uid), "to": "left loose at bow", "circuit": "Left spare",
        "main": "", "tracer": "", "csa_mm2": "1",
    }  # fmt: skip
    answer = loom.post(f"{LOOM}/wires/new", data=sent, follow_redirects=True)
    assert answer.status_code == 200, errors(answer)
    looked = loom.get(f"{here}/twin?name=Right+spare")
    assert "Right spare" in looked.text, errors(looked)
    assert loom.post(f"{here}/twin", data=fields(looked), follow_redirects=True).status_code == 200
    links = [each.circuit_uid for each in now(loom).link.values()]
    twin = next(each for each in now(loom).circuit.values() if each.name == "Right spare")
    assert links.count(twin.uid) == links.count(made.uid) == 1
    assert re.search(r"Right spare", loom.get(f"{LOOM}/circuits").text)


def test_wires_fittings_and_needs_lead_to_their_circuit(loom: TestClient) -> None:
    link = next(each for each in PROPOSED.link.values() if each.circuit_uid == LAMP.uid)
    assert f'href="{ONE}"' in loom.get(f"{LOOM}/wires/{link.uid}").text
    opened = loom.get(f"{LOOM}/wires/{link.uid}/row?open=1", headers=PARTIAL).text
    assert f'href="{ONE}"' in opened
    assert f'href="{ONE}"' in loom.get(f"{LOOM}/needs").text
    fitting = next(each for each in PROPOSED.fitting.values() if each.name == "Lamp 1")
    page = loom.get(f"{LOOM}/fittings/{fitting.uid}").text
    follow = f"{LOOM}/current/{load_uid('Lamp 1')}"
    assert f'href="{follow}"' in page
    answer = loom.get(follow, follow_redirects=True)
    assert answer.url.path == f"{ONE}/current"
    assert loom.get(f"{LOOM}/current/none").status_code == 404
