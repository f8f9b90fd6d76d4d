"""Every route for every role: what it may not open is refused, and the bench reads no prices.

The demo workshop has a loom at every stage. Its prices are made unlike any other figure, and its
customers get addresses, so that a page that shows one is found out by its words.
"""

import asyncio
import csv
import io
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from html import unescape
from itertools import pairwise
from pathlib import Path
from typing import Any

import pysqlite3
import pytest
from fastapi.routing import APIRoute
from pypdf import PdfReader
from sqlalchemy import select, update
from sqlalchemy.orm import Session
from starlette.routing import Mount, Route
from starlette.testclient import TestClient

from tests.browser.every_page import (
    BUILT,
    DESIGNED,
    HALF_MADE_UNIT,
    NEW,
    QUOTED,
    TESTED_UNIT,
    make_demo,
    values_of,
)  # fmt: skip
from tests.pages.lan_client import ADA, INA, JO, Lan
from webapp.app import create_app
from webapp.database import make_engine, write_lock, writing
from webapp.pages import DATA_ROUTERS, ROUTERS
from webapp.pages.access import ANYBODY, BENCH, LADDER, OFFICE, OWNER, TABLE, Access
from webapp.pages.papers.routes import LOOM_PAPERS, UNIT_PAPERS
from webapp.pages.wording import money
from webapp.paper import labels, papers
from webapp.records.catalogue import Part
from webapp.records.customers import Customer
from webapp.records.design import Fitting, Link, Revision
from webapp.records.jobs import Loom
from webapp.records.people import ROLES, Person
from webapp.records.quotes import Quote
from webapp.settings import Settings
from webapp.stages import journal, pricing, rates, received
from webapp.stages.clock import today

# Told by hand, where a person may write what is no business of the bench's.
PHONE, EMAIL = "01632 960 777", "ask@quaysidehouse.example"
STREET = "17 Quayside House"
SAID = f"£4,321.00 agreed, ring {PHONE} or write to {EMAIL}, {STREET}."
PRIVATE = (PHONE, EMAIL, STREET, "4,321", PHONE.replace(" ", ""))
# Packs circles for some seconds when it is first opened; holds no records.
SLOW = {"/method/circles", "/openapi.json"}
# A spreadsheet would run a name that begins so.
FORMULAS = ("=1+", "+", "-", "@", "＝")
LOOMS = (NEW, QUOTED, DESIGNED, BUILT)
MONEY = re.compile(r"£\s*[-−]?\d")
HERE = "http://127.0.0.1:8000"


@dataclass
class Shop:
    """The filled workshop, served."""

    client: TestClient
    database: Path
    people: dict[str, int]
    # Every amount that the workshop reckons with, as it would be written.
    amounts: set[str] = field(default_factory=set)
    values: dict[str, tuple[str, ...]] = field(default_factory=dict)

    def ask(self, role: str, method: str, address: str, **sent: Any) -> Any:
        self.client.cookies.clear()
        self.client.cookies.set("person", str(self.people[role]))
        return self.client.request(method, address, follow_redirects=False, **sent)

    def addresses(self, route: str) -> list[str]:
        """The route with every value that stands for each of its names."""
        found = [route]
        for name in re.findall(r"\{(\w+)\}", route):
            values = self.values.get(name, ("1",))
            found = [one.replace(f"{{{name}}}", value) for one in found for value in values]
        return found


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    settings = Settings(data_dir=tmp_path_factory.mktemp("shop"))
    make_demo(settings)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        _make_private(session)
    with Session(engine) as session:
        people = {one.role: one.id for one in session.scalars(select(Person))}
        amounts, values = _amounts(session), _values(session)
    engine.dispose()
    app = create_app(settings)
    with TestClient(app, HERE, raise_server_exceptions=False) as client:
        yield Shop(client, settings.database_path, people, amounts, values)
    app.state.engine.dispose()


