"""Logging in over the network: one password opens one browser, for one person."""

import logging
import re

import pytest
from starlette.testclient import TestClient

from tests.pages.lan_client import ADA, PASSWORDS, PC, STRANGER, Lan, log_in
from tests.pages.reading import errors, fields
from webapp.database import reading, writing
from webapp.records.access import Device
from webapp.records.people import Person
from webapp.stages.access import passwords
from webapp.stages.access.attempts import Attempts
from webapp.stages.access.passwords import Cost


def test_a_page_leads_to_the_log_in_and_back(lan: Lan) -> None:
    client = lan.device()
    asked = client.get("/jobs/1?x=1&y=2", follow_redirects=False)
    assert (asked.status_code, asked.headers["location"]) == (
        303,
        "/log-in?next=/jobs/1%3Fx%3D1%26y%3D2",
    )
    page = client.get("/settings?x=1")
    assert page.url.path == "/log-in"
    assert page.headers["cache-control"] == "no-store"
    form = fields(page)
    answer = client.post("/log-in", data=form | {"person": ADA, "password": PASSWORDS["Ada Quill"]})
    assert (answer.url.path, answer.url.query) == ("/settings", b"x=1")
    assert "Working as Ada Quill." in answer.text


def test_the_cookie_is_for_this_app_alone(lan: Lan) -> None:
    client = lan.device()
    data = {"person": str(ADA), "password": PASSWORDS["Ada Quill"]}
    answer = client.post("/log-in", data=data, follow_redirects=False)
    assert answer.status_code == 303
    cookie = next(c for c in answer.headers.get_list("set-cookie") if c.startswith("log-in="))
    assert re.fullmatch(
        r"log-in=[\w-]{43}; Max-Age=2592000; Path=/; HttpOnly; SameSite=Strict", cookie
    )


@pytest.mark.parametrize(
    ("name", "password"),
    [
        ("Ada Quill", "wrong"),
        ("Ada Quill", ""),
        ("Ada Quill", PASSWORDS["Ina Teal"]),
        ("Jo Sparrow", ""),  # has no password
        ("99", "brass ferrule lamp"),
        ("", "brass ferrule lamp"),
        ("'; --", "x" * 5000),
    ],
)
def test_what_is_wrong_is_not_told(lan: Lan, name: str, password: str) -> None:
    client = lan.device()
    answer = log_in(client, name, password)
    assert answer.status_code == 422
    assert errors(answer) == {"password": "The name and the password do not belong together."}
    assert fields(answer)["password"] == ""
    assert "log-in" not in client.cookies
    assert client.get("/jobs").url.path == "/log-in"


def test_only_who_has_a_password_is_offered_and_nobody_else_is_named(lan: Lan) -> None:
    page = lan.device().get("/log-in")
    assert "Ada Quill" in page.text
    assert "Jo Sparrow" not in page.text
    pair = lan.device().get("/pair")
    assert not re.search("Ada Quill|Ina Teal|Jo Sparrow|Tern Lane", pair.text)


@pytest.mark.parametrize("next", ["//elsewhere.test/", "https://elsewhere.test", "/\\elsewhere"])
def test_it_leads_nowhere_else(lan: Lan, next: str) -> None:
    answer = log_in(lan.device(), "Ada Quill", PASSWORDS["Ada Quill"], next=next)
    assert answer.url.host == "192.168.1.20"
    assert answer.url.path == "/jobs"


def test_the_person_is_fixed(lan: Lan) -> None:
    client = lan.logged_in("Ina Teal")
    page = client.get("/jobs")
    assert "Log out" in page.text
    assert 'name="who"' not in page.text
    client.cookies.set("person", str(ADA))
    assert "Ina Teal is logged in here" in client.post("/who", data={"who": ADA}).text
    client.post("/customers/new", data={"name": "Dunlin", "who": ADA})
    added = client.post(
        "/jobs/new",
        data={
            **{"customer_id": "1", "title": "Launch", "setting": "other", "nominal_v": "12"},
            **{"polarity": "negative earth", "loom_name": "main", "loom_quantity": "1"},
            "who": str(ADA),
        },
    )
    assert added.status_code == 200, errors(added)
    assert "Ina Teal" in added.text
    assert "Ada Quill" not in added.text


