"""Wires led from way to way on the face of a plug, by the pointer and by keys."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.settings import Settings

__all__ = ["designed_db"]


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    shutil.copyfile(designed_db, settings.database_path)


def stops(page: Page) -> tuple[Locator, Locator]:
    half = next(each for each in PROPOSED.fitting.values() if each.kind == "socket")
    page.goto(f"{LOOM}/fittings/{half.uid}")
    face = page.locator("[data-face=wire] .stop")
    return face.nth(0), face.nth(1)


def inside(stop: Locator) -> list[str]:
    return stop.locator("text").all_text_contents()[1:]


def test_a_wire_is_dragged_to_another_way_and_both_sides_follow(page: Page) -> None:
    one, other = stops(page)
    before = [inside(each) for each in (one, other)]
    mates = page.locator("#mate svg").first.text_content()
    a, b = one.bounding_box(), other.bounding_box()
    assert a is not None
    assert b is not None
    page.mouse.move(a["x"] + 20, a["y"] + 20)
    page.mouse.down()
    page.mouse.move(b["x"] + 20, b["y"] + 20, steps=4)
    expect(other).to_have_class("stop over")
    page.mouse.up()
    expect(page.locator("#led-said")).to_contain_text("change places in")
    # The way's label stays, the wire changes.
    after = [inside(each) for each in (one, other)]
    assert after == before[::-1]
    assert page.locator("#mate svg").first.text_content() != mates
    expect(page.locator("#design-state")).to_contain_text("Undo")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_by_keys_a_wire_is_picked_up_given_up_and_put_down(page: Page) -> None:
    one, other = stops(page)
    before = one.text_content()
    one.focus()
    page.keyboard.press("Enter")
    expect(page.locator("#led-said")).to_contain_text("Picked up")
    page.keyboard.press("Escape")
    expect(page.locator("#led-said")).to_contain_text("Given up")
    page.keyboard.press("Enter")
    page.keyboard.press("ArrowRight")
    expect(other).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.locator("#led-said")).to_contain_text("change places in")
    expect(other).to_be_focused()
    assert one.text_content() != before
