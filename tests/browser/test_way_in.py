"""The way in over the network, in a browser: pairing by the code in an address, and what a tablet
keeps while it is not let in.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine

from tests.browser.at_bench import boxes_below, open_bench, states, tap_next, two_units, wait_for
from tests.browser.conftest import Live, Watch, served
from tests.browser.nu import complaints
from tests.browser.test_every_page import faults_shown
from tests.pages.lan_client import CHEAP
from webapp.database import writing
from webapp.settings import Settings
from webapp.stages import people
from webapp.stages.access import devices, passwords

PASSWORD = "brass ferrule lamp"


@pytest.fixture
def live(settings: Settings, engine: Engine) -> Iterator[Live]:
    two_units(engine)
    with writing(engine) as session:
        passwords.give(session, 1, passwords.hash_new(session, 1, PASSWORD, PASSWORD, CHEAP))
        people.add(session, name="Jo Sparrow", initials="JS", role="bench")
    with served(replace(settings, lan="127.0.0.1")) as running:
        running.app.state.password_cost = CHEAP
        yield running


def log_in(page: Page) -> None:
    page.goto("/log-in")
    page.get_by_label("Who you are").select_option("Ada Marr")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()
    page.wait_for_url("**/jobs")


def code_for(page: Page, name: str) -> str:
    page.goto("/devices")
    page.get_by_label("Name of the tablet").fill(name)
    page.get_by_role("button", name="Make a code").click()
    return page.locator(".typed-code").inner_text()


def pair_by_address(tablet: Page, code: str) -> None:
    """As the camera opens it."""
    tablet.goto("about:blank")
    tablet.goto(f"/pair#{code.replace('-', '')}")
    tablet.wait_for_url("**/who?next=/jobs")


def test_a_tablet_is_paired_ticks_is_revoked_and_keeps_its_ticks(
    page: Page, tablet: Page, watch: Watch, engine: Engine
) -> None:
    watch.allow("status of 401")
    log_in(page)
    pair_by_address(tablet, code_for(page, "Bench 1"))
    # The page that shows the code sees it; the tablet asks who is working.
    expect(page.locator("#code-standing")).to_contain_text("Paired. Bench 1 is let in.")
    tablet.get_by_role("button", name="Jo Sparrow").tap()
    expect(tablet.locator("#notice")).to_contain_text("Working as Jo Sparrow.")
    open_bench(tablet, "order=wire")
    tap_next(tablet)
    wait_for(engine, 1, {"l1.0:cut": "done"})

    page.goto("/devices")
    page.get_by_role("button", name="Revoke Bench 1").click()
    expect(page.locator("#notice")).to_contain_text("Bench 1 is let in no more.")
    notice = tablet.locator("#notice")
    # At once, before anything is ticked; then with what is kept.
    expect(notice).to_contain_text("This tablet is no longer paired. Pair it again")
    tap_next(tablet)
    expect(notice).to_contain_text("This tablet is no longer paired; its 1 tick is kept.")
    assert boxes_below(tablet, 48) == []
    assert states(engine, 1) == {"l1.0:cut": "done"}

    code = code_for(page, "Bench 1")
    notice.get_by_role("link", name="Pair it again").tap()
    tablet.get_by_label("Code").fill(code.lower())
    tablet.get_by_role("button", name="Pair this tablet").tap()
    # From any page what was kept goes on its way.
    wait_for(engine, 1, {"l1.0:cut": "done", "l1:from:thread": "done"})


def test_the_way_in_at_a_tablet(tablet: Page, page: Page, watch: Watch) -> None:
    for address in ("/log-in", "/pair"):
        tablet.goto(address)
        assert boxes_below(tablet, 48) == []
        assert tablet.evaluate("document.documentElement.scrollWidth") <= 800
    tablet.get_by_label("Code").fill("ABCD")
    tablet.get_by_role("button", name="Pair this tablet").tap()
    expect(tablet.get_by_label("Code")).to_have_accessible_description(re.compile("pairs nothing"))
    assert boxes_below(tablet, 48) == []


def test_the_pages_are_open_to_everybody_and_valid(page: Page, tmp_path: Path) -> None:
    found: dict[str, list[str]] = {}
    sent: dict[str, str] = {}

    def look(name: str) -> None:
        found[name] = list(faults_shown(page))
        sent[name] = page.request.get(page.url).text()

    page.goto("/log-in")
    page.get_by_role("button", name="Log in").click()
    page.wait_for_selector(".summary")
    look("log-in refused")
    sent["log-in, refused"] = page.content()
    page.goto("/pair")
    look("pair")
    log_in(page)
    code_for(page, "Bench 1")
    found["code"] = list(faults_shown(page))
    sent["code"] = page.content()
    for address in (
        "/devices",
        "/password",
        "/people/1",
        "/people/1/password",
        "/who",
        "/settings",
    ):
        page.goto(address)
        look(address)
    assert {name: faults for name, faults in found.items() if faults} == {}
    folder = tmp_path / "pages"
    folder.mkdir()
    assert complaints(sent, folder) == []


def test_a_link_from_elsewhere_leads_where_it_says(
    page: Page, live: Live, browser: Browser, engine: Engine
) -> None:
    """The cookie stays at home with a link from another site, and the log-in page leads on."""
    context = browser.new_context(base_url=live.url)
    came = context.new_page()
    log_in(came)
    elsewhere = live.url.replace("127.0.0.1", "localhost")
    came.goto(f"{elsewhere}/pair")
    came.evaluate(
        """(to) => { const link = document.createElement("a"); link.href = to; link.id = "go";
        link.textContent = "Go"; document.querySelector("main").append(link); }""",
        f"{live.url}/devices",
    )
    came.click("#go")
    came.wait_for_url("**/devices")
    came.goto("/jobs")
    with writing(engine) as session:
        devices.log_out_everywhere(session, 1)
    expect(came.locator("#notice")).to_contain_text("You are no longer logged in here. Log in")
    came.goto("/devices")
    assert came.url.endswith("/log-in?next=/devices")
    context.close()