def test_each_log_in_is_a_new_token_and_ends_the_one_before(lan: Lan) -> None:
    client = lan.logged_in()
    first = client.cookies["log-in"]
    log_in(client, "Ada Quill", PASSWORDS["Ada Quill"])
    assert client.cookies["log-in"] != first
    thief = lan.device(STRANGER)
    thief.cookies.set("log-in", first)
    assert thief.get("/jobs").url.path == "/log-in"
    assert client.get("/jobs").url.path == "/jobs"


def test_a_token_of_ones_own_making_is_never_taken_over(lan: Lan) -> None:
    client = lan.device()
    client.cookies.set("log-in", "x" * 43, domain="192.168.1.20", path="/")
    log_in(client, "Ada Quill", PASSWORDS["Ada Quill"])
    assert client.cookies["log-in"] != "x" * 43
    assert client.get("/jobs").url.path == "/jobs"


def test_logging_out_ends_it_on_the_server_too(lan: Lan) -> None:
    client = lan.logged_in()
    token = client.cookies["log-in"]
    out = client.post("/log-out")
    assert out.url.path == "/log-in"
    assert "Logged out." in out.text
    assert "log-in" not in client.cookies
    client.cookies.set("log-in", token)
    assert client.get("/jobs").url.path == "/log-in"
    assert lan.device().post("/log-out").url.path == "/log-in"


def test_a_browser_that_came_from_elsewhere_is_led_on(lan: Lan) -> None:
    assert lan.device().get("/log-in/standing").json() == {"let_in": False}
    assert lan.logged_in().get("/log-in/standing").json() == {"let_in": True}


# --- trying on and on -------------------------------------------------------------------------


def test_trying_on_and_on_has_to_wait(lan: Lan, caplog: pytest.LogCaptureFixture) -> None:
    stranger = lan.device(STRANGER)
    for number in range(Attempts.FREE):
        assert log_in(stranger, "Ada Quill", f"try {number}").status_code == 422
    with caplog.at_level(logging.DEBUG):
        answer = log_in(stranger, "Ada Quill", PASSWORDS["Ada Quill"])
    assert answer.status_code == 429
    assert 0 < int(answer.headers["retry-after"]) <= 2
    assert "wait 2 seconds" in errors(answer)["password"]
    assert "log-in" not in stranger.cookies
    assert STRANGER in caplog.text
    # Elsewhere the right one opens at once.
    assert lan.logged_in(address=PC).get("/jobs").url.path == "/jobs"
    assert all(password not in caplog.text for password in PASSWORDS.values())


def test_a_wait_writes_nothing(lan: Lan) -> None:
    """So that whoever knocks on and on keeps nobody's tick waiting."""
    stranger = lan.device(STRANGER)
    for _ in range(Attempts.FREE):
        log_in(stranger, "Ada Quill", "wrong")
    with writing(lan.app.state.engine):
        assert log_in(stranger, "Ada Quill", "wrong").status_code == 429


# --- passwords --------------------------------------------------------------------------------


def give(client: TestClient, person_id: int, password: str, again: str | None = None):  # type: ignore[no-untyped-def]
    data = {"password": password, "again": password if again is None else again}
    return client.post(f"/people/{person_id}/password", data=data)


def test_an_owner_gives_and_takes_a_password(lan: Lan) -> None:
    owner = lan.logged_in()
    assert "Has no password" in owner.get("/people/3").text
    assert "has a new password" in give(owner, 3, "kingfisher blue").text
    jo = lan.device()
    assert log_in(jo, "Jo Sparrow", "kingfisher blue").url.path == "/jobs"
    assert "logs in no more" in owner.post("/people/3/password/remove").text
    assert jo.get("/jobs").url.path == "/log-in"
    assert log_in(jo, "Jo Sparrow", "kingfisher blue").status_code == 422


@pytest.mark.parametrize(
    ("password", "again", "field"),
    [
        ("short", "short", "password"),
        ("password1", "password1", "password"),
        ("Jo Sparrow", "Jo Sparrow", "password"),
        ("tern lane looms", "tern lane looms", "password"),
        ("kingfisher blue", "kingfisher red", "again"),
        ("", "", "password"),
    ],
)
def test_a_password_that_is_not_taken(lan: Lan, password: str, again: str, field: str) -> None:
    answer = give(lan.logged_in(), 3, password, again)
    assert answer.status_code == 422
    assert list(errors(answer)) == [field]
    assert not password or f'value="{password}"' not in answer.text
    with reading(lan.app.state.engine) as session:
        assert not passwords.has_one(session, 3)


