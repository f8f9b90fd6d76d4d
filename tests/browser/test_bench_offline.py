"""The bench while the server is away, while tabs and tablets die, and two tablets at once."""

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Route, expect
from sqlalchemy import Engine

from tests.browser.at_bench import (
    all_steps,
    number_of_ticks,
    open_bench,
    states,
    step_of,
    tap_next,
    tap_ready,
    tap_through,
    two_units,
    wait_for,
)
from tests.browser.conftest import (
    FLAGS,
    TABLET,
    Live,
    Watch,
    context_of,
    find_chromium,
    free_port,
    served,
)
from webapp.app import create_app
from webapp.settings import Settings

AWAY = ("ERR_INTERNET_DISCONNECTED", "ERR_CONNECTION_REFUSED", "ERR_CONNECTION_RESET",
        "ERR_EMPTY_RESPONSE", "ERR_SOCKET_NOT_CONNECTED", "ERR_FAILED", "htmx:error")  # fmt: skip
# A name that is not this machine's own, so that the browser grants it no more than a LAN address.
LAN_NAME = "bench.test"


@pytest.fixture
def live(settings: Settings, engine: Engine) -> Iterator[Live]:
    two_units(engine, set_up=True)
    with served(settings) as running:
        yield running


@pytest.fixture
def away(watch: Watch) -> None:
    """What the browser reports while the server is away."""
    for words in AWAY:
        watch.allow(words)


def test_a_whole_unit_is_ticked_with_the_server_away_in_the_middle(
    tablet: Page, live: Live, engine: Engine, away: None
) -> None:
    wanted = all_steps(engine, 1)
    open_bench(tablet)
    tapped = tap_through(tablet, 20)
    wait_for(engine, 1, dict.fromkeys(tapped, "done"))
    live.stop()
    here = tap_through(tablet, 25)
    assert len(here) == 25
    expect(tablet.locator("[data-saved]")).to_contain_text("25 kept here")
    expect(tablet.locator("[data-saved]")).to_contain_text("sending again")
    assert states(engine, 1) == dict.fromkeys(tapped, "done")
    live.start()
    tapped += here
    wait_for(engine, 1, dict.fromkeys(tapped, "done"), wait_s=20)
    expect(tablet.locator("[data-saved]")).to_contain_text("saved")
    # The way through the list begins anew until nothing is left.
    while set(tapped) != wanted:
        open_bench(tablet)
        more = tap_through(tablet, len(wanted))
        assert more
        tapped += more
        wait_for(engine, 1, dict.fromkeys(tapped, "done"))
    assert number_of_ticks(engine) == len(wanted)
    tablet.goto("/units/1/build")
    expect(tablet.get_by_role("button", name="Pass unit")).to_be_visible()


def test_a_tab_that_is_closed_with_ticks_in_it_loses_none(
    tablet: Page, live: Live, engine: Engine, away: None, watch: Watch
) -> None:
    open_bench(tablet, "order=wire")
    live.stop()
    for _ in range(3):
        tap_next(tablet)
    tablet.close()
    live.start()
    assert states(engine, 1) == {}
    # Any page of the workshop sends what an earlier one left.
    other = tablet.context.new_page()
    watch.on(other, live)
    other.goto("/jobs")
    made = ("l1.0:cut", "l1:from:thread", "l1:from:strip")
    wait_for(engine, 1, dict.fromkeys(made, "done"))
    assert number_of_ticks(engine) == 3


