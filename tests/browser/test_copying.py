"""An old loom copied wire by wire, at the keyboard and by touch."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.pages.designed import LOOM, designed_db
from webapp.settings import Settings

__all__ = ["designed_db"]
COPY = f"{LOOM}/copy"
# Colour, left end, right end, length: the left fitting stays until another is named.
TEN = (
    ("NR", "lamp switch 1", "fuse box 1", "1250"),
    ("UW", "2", "head lamp 1", "1800"),
    ("UR", "3", "head lamp 2", "1800"),
    ("RW", "4", "tail lamp 1", "3100"),
    ("B", "5", "chassis", "300"),
    ("PN", "\bhorn push 1", "fuse box 2", "1400"),
    ("PB", "2", "bell 1", "1650"),
    ("G", "\bfuse box 3", "flasher 1", "420"),
    ("LGN", "4", "flasher 2", "430"),
    ("maroon", "5", "left loose at boot", "2900"),
)


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    shutil.copyfile(designed_db, settings.database_path)


def fits(page: Page) -> bool:
    return bool(page.evaluate("document.documentElement.scrollWidth <= innerWidth"))


class Keys:
    """Types, and counts the keys."""

    def __init__(self, page: Page) -> None:
        self.keyboard = page.keyboard
        self.pressed = 0

    def type(self, words: str) -> None:
        if words.startswith("\b"):
            self.press("Control+a")
            words = words[1:]
        self.keyboard.type(words)
        self.pressed += len(words)

    def press(self, key: str) -> None:
        self.keyboard.press(key)
        self.pressed += 1


def test_ten_wires_of_an_old_loom_by_keys_alone(page: Page) -> None:
    page.goto(COPY)
    expect(page.get_by_label("Colour", exact=True)).to_be_focused()
    keys = Keys(page)
    for colour, left, right, length in TEN:
        for words in (colour, left, right, length):
            keys.type(words)
            keys.press("Enter" if words == length else "Tab")
    expect(page.locator("#copied")).to_contain_text("left loose, 300 mm")
    rows = page.locator("#copied tbody[id^=wire-]")
    for at, (_, _, right, length) in enumerate(reversed(TEN)):
        expect(rows.nth(at)).to_contain_text(f"{int(length):,}")
        if at:
            expect(rows.nth(at)).to_contain_text(right.rpartition(" ")[0])
    expect(rows.nth(1)).to_contain_text("fuse box · 4")
    expect(rows.nth(2)).to_contain_text("fuse box · 3")
    expect(page.get_by_label("Colour", exact=True)).to_be_focused()
    assert fits(page)
    # Beside what must be typed: a Tab or Enter for each value, and Ctrl+A where a fitting is left.
    must = sum(len(words.lstrip("\b")) for line in TEN for words in line)
    assert keys.pressed == must + 4 * len(TEN) + 2


def test_a_refused_wire_comes_back_and_waits_while_another_is_typed(page: Page) -> None:
    page.goto(COPY)
    keys = Keys(page)
    for words in ("NR", "switch 1", "switch 1"):
        keys.type(words)
        keys.press("Tab")
    keys.press("Enter")
    expect(page.get_by_label("Right end")).to_be_focused()
    expect(page.locator("#right-error")).to_contain_text("same way")
    expect(page.get_by_label("Colour", exact=True)).to_have_value("NR")
    # While the answer is on its way the next is begun: the refused one waits below.
    page.route("**/copy", lambda route: (page.wait_for_timeout(300), route.continue_()))
    keys.press("Enter")
    keys.type("UW")
    expect(page.locator("#copy-waiting")).to_contain_text("Not taken: NR · switch 1 · switch 1")
    expect(page.get_by_label("Colour", exact=True)).to_have_value("UW")
    page.get_by_role("button", name="Put it right").click()
    expect(page.get_by_label("Colour", exact=True)).to_have_value("NR")
    expect(page.locator("#copy-waiting")).to_contain_text("Not taken: UW")
    page.get_by_label("Right end").fill("bulb 1")
    page.get_by_label("Right end").press("Enter")
    expect(page.locator("#copied")).to_contain_text("bulb · 1")


def test_what_is_typed_while_the_server_is_away_is_sent_later(page: Page, live, watch) -> None:  # type: ignore[no-untyped-def]
    watch.allow("Failed to load resource")
    page.goto(COPY)
    keys = Keys(page)
    live.stop()
    for number in (1, 2):
        for words in ("NR", f"\bswitch {number}", f"bulb {number}", "900"):
            keys.type(words)
            keys.press("Enter" if words == "900" else "Tab")
    expect(page.locator("#copy-waiting")).to_contain_text("cannot be reached")
    expect(page.locator("#copy-waiting")).to_contain_text("2 to be sent")
    live.start()
    expect(page.locator("#copied tbody").first).to_contain_text("bulb · 2")
    expect(page.locator("#copied tbody").nth(1)).to_contain_text("bulb · 1")
    expect(page.locator("#copy-waiting")).to_be_empty()


def test_by_touch_colours_are_tapped_and_targets_are_large(tablet: Page) -> None:
    tablet.goto(COPY)
    tablet.locator(".swatch[data-letters=BN]").tap()
    tablet.locator(".swatch[data-letters=RD]").tap()
    expect(tablet.get_by_label("Colour", exact=True)).to_have_value("BN/RD")
    tablet.get_by_label("Left end").fill("pump 1")
    tablet.get_by_role("button", name="Left loose").nth(1).tap()
    expect(tablet.get_by_label("At the place").nth(1)).to_be_focused()
    tablet.keyboard.type("bow")
    small = tablet.evaluate(
        """() => [...document.querySelectorAll('#copy button, #copy input:not([type=hidden])')]
          .filter((each) => each.offsetParent && each.getBoundingClientRect().height < 48)
          .map((each) => each.outerHTML)"""
    )
    assert small == []
    assert fits(tablet)
    tablet.get_by_role("button", name="Take the wire").tap()
    expect(tablet.locator("#copied tbody").first).to_contain_text("left loose, 300 mm")
