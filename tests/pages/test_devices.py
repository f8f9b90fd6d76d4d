"""Who is let in over the network, who is not, and what becomes of a device that is revoked."""

import re
from datetime import timedelta

import pytest
from sqlalchemy import func, select, update
from starlette.testclient import TestClient

from tests.pages.lan_client import HERE, TABLET, Lan
from webapp.database import reading, writing
from webapp.lan import machine_names
from webapp.records.access import Device
from webapp.records.base import now
from webapp.records.customers import Customer

PARTIAL = {"HX-Request-Type": "partial"}
JSON = {"Accept": "application/json"}


def device_id(lan: Lan, kind: str = "tablet") -> int:
    with reading(lan.app.state.engine) as session:
        found = select(Device.id).where(Device.kind == kind, Device.revoked_at.is_(None))
        return session.scalars(found.order_by(Device.id.desc())).first() or 0


def customers(lan: Lan) -> int:
    with reading(lan.app.state.engine) as session:
        return session.scalar(select(func.count()).select_from(Customer)) or 0


# --- nobody -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    [
        *("/", "/jobs", "/settings", "/first-run", "/who", "/devices", "/password", "/log-in/"),
        *("/stores.csv", "/looms/1/labels.pdf", "/looms/1/photos/1.jpg", "/nowhere", "/static"),
        "/openapi.json",
    ],
)
def test_a_page_leads_to_the_log_in(lan: Lan, path: str) -> None:
    answer = lan.device(origin=None).get(path, follow_redirects=False)
    assert answer.status_code == 303
    assert answer.headers["location"] == f"/log-in?next={path}"


@pytest.mark.parametrize("headers", [JSON, PARTIAL], ids=["data", "part"])
def test_a_script_is_told_so(lan: Lan, headers: dict[str, str]) -> None:
    answer = lan.device().get("/looms/1/live", headers=headers)
    assert answer.status_code == 401
    assert "log in" in answer.text
    assert "<html" not in answer.text
    assert answer.headers["www-authenticate"]


def test_the_api_says_so_as_problem_details(lan: Lan) -> None:
    answer = lan.device().post("/api/sizing/resistance", json={})
    assert answer.status_code == 401
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["status"] == 401
    assert answer.json()["errors"][0]["message"]


@pytest.mark.parametrize("who", ["tablet", "Ina Teal"])
def test_the_api_answers_who_is_let_in(lan: Lan, who: str) -> None:
    client = lan.paired() if who == "tablet" else lan.logged_in(who)
    conductor = {"conductor": "iec60228-class5", "csa_mm2": 2.5, "length_m": 1.0}
    answer = client.post("/api/sizing/resistance", json=conductor)
    assert answer.status_code == 200, answer.text


def test_a_form_writes_nothing_and_says_how_to_go_on(lan: Lan) -> None:
    client = lan.device()
    referer = {"Referer": f"{HERE}/customers/new"}
    answer = client.post("/customers/new", data={"name": "Dunlin"}, headers=referer)
    assert answer.status_code == 401
    assert "Nothing was saved" in answer.text
    assert "/log-in?next=/customers/new" in answer.text
    assert not re.search("Ada Quill|Jo Sparrow", answer.text)
    assert customers(lan) == 0


def test_a_referer_that_is_no_address_is_no_fault_of_ours(lan: Lan) -> None:
    answer = lan.device().post("/customers/new", headers={"Referer": "http://["})
    assert answer.status_code == 401
    assert 'href="/log-in?next=/"' in answer.text


def test_first_run_is_nobody_s_over_the_network(lan: Lan) -> None:
    stranger = lan.device()
    assert stranger.get("/first-run").url.path == "/log-in"
    data = {"name": "Mine", "currency": "£", "person_name": "Me", "initials": "ME"}
    assert stranger.post("/first-run", data=data).status_code == 401


def test_this_computer_logs_in_too(lan: Lan) -> None:
    here = TestClient(lan.app, "http://127.0.0.1:8000", client=("127.0.0.1", 50_000))
    assert here.get("/jobs").url.path == "/log-in"


def test_style_and_scripts_are_everybody_s(lan: Lan) -> None:
    page = lan.device().get("/log-in")
    found = re.findall(r'(?:src|href)="(/static/[^"]+)"', page.text)
    assert any("access.css" in each for each in found)
    for address in found:
        assert lan.device().get(address).status_code == 200


@pytest.mark.parametrize("host", ["elsewhere.test", "192.168.1.21", "192.168.1.20.elsewhere.test"])
def test_a_name_that_is_not_ours_is_refused(lan: Lan, host: str) -> None:
    client = lan.logged_in()
    answer = client.get("/jobs", headers={"Host": f"{host}:8000"})
    assert answer.status_code == 400


def test_our_own_names_are_taken(lan: Lan) -> None:
    client = lan.logged_in()
    for name in ("192.168.1.20", "127.0.0.1", "localhost", *machine_names()):
        answer = client.get("/log-in/standing", headers={"Host": f"{name}:8000"})
        assert answer.status_code == 200, name
    assert any(name.endswith(".local") for name in machine_names())


