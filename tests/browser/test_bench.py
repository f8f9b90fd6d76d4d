"""The bench tablet on the small launch: taps, undo, no network, keys, and a second tablet."""

import time
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine, select

from tests.browser.conftest import TABLET, Live, Watch, context_of, served
from tests.stages import launch
from webapp.database import reading, writing
from webapp.records.bench import Tick
from webapp.settings import Settings
from webapp.stages.building import bench, units


@pytest.fixture
def live(settings: Settings, engine: Engine) -> Iterator[Live]:
    with writing(engine) as session:
        made = launch.signed_off(session)
        units.start(session, made.loom_id, made.person_id, "full")
    with served(settings) as running:
        yield running


def states(engine: Engine) -> dict[str, str]:
    with reading(engine) as session:
        return {uid: now.state for uid, now in bench.state(session, 1).items()}


def open_bench(tablet: Page, at: str = "") -> None:
    tablet.goto(f"/units/1/bench{at}")
    tablet.wait_for_selector("[data-bench][data-ready]")


def tap_next(tablet: Page) -> None:
    """One tap on the step that is next, until the page shows it done."""
    step = tablet.locator("[data-step].now")
    uid = step.get_attribute("data-step")
    step.tap()
    expect(tablet.locator(f'[data-step="{uid}"]')).to_have_attribute("data-state", "done")


def wait_for(engine: Engine, wanted: dict[str, str]) -> None:
    """Until the server's journal says this and nothing else."""
    until = time.monotonic() + 8
    while states(engine) != wanted and time.monotonic() < until:
        time.sleep(0.05)
    assert states(engine) == wanted


def test_one_tap_is_one_tick_and_undo_takes_back_the_last(tablet: Page, engine: Engine) -> None:
    open_bench(tablet)
    for _ in range(3):
        tap_next(tablet)
    made = {"l1.0:cut": "done", "l1:from:thread": "done", "l1:from:strip": "done"}
    wait_for(engine, made)
    expect(tablet.locator("[data-undo] small")).to_have_text("Strip 8.0 mm")
    tablet.locator("[data-undo]").tap()
    wait_for(engine, made | {"l1:from:strip": "undone"})
    # The picture follows the ticks.
    expect(tablet.locator(".big-wire svg title")).to_contain_text("left end cut")


def test_every_target_is_large_enough_for_gloves(tablet: Page) -> None:
    open_bench(tablet)
    for selector, least in (("[data-step]", 72), (".bench-foot button, .bench-foot a", 72),
                            (".bench-more a", 48), (".who select", 48)):  # fmt: skip
        for target in tablet.locator(selector).all():
            box = target.bounding_box()
            assert box is not None
            assert box["height"] >= least
    assert tablet.evaluate("document.documentElement.scrollWidth") <= 800


def test_a_whole_wire_is_made_without_the_network(
    tablet: Page, engine: Engine, watch: Watch
) -> None:
    watch.allow("ERR_INTERNET_DISCONNECTED")
    open_bench(tablet)
    tablet.context.set_offline(True)
    for _ in range(7):
        tap_next(tablet)
    tablet.locator("[data-on]").tap()
    expect(tablet.locator("h1")).to_contain_text("right end")
    # The wire was cut at the other end of it.
    expect(tablet.locator('[data-step="l1.0:cut"]')).to_have_attribute("data-state", "done")
    for _ in range(6):
        tap_next(tablet)
    expect(tablet.locator("[data-saved] b")).to_have_text("13 kept here")
    assert states(engine) == {}
    tablet.context.set_offline(False)
    operations = ("thread", "strip", "crimp", "shrink", "tug", "insert")
    ends = {f"l1:{end}:{step}": "done" for end in ("from", "to") for step in operations}
    wait_for(engine, {"l1.0:cut": "done"} | ends)
    with reading(engine) as session:
        assert len(session.scalars(select(Tick)).all()) == 13


def test_the_bench_is_gone_through_with_keys(tablet: Page, engine: Engine) -> None:
    open_bench(tablet)
    tablet.keyboard.press("ArrowDown")
    tablet.keyboard.press("Enter")
    wait_for(engine, {"l1.0:cut": "done"})
    tablet.keyboard.press("ArrowDown")
    tablet.keyboard.press("Enter")
    wait_for(engine, {"l1.0:cut": "done", "l1:from:thread": "done"})
    tablet.keyboard.press("ArrowRight")
    expect(tablet.locator("h1")).to_contain_text("right end")
    tablet.keyboard.press("ArrowLeft")
    expect(tablet.locator("h1")).to_contain_text("left end")
    assert tablet.url.endswith("at=l1%3Afrom")


def test_a_hold_says_why(tablet: Page, engine: Engine) -> None:
    open_bench(tablet)
    tablet.locator("[data-hold]").tap()
    tablet.get_by_label("Why, for whoever goes on with it").fill("no red cable left")
    tablet.get_by_role("button", name="Put on hold").tap()
    wait_for(engine, {"l1.0:cut": "held"})
    tablet.goto("/units/1/journal")
    expect(tablet.get_by_text("no red cable left")).to_be_visible()


def test_what_the_server_refuses_is_shown_until_it_is_taken_away(
    tablet: Page, engine: Engine, watch: Watch
) -> None:
    watch.allow("ERR_INTERNET_DISCONNECTED")
    open_bench(tablet)
    tablet.context.set_offline(True)
    tap_next(tablet)
    tap_next(tablet)
    with writing(engine) as session:
        # The tablet does not know that the bench goes by short steps from now on.
        session.connection().exec_driver_sql("UPDATE unit SET depth = 'short' WHERE id = 1")
    tablet.context.set_offline(False)
    expect(tablet.get_by_text("not part of the unit's revision and depth")).to_be_visible()
    wait_for(engine, {"l1.0:cut": "done"})
    tablet.get_by_role("button", name="Take away").tap()
    expect(tablet.locator("[data-not-accepted]")).to_be_hidden()


def test_a_second_tablet_sees_the_ticks_of_the_first(
    tablet: Page, browser: Browser, live: Live, watch: Watch
) -> None:
    open_bench(tablet)
    with context_of(browser, live, TABLET, touch=True) as context:
        other = context.new_page()
        watch.on(other, live)
        open_bench(other)
        tap_next(tablet)
        expect(other.locator('[data-step="l1.0:cut"]')).to_have_attribute(
            "data-state", "done", timeout=10_000
        )


def test_without_scripts_each_tick_is_a_form(browser: Browser, live: Live, engine: Engine) -> None:
    context = browser.new_context(base_url=live.url, java_script_enabled=False, viewport=TABLET)
    page = context.new_page()
    page.goto("/units/1/bench")
    page.get_by_role("button", name="Cut 100 mm RD").click()
    page.get_by_role("button", name="Thread on tag").click()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("link", name="Right end").click()
    assert "right end" in page.locator("h1").inner_text()
    context.close()
    assert states(engine) == {"l1.0:cut": "done", "l1:from:thread": "undone"}
