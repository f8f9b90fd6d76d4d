"""The wire table by keyboard alone: moving, filling, several rows at once, undo, renumbering."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.settings import Settings
from webapp.stages.design.rows import Link

__all__ = ["designed_db"]
BY_NUMBER = {link.number: link for link in PROPOSED.link.values()}
CUT = sorted(
    {PROPOSED.link[each.link_uid].number for each in PROPOSED.crossing.values()}
)  # fmt: skip


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    """Served over a workshop with a proposed loom."""
    shutil.copyfile(designed_db, settings.database_path)


def cell(page: Page, link: Link, field: str, at: int = 0) -> Locator:
    return page.locator(f"#wire-{link.uid} [data-cell={field}]").nth(at)


def press(page: Page, *keys: str) -> None:
    for key in keys:
        page.keyboard.press(key)


def settled(page: Page) -> None:
    expect(page.locator(".sending")).to_have_count(0)


def test_keys_lead_in_four_directions_and_to_the_ends(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    first, cut = BY_NUMBER[1], BY_NUMBER[CUT[0]]
    cell(page, first, "main").focus()
    press(page, "Control+a", "ArrowRight")
    expect(cell(page, first, "tracer")).to_be_focused()
    press(page, "ArrowDown")
    expect(cell(page, BY_NUMBER[2], "tracer")).to_be_focused()
    press(page, "Control+End")
    expect(cell(page, BY_NUMBER[max(BY_NUMBER)], "tracer")).to_be_focused()
    press(page, "Control+Home", "End")
    expect(cell(page, first, "length_mm")).to_be_focused()
    press(page, "Home")
    expect(cell(page, first, "number")).to_be_focused()
    press(page, "PageDown")
    expect(cell(page, BY_NUMBER[11], "number")).to_be_focused()
    # The second wire of a link that a plug cuts has its own length, the rest is the link's.
    cell(page, cut, "length_mm").focus()
    press(page, "ArrowDown")
    expect(cell(page, cut, "length_mm", 1)).to_be_focused()
    press(page, "Home", "Home")
    expect(cell(page, cut, "number")).to_be_focused()


def test_a_column_is_filled_and_taken_back_by_keys(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    links = [BY_NUMBER[number] for number in (3, 4, 5)]
    before = [cell(page, link, "main").input_value() for link in links]
    cell(page, links[0], "main").focus()
    press(page, "Shift+ArrowDown", "Shift+ArrowDown")
    expect(page.locator("[data-chosen-count]")).to_have_text("3 wires chosen")
    press(page, "Control+a")
    page.keyboard.type("VT")
    press(page, "Control+Enter")
    expect(page.locator("#chosen-said")).to_contain_text("Wires 3, 4 and 5: main colour VT")
    for link in links:
        expect(cell(page, link, "main")).to_have_value("VT")
    expect(cell(page, links[2], "main")).to_be_focused()
    expect(page.locator("[data-pick]:checked")).to_have_count(3)
    press(page, "Control+z")
    expect(page.locator("#notice")).to_contain_text("Taken back: Wires 3, 4 and 5")
    assert [cell(page, link, "main").input_value() for link in links] == before
    expect(cell(page, links[2], "main")).to_be_focused()
    press(page, "Control+Shift+z")
    expect(page.locator("#notice")).to_contain_text("Done again")
    expect(cell(page, links[1], "main")).to_have_value("VT")


def test_the_value_above_is_taken_and_keeps_its_own_way_back(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    above, here = BY_NUMBER[4], BY_NUMBER[5]
    cell(page, above, "csa_mm2").focus()
    press(page, "Control+a")
    page.keyboard.type("6")
    press(page, "Enter")
    expect(cell(page, here, "csa_mm2")).to_be_focused()
    settled(page)
    press(page, "Control+ArrowUp")
    settled(page)
    expect(cell(page, here, "csa_mm2")).to_have_value("6")
    # Twice in one cell: the form is known to the page by now.
    press(page, "Control+a")
    page.keyboard.type("4")
    press(page, "Shift+Enter")
    settled(page)
    expect(cell(page, here, "csa_mm2")).to_have_value("4")
    expect(cell(page, above, "csa_mm2")).to_be_focused()
    page.reload()
    expect(cell(page, here, "csa_mm2")).to_have_value("4")


def test_what_stands_in_the_way_of_several_is_named(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    cell(page, BY_NUMBER[2], "main").focus()
    press(page, "Shift+ArrowDown")
    page.locator("#chosen [name=field]").select_option("csa_mm2")
    page.locator("#chosen-value").fill("2.4")
    press(page, "Enter")
    expect(page.locator("#chosen-said")).to_contain_text("Nothing was changed")
    expect(page.locator("#chosen-said")).to_contain_text("not a size of this cable")
    expect(page.locator("#chosen-value")).to_have_value("2.4")
    cell(page, BY_NUMBER[2], "main").focus()
    press(page, "Escape")
    expect(page.locator("#chosen")).to_be_hidden()


def test_wires_are_renumbered_by_place(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    page.locator("a.tool", has_text="Renumber").focus()
    press(page, "Enter")
    page.get_by_label("In which order").select_option("place")
    page.get_by_label("First number").fill("100")
    press(page, "Enter")
    button = page.get_by_role("button", name="Renumber ")
    expect(button).to_contain_text(f"{len(BY_NUMBER)} wires")
    button.focus()
    press(page, "Enter")
    expect(page.locator("#notice")).to_contain_text("Undo takes it back")
    numbers = page.locator("[data-cell=number]").evaluate_all("cells => cells.map((c) => c.value)")
    assert numbers == [str(100 + step) for step in range(len(BY_NUMBER))]


def test_every_column_fits_at_both_widths(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    page.locator(".tool summary", has_text="Columns").press("Enter")
    for box in page.locator("[name=column]").all():
        box.check()
    page.get_by_role("button", name="Show these").press("Enter")
    expect(page.locator("#notice")).to_contain_text("On a second line")
    for width in (1280, 800):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    note = cell(page, BY_NUMBER[2], "note")
    note.fill("behind the panel")
    note.press("Enter")
    settled(page)
    page.reload()
    expect(cell(page, BY_NUMBER[2], "note")).to_have_value("behind the panel")


def test_edits_faster_than_the_answers_are_all_kept(page: Page) -> None:
    page.goto(f"{LOOM}/wires")
    size = cell(page, BY_NUMBER[3], "csa_mm2")
    for typed in ("4", "2.5", "6", "4", "2.5"):
        size.focus()
        press(page, "Control+a")
        page.keyboard.type(typed)
        press(page, "Enter")
    settled(page)
    expect(size).to_have_value("2.5")
    expect(page.locator(".cell.wrong, .cell.unsent")).to_have_count(0)
    for standing in ("4", "6", "2.5", "4"):
        cell(page, BY_NUMBER[4], "csa_mm2").focus()
        with page.expect_navigation():
            press(page, "Control+z")
        expect(size).to_have_value(standing)