# --- writes of other sites --------------------------------------------------------------------


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.test"},
        {"Origin": "null"},
        {"Origin": "http://192.168.1.20:9000"},
        {"Origin": "https://192.168.1.20:8000"},
        {"Origin": "http://192.168.1.20"},
        {},
        {"Referer": "http://elsewhere.test/http://192.168.1.20:8000/"},
        {"Referer": "http://192.168.1.20:8000.elsewhere.test/"},
        {"Sec-Fetch-Site": "same-origin"},
    ],
)
def test_a_write_from_elsewhere_or_nowhere_is_refused(lan: Lan, headers: dict[str, str]) -> None:
    client = lan.logged_in()
    del client.headers["Origin"]
    for sent in ({"data": {"name": "Dunlin"}}, {"json": {"ticks": []}}):
        answer = client.post("/customers/new", headers=headers, **sent)  # type: ignore[arg-type]
        assert answer.status_code == 403
    for path in ("/log-in", "/log-out", "/pair", "/units/1/ticks", "/api/sizing/fuse"):
        assert client.post(path, headers=headers, json={}).status_code == 403, path
    assert customers(lan) == 0
    assert client.get("/jobs").url.path == "/jobs"


def test_a_write_of_our_own_page_is_taken(lan: Lan) -> None:
    client = lan.logged_in()
    del client.headers["Origin"]
    for number, headers in enumerate(({"Origin": HERE}, {"Referer": f"{HERE}/customers/new"})):
        answer = client.post("/customers/new", headers=headers, data={"name": f"Dunlin {number}"})
        assert answer.status_code == 200, answer.text
    assert customers(lan) == 2


# --- the list ---------------------------------------------------------------------------------


def test_the_list_says_what_is_let_in(lan: Lan) -> None:
    lan.paired("Bench 1")
    page = lan.logged_in().get("/devices")
    row = page.text.partition("Bench 1")[2].partition("</tr>")[0]
    assert "paired tablet" in row
    assert TABLET in row
    assert "this one" in page.text
    assert "Ada Quill" in page.text


def test_a_revoked_tablet_is_out_at_once(lan: Lan) -> None:
    tablet = lan.paired("Bench 1")
    assert tablet.get("/jobs").status_code == 200
    owner = lan.logged_in()
    said = owner.post(f"/devices/{device_id(lan)}/revoke")
    assert "Bench 1 is let in no more." in said.text
    page = tablet.get("/jobs")
    assert page.url.path == "/log-in"
    assert "This tablet is no longer paired." in page.text
    ticks = tablet.post("/units/1/ticks", json={"ticks": []}, headers=JSON)
    assert ticks.status_code == 401
    assert "no longer paired" in ticks.json()["why"]
    assert tablet.get("/looms/1/live", headers=JSON).status_code == 401
    assert owner.post("/devices/99/revoke").status_code == 404
    # Paired anew it is let in again.
    tablet.post("/pair", data={"code": lan.code(owner, "Bench 1")})
    assert tablet.get("/jobs").url.path == "/jobs"


def test_a_person_is_logged_out_everywhere(lan: Lan) -> None:
    two = [lan.logged_in("Ina Teal", address) for address in ("192.168.1.32", "192.168.1.33")]
    owner = lan.logged_in()
    assert "Ina Teal: 2 log-ins ended." in owner.post("/people/2/log-out").text
    for client in two:
        assert client.get("/jobs").url.path == "/log-in"
    assert owner.get("/jobs").url.path == "/jobs"


def test_who_has_left_is_out(lan: Lan) -> None:
    ina, owner = lan.logged_in("Ina Teal"), lan.logged_in()
    data = {"was-name": "Ina Teal", "was-initials": "IT", "was-role": "office", "was-active": "1"}
    data |= {"name": "Ina Teal", "initials": "IT", "role": "office"}
    assert owner.post("/people/2", data=data).status_code == 200
    assert ina.get("/jobs").url.path == "/log-in"


# --- seen -------------------------------------------------------------------------------------


def seen_at(lan: Lan, device: int) -> str:
    with reading(lan.app.state.engine) as session:
        return session.get_one(Device, device).seen_at.isoformat()


def test_being_seen_is_noted_once_a_minute(lan: Lan) -> None:
    tablet = lan.paired()
    device = device_id(lan)
    first = seen_at(lan, device)
    assert "set-cookie" not in tablet.get("/jobs").headers
    assert seen_at(lan, device) == first
    with writing(lan.app.state.engine) as session:
        session.execute(update(Device).values(seen_at=now() - timedelta(seconds=61)))
    renewed = tablet.get("/jobs")
    assert seen_at(lan, device) > first
    # A tablet in use keeps its cookie for good.
    assert "tablet=" in renewed.headers["set-cookie"]
    assert tablet.get("/jobs").url.path == "/jobs"


def test_being_seen_never_waits_for_a_writer(lan: Lan) -> None:
    tablet = lan.paired()
    old = now() - timedelta(minutes=5)
    with writing(lan.app.state.engine) as session:
        session.execute(update(Device).values(seen_at=old))
    with writing(lan.app.state.engine):
        assert tablet.get("/jobs").status_code == 200
    assert tablet.get("/jobs").status_code == 200
    assert seen_at(lan, device_id(lan)) > old.isoformat()


# --- the address on labels --------------------------------------------------------------------


def test_settings_say_the_address_that_labels_may_lead_to(lan: Lan) -> None:
    assert "http://192.168.1.20:8000" in lan.logged_in().get("/settings").text


def test_alone_settings_name_none(office: TestClient) -> None:
    assert "have the router keep it" not in office.get("/settings").text


def test_large_pages_are_sent_small(lan: Lan) -> None:
    answer = lan.logged_in().get("/method")
    assert answer.headers["content-encoding"] == "gzip"
    assert len(answer.content) > 4 * int(answer.headers["content-length"])
