"""The frame around every page: headers, guards, people, errors, sessions."""

import hashlib
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from fastapi import APIRouter
from sqlalchemy import func, select
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient

from webapp.folders import folder
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.render import redirect, render
from webapp.records.people import Person as PersonRecord

PARTIAL = {"HX-Request-Type": "partial"}
sample = APIRouter()


@sample.post("/sample/people")
def add_person(request: Request, session: WriteSession, fields: FieldsDep) -> Response:
    session.add(PersonRecord(name=fields["name"], initials="AB"))
    session.flush()
    if fields.get("then") == "refuse":
        return render(request, "error.html", status=422, title="No", words="No.", links=[])
    if fields.get("then") == "fail":
        raise RuntimeError("a fault on purpose")
    return redirect("/sample/people", notice="Added, and – kept.")


@sample.get("/sample/people")
def count_people(request: Request, session: ReadSession) -> Response:
    count = session.scalar(select(func.count()).select_from(PersonRecord))
    return render(request, "error.html", title="People", words=f"{count} people.", links=[])


@sample.post("/sample/named")
def named(request: Request, person: Person, fields: FieldsDep) -> Response:
    words = f"{person.name} wrote {fields['words']}."
    return render(request, "error.html", title="Named", words=words, links=[])


@sample.get("/sample/{number}")
def numbered(number: int) -> Response:
    return Response(str(number))


def add_people(client: TestClient, *names: str) -> None:
    for name in names:
        assert client.post("/sample/people", data={"name": name}).status_code == 200


def people(client: TestClient) -> str:
    return client.get("/sample/people").text


@pytest.fixture
def client(client_with: Callable[..., TestClient]) -> TestClient:
    return client_with(sample)


def test_pages_carry_the_security_headers(client: TestClient) -> None:
    headers = client.get("/sample/people").headers
    assert "default-src 'none'" in headers["content-security-policy"]
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert headers["cache-control"] == "no-store"


def test_static_files_are_kept_only_under_their_hash(client: TestClient) -> None:
    page = people(client)
    address = re.search(r'href="(/static/css/ground\.css\?v=[0-9a-f]{12})"', page)
    assert address
    assert "immutable" in client.get(address.group(1)).headers["cache-control"]
    assert client.get("/static/css/ground.css").headers["cache-control"] == "no-cache"


def test_every_address_in_the_frame_is_there(client: TestClient) -> None:
    for address in re.findall(r'(?:src|href)="(/static/[^"]+)"', people(client)):
        assert client.get(address).status_code == 200, address


def test_htmx_is_as_published() -> None:
    vendor = folder("static") / "vendor"
    readme = (vendor / "README.md").read_text()
    code = (vendor / "htmx-4.0.1.min.js").read_bytes()
    assert f"`{hashlib.sha256(code).hexdigest()}`" in readme


def test_templates_hold_nothing_that_the_policy_blocks() -> None:
    for template in folder("templates").rglob("*.html"):
        if "paper" in template.parts:
            continue  # printed, never served
        text = re.sub(r"\{#.*?#\}", "", template.read_text(), flags=re.S)
        assert not re.search(r"<style|\sstyle=|<script(?![^>]*\ssrc=)|\son[a-z]+=", text), template
        assert not re.search(r"\shx-|hx-on|js:|javascript:", text.replace("data-hx-", "")), template
        # A filter in brackets is code: without eval it does not hold, and the request is sent.
        assert not re.search(r'data-hx-(?:trigger|vals|headers)="[^"]*[\[(]', text), template
        assert "data-hx-on" not in text, template


@pytest.mark.parametrize("path", ["/docs", "/redoc", "/nowhere", "/sample/abc"])
def test_what_is_not_there_is_a_page_of_ours(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert "Not found" in answer.text
    assert 'class="mark"' in answer.text


def test_a_part_gets_its_error_as_one_line_in_the_notice(client: TestClient) -> None:
    answer = client.get("/nowhere", headers=PARTIAL)
    assert answer.status_code == 404
    assert answer.headers["hx-retarget"] == "#notice"
    assert "<html" not in answer.text


def test_data_gets_its_error_as_data(client: TestClient) -> None:
    answer = client.get("/nowhere", headers={"Accept": "application/json"})
    assert answer.status_code == 404
    assert set(answer.json()) == {"why"}


def test_a_name_that_is_not_ours_is_refused(client: TestClient) -> None:
    assert client.get("/sample/people", headers={"Host": "elsewhere.test"}).status_code == 400


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://elsewhere.test"}, {"Origin": "null"}, {"Sec-Fetch-Site": "cross-site"}],
)
def test_a_write_from_another_site_is_refused(client: TestClient, headers: dict[str, str]) -> None:
    answer = client.post("/sample/people", data={"name": "Intruder"}, headers=headers)
    assert answer.status_code == 403
    assert "Not accepted" in answer.text
    assert "0 people." in people(client)


