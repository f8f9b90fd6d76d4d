"""One circuit in a real browser: an edit of its wire shows in its loads; its current followed."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.settings import Settings

__all__ = ["designed_db"]
LAMP = next(each for each in PROPOSED.circuit.values() if each.name == "Lamp 1")


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    """Served over a workshop with a proposed loom."""
    shutil.copyfile(designed_db, settings.database_path)


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


def test_what_the_load_gets_follows_an_edit_of_a_wire(page: Page) -> None:
    page.goto(f"{LOOM}/circuits/{LAMP.uid}")
    assert fits(page)
    loads = page.locator("#loads")
    before = loads.inner_text()
    longest = max(
        (link for link in PROPOSED.link.values() if link.circuit_uid == LAMP.uid),
        key=lambda link: len(link.route or ()),
    )
    page.locator(f"#wire-{longest.uid} [data-cell=length_mm]").first.focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("60 m")
    page.keyboard.press("Enter")
    expect(page.locator("#design-state")).to_contain_text("Undo")
    expect(loads).not_to_have_text(before)
    page.get_by_role("link", name="Follow the current of Lamp 1").click()
    expect(page.get_by_role("heading", name="Follow the current")).to_be_visible()
    assert fits(page)


def test_the_reasons_of_a_step_open_and_another_voltage_is_chosen(page: Page) -> None:
    page.goto(f"{LOOM}/circuits/{LAMP.uid}/current")
    first = page.locator(".step.wire").first
    expect(first.locator(".reasons-here")).to_be_hidden()
    first.locator(".why-here summary").press("Enter")
    expect(first.locator(".reasons-here")).to_be_visible()
    expect(page.locator(".step.supply").first).to_contain_text("11.500")
    page.get_by_label("at", exact=True).select_option("heat")
    expect(page.locator(".step.supply").first).to_contain_text("14.400")


def test_another_control_is_looked_at_and_taken_by_keys(page: Page) -> None:
    page.goto(f"{LOOM}/circuits/{LAMP.uid}/control")
    page.get_by_label("Controlled by").select_option("switch via relay")
    page.get_by_role("button", name="See what it changes").press("Enter")
    expect(page.get_by_text("What would change")).to_be_visible()
    assert fits(page)
    page.get_by_role("button", name="Take it").press("Enter")
    expect(page.locator("#notice")).to_contain_text("Undo takes it back whole")
    page.get_by_role("button", name="Undo").press("Enter")
    expect(page.locator("#notice")).not_to_contain_text("Undo takes it back whole")
