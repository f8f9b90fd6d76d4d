"""Pairing a tablet: the code that an owner made opens it once, and then it is the bench's."""

import re
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import Engine, select, update
from starlette.testclient import TestClient

from tests.pages.bench_client import entry
from tests.pages.lan_client import (
    ADA,
    INA,
    JO,
    PC,
    STRANGER,
    TABLET,
    Lan,
    code_in,
    log_in,
    served_to_the_network,
)  # fmt: skip
from tests.pages.reading import errors, fields
from tests.stages import launch
from webapp.database import reading, writing
from webapp.records.access import PairingCode
from webapp.records.base import now
from webapp.records.bench import Tick, Unit
from webapp.settings import Settings
from webapp.stages.access.attempts import Attempts
from webapp.stages.building import units


def test_a_tablet_is_paired_once(lan: Lan) -> None:
    code = lan.code(lan.logged_in())
    assert re.fullmatch(r"[2-9A-Z]{4}-[2-9A-Z]{4}-[2-9A-Z]{4}", code)
    tablet = lan.device(TABLET)
    paired = tablet.post("/pair", data={"code": code}, follow_redirects=False)
    assert (paired.status_code, paired.headers["location"]) == (303, "/who?next=/jobs")
    cookie = next(c for c in paired.headers.get_list("set-cookie") if c.startswith("tablet="))
    assert re.fullmatch(
        r"tablet=[\w-]{43}; Max-Age=34560000; Path=/; HttpOnly; SameSite=Strict", cookie
    )
    asked = tablet.get("/who?next=/jobs")
    assert "This tablet is paired as Bench 1." in asked.text
    assert "Jo Sparrow" in asked.text
    chosen = tablet.post("/who", data={"who": str(JO), "next": "/jobs"})
    assert chosen.url.path == "/jobs"
    assert "Working as Jo Sparrow." in chosen.text

    second = lan.device(STRANGER)
    refused = second.post("/pair", data={"code": code})
    assert refused.status_code == 422
    assert "pairs nothing" in errors(refused)["code"]
    assert fields(refused)["code"] == code
    assert "tablet" not in second.cookies


def test_of_two_at_once_one_is_paired(lan: Lan) -> None:
    code = lan.code(lan.logged_in())
    tablets = [lan.device(f"192.168.1.{number}") for number in range(50, 58)]

    def pair(tablet: TestClient) -> int:
        return tablet.post("/pair", data={"code": code}, follow_redirects=False).status_code

    with ThreadPoolExecutor(len(tablets)) as pool:
        answers = sorted(pool.map(pair, tablets))
    assert answers == [303] + [422] * (len(tablets) - 1)


def test_a_code_that_is_over_pairs_nothing(lan: Lan) -> None:
    code = lan.code(lan.logged_in())
    with writing(lan.app.state.engine) as session:
        session.execute(update(PairingCode).values(expires_at=now() - timedelta(seconds=1)))
    assert lan.device(TABLET).post("/pair", data={"code": code}).status_code == 422


@pytest.mark.parametrize("code", ["", "  ", "ABCD-EFGH-JKLM", "x" * 41, "' OR 1=1 --", "ÄÖÜ\x00"])
def test_what_is_no_code_pairs_nothing(lan: Lan, code: str) -> None:
    tablet = lan.device(TABLET)
    answer = tablet.post("/pair", data={"code": code})
    assert answer.status_code == 422
    assert list(errors(answer)) == ["code"]
    assert "tablet" not in tablet.cookies


def test_trying_codes_has_to_wait_and_another_tablet_does_not(lan: Lan) -> None:
    code = lan.code(lan.logged_in())
    stranger = lan.device(STRANGER)
    for _ in range(Attempts.FREE):
        assert stranger.post("/pair", data={"code": "ABCD-EFGH-JKLM"}).status_code == 422
    held_back = stranger.post("/pair", data={"code": code})
    assert held_back.status_code == 429
    assert int(held_back.headers["retry-after"]) >= 1
    assert "wait" in errors(held_back)["code"]
    # Tries at passwords are counted apart.
    assert log_in(stranger, "Ada Quill", "wrong").status_code == 422
    assert lan.device(TABLET).post("/pair", data={"code": code}).url.path == "/who"


def test_the_code_is_shown_as_qr_in_the_fragment_and_to_type(lan: Lan) -> None:
    owner = lan.logged_in()
    page = owner.post("/devices", data={"name": "Bench 1"})
    code = code_in(page)
    assert "http://192.168.1.20:8000/pair" in page.text
    assert "<svg" in page.text
    assert "Good for 10 more minutes." in page.text
    assert code.replace("-", "") not in str(page.url)
    assert code not in owner.get("/devices").text


