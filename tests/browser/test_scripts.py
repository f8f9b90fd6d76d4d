"""The frame's scripts: entry tables, cells, one sending per form, keys."""

from collections.abc import Iterator

import pytest
from jinja2 import ChoiceLoader
from playwright.sync_api import Page, expect
from sqlalchemy import Engine

from tests.browser.conftest import Live, Watch, served
from tests.browser.samples import LOADER, Workbench, sample_router
from webapp.database import writing
from webapp.pages.render import templates
from webapp.records.people import Person
from webapp.settings import Settings


@pytest.fixture
def bench() -> Workbench:
    return Workbench()


@pytest.fixture
def live(
    settings: Settings, engine: Engine, bench: Workbench, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Live]:
    assert templates.loader is not None
    assert templates.cache is not None
    monkeypatch.setattr(templates, "loader", ChoiceLoader([LOADER, templates.loader]))
    with writing(engine) as session:
        session.add(Person(name="Ina Brook", initials="IB"))
    with served(settings, sample_router(bench)) as running:
        yield running
    templates.cache.clear()


def focused(page: Page) -> str:
    return str(page.evaluate("document.activeElement.id"))


def paste(page: Page, text: str) -> None:
    page.evaluate(
        """text => {
          const data = new DataTransfer();
          data.setData("text/plain", text);
          document.activeElement.dispatchEvent(
            new ClipboardEvent("paste", {clipboardData: data, bubbles: true, cancelable: true}));
        }""",
        text,
    )


# --- entry tables ---


def test_a_table_is_typed_through_with_the_keyboard(page: Page, bench: Workbench) -> None:
    page.goto("/sample/needs")
    page.get_by_label("Title").fill("Launch")
    page.locator("#rows-0-name").focus()
    page.keyboard.type("Bow lamp")
    page.keyboard.press("Tab")
    page.keyboard.type("1")
    page.keyboard.press("Enter")
    assert focused(page) == "rows-1-count"
    page.keyboard.type("2")
    page.keyboard.press("Shift+Tab")
    page.keyboard.type("Horn")
    page.keyboard.press("ArrowUp")
    assert focused(page) == "rows-0-name"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert focused(page) == "rows-2-name"
    page.keyboard.type("Pump")
    page.keyboard.press("Tab")
    page.keyboard.type("1")
    page.keyboard.press("Control+d")
    assert focused(page) == "rows-3-count"
    page.keyboard.type("4")
    page.keyboard.press("Control+Enter")
    expect(page.get_by_text("Needs saved.")).to_be_visible()
    expected = ["1 Bow lamp", "2 Horn", "1 Pump", "4 Pump"]
    assert bench.kept == [f"{words}, no control" for words in expected]


def test_a_row_is_taken_out(page: Page, bench: Workbench) -> None:
    page.goto("/sample/needs")
    page.get_by_label("Title").fill("Launch")
    page.locator("#rows-0-name").fill("Wrong")
    page.locator("#rows-1-name").fill("Right")
    page.locator("#rows-1-count").fill("1")
    page.locator("#rows-0-name").press("Control+Delete")
    assert focused(page) == "rows-1-name"
    page.get_by_role("button", name="Add a row").click()
    page.get_by_role("button", name="Take this row out").last.click()
    page.get_by_role("button", name="Save the needs").click()
    expect(page.get_by_text("Needs saved.")).to_be_visible()
    assert bench.kept == ["1 Right, no control"]


def test_cells_of_a_spreadsheet_are_pasted(page: Page, bench: Workbench) -> None:
    page.goto("/sample/needs")
    page.get_by_label("Title").fill("Launch")
    page.locator("#rows-0-name").focus()
    paste(page, 'Bow lamp\t1\tSwitch\r\n"5"" gauge\tbig"\t2\trelay\nPump\t3\tknife\textra\n')
    expect(page.locator("[data-rows-said]")).to_have_text(
        "3 rows pasted. 1 cells stood to the right of the table and were left out. "
        "Not taken: row 3, Control: “knife” is not in the list."
    )
    page.get_by_role("button", name="Save the needs").click()
    expect(page.get_by_text("Needs saved.")).to_be_visible()
    assert bench.kept == ["1 Bow lamp, switch", '2 5" gauge big, relay', "3 Pump, no control"]


def test_mistakes_are_named_beside_the_field_and_nothing_typed_is_lost(page: Page) -> None:
    page.goto("/sample/needs")
    page.get_by_label("Title").fill("Launch")
    page.locator("#rows-1-name").fill("Horn")
    page.locator("#rows-1-count").fill("two")
    page.get_by_role("button", name="Save the needs").click()
    summary = page.get_by_role("alert")
    expect(summary).to_be_focused()
    assert page.title().startswith("Mend: ")
    summary.get_by_role("link", name="How many must be a whole number").click()
    broken = page.locator("#rows-1-count")
    expect(broken).to_be_focused()
    expect(broken).to_have_value("two")
    expect(broken).to_have_accessible_description(
        "Mend: How many must be a whole number, not “two”."
    )
    expect(page.get_by_label("Title")).to_have_value("Launch")


# --- one sending per form ---