def _make_private(session: Session) -> None:
    for number, part in enumerate(session.scalars(select(Part).order_by(Part.uid))):
        part.price_minor = 771_301 + 17 * number
        part.name = f"{FORMULAS[number % len(FORMULAS)]}{part.name}"
    session.execute(
        update(Customer).values(address=f"{STREET}\nTarn Wyke", phone=PHONE, email=EMAIL)
    )
    for loom in session.scalars(select(Loom)).all():
        journal.write(session, loom.project_id, SAID, None, loom_id=loom.id)
        project = loom.project_id
        received.add(
            session, project, what="Horn", quantity=1, from_whom=SAID, received_on=today(),
            condition=SAID, person_id=1, once=f"part-{loom.id}",
        )  # fmt: skip
        session.execute(
            update(Loom.__table__.metadata.tables["project"]).values(notes=SAID, equipment=SAID)
        )
    # What is signed off stays as it is.
    draft = select(Revision.id).where(
        Revision.loom_id == DESIGNED, Revision.signed_off_at.is_(None)
    )
    for model in (Link, Fitting):
        session.execute(update(model).where(model.revision_id.in_(draft)).values(note=SAID))


def _amounts(session: Session) -> set[str]:
    """Every amount, where it is long enough to be no other figure."""
    minor = set(session.scalars(select(Part.price_minor)))
    minor |= set(_minors(session.scalars(select(Quote.snapshot)).all()))
    minor |= {int(value) for name, value in rates.values(session).items() if "minor" in name}
    for loom_id in LOOMS:
        priced = pricing.read(session, loom_id)
        if priced.price is not None:
            pay = priced.price.pay
            minor |= {pay.total.minor, pay.net.minor, pay.gross.minor, priced.price.looms.minor}
            minor |= {line.cost.minor for line in priced.price.materials}
    written = {text for one in minor for text in (money(one, ""), f"{one / 100:.2f}")}
    return {text for text in written if len(text) >= 7}


def _minors(kept: Any) -> Iterator[int]:
    if isinstance(kept, dict):
        for name, value in kept.items():
            if "minor" in name and isinstance(value, int):
                yield abs(value)
            yield from _minors(value)
    elif isinstance(kept, Iterable) and not isinstance(kept, str):
        for one in kept:
            yield from _minors(one)


def _values(session: Session) -> dict[str, tuple[str, ...]]:
    """What stands for each name in an address: a designed loom, and what else there is."""
    values = dict(values_of(session, DESIGNED).of)
    return values | {
        # One calculator; `bench_addresses` asks for every paper.
        "slug": values["slug"][:1],
        "code": tuple(session.scalars(select(Loom.code))),
        "what": ("needs",),
    }


def routes() -> list[tuple[str, set[str]]]:
    """Every route of the application, with the methods that it answers to."""
    found: dict[str, set[str]] = {}
    own = [route for router in (*ROUTERS, *DATA_ROUTERS) for route in _unfolded(router.routes)]
    app = create_app(Settings(data_dir=Path("nowhere")), engine=object())  # type: ignore[arg-type]
    for route in (*own, *(one for one in app.routes if isinstance(one, Route | Mount))):
        methods = getattr(route, "methods", None) or {"GET"}
        found.setdefault(route.path, set()).update(methods - {"HEAD", "OPTIONS"})
    return sorted(found.items())


def _unfolded(some: Iterable[Any]) -> Iterator[Any]:
    for route in some:
        if isinstance(route, APIRoute):
            yield route
        elif hasattr(route, "original_router"):
            yield from _unfolded(route.original_router.routes)


EVERY = routes()
CALLS = [(path, method) for path, methods in EVERY for method in sorted(methods)]


def least(path: str, method: str) -> str | None:
    rule = TABLE[path]
    return rule.read if method == "GET" else rule.write


def checked(role: str, *, allowed: bool) -> list[tuple[str, str]]:
    """The calls that a role may make, or may not: of those that pass the check at all."""
    return [
        (path, method)
        for path, method in CALLS
        if path not in ("/static", "/openapi.json")
        and Access(role).reaches(least(path, method)) is allowed
    ]