def test_the_last_owner_keeps_a_way_in(lan: Lan) -> None:
    owner = lan.logged_in()
    answer = owner.post(f"/people/{ADA}/password/remove")
    assert answer.status_code == 422
    assert "No owner could log in any more" in answer.text
    assert owner.get("/jobs").url.path == "/jobs"


@pytest.mark.parametrize(("change", "field"), [({"role": "office"}, "role"), ({}, "active")])
def test_an_owner_without_a_password_is_no_way_in(
    lan: Lan, change: dict[str, str], field: str
) -> None:
    """The one owner who can log in stays one, though another could be chosen at this computer."""
    owner = lan.logged_in()
    owner.post("/people", data={"name": "Bo Finch", "initials": "BF", "role": "owner"})
    opened = {"was-name": "Ada Quill", "was-initials": "AQ", "was-role": "owner"}
    typed = {"was-active": "1", "name": "Ada Quill", "initials": "AQ", "role": "owner"}
    change = {"active": "1", **change} if change else {}
    answer = owner.post(f"/people/{ADA}", data=opened | typed | change)
    assert answer.status_code == 422
    assert "No owner could log in any more" in errors(answer)[field]
    assert owner.get("/settings").url.path == "/settings"


def test_a_new_password_ends_all_log_ins_but_the_one_that_gave_it(lan: Lan) -> None:
    here, there = lan.logged_in(), lan.logged_in(address="192.168.1.32")
    before = here.cookies["log-in"]
    give(here, ADA, "nine copper bars")
    assert here.cookies["log-in"] != before
    assert here.get("/jobs").url.path == "/jobs"
    assert there.get("/jobs").url.path == "/log-in"


def test_everybody_changes_their_own(lan: Lan) -> None:
    ina, elsewhere = lan.logged_in("Ina Teal"), lan.logged_in("Ina Teal", "192.168.1.32")
    old, new = PASSWORDS["Ina Teal"], "four grey herons"
    wrong = ina.post("/password", data={"now": "no", "password": new, "again": new})
    assert list(errors(wrong)) == ["now"]
    short = ina.post("/password", data={"now": old, "password": "x", "again": "x"})
    assert list(errors(short)) == ["password"]
    done = ina.post("/password", data={"now": old, "password": new, "again": new})
    assert "Your password is changed" in done.text
    assert ina.get("/jobs").url.path == "/jobs"
    assert elsewhere.get("/jobs").url.path == "/log-in"
    assert log_in(lan.device(), "Ina Teal", old).status_code == 422
    assert log_in(lan.device(), "Ina Teal", new).url.path == "/jobs"


def test_a_hash_at_an_older_cost_is_renewed(lan: Lan) -> None:
    lan.app.state.password_cost = Cost(passes=2, memory_kib=8, lanes=1)
    lan.logged_in()
    with reading(lan.app.state.engine) as session:
        assert "$m=8,t=2,p=1$" in session.get_one(Person, ADA).password_hash
    lan.logged_in()


def test_no_secret_lies_in_the_database(lan: Lan) -> None:
    client = lan.logged_in()
    token = client.cookies["log-in"]
    with reading(lan.app.state.engine) as session:
        kept = [device.token_hash for device in session.query(Device)]
    path = lan.app.state.settings.database_path
    wal = path.with_name(path.name + "-wal")
    raw = path.read_bytes() + (wal.read_bytes() if wal.exists() else b"")
    assert kept[0].encode() in raw
    assert token.encode() not in raw
    assert PASSWORDS["Ada Quill"].encode() not in raw


# --- for this computer alone ------------------------------------------------------------------


def test_alone_nobody_logs_in(office: TestClient) -> None:
    for answer in (
        office.get("/log-in?next=/customers"),
        office.post("/log-in", data={"person": "1", "password": "x"}),
        office.get("/pair"),
        office.post("/pair", data={"code": "ABCD"}),
    ):
        assert answer.status_code == 200
        assert "asks for no password" in answer.text
    assert office.get("/password").url.path == "/jobs"
    assert (
        office.post("/people/1/password", data={"password": "x", "again": "x"}).status_code == 422
    )
    good = {"password": "brass ferrule lamp", "again": "brass ferrule lamp"}
    assert "has a new password" in office.post("/people/1/password", data=good).text
    assert "logs in no more" in office.post("/people/1/password/remove").text