def test_pressing_twice_sends_once(page: Page, bench: Workbench) -> None:
    bench.pause_s = 0.3
    page.goto("/sample/needs")
    page.get_by_label("Title").fill("Launch")
    page.locator("#rows-0-name").fill("Horn")
    page.locator("#rows-0-count").fill("1")
    page.get_by_role("button", name="Save the needs").dblclick()
    expect(page.get_by_text("Needs saved.")).to_be_visible()
    assert len(bench.once) == 1
    assert len(bench.once[0]) == 32


# --- cells ---


def test_a_cell_is_kept_and_the_keys_move_between_cells(page: Page, bench: Workbench) -> None:
    page.goto("/sample/wires")
    first = page.get_by_label("Length of wire 1")
    first.fill("5.5 m")
    first.press("Enter")
    assert focused(page) == "wire-2-length_mm"
    expect(first).to_have_value("5,500")
    expect(page.get_by_text("Too long.")).to_be_visible()
    assert focused(page) == "wire-2-length_mm"
    page.keyboard.press("ArrowDown")
    assert focused(page) == "wire-3-length_mm"
    # The text is chosen whole: the keys lead on at once, End to the row's last cell.
    page.keyboard.press("End")
    assert focused(page) == "wire-3-wall"
    page.get_by_label("Length of wire 3").focus()
    page.keyboard.press("ArrowRight")
    assert focused(page) == "wire-3-name"
    page.keyboard.type("gone")
    page.keyboard.press("Escape")
    expect(page.get_by_label("Name of wire 3")).to_have_value("feed")
    page.get_by_label("Wall of wire 3").select_option("thick")
    page.get_by_label("Name of wire 3").fill("return")
    page.get_by_label("Name of wire 3").press("Enter")
    expect(page.locator(".cell.sending")).to_have_count(0)
    assert bench.wires[3].wall == "thick"
    assert bench.wires[3].name == "return"
    expect(page.get_by_label("Wall of wire 3")).to_have_value("thick")


def test_a_refused_cell_keeps_what_was_typed(page: Page, bench: Workbench) -> None:
    page.goto("/sample/wires")
    cell = page.get_by_label("Length of wire 2")
    cell.fill("long")
    cell.press("Enter")
    expect(cell).to_have_attribute("aria-invalid", "true")
    expect(cell).to_have_value("long")
    expect(page.get_by_text("must be a number")).to_be_visible()
    cell.fill("2100")
    cell.press("Enter")
    expect(cell).to_have_value("2,100")
    expect(cell).not_to_have_attribute("aria-invalid", "true")


def test_no_keystroke_is_lost_while_the_row_is_replaced(page: Page, bench: Workbench) -> None:
    bench.pause_s = 0.4
    page.goto("/sample/wires")
    page.get_by_label("Length of wire 1").fill("1200")
    page.keyboard.press("Tab")
    page.keyboard.press("Control+a")
    for letter in "negative return":
        page.keyboard.type(letter)
        page.wait_for_timeout(60)
    name = page.get_by_label("Name of wire 1")
    expect(name).to_have_value("negative return")
    assert focused(page) == "wire-1-name"
    expect(page.get_by_label("Length of wire 1")).to_have_value("1,200")
    page.keyboard.press("Enter")
    expect(page.locator(".cell.sending")).to_have_count(0)
    assert bench.kept == ["length_mm: 1,000 -> 1200", "name: feed -> negative return"]


def test_two_quick_edits_of_one_cell_both_arrive(page: Page, bench: Workbench) -> None:
    bench.pause_s = 0.4
    page.goto("/sample/wires")
    cell = page.get_by_label("Length of wire 1")
    cell.fill("1200")
    cell.press("Enter")
    cell.fill("1300")
    cell.press("Enter")
    expect(page.locator(".cell.sending")).to_have_count(0)
    expect(cell).to_have_value("1,300")
    assert bench.kept == ["length_mm: 1,000 -> 1200", "length_mm: 1200 -> 1300"]


def test_an_edit_that_did_not_arrive_stays_and_can_be_sent_again(
    page: Page, live: Live, bench: Workbench, watch: Watch
) -> None:
    watch.allow("net::ERR_")
    watch.allow("htmx:error")
    watch.allow("Failed to fetch")
    page.goto("/sample/wires")
    live.stop()
    cell = page.get_by_label("Length of wire 1")
    cell.fill("1234")
    cell.press("Enter")
    expect(page.get_by_text("cannot be reached")).to_be_visible()
    expect(cell).to_have_value("1234")
    live.start()
    cell.press("Enter")
    expect(cell).to_have_value("1,234")
    assert bench.kept == ["length_mm: 1,000 -> 1234"]


# --- search and people ---


def test_a_slash_goes_to_the_search_box_but_not_while_typing(page: Page, live: Live) -> None:
    live.app.state.page_paths.add("/search")
    page.goto("/sample/needs")
    page.get_by_label("Title").press("/")
    expect(page.get_by_label("Title")).to_have_value("/")
    page.get_by_label("Title").blur()
    page.keyboard.press("/")
    expect(page.get_by_role("searchbox")).to_be_focused()
    expect(page.get_by_role("searchbox")).to_have_value("")
