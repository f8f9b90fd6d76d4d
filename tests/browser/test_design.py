"""The wire table in a real browser: keys, refusals, and figures that follow an edit elsewhere."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.settings import Settings
from webapp.stages.design.rows import Link

__all__ = ["designed_db"]
# Every figure, finding and cell of the table by its id, without what was only just said.
SHOWN = """() => Object.fromEntries([
  ...[...document.querySelectorAll("table.wires td[id]")].map((cell) => [cell.id, cell.innerText]),
  ...[...document.querySelectorAll("tr[id$=-said]")].map((row) => [row.id,
    [...row.querySelectorAll(".finding:not(.done)")].map((each) => each.innerText).join()]),
  ...[...document.querySelectorAll("[data-cell]")].map((cell) => [cell.id, cell.value]),
])"""


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    """Served over a workshop with a proposed loom."""
    shutil.copyfile(designed_db, settings.database_path)


def numbered(page: Page, number: int, cell: str) -> str:
    link = next(link for link in PROPOSED.link.values() if link.number == number)
    assert page.locator(f"#wire-{link.uid}").count() == 1
    return f"#wire-{link.uid} [data-cell={cell}]"


HORN = ("horn", "relay")


def said(link: Link) -> str:
    """What the filter looks at, of a wire that no colour or note tells of."""
    ends = f"{PROPOSED.way_name(link.from_way_uid)} {PROPOSED.way_name(link.to_way_uid)}"
    return f"{ends} {PROPOSED.circuit[link.circuit_uid].name}".lower()


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_a_wire_is_edited_by_keys_and_every_figure_follows(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    heavy = max(PROPOSED.link.values(), key=lambda link: link.csa_mm2 or 0).number
    for number, cell, text in ((heavy, "csa_mm2", "AWG 16"), (2, "length_mm", "9 m")):
        page.locator(numbered(page, number, cell)).first.focus()
        page.keyboard.press("Control+a")
        page.keyboard.type(text)
        page.keyboard.press("Enter")
        expect(page.locator(".sending")).to_have_count(0)
        expect(page.locator("#design-state")).to_contain_text("Undo")
    expect(page.locator(".finding.mend").first).to_be_visible()
    live = page.evaluate(SHOWN)
    assert fits(page)
    page.reload()
    assert page.evaluate(SHOWN) == live


def test_what_is_refused_stays_beside_its_cell_and_esc_puts_it_back(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    cell = page.locator(numbered(page, 2, "csa_mm2"))
    before = cell.input_value()
    cell.fill("2.4")
    cell.press("Enter")
    expect(page.locator(".cell.wrong .error")).to_contain_text("not a size of this cable")
    expect(cell).to_have_value("2.4")
    assert fits(page)
    cell.focus()
    page.keyboard.press("Escape")
    expect(cell).to_have_value(before)


def test_arrows_go_from_row_to_row(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    first = page.locator("[data-cell=csa_mm2]").first
    first.focus()
    page.keyboard.press("ArrowDown")
    expect(page.locator("[data-cell=csa_mm2]").nth(1)).to_be_focused()
    page.keyboard.press("ArrowUp")
    expect(first).to_be_focused()


def test_the_filter_and_the_reasons(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    page.locator("#find").fill("horn relay")
    rows = page.locator("tbody[id^=wire-]")
    relay = [link for link in PROPOSED.link.values() if all(word in said(link) for word in HORN)]
    expect(rows).to_have_count(len(relay))
    rows.first.get_by_text("Why").first.click()
    expect(rows.first).to_contain_text("Behind")
    rows.first.get_by_text("formulas and sources").click()
    expect(rows.first.locator(".reasons li").first).to_be_visible()
    rows.first.locator("[data-cell=note]").fill("behind the panel")
    rows.first.locator("[data-cell=note]").press("Enter")
    expect(page.locator("#design-state")).to_contain_text("Undo")
    expect(rows.first.locator("[data-cell=note]")).to_have_value("behind the panel")
    assert fits(page)


def test_an_end_is_left_loose_on_the_wires_own_page(page: Page) -> None:
    link = next(link for link in PROPOSED.link.values() if link.route == ("r1",))
    page.goto(f"{LOOM}/wires/{link.uid}")
    page.locator("[data-cell=to]").select_option(label="left loose at bow")
    expect(page.locator("#drawn")).to_contain_text("left loose, 300 mm")
    loose = page.locator("[data-cell=loose_mm]")
    loose.fill("0.5 m")
    loose.press("Enter")
    expect(page.locator("#drawn")).to_contain_text("left loose, 500 mm")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#drawn")).to_contain_text("left loose, 300 mm")
    assert fits(page)


def test_a_plug_goes_in_and_out(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    before = page.locator("td.no").all_inner_texts()
    page.goto(f"{LOOM}/fittings")
    page.get_by_role("link", name="Put in a plug").click()
    page.get_by_label("Where", exact=True).select_option("r1|bow")
    page.get_by_role("button", name="Put it in").click()
    expect(page.locator("#notice")).to_contain_text("ways used")
    assert fits(page)
    while (plugs := page.get_by_role("link", name="Plug and socket").all()) and any(
        "Bow plug" in each for each in page.locator("tbody[id^=fitting-] input").evaluate_all(
            "inputs => inputs.map((input) => input.value)"
        )
    ):  # fmt: skip
        plugs[-1].click()
        page.get_by_role("link", name="Take it out").click()
        page.get_by_role("button", name="Take it out").click()
        expect(page.locator("#notice")).to_contain_text("Undo brings it back")
    page.goto(f"{LOOM}/wires")
    assert page.locator("td.no").all_inner_texts() == before