# --- the table ----------------------------------------------------------------------------------


def test_every_route_is_classified() -> None:
    missing = [
        f"{method} {path}"
        for path, method in CALLS
        if path not in TABLE or least(path, method) is None
    ]
    assert missing == [], "say in pages/access.py who may do this"


def test_nothing_is_classified_that_is_gone() -> None:
    there = dict(EVERY)
    gone = [path for path in TABLE if path not in there]
    gone += [
        f"GET {path}"
        for path, rule in TABLE.items()
        if rule.read and "GET" not in there.get(path, ())
    ]
    gone += [
        f"POST {path}" for path, rule in TABLE.items() if rule.write and there.get(path) == {"GET"}
    ]
    assert gone == []


def test_what_anybody_may_open_is_the_way_in() -> None:
    open_to_all = {path for path, rule in TABLE.items() if ANYBODY in (rule.read, rule.write)}
    assert open_to_all <= {
        "/static", "/openapi.json", "/log-in", "/log-in/standing", "/log-out", "/pair",
    }  # fmt: skip


def test_money_settings_and_people_are_the_owners() -> None:
    owners = {path for path, rule in TABLE.items() if OWNER in (rule.read, rule.write)}
    assert {"/rates", "/settings", "/people", "/people/{person_id}", "/devices"} <= owners
    assert not any(path.startswith(("/looms", "/units", "/quotes", "/jobs")) for path in owners)


def test_a_route_that_nobody_has_classified_is_refused_to_everybody(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delitem(TABLE, "/method/circles")
    for role in (BENCH, OFFICE, OWNER):
        assert shop.ask(role, "GET", "/method/circles").status_code == 403


# --- what is refused ----------------------------------------------------------------------------


@pytest.mark.parametrize("role", [BENCH, OFFICE])
def test_what_a_role_may_not_do_is_refused_and_changes_nothing(shop: Shop, role: str) -> None:
    with pysqlite3.connect(shop.database) as watching:
        for path, method in checked(role, allowed=False):
            address = shop.addresses(path)[0]
            before = _standing(watching)
            answer = shop.ask(
                role, method, address, data={"once": "x"} if method == "POST" else None
            )
            assert answer.status_code == 403, (role, method, path)
            assert "Not for this role" in answer.text
            assert _standing(watching) == before, (role, method, path)


def _standing(connection: Any) -> tuple[int, list[int]]:
    """Changes with whatever another connection commits; and the rows of every table."""
    tables = connection.execute(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    ).fetchall()
    counts = [
        connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0] for (name,) in tables
    ]
    return connection.execute("PRAGMA data_version").fetchone()[0], counts


def test_a_refusal_answers_scripts_in_their_own_way(shop: Shop) -> None:
    data = shop.ask(BENCH, "GET", "/rates", headers={"Accept": "application/json"})
    assert data.status_code == 403
    assert "owner" in data.json()["why"]
    part = shop.ask(BENCH, "GET", "/rates", headers={"HX-Request-Type": "partial"})
    assert part.status_code == 403
    assert part.headers["hx-retarget"] == "#notice"
    assert "<html" not in part.text


def test_a_name_chosen_in_the_form_itself_counts(shop: Shop) -> None:
    """The page that asks who it is sends the name along with what was typed."""
    shop.client.cookies.clear()
    sent = {"who": str(shop.people[BENCH]), "name": "Sneaked in"}
    answer = shop.client.post("/customers/new", data=sent, follow_redirects=False)
    assert answer.status_code == 403


# --- what is let through ------------------------------------------------------------------------