def test_a_write_from_our_own_page_is_taken(client: TestClient) -> None:
    origin = {"Origin": str(client.base_url).rstrip("/")}
    client.post("/sample/people", data={"name": "Ina"}, headers=origin)
    assert "1 people." in people(client)


def test_too_large_a_body_is_a_page(client: TestClient) -> None:
    answer = client.post("/sample/people", data={"name": "x" * 9_000_000})
    assert answer.status_code == 413
    assert "Too large" in answer.text
    assert "default-src" in answer.headers["content-security-policy"]

    def streamed() -> Iterator[bytes]:
        yield b"name="
        for _ in range(9):
            yield b"x" * 1_000_000

    form = {"Content-Type": "application/x-www-form-urlencoded"}
    answer = client.post("/sample/people", content=streamed(), headers=form)
    assert answer.status_code == 413
    assert "0 people." in people(client)


@pytest.mark.parametrize("charset", ["punycode", "undefined", "unicode_escape", "utf-7"])
def test_a_form_comes_in_no_strange_characters(client: TestClient, charset: str) -> None:
    part = '--x\r\nContent-Disposition: form-data; name="name"\r\n\r\n+2AA-\\ud800\r\n--x--\r\n'
    kind = f"multipart/form-data; boundary=x; charset={charset}"
    answer = client.post("/sample/people", content=part, headers={"Content-Type": kind})
    assert answer.status_code == 415
    assert "0 people." in people(client)
    kind = "multipart/form-data; boundary=x; charset=UTF-8"
    client.post("/sample/people", content=part, headers={"Content-Type": kind})
    assert "1 people." in people(client)


def test_a_notice_is_shown_once(client: TestClient) -> None:
    shown = client.post("/sample/people", data={"name": "Ina"})
    assert "Added, and – kept." in shown.text
    assert "Added, and" not in people(client)


def test_an_answer_that_names_a_mistake_changes_nothing(client: TestClient) -> None:
    answer = client.post("/sample/people", data={"name": "Ina", "then": "refuse"})
    assert answer.status_code == 422
    assert "0 people." in people(client)


def test_a_fault_changes_nothing_and_shows_nothing(client: TestClient) -> None:
    answer = client.post("/sample/people", data={"name": "Ina", "then": "fail"})
    assert answer.status_code == 500
    assert "on our side" in answer.text
    assert "on purpose" not in answer.text
    assert answer.headers["cache-control"] == "no-store"
    assert "0 people." in people(client)
    add_people(client, "After it the next writer gets its turn")
    assert "1 people." in people(client)


def test_many_writers_at_once_all_get_their_turn(client: TestClient) -> None:
    # More than there are threads: one that waits must not keep a thread from the one that works.
    def write(number: int) -> int:
        data = {"name": f"Person {number}"}
        return client.post("/sample/people", data=data, follow_redirects=False).status_code

    with ThreadPoolExecutor(120) as pool:
        assert set(pool.map(write, range(120))) == {303}
    assert "120 people." in people(client)


def test_only_one_person_is_chosen_without_asking(client: TestClient) -> None:
    add_people(client, "Ina")
    assert "Ina wrote it." in client.post("/sample/named", data={"words": "it"}).text


def test_who_is_asked_and_what_was_typed_goes_on(client: TestClient) -> None:
    add_people(client, "Ina", "Jo")
    asked = client.post("/sample/named", data={"words": "a “long” note"})
    assert asked.status_code == 409
    assert 'name="words" value="a “long” note"' in asked.text
    chosen = re.search(r'name="who" value="(\d+)">Jo<', asked.text)
    assert chosen
    data = {"words": "a “long” note", "who": chosen.group(1)}
    assert "Jo wrote a “long” note." in client.post("/sample/named", data=data).text
    assert "Jo wrote again." in client.post("/sample/named", data={"words": "again"}).text


def test_who_is_chosen_in_the_top_bar(client: TestClient) -> None:
    add_people(client, "Ina", "Jo")
    page = client.post("/who", data={"who": "2", "next": "/sample/people"})
    assert "Working as Jo." in page.text
    cookie = page.history[0].headers["set-cookie"]
    assert "HttpOnly" in page.history[0].headers["set-cookie"]
    assert "SameSite=strict" in cookie or "SameSite=Strict" in cookie


@pytest.mark.parametrize("path", ["//elsewhere.test/", "https://elsewhere.test", "/\\elsewhere"])
def test_choosing_leads_nowhere_else(client: TestClient, path: str) -> None:
    add_people(client, "Ina")
    answer = client.post("/who", data={"who": "1", "next": path}, follow_redirects=False)
    assert answer.headers["location"] == "/"


def test_a_person_who_is_not_there_cannot_be_chosen(client: TestClient) -> None:
    add_people(client, "Ina", "Jo")
    assert client.post("/who", data={"who": "99"}).status_code == 422
    assert client.post("/sample/named", data={"words": "it", "who": "'; --"}).status_code == 409