def test_the_page_that_shows_the_code_sees_it_used(lan: Lan) -> None:
    owner = lan.logged_in()
    page = owner.post("/devices", data={"name": "Bench 1"})
    address = re.search(r'data-hx-get="(/devices/codes/\d+)"', page.text)
    assert address
    assert "Good for 10 more minutes" in owner.get(address[1]).text
    lan.device(TABLET).post("/pair", data={"code": code_in(page)})
    assert "Paired." in owner.get(address[1]).text
    assert owner.get("/devices/codes/99").status_code == 404


def test_a_tablet_has_a_name(lan: Lan) -> None:
    owner = lan.logged_in()
    for name in ("", "x" * 41):
        answer = owner.post("/devices", data={"name": name})
        assert answer.status_code == 422
        assert list(errors(answer)) == ["name"]


@pytest.mark.parametrize("who", ["Ina Teal", "tablet"])
def test_only_an_owner_pairs(lan: Lan, who: str) -> None:
    client = lan.paired("Bench 9") if who == "tablet" else lan.logged_in(who)
    assert client.get("/devices").status_code == 403
    assert client.post("/devices", data={"name": "Bench 1"}).status_code == 403


def test_anybody_works_at_a_tablet_and_nobody_is_an_owner_there(lan: Lan) -> None:
    tablet = lan.paired()
    assert "Working as Ada Quill." in tablet.post("/who", data={"who": str(ADA)}).text
    assert tablet.get("/settings").status_code == 403
    assert tablet.get("/rates").status_code == 403
    assert tablet.get("/jobs").status_code == 200


def test_a_log_in_at_a_tablet_ends_and_the_tablet_is_there_again(lan: Lan) -> None:
    tablet = lan.paired()
    log_in(tablet, "Ada Quill", "brass ferrule lamp")
    assert tablet.get("/settings").status_code == 200
    assert tablet.post("/log-out").url.path == "/jobs"
    assert tablet.get("/settings").status_code == 403


def test_pairing_makes_the_bench_s_of_an_owner_s_browser(lan: Lan) -> None:
    browser = lan.logged_in()
    code = lan.code(browser)
    browser.post("/pair", data={"code": code})
    assert browser.get("/settings").status_code == 403
    assert "log-in" not in browser.cookies


def test_a_tick_says_at_which_tablet_it_was_made(settings: Settings, engine: Engine) -> None:
    """At a browser with a log-in it says the address, because that has no name of its own."""
    with writing(engine) as session:
        made = launch.signed_off(session)
        unit_id = units.start(session, made.loom_id, made.person_id, "short")[0]
        plan = units.plan_of(session, session.get_one(Unit, unit_id))
        first, second = [step for step in plan if not step.after][:2]
    with served_to_the_network(settings) as lan:
        tablet, owner = lan.paired("Bench 1"), lan.logged_in()
        for client, step in ((tablet, first), (owner, second)):
            sent = client.post(f"/units/{unit_id}/ticks", json={"ticks": [entry(step.uid)]})
            assert len(sent.json()["saved"]) == 1, sent.text
    with reading(engine) as session:
        assert session.scalars(select(Tick.device).order_by(Tick.id)).all() == ["Bench 1", PC]


def test_whoever_is_logged_in_ticks_in_no_other_name(settings: Settings, engine: Engine) -> None:
    with writing(engine) as session:
        made = launch.signed_off(session)
        unit_id = units.start(session, made.loom_id, made.person_id, "short")[0]
        plan = units.plan_of(session, session.get_one(Unit, unit_id))
        step = next(step for step in plan if not step.after)
    with served_to_the_network(settings) as lan:
        office, tablet = lan.logged_in("Ina Teal"), lan.paired()

        def send(client: TestClient, person_id: int) -> dict[str, Any]:
            ticks = [entry(step.uid, person_id=person_id)]
            answer: dict[str, Any] = client.post(
                f"/units/{unit_id}/ticks", json={"ticks": ticks}
            ).json()
            return answer

        # Not lost either: what Ada ticked there before is kept until she is back.
        kept = send(office, ADA)
        assert len(kept["kept"]) == 1
        assert not kept["saved"]
        assert not kept["refused"]
        assert send(office, INA)["saved"]
        assert send(tablet, JO)["saved"]


def test_alone_no_tablet_is_paired(office: TestClient) -> None:
    page = office.get("/devices")
    assert "serve --lan" in page.text
    answer = office.post("/devices", data={"name": "Bench 1"})
    assert answer.status_code == 422
    assert "serve --lan" in errors(answer).get("name", answer.text)
