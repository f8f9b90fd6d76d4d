"""What is ticked at one device shows on every other page that is open; it disturbs nobody there."""

import secrets
import time
from collections.abc import Callable, Iterator

import httpx
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlalchemy import Engine

from tests.browser.conftest import DESK, Live, Watch, context_of, served
from tests.stages import launch
from webapp.database import writing
from webapp.settings import Settings
from webapp.stages import stage_line
from webapp.stages.building import units
from webapp.stages.testing import readings, standing
from webapp.stages.testing.readings import Measured

WITHIN_MS = 2_000
# Tries that a machine with other things to do has to show it in time.
TRIES = 3
OPEN_UNIT, TESTED_UNIT = 1, 2
CUTS = ("l1.0:cut", "l2.0:cut", "l3.0:cut")


@pytest.fixture
def live(settings: Settings, engine: Engine) -> Iterator[Live]:
    """The launch with its units, the second of them at test."""
    with writing(engine) as session:
        made = launch.signed_off(session)
        units.start(session, made.loom_id, made.person_id, "full")
        stage_line.move(session, made.loom_id, TESTED_UNIT, "test", made.person_id)
    with served(settings) as running:
        yield running


@pytest.fixture
def context(browser: Browser, live: Live) -> Iterator[BrowserContext]:
    with context_of(browser, live, DESK, touch=False) as context:
        yield context


def opened(context: BrowserContext, live: Live, watch: Watch, address: str) -> Page:
    page = context.new_page()
    watch.on(page, live)
    page.goto(address)
    return page


def tick(live: Live, step_uid: str, state: str = "done", note: str = "in the test") -> None:
    """As the outbox of another device sends it."""
    sent = {
        "key": secrets.token_hex(16),
        "step_uid": step_uid,
        "state": state,
        "person_id": 1,
        "note": note,
        "client_at": "2026-11-24T10:14:00.000Z",
    }
    answer = httpx.post(
        f"{live.url}/units/{OPEN_UNIT}/ticks", json={"ticks": [sent]}, headers={"Origin": live.url}
    )
    assert answer.json()["refused"] == []


def shows_in_time(act: Callable[[int], None], pages: dict[str, Page]) -> None:
    """Every page differs within two seconds of what another device did."""
    late = []
    for number in range(TRIES):
        before = {name: page.inner_text("main") for name, page in pages.items()}
        act(number)
        until = time.monotonic() + WITHIN_MS / 1000
        waiting = dict(pages)
        while waiting and time.monotonic() < until:
            waiting = {n: p for n, p in waiting.items() if p.inner_text("main") == before[n]}
        if not waiting:
            return
        late.append(sorted(waiting))
        for name, page in waiting.items():
            page.wait_for_function(
                "was => document.querySelector('main').innerText !== was", arg=before[name]
            )
    pytest.fail(f"not within {WITHIN_MS} ms: {late}")