def test_reloading_while_ticks_are_kept_shows_them_and_sends_them_once(
    tablet: Page, live: Live, engine: Engine, away: None
) -> None:
    tablet.on("dialog", lambda dialog: dialog.accept())
    open_bench(tablet, "order=wire")
    tablet.route("**/ticks?*", lambda route: route.abort())
    tap_next(tablet)
    tap_next(tablet)
    expect(tablet.locator("[data-saved]")).to_contain_text("2 kept here")
    tablet.reload()
    tablet.wait_for_selector("[data-bench][data-ready]")
    expect(step_of(tablet, "l1:from:thread")).to_have_attribute("data-state", "done")
    expect(step_of(tablet, "l1:from:thread")).to_have_class("kept", timeout=10_000)
    assert states(engine, 1) == {}
    tablet.unroute("**/ticks?*")
    wait_for(engine, 1, {"l1.0:cut": "done", "l1:from:thread": "done"}, wait_s=40)
    assert number_of_ticks(engine) == 2


def test_answers_that_are_lost_double_nothing(
    tablet: Page, live: Live, engine: Engine, away: None
) -> None:
    """The server takes a batch, and its answer never comes."""
    lost = 0

    def lose(route: Route) -> None:
        nonlocal lost
        if lost < 3:
            lost += 1
            route.fetch()
            route.abort()
        else:
            route.continue_()

    open_bench(tablet, "order=wire")
    tablet.route("**/ticks?*", lose)
    for _ in range(3):
        tap_next(tablet)
    made = ("l1.0:cut", "l1:from:thread", "l1:from:strip")
    # The route is served while Playwright waits.
    expect(tablet.locator("[data-saved]")).to_contain_text("kept here")
    expect(tablet.locator("[data-saved]")).to_contain_text("saved", timeout=20_000)
    wait_for(engine, 1, dict.fromkeys(made, "done"))
    assert lost == 3
    assert number_of_ticks(engine) == 3


@pytest.mark.parametrize("status", [401, 429, 503])
def test_what_the_server_cannot_take_now_is_kept(
    tablet: Page, engine: Engine, watch: Watch, live: Live, status: int
) -> None:
    watch.allow(f"status of {status}")
    open_bench(tablet, "order=wire")
    tablet.route("**/ticks?*", lambda route: route.fulfill(status=status, json={"why": "Not now."}))
    tap_next(tablet)
    expect(tablet.locator("[data-saved]")).to_contain_text("1 kept here")
    expect(tablet.locator("[data-not-accepted]")).to_be_hidden()
    tablet.unroute("**/ticks?*")
    wait_for(engine, 1, {"l1.0:cut": "done"})


def test_what_somebody_else_ticked_is_kept_until_they_are_back(
    tablet: Page, engine: Engine, watch: Watch, live: Live
) -> None:
    def keep(route: Route) -> None:
        keys = [tick["key"] for tick in (route.request.post_data_json or {})["ticks"]]
        route.fulfill(json={"saved": [], "refused": [], "told": [], "kept": keys, "last": 0})

    open_bench(tablet, "order=wire")
    tablet.route("**/ticks?*", keep)
    tap_next(tablet)
    expect(tablet.locator("[data-saved]")).to_contain_text("until who ticked them logs in")
    expect(step_of(tablet, "l1.0:cut")).to_have_attribute("data-state", "done")
    tablet.unroute("**/ticks?*")
    wait_for(engine, 1, {"l1.0:cut": "done"})


def test_what_the_server_will_never_take_is_shown_and_holds_up_nothing(
    tablet: Page, engine: Engine, watch: Watch, live: Live
) -> None:
    watch.allow("status of 400")
    open_bench(tablet, "order=wire")
    tablet.route("**/ticks?*", lambda route: route.fulfill(status=400, json={"why": "Not ever."}))
    tablet.locator("#bench-part .now").tap()  # It is refused at once.
    expect(tablet.locator("[data-not-accepted]")).to_contain_text("Wire 1, Cut 100 mm: Not ever.")
    expect(step_of(tablet, "l1.0:cut")).to_have_attribute("data-state", "todo")
    tablet.unroute("**/ticks?*")
    tablet.reload()
    tablet.wait_for_selector("[data-bench][data-ready]")
    expect(tablet.locator("[data-not-accepted]")).to_contain_text("Not ever.")
    tap_next(tablet)
    wait_for(engine, 1, {"l1.0:cut": "done"})
    assert number_of_ticks(engine) == 1


