"""Cells and lists of a spreadsheet pasted into any table, looked through before they are kept."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.settings import Settings

__all__ = ["designed_db"]
WIRES = sorted(PROPOSED.link.values(), key=lambda link: link.number)
PASTE = """text => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  document.activeElement.dispatchEvent(new ClipboardEvent("paste", {
    clipboardData: data, bubbles: true, cancelable: true,
  }));
}"""


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    """Served over a workshop with a proposed loom."""
    shutil.copyfile(designed_db, settings.database_path)


def cell(number: int, field: str) -> str:
    link = next(link for link in WIRES if link.number == number)
    return f"[id='wire-{link.uid}'] [data-cell={field}]"


def paste(page: Page, selector: str, text: str) -> None:
    page.locator(selector).first.focus()
    page.evaluate(PASTE, text)


def test_cells_fill_the_wires_from_the_focused_one_as_one_step(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    before = [page.locator(cell(number, "csa_mm2")).input_value() for number in (2, 3)]
    paste(page, cell(2, "main"), "BU\t\t2,5\nGN\tWH\t4\n")
    box = page.locator("dialog.pasted")
    expect(box).to_contain_text("2 rows read: 5 cells would change")
    expect(box).to_contain_text("Wire 2")
    expect(box.locator("tr.changes").first).to_contain_text("→ 2.5")
    # Nothing is written yet.
    assert page.locator(cell(2, "main")).input_value() == "RD"
    box.get_by_role("button", name="Keep these cells").click()
    expect(box).to_be_hidden()
    expect(page.locator(cell(2, "main"))).to_have_value("BU")
    expect(page.locator(cell(2, "csa_mm2"))).to_have_value("2.5")
    expect(page.locator(cell(3, "tracer"))).to_have_value("WH")
    page.get_by_role("button", name="Undo: Paste 5 cells into 2 rows").click()
    expect(page.locator("#notice")).to_contain_text("Taken back")
    after = [page.locator(cell(number, "csa_mm2")).input_value() for number in (2, 3)]
    assert after == before


def test_a_first_line_names_columns_and_rows_and_a_column_is_taken_for_another(
    page: Page,
) -> None:
    page.goto(f"{LOOM}/wires")
    paste(page, cell(1, "csa_mm2"), "No.\tmm²\tTracer\n5\t2.4\t\n3\t2.5\tWH\n999\t4\t\n")
    box = page.locator("dialog.pasted")
    expect(box).to_contain_text("1 cell refused")
    expect(box).to_contain_text("1 line found no row in the table")
    expect(box.locator("tr.refused")).to_contain_text("Wire 5")
    box.get_by_label("Tracer", exact=True).select_option(label="left out")
    box.get_by_role("button", name="Look again with these columns").click()
    expect(box).to_contain_text("1 cell would change")
    box.get_by_label("Leave out what is refused").check()
    box.get_by_role("button", name="Keep these cells").click()
    expect(page.locator(cell(3, "csa_mm2"))).to_have_value("2.5")
    expect(page.locator(cell(3, "tracer"))).to_have_value("")


def test_circuits_and_fittings_take_cells_too(page: Page) -> None:
    for table in ("circuits", "fittings"):
        page.goto(f"{LOOM}/{table}")
        paste(page, "[data-cell=name] >> nth=1", f"One of {table}\nTwo of {table}\n")
        page.get_by_role("button", name="Keep these cells").click()
        names = page.locator("[data-cell=name]")
        expect(names.nth(1)).to_have_value(f"One of {table}")
        expect(names.nth(2)).to_have_value(f"Two of {table}")


def test_a_list_of_needs_is_taken_in_beside_what_is_being_typed(page: Page) -> None:
    page.goto(f"{LOOM}/needs")
    page.locator("#needs-2-name").fill("Half typed")
    paste(
        page, "#needs-0-name",
        "Need\tWhere\tKind\tRating\tUnit\nHorn\tbow\tresistive\t5,5\tA\nBell\thelm\tresistive\t2\tA\n"
        "Fan\thelm\tmoter\t2\tA\n",
    )  # fmt: skip
    box = page.locator("dialog.pasted")
    expect(box).to_contain_text("3 rows read: 1 new, 1 changes what is there, 1 is refused")
    expect(box.locator("tr.changes")).to_contain_text("Rating: 4 → 5.5")
    box.get_by_label("Leave out the 1 refused row").check()
    box.get_by_role("button", name="Import these rows").click()
    expect(page.locator("#notice")).to_contain_text("2 rows imported; 1 row left out.")
    expect(page.locator("input[name^=needs-][name$='-rating']").first).to_have_value("5.5")
    expect(page.locator("#needs-2-name")).to_have_value("Half typed")
    names = [each.input_value() for each in page.locator("[name^=needs-][name$='-name']").all()]
    assert "Bell" in names
    page.locator("#needs-2-name").press("Control+Enter")
    expect(page.locator("#notice")).to_contain_text("Needs: 1 changed")


def test_a_list_is_pasted_by_its_button_and_its_columns_chosen(page: Page) -> None:
    page.goto(f"{LOOM}/runs")
    page.get_by_role("link", name="Paste or upload a list").click()
    box = page.locator("dialog.pasted")
    box.get_by_label("Paste it here").fill("helm\tcockpit\t3520\nbow\tcable locker\t900\n")
    box.get_by_role("button", name="Look at it first").click()
    expect(box).to_contain_text("2 rows read: 2 new")
    box.get_by_text("What the columns were taken for").click()
    box.get_by_label("3520").select_option(label="left out")
    box.get_by_role("button", name="Look again with these columns").click()
    expect(box).to_contain_text("It has no length yet")
    page.keyboard.press("Escape")
    expect(box).to_be_hidden()


def test_parts_are_pasted_into_the_stores(page: Page) -> None:
    page.goto("/stores")
    page.locator("h1").evaluate("heading => { heading.tabIndex = -1; heading.focus(); }")
    page.evaluate(PASTE, "name\tkind\tprice\nWaxed lacing cord\ttie\t4,20\n")
    box = page.locator("dialog.pasted")
    expect(box).to_contain_text("1 row read")
    expect(box).to_contain_text("Waxed lacing cord")