def test_a_tick_shows_on_every_page_and_leaves_what_is_being_done_there(
    context: BrowserContext, live: Live, watch: Watch
) -> None:
    pages = {
        address: opened(context, live, watch, address)
        for address in (
            "/jobs",
            "/jobs/1",
            "/looms/1/build",
            f"/units/{OPEN_UNIT}/build",
            f"/units/{OPEN_UNIT}/journal",
        )
    }
    job, unit = pages["/jobs/1"], pages[f"/units/{OPEN_UNIT}/build"]
    job.get_by_text("Add a loom").click()
    job.locator("#sentence").fill("Rang, half a sen")
    job.keyboard.press("ArrowLeft")
    unit.get_by_text("What is not done").click()
    was_open = unit.locator("details").first.get_attribute("open") is not None
    unit.get_by_role("link", name="bench journal").focus()
    unit.evaluate("scrollTo(0, 120)")

    def cut(number: int) -> None:
        tick(live, CUTS[number])

    shows_in_time(cut, pages)
    expect(unit.locator("table.wires tbody tr").first).not_to_contain_text("not cut yet")
    expect(unit.locator("[data-live-part=at-work]")).to_contain_text("unit 1, wire 1")
    expect(pages["/jobs"].locator("table.jobs")).to_contain_text("% ticked")
    # What was begun on the other pages is as it was left.
    expect(job.locator("#sentence")).to_be_focused()
    job.keyboard.type("t")
    expect(job.locator("#sentence")).to_have_value("Rang, half a setn")
    expect(job.locator("#looms details")).to_have_attribute("open", "")
    assert (unit.locator("details").first.get_attribute("open") is not None) == was_open
    expect(unit.get_by_role("link", name="bench journal")).to_be_focused()
    assert unit.evaluate("scrollY") == 120
    # The rates offer what the ticks say, and take it only when they are saved.
    for uid in ("l6.0:cut", "l7.0:cut"):
        tick(live, uid)
    rates = opened(context, live, watch, "/rates")
    rates.locator("[data-fill=time_cut]").click()
    said = rates.locator("[data-fill=time_cut]").get_attribute("data-value") or ""
    expect(rates.locator("[name=time_cut]")).to_have_value(said)
    rates.reload()
    expect(rates.locator("[name=time_cut]")).to_have_value("25")


def test_a_reading_shows_beside_one_that_is_half_typed(
    context: BrowserContext, live: Live, watch: Watch, engine: Engine
) -> None:
    page = opened(context, live, watch, f"/units/{TESTED_UNIT}/test?part=polarity")
    note = page.locator("input[name$=-note]").first
    note.fill("dim at fir")
    keys = page.evaluate("[...document.querySelectorAll('[name$=-key]')].map((key) => key.value)")

    def read(number: int) -> None:
        with writing(engine) as session:
            unit = units.row(session, TESTED_UNIT)
            plan = standing.plan_of(session, unit)
            item = [one for one in plan.by_uid.values() if one.kind == "polarity"][number]
            key = secrets.token_hex(16)
            measured = Measured(item.uid, verdict="pass")
            readings.record(session, unit.id, measured, key=key, person_id=1, plan=plan)

    shows_in_time(read, {"test": page})
    expect(page.locator("table.readings")).to_contain_text("passed: ")
    expect(note).to_be_focused()
    page.keyboard.type("st")
    expect(note).to_have_value("dim at first")
    # Each row sends with the key that it had.
    assert keys == page.evaluate(
        "[...document.querySelectorAll('[name$=-key]')].map((key) => key.value)"
    )


def test_nothing_is_asked_unseen_and_all_is_caught_up_with_at_once(
    context: BrowserContext, live: Live, watch: Watch
) -> None:
    watch.allow("ERR_CONNECTION_REFUSED")
    pages = [opened(context, live, watch, at) for at in ("/jobs", f"/units/{OPEN_UNIT}/build")]
    asked: list[int] = []
    for page in pages:
        page.on("response", lambda answer: "/live" in answer.url and asked.append(answer.status))
    pages[0].wait_for_timeout(3 * 1000)
    assert set(asked) == {204}
    for page in pages:
        page.evaluate(HIDE, True)
    asked.clear()
    tick(live, CUTS[0])
    pages[0].wait_for_timeout(2 * 1000)
    assert asked == []
    for page in pages:
        page.evaluate(HIDE, False)
    row = pages[1].locator("table.wires tbody tr").first
    expect(row).not_to_contain_text("not cut yet")
    expect(pages[0].locator("table.jobs")).to_contain_text("unit 1")
    # The server away for a while: less is asked, and nothing is missed.
    live.stop()
    pages[0].wait_for_timeout(2 * 1000)
    live.start()
    tick(live, "l1:from:thread")
    tick(live, "l1:from:strip")
    expect(row).to_contain_text("stripped", timeout=12_000)
    for page in pages:
        assert page.locator("text=cannot be reached").count() <= 1


HIDE = """(hidden) => {
  Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
  document.dispatchEvent(new Event("visibilitychange"));
}"""
