"""Needs and runs typed by keyboard alone, cells pasted, lists imported, in a real browser."""

import pytest
from playwright.sync_api import Page, expect

from tests.pages.launch import day_launch

RUNS = [line.split(",") for line in day_launch("runs").splitlines()[1:]]


@pytest.fixture
def loom(page: Page) -> str:
    page.goto("/first-run")
    page.locator("#name").fill("Tern Lane Looms")
    page.locator("#person_name").fill("Ada Quill")
    page.locator("#initials").fill("AQ")
    page.keyboard.press("Enter")
    expect(page.locator("#notice")).to_contain_text("is set up")
    page.goto("/jobs/new")
    page.locator("#new_customer").fill("Dunlin Day Boats")
    page.locator("#title").fill("Day launch")
    page.locator("#setting").select_option("craft")
    page.locator("#nominal_v").select_option("12")
    page.locator("#polarity").select_option("insulated return")
    page.locator("#loom_name").fill("main loom")
    page.locator("#loom_quantity").fill("6")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Day launch")).to_be_visible()
    return "/looms/1"


def values(page: Page, name: str) -> list[str]:
    cells = page.locator(f"main [name^='runs-'][name$='-{name}']")
    return [cell.input_value() for cell in cells.all() if cell.input_value()]


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_a_run_table_is_typed_by_keyboard_alone(page: Page, loom: str) -> None:
    page.goto(f"{loom}/runs")
    page.locator("#runs-0-from_place").focus()
    for number, row in enumerate(RUNS):
        start, end, length, plus_minus, how, covering, surround, through = row
        # The part of a covering is chosen from a list, and left alone here.
        for text in (start, end, length, plus_minus, how, "AQ", covering, "", surround):
            page.keyboard.type(text)
            page.keyboard.press("Tab")
        page.keyboard.type(through)
        if number < len(RUNS) - 1:
            # Down to the next row, and back to its first field.
            page.keyboard.press("Enter")
            for _ in range(9):
                page.keyboard.press("Shift+Tab")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notice")).to_contain_text("Runs: 10 added; places: 11 added")
    assert values(page, "length_mm") == [row[2] for row in RUNS]
    assert values(page, "covering") == [row[5] for row in RUNS]
    expect(page.get_by_role("img", name="battery box to engine bay 900 mm")).to_be_visible()
    assert fits(page)


def test_cells_of_a_spreadsheet_are_pasted_into_the_needs(page: Page, loom: str) -> None:
    page.goto(f"{loom}/needs")
    lines = [line for line in day_launch("needs").splitlines()[1:] if '"' not in line]
    cells = "\n".join(line.replace(",", "\t") for line in lines)
    page.locator("#needs-0-name").focus()
    page.evaluate(
        """text => {
          const data = new DataTransfer();
          data.setData("text/plain", text);
          document.activeElement.dispatchEvent(new ClipboardEvent("paste", {
            clipboardData: data, bubbles: true, cancelable: true,
          }));
        }""",
        cells,
    )
    expect(page.locator("[data-rows-said=needs]")).to_have_text("19 rows pasted.")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notice")).to_contain_text("Needs: 19 added; places: 9 added")
    expect(page.locator("#needs-9-inrush_a")).to_have_value("12")
    expect(page.locator("#needs-9-max_fuse_a")).to_have_value("5")
    expect(page.locator("#needs-0-duty")).to_have_value("intermittent 10 s on 60 s off")
    assert fits(page)


def test_a_need_is_typed_with_its_second_line_and_a_mistake_is_mended(
    page: Page, loom: str
) -> None:
    page.goto(f"{loom}/needs")
    page.locator("#needs-0-name").focus()
    for text in ("Horn", "1", "foredeck", "motor", "four", "A", "12", "push button", "helm"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    page.keyboard.type("5/60")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#needs-0-rating-error")).to_contain_text("must be a number")
    # The page is read before its scripts have come; the keys are theirs.
    expect(page.locator("html.js")).to_be_attached()
    page.get_by_role("link", name="Rating must be a number").click()
    expect(page.locator("#needs-0-rating")).to_be_focused()
    page.keyboard.press("Control+a")
    page.keyboard.type("4")
    page.keyboard.press("Control+Enter")
    expect(page.locator("#notice")).to_contain_text("Needs: 1 added")
    expect(page.locator("#needs-0-duty")).to_have_value("intermittent 5 s on 60 s off")
    page.get_by_role("button", name="Undo: Needs: 1 added").click()
    expect(page.locator("#notice")).to_contain_text("Taken back")
    expect(page.locator("#needs-0-name")).to_have_value("")


def test_a_row_is_taken_out_with_its_cross(page: Page, loom: str) -> None:
    page.goto(f"{loom}/runs")
    page.locator("#runs-0-from_place").fill("helm")
    page.locator("#runs-0-to_place").fill("bow")
    page.get_by_role("button", name="Save the runs").click()
    expect(page.locator("#notice")).to_contain_text("Runs: 1 added")
    page.locator("[data-row-remove]").first.click()
    page.get_by_role("button", name="Save the runs").click()
    expect(page.locator("#notice")).to_contain_text("Runs: 1 taken out")


def test_a_list_is_looked_at_and_imported(page: Page, loom: str) -> None:
    page.goto(f"{loom}/needs")
    page.get_by_role("link", name="Paste or upload a list").click()
    page.get_by_label("Paste it here").fill(day_launch("needs"))
    page.get_by_role("button", name="Look at it first").click()
    expect(page.get_by_text("19 rows read: 19 new")).to_be_visible()
    assert fits(page)
    page.get_by_role("button", name="Import these rows").click()
    expect(page.locator("#notice")).to_contain_text("19 rows imported")


def test_stores_are_filtered_while_typing(page: Page, loom: str) -> None:
    page.goto("/stores")
    page.get_by_label("Words").press_sequentially("masking")
    expect(page.get_by_role("link", name="Masking tape")).to_be_visible()
    expect(page.get_by_text("Fuse board, 4 ways, medium blade")).to_have_count(0)
    expect(page.get_by_label("Words")).to_be_focused()
    assert page.url.endswith("q=masking&kind=")
    assert fits(page)