def test_two_tablets_at_one_step_agree_and_both_are_told(
    tablet: Page, browser: Browser, live: Live, engine: Engine, watch: Watch, away: None
) -> None:
    open_bench(tablet, "order=wire")
    with context_of(browser, live, TABLET, touch=True) as context:
        other = context.new_page()
        watch.on(other, live)
        open_bench(other, "order=wire")
        tap_next(tablet)
        # Within two seconds the other shows it.
        expect(step_of(other, "l1.0:cut")).to_have_attribute("data-state", "done", timeout=2_500)
        context.set_offline(True)
        tap_next(other)
        tap_next(tablet)
        wait_for(engine, 1, {"l1.0:cut": "done", "l1:from:thread": "done"})
        context.set_offline(False)
        for page in (tablet, other):
            expect(page.locator("[data-told]")).to_contain_text("It counts once", timeout=10_000)
        assert number_of_ticks(engine) == 2
        # They differ: one holds what the other has ticked without knowing.
        context.set_offline(True)
        tap_next(other)
        tablet.locator("[data-hold]").tap()
        tablet.get_by_label("Why, for whoever reads the journal").fill("the blade is worn")
        tablet.get_by_role("button", name="Hold", exact=True).last.tap()
        held = {"l1.0:cut": "done", "l1:from:thread": "done", "l1:from:strip": "held"}
        wait_for(engine, 1, held)
        context.set_offline(False)
        expect(other.locator("[data-not-accepted]")).to_contain_text("the blade is worn")
        expect(other.locator("[data-not-accepted] li")).to_have_count(1)
        assert other.locator("[data-told] li").count() == 1  # once is enough: the first meeting
        expect(step_of(other, "l1:from:strip")).to_have_attribute("data-state", "held")
        expect(tablet.locator("[data-told]")).to_contain_text("It stays so")
        assert states(engine, 1) == held


@contextmanager
def _tablet_at(browser: Browser, folder: Path) -> Iterator[BrowserContext]:
    """A browser of its own that keeps what it stores in this folder."""
    context = browser.browser_type.launch_persistent_context(
        str(folder),
        executable_path=find_chromium(),
        args=[*FLAGS, f"--host-resolver-rules=MAP {LAN_NAME} 127.0.0.1"],
        viewport=TABLET,
        has_touch=True,
    )
    context.set_default_timeout(8_000)
    yield context
    with suppress(Error):
        context.close()


def _kill(folder: Path) -> None:
    """Takes the browser's processes away at once, as an empty battery does."""
    for process in Path("/proc").iterdir():
        if not process.name.isdigit():
            continue
        with suppress(OSError):
            if f"--user-data-dir={folder}".encode() in (process / "cmdline").read_bytes():
                os.kill(int(process.name), signal.SIGKILL)


def test_a_tablet_whose_battery_dies_keeps_its_ticks(
    settings: Settings, engine: Engine, browser: Browser, tmp_path: Path
) -> None:
    """Over plain http by a name of the network, where browsers grant no secure context."""
    two_units(engine)
    app = create_app(settings, host_names=(LAN_NAME,))
    server = Live(app, settings.data_dir, free_port())
    server.start()
    folder = tmp_path / "tablet"
    address = f"http://{LAN_NAME}:{server.port}"
    with _tablet_at(browser, folder) as context:
        page = context.pages[0]
        page.goto(f"{address}/units/1/bench?order=wire")
        page.wait_for_selector("[data-bench][data-ready]")
        assert page.evaluate("isSecureContext") is False
        server.stop()
        made = tap_ready(page, 3)
        _kill(folder)
    server.start()
    assert states(engine, 1) == {}
    with _tablet_at(browser, folder) as context:
        context.pages[0].goto(f"{address}/jobs")
        wait_for(engine, 1, dict.fromkeys(made, "done"), wait_s=15)
    server.stop()
    app.state.engine.dispose()
