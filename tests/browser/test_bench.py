"""The bench tablet on the small launch: taps, undo, what is said of a step, keys, no scripts."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect
from sqlalchemy import Engine, select

from tests.browser.at_bench import (
    boxes_below,
    number_of_ticks,
    open_bench,
    states,
    step_of,
    tap_next,
    two_units,
    wait_for,
)
from tests.browser.conftest import TABLET, Live, Watch, served
from tests.stages.building.at_bench import measure_each, second_person
from webapp.database import reading, writing
from webapp.records.bench import Tick
from webapp.settings import Settings
from webapp.stages.building import depth_change

BY_WIRE = "order=wire"


@pytest.fixture
def live(settings: Settings, engine: Engine) -> Iterator[Live]:
    two_units(engine)
    with served(settings) as running:
        yield running


def say(tablet: Page, uid: str, act: str, why: str = "") -> None:
    """Opens the dialog of a step and says something of it."""
    step_of(tablet, uid).locator("xpath=ancestor::li").locator("[data-more]").tap()
    dialog = tablet.locator("[data-step-dialog]")
    if why:
        dialog.get_by_label("Why, for whoever reads the journal").fill(why)
    dialog.get_by_role("button", name=act, exact=True).tap()


def test_one_tap_is_one_tick_and_undo_takes_back_the_last(tablet: Page, engine: Engine) -> None:
    open_bench(tablet, BY_WIRE)
    for _ in range(3):
        tap_next(tablet)
    made = {"l1.0:cut": "done", "l1:from:thread": "done", "l1:from:strip": "done"}
    wait_for(engine, 1, made)
    tablet.locator(".bench-list summary").tap()
    expect(tablet.locator("[data-turn='l1:from'] [data-left]").first).to_have_text("4 left")
    tablet.locator(".bench-list summary").tap()
    # A second tap on what is done is none.
    step_of(tablet, "l1:from:strip").tap()
    # The last tick is in reach from any panel, by its name.
    tablet.locator("[data-on]").tap()
    expect(tablet.locator("[data-undo] small")).to_contain_text("Wire 1, left end")
    tablet.locator("[data-undo]").tap()
    wait_for(engine, 1, made | {"l1:from:strip": "undone"})
    tablet.locator("[data-back]").tap()
    # The picture follows the ticks.
    expect(tablet.locator(".big-wire svg title")).to_contain_text("left end cut")


def test_every_target_is_at_least_48_px(tablet: Page, live: Live) -> None:
    for order in ("tool", "wire", "plug", "place"):
        open_bench(tablet, f"order={order}&with=all")
        assert boxes_below(tablet, 48) == []
        assert tablet.evaluate("document.documentElement.scrollWidth") <= 800
    tablet.locator("[data-more]").first.tap()
    assert boxes_below(tablet, 48) == []
    for address in (
        "/units/1/bench/say?at=",
        "/units/1/crimp-setups",
        "/units/1/photos?step=l1.0:cut",
    ):
        tablet.goto(address)
        assert boxes_below(tablet, 48) == []
        assert tablet.evaluate("document.documentElement.scrollWidth") <= 800


def test_a_step_is_held_made_again_and_scrapped_with_its_reason(
    tablet: Page, engine: Engine
) -> None:
    open_bench(tablet, BY_WIRE)
    say(tablet, "l1.0:cut", "Hold")
    expect(tablet.locator("[data-dialog-error]")).to_contain_text("Say why")
    tablet.get_by_role("button", name="Leave it").tap()
    assert states(engine, 1) == {}
    say(tablet, "l1.0:cut", "Hold", "no red cable left")
    wait_for(engine, 1, {"l1.0:cut": "held"})
    expect(step_of(tablet, "l1.0:cut")).to_contain_text("no red cable left")
    # A tap releases it, another ticks it.
    step_of(tablet, "l1.0:cut").tap()
    wait_for(engine, 1, {"l1.0:cut": "undone"})
    for _ in range(3):
        tap_next(tablet)
    say(tablet, "l1:from:strip", "Make again", "two strands nicked")
    made = {"l1.0:cut": "done", "l1:from:thread": "done", "l1:from:strip": "rework"}
    wait_for(engine, 1, made)
    expect(step_of(tablet, "l1:from:strip")).to_have_attribute("data-state", "rework")
    expect(step_of(tablet, "l1:from:strip")).to_contain_text("two strands nicked")
    step_of(tablet, "l1:from:strip").tap()
    wait_for(engine, 1, made | {"l1:from:strip": "done"})
    say(tablet, "l1:from:strip", "Scrap, cut again", "cut 20 mm short")
    gone = {"l1.0:cut": "scrapped", "l1:from:thread": "undone", "l1:from:strip": "undone"}
    wait_for(engine, 1, gone)
    expect(step_of(tablet, "l1.0:cut")).to_have_attribute("data-state", "scrapped")
    expect(step_of(tablet, "l1:from:thread")).to_have_attribute("data-state", "wait")
    tablet.goto("/units/1/journal")
    for words in ("no red cable left", "two strands nicked", "cut 20 mm short"):
        expect(tablet.get_by_text(words).first).to_be_visible()


def test_a_waiting_step_says_for_what_and_is_done_out_of_order_with_a_reason(
    tablet: Page, engine: Engine
) -> None:
    open_bench(tablet, BY_WIRE)
    step_of(tablet, "l1:from:thread").tap()
    expect(tablet.locator("[data-bench-said]")).to_contain_text("First: Wire 1, Cut")
    assert states(engine, 1) == {}
    say(tablet, "l1:from:thread", "Tick out of order", "the tag is on the reel's end already")
    wait_for(engine, 1, {"l1:from:thread": "done"})


def test_the_same_step_is_ticked_on_all_units_by_one_tap(tablet: Page, engine: Engine) -> None:
    open_bench(tablet, f"{BY_WIRE}&with=all")
    tap_next(tablet)
    for unit in (1, 2):
        wait_for(engine, unit, {"l1.0:cut": "done"})
    tablet.locator("[data-undo]").tap()
    for unit in (1, 2):
        wait_for(engine, unit, {"l1.0:cut": "undone"})
    # One unit alone, and then what is left of the others.
    row = step_of(tablet, "l1.0:cut").locator("xpath=ancestor::li")
    row.locator("[data-unit='2']").tap()
    wait_for(engine, 2, {"l1.0:cut": "done"})
    expect(step_of(tablet, "l1.0:cut")).to_contain_text("1 of 2 units done")
    step_of(tablet, "l1.0:cut").tap()
    wait_for(engine, 1, {"l1.0:cut": "done"})
    assert number_of_ticks(engine) == 6


def test_the_bench_is_gone_through_with_keys(tablet: Page, engine: Engine) -> None:
    open_bench(tablet, BY_WIRE)
    tablet.keyboard.press("ArrowDown")
    tablet.keyboard.press("Enter")
    wait_for(engine, 1, {"l1.0:cut": "done"})
    tablet.keyboard.press("ArrowDown")
    tablet.keyboard.press("Enter")
    wait_for(engine, 1, {"l1.0:cut": "done", "l1:from:thread": "done"})
    tablet.keyboard.press("ArrowRight")
    expect(tablet.locator("h1")).to_contain_text("right end")
    tablet.keyboard.press("ArrowLeft")
    expect(tablet.locator("h1")).to_contain_text("left end")
    assert "at=l1%3Afrom" in tablet.url


def test_what_the_server_refuses_is_shown_until_it_is_taken_away(
    tablet: Page, engine: Engine, watch: Watch
) -> None:
    watch.allow("ERR_INTERNET_DISCONNECTED")
    open_bench(tablet, BY_WIRE)
    tablet.context.set_offline(True)
    tap_next(tablet)
    tap_next(tablet)
    with writing(engine) as session:
        # The tablet does not know that the bench goes by short steps from now on.
        session.connection().exec_driver_sql("UPDATE unit SET depth = 'short' WHERE id = 1")
    tablet.context.set_offline(False)
    expect(tablet.get_by_text("not part of the unit's revision and depth")).to_be_visible()
    wait_for(engine, 1, {"l1.0:cut": "done"})
    tablet.locator("[data-not-accepted]").get_by_role("button", name="Take away").tap()
    expect(tablet.locator("[data-not-accepted]")).to_be_hidden()


def test_a_list_that_has_become_another_is_made_anew_and_says_why(
    tablet: Page, engine: Engine
) -> None:
    open_bench(tablet, f"{BY_WIRE}&at=l4:from")
    with writing(engine) as session:
        depth_change.change(session, 1, "short", "it is a plain one", 1)
    expect(tablet.locator("[data-told]")).to_contain_text(
        "This unit is ticked in another depth now: this list was made anew."
    )
    tablet.wait_for_selector("[data-bench][data-ready]")
    assert tablet.locator("#bench-part").get_attribute("data-key") == "l4:from"
    tap_next(tablet)
    wait_for(engine, 1, {"l4.0:cut": "done"})


def test_units_are_called_by_their_number(tablet: Page, engine: Engine) -> None:
    with writing(engine) as session:
        session.connection().exec_driver_sql("UPDATE unit SET number = number + 4")
    open_bench(tablet, f"{BY_WIRE}&with=all")
    tablet.locator("[data-hold]").tap()
    units = tablet.locator("[data-step-dialog] [data-dialog-units] label")
    assert [words.strip() for words in units.all_text_contents()] == ["unit 5", "unit 6"]
    units.first.tap()
    tablet.get_by_label("Why, for whoever reads the journal").fill("the reel is empty")
    tablet.get_by_role("button", name="Hold", exact=True).last.tap()
    row = step_of(tablet, "l1.0:cut")
    expect(row).to_contain_text("0 of 2 units done · unit 6 on hold: the reel is empty (AM)")
    row.tap()
    expect(tablet.locator("[data-undo] small")).to_have_text("Cut 100 mm, Wire 1, unit 5")


def test_a_joint_that_is_measured_names_its_limits(tablet: Page, engine: Engine) -> None:
    with writing(engine) as session:
        measure_each(session, "t-tab", "height pull")
    open_bench(tablet, f"{BY_WIRE}&at=l1:to&with=all")
    expect(tablet.get_by_role("link", name="Measure:")).to_have_count(0)
    step_of(tablet, "l1:to:crimp").locator("xpath=ancestor::li").locator("[data-more]").tap()
    labels = tablet.locator("[data-dialog-measures] label").all_text_contents()
    assert [words.strip() for words in labels] == [
        "unit 1: Crimp height 1.50 to 1.60 mm",
        "unit 1: Pull force at least 222.4 N",
        "unit 2: Crimp height 1.50 to 1.60 mm",
        "unit 2: Pull force at least 222.4 N",
    ]


def test_nobody_types_a_reason_before_there_is_a_name(
    browser: Browser, live: Live, engine: Engine
) -> None:
    with writing(engine) as session:
        second_person(session)
    context = browser.new_context(base_url=live.url, viewport=TABLET, has_touch=True)
    page = context.new_page()
    open_bench(page, BY_WIRE)
    for opens in ("[data-hold]", "[data-more]", "[data-step]"):
        page.locator(f"#bench-part {opens}").first.tap()
        expect(page.locator("[data-bench-said]")).to_contain_text("Choose your name")
        expect(page.locator("dialog[open]")).to_have_count(0)
    context.close()


def test_a_device_that_keeps_nothing_says_so_and_ticks_by_forms(
    tablet: Page, engine: Engine
) -> None:
    tablet.add_init_script("Object.defineProperty(window, 'indexedDB', { value: null })")
    tablet.goto(f"/units/1/bench?{BY_WIRE}&with=all")
    expect(tablet.locator("[data-bench-said]")).to_contain_text("This device keeps no ticks")
    expect(tablet.get_by_text("A tick here is of unit 1 alone.")).to_be_visible()
    expect(tablet.locator(".step-units").first).to_be_hidden()
    with tablet.expect_navigation():
        step_of(tablet, "l1.0:cut").tap()
    wait_for(engine, 1, {"l1.0:cut": "done"})
    assert states(engine, 2) == {}


def test_without_scripts_each_tick_is_a_form(browser: Browser, live: Live, engine: Engine) -> None:
    context = browser.new_context(base_url=live.url, java_script_enabled=False, viewport=TABLET)
    page = context.new_page()
    page.goto(f"/units/1/bench?{BY_WIRE}")
    page.locator("[data-step='l1.0:cut']").click()
    page.locator("[data-step='l1:from:thread']").click()
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("link", name="Right end").click()
    assert "right end" in page.locator("h1").inner_text()
    context.close()
    assert states(engine, 1) == {"l1.0:cut": "done", "l1:from:thread": "undone"}
    with reading(engine) as session:
        assert len(session.scalars(select(Tick)).all()) == 3