@pytest.mark.parametrize("role", [OFFICE, OWNER])
def test_what_is_a_roles_own_answers_it(
    shop: Shop, role: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    _plain_papers(monkeypatch)
    for path, method in own(role):
        if method == "GET":
            answer = shop.ask(role, method, shop.addresses(path)[0])
            assert answer.status_code not in (401, 403), (role, path)
            assert answer.status_code < 500, (role, path)
            if answer.headers.get("content-type", "").startswith("text/html"):
                assert blocked(answer.text) == [], path


def _plain_papers(monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers as the text that their PDF is made of: making sixty PDFs takes minutes."""
    for module in (papers, labels):
        monkeypatch.setattr(module, "pdf_from", lambda html: html.encode())


def own(role: str) -> list[tuple[str, str]]:
    """The calls that ask for just this role. What asks for less, it may do by the ladder."""
    return [call for call in checked(role, allowed=True) if least(*call) == role]


def bench_addresses(shop: Shop) -> list[str]:
    found = [
        address
        for path, method in checked(BENCH, allowed=True)
        if method == "GET" and path not in SLOW
        for address in shop.addresses(path)
    ]
    for loom_id in (QUOTED, BUILT):
        found += [
            path.replace("{loom_id}", str(loom_id))
            for path, method in checked(BENCH, allowed=True)
            if method == "GET" and re.findall(r"\{(\w+)\}", path) == ["loom_id"]
        ]
        found.append(f"/jobs/{loom_id}")
        found += [f"/looms/{loom_id}/papers/{offer.slug}.pdf" for offer in LOOM_PAPERS]
        found.append(f"/looms/{loom_id}/wires?find=1&sort=circuit")
        found.append(f"/looms/{loom_id}/live?tab=0123456789&mark=0&page=wires")
        found.append(f"/looms/{loom_id}/bench/feed?seen=0")
    found.append(f"/looms/{DESIGNED}/papers/design-sheet.pdf")
    for unit_id in (TESTED_UNIT, HALF_MADE_UNIT):
        found += [f"/units/{unit_id}/papers/{offer.slug}.pdf" for offer in UNIT_PAPERS]
        found += [f"/units/{unit_id}/{page}" for page in ("build", "test", "done", "journal")]
    kinds = "&".join(f"set={slug}" for slug in ("job-ticket", "customer-parts", "hand-over"))
    found += [f"/looms/{BUILT}/labels.pdf?sheet=1&start=1&copies=1&{kinds}"]
    found += [
        f"/search?q={word}" for word in ("agreed", "horn", "launch", "lamp", "Q-", "quayside")
    ]
    found += ["/past?text=tender", "/stores?q=cable", "/stores?kind=terminal"]
    return list(dict.fromkeys(found))


def test_the_bench_reads_no_prices_and_no_addresses(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    _plain_papers(monkeypatch)
    answered, wrong = 0, []
    addresses = bench_addresses(shop)
    shapes = {shape_of(address) for address in addresses}
    for address in addresses:
        answer = shop.ask(BENCH, "GET", address)
        assert answer.status_code not in (401, 403), address
        assert answer.status_code < 500, address
        answered += answer.status_code == 200
        kind = answer.headers.get("content-type", "")
        found = [] if kind.startswith("image/") else told(shop, answer.text)
        if kind.startswith("text/html"):
            found += [*blocked(answer.text), *led_astray(answer.text)]
            # Where its links lead: one of each kind that is not asked for yet.
            for link in map(unescape, re.findall(r'<a\s[^>]*?href="(/[^"#]*)', answer.text)):
                if link not in SLOW and shape_of(link) not in shapes:
                    shapes.add(shape_of(link))
                    addresses.append(link)
        wrong += [(address, found)] if found else []
    assert wrong == []
    assert answered > 100


def shape_of(address: str) -> str:
    """The address without what names one thing among many."""
    return re.sub(r"/[0-9]+|/[0-9a-f]{6,}|=[^&]*|/[^/]*%[^/?]*", "/#", address)


def told(shop: Shop, text: str) -> list[str]:
    """What stands in the text that is not for the bench."""
    found = [word for word in PRIVATE if word in text]
    found += [match.group() for match in MONEY.finditer(text)]
    return found + sorted(shop.amounts & set(re.findall(r"[0-9][0-9,]*\.[0-9]{2}(?![0-9])", text)))


def blocked(page: str) -> list[str]:
    """What the Content-Security-Policy would block, in a page as it is sent."""
    return re.findall(
        r"<style|<script(?![^>]*\ssrc=)|\sstyle=|\son[a-z]+=\"|javascript:|hx-on|js:", page
    )


def led_astray(page: str) -> list[str]:
    """Links and forms of a page that would be refused to the bench."""
    access = Access(BENCH)
    links = re.findall(r'<a\s[^>]*?href="(/[^"#?]*)', page)
    loads = re.findall(r'data-hx-get="(/[^"#?]*)', page)
    gets = re.findall(r'<form(?![^>]*method="post")[^>]*action="(/[^"#?]*)', page)
    posts = re.findall(r'<form[^>]*method="post"[^>]*action="(/[^"#?]*)', page)
    posts += re.findall(r'<form[^>]*action="(/[^"#?]*)"[^>]*method="post"', page)
    posts += re.findall(r'(?:formaction|data-hx-post)="(/[^"#?]*)', page)
    wrong = [one for one in (*links, *loads, *gets) if not access.reads(one)]
    return sorted({*wrong, *(p for p in posts if not access.writes(p))})


def test_the_looks_for_private_words_can_fail(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    _plain_papers(monkeypatch)
    assert PHONE in told(shop, shop.ask(OFFICE, "GET", "/customers").text)
    assert "4,321" in told(shop, shop.ask(OFFICE, "GET", f"/jobs/{BUILT}").text)
    parts = told(shop, shop.ask(OFFICE, "GET", f"/looms/{BUILT}/parts").text)
    assert shop.amounts & set(parts)
    assert shop.amounts & set(told(shop, shop.ask(OFFICE, "GET", f"/looms/{BUILT}/parts.csv").text))
    assert led_astray(shop.ask(OFFICE, "GET", "/jobs").text)
    assert told(shop, shop.ask(OFFICE, "GET", f"/looms/{BUILT}/papers/job-ticket.pdf").text)
    for page in ("wires", "fittings", "wires.csv", "papers/design-sheet.pdf"):
        assert PHONE in told(shop, shop.ask(OFFICE, "GET", f"/looms/{DESIGNED}/{page}").text)


def test_a_printed_job_ticket_holds_neither(shop: Shop) -> None:
    """As a PDF, read by a program that had no part in making it."""
    address = f"/looms/{BUILT}/papers/job-ticket.pdf"
    printed = {}
    for role in (BENCH, OFFICE):
        pdf = PdfReader(io.BytesIO(shop.ask(role, "GET", address).content))
        printed[role] = " ".join(page.extract_text() for page in pdf.pages)
    assert told(shop, printed[OFFICE])
    assert told(shop, printed[BENCH]) == []
    assert "Harbour tender" in printed[BENCH]


def test_no_list_that_goes_out_holds_a_formula(shop: Shop) -> None:
    lists = [path for path, _ in EVERY if path.endswith(".csv")]
    guarded = 0
    for path in lists:
        for address in shop.addresses(path):
            answer = shop.ask(OWNER, "GET", address)
            assert answer.headers["content-type"] == "text/csv; charset=utf-8"
            assert answer.headers["content-disposition"].startswith("attachment")
            for row in csv.reader(io.StringIO(answer.content.decode("utf-8-sig"), newline="")):
                for text in row:
                    is_number = re.fullmatch(r"-?[0-9.]+", text)
                    assert is_number or not text.startswith(("=", "+", "-", "@", "＝")), address
                    guarded += text.startswith("'")
    assert len(lists) >= 7
    assert guarded > 100


def test_over_the_network_a_tablet_is_the_bench_and_a_log_in_the_person(lan: Lan) -> None:
    """Whatever name is chosen at a tablet: anybody may pick it up."""
    tablet = lan.paired()
    for person in (ADA, INA, JO):
        tablet.cookies.set("person", str(person))
        assert tablet.get("/jobs").status_code == 200
        assert tablet.get("/customers").status_code == 403
        assert tablet.post("/jobs/new", data={"title": "Launch"}).status_code == 403
        assert "Customers</a>" not in tablet.get("/jobs").text
    office = lan.logged_in("Ina Teal")
    office.cookies.set("person", str(ADA))
    assert office.get("/customers").status_code == 200
    assert office.get("/rates").status_code == 403
    assert lan.logged_in("Ada Quill").get("/rates").status_code == 200
    assert lan.device().post("/api/sizing/bundle", json={}).status_code == 401


def test_the_office_does_not_see_how_a_price_is_made(shop: Shop) -> None:
    """Rates, overhead and margin are the owner's; the office reads what things sell for."""
    pages = (f"/looms/{DESIGNED}/price", "/quotes/1")
    for address in pages:
        owners = shop.ask(OWNER, "GET", address).text
        office = shop.ask(OFFICE, "GET", address).text
        assert "Margin on cost" in owners
        assert not re.search(r"margin|overhead|rate per hour", office, re.IGNORECASE)
        assert "£" in office
    assert shop.ask(OFFICE, "GET", "/rates").status_code == 403


def test_a_price_that_the_office_saves_keeps_the_owners_margin(shop: Shop) -> None:
    address = f"/looms/{DESIGNED}/price"
    _save_price(shop, OWNER, address, margin_percent="37.5")
    _save_price(shop, OFFICE, address, delivery="in June", margin_percent="1")
    page = shop.ask(OWNER, "GET", address).text
    assert re.search(r'name="margin_percent"[^>]*value="37.5"', page)
    assert "in June" in page


def _save_price(shop: Shop, role: str, address: str, **typed: str) -> None:
    page = shop.ask(role, "GET", address).text
    fields = dict(re.findall(r'<input[^>]*name="([^"]+)"[^>]*value="([^"]*)"', page))
    texts = re.findall(r'<textarea[^>]*name="([^"]+)"[^>]*>\n?(.*?)</textarea>', page, re.DOTALL)
    answer = shop.ask(role, "POST", address, data=fields | dict(texts) | typed)
    assert answer.status_code == 303, answer.text


# Last: what may be written is written.
@pytest.mark.parametrize("role", [BENCH, OFFICE, OWNER])
def test_what_a_role_may_write_is_not_refused(shop: Shop, role: str) -> None:
    for path, method in own(role):
        if method != "GET":
            address = shop.addresses(path)[0]
            answer = shop.ask(role, method, address, data={"name": ""})
            assert answer.status_code not in (401, 403), (role, path)
            assert answer.status_code < 500, (role, path)


def test_whoever_sends_slowly_keeps_nobody_from_writing(shop: Shop) -> None:
    """What is sent has come whole before its request has its turn to write."""
    asked_while_writing = [
        (path, kind)
        for path, method in CALLS
        if method == "POST"
        for kind in ("application/json", "application/x-www-form-urlencoded")
        if _is_writing_when_asked_for_its_body(shop, shop.addresses(path)[0], kind)
    ]
    assert asked_while_writing == []


def _is_writing_when_asked_for_its_body(shop: Shop, address: str, kind: str) -> bool:
    locked: list[bool] = []
    headers = {"host": "127.0.0.1", "cookie": f"person={shop.people[OWNER]}", "content-type": kind}
    scope = {
        **{"type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST"},
        **{"scheme": "http", "path": address, "query_string": b"", "root_path": ""},
        **{"client": ("127.0.0.1", 50_000), "server": ("127.0.0.1", 8000)},
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
    }

    async def receive() -> dict[str, Any]:
        locked.append(write_lock.locked())
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(_message: Any) -> None:
        pass

    asyncio.run(shop.client.app(scope, receive, send))
    return any(locked)


def test_each_role_may_do_what_the_one_below_it_may() -> None:
    assert set(LADDER[1:]) == set(ROLES)
    for low, high in pairwise(LADDER):
        assert Access(high).reaches(low)
        assert not Access(low).reaches(high)
    assert not Access(OWNER).reaches(None)
