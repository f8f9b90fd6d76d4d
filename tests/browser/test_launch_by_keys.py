"""The day launch by keyboard alone: entered, proposed, changed in twenty ways, undone, redone.

The number of key presses and the time are printed (`-s` shows them); nothing is clicked.
"""

import time
from dataclasses import dataclass

from playwright.sync_api import Locator, Page, expect

from tests.browser.conftest import Live
from tests.pages.launch import day_launch

MOST_TABS = 120
# Five wires from the first on: main colour, tracer, section, length.
CHANGES = (
    ("VT", "PK", "VT", "PK", "VT"),
    ("GN", "OG", "TN", "GN", "TN"),
    ("6", "AWG 1", "50", "6", "50"),
    ("333", "4321", "222", "444", "555"),
)
FIELDS = ("main", "tracer", "csa_mm2", "length_mm")


@dataclass
class Keys:
    """A person who has no mouse. `pressed` counts every key."""

    page: Page
    pressed: int = 0

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)
            self.pressed += 1

    def type(self, words: str) -> None:
        self.page.keyboard.type(words)
        self.pressed += len(words)

    def tab_to(self, what: Locator, key: str = "Tab") -> None:
        for _ in range(MOST_TABS):
            if what.count() and what.first.evaluate("it => it === document.activeElement"):
                return
            self.press(key)
        raise AssertionError(f"{what} is not reached by {key}")

    def open(self, link: Locator) -> None:
        self.tab_to(link)
        with self.page.expect_navigation():
            self.press("Enter")

    def choose(self, field: Locator, words: str) -> None:
        self.tab_to(field)
        self.type(words)

    def paste(self, words: str) -> None:
        """Ctrl+V: the clipboard holds a list that was copied elsewhere."""
        self.page.keyboard.insert_text(words)
        self.pressed += 2


def begin(keys: Keys) -> None:
    page = keys.page
    page.goto("/")
    for label, words in (
        ("Name of the workshop", "Tern Lane Looms"),
        ("Your name", "Ada Quill"),
        ("Your initials", "AQ"),
    ):
        keys.tab_to(page.get_by_label(label, exact=True))
        keys.type(words)
    with page.expect_navigation():
        keys.press("Enter")
    keys.open(page.get_by_role("link", name="Begin a job"))
    keys.tab_to(page.get_by_label("Customer"))
    keys.type("Dunlin Day Boats")
    keys.tab_to(page.get_by_label("Title"))
    keys.type("Day launch")
    keys.choose(page.get_by_label("Where it works"), "Craft")
    keys.choose(page.get_by_label("Nominal voltage"), "12")
    keys.choose(page.get_by_label("Polarity"), "Insulated")
    keys.open(page.get_by_role("button", name="Begin the job"))


def bring_in(keys: Keys, what: str, listed: str) -> None:
    page = keys.page
    page.goto("/looms/1/import?what=" + what)
    keys.tab_to(page.get_by_label("Paste it here"))
    keys.paste(listed)
    keys.open(page.get_by_role("button", name="Look at it first"))
    keys.open(page.get_by_role("button", name="Import these rows"))


def cells(page: Page, field: str) -> list[str]:
    return [
        str(value)
        for value in page.locator(f"[data-cell={field}]").evaluate_all(
            "cells => cells.map(cell => cell.value)"
        )
    ]


def shown(page: Page) -> dict[str, list[str]]:
    page.goto("/looms/1/wires")
    return {field: cells(page, field) for field in FIELDS}


def test_the_day_launch_by_keys_alone(page: Page, live: Live) -> None:
    keys, began = Keys(page), time.monotonic()
    begin(keys)
    for what in ("needs", "runs", "facts"):
        bring_in(keys, what, day_launch(what))
    page.goto("/looms/1/proposal")
    keys.open(page.get_by_role("button", name="Take this proposal"))
    page.goto("/looms/1/sign-off")
    # Nothing of the design: only the quote is not accepted yet.
    expect(page.locator("section.mend li")).to_have_count(1)
    expect(page.locator("section.mend li")).to_contain_text("still being quoted")
    designed_s, designed_keys = time.monotonic() - began, keys.pressed

    proposed = shown(page)
    keys.tab_to(page.locator("[data-cell=main]").first)
    for place, values in enumerate(CHANGES):
        if place:
            keys.press("Control+Home", "Control+a", "ArrowRight")
        for value in values:
            keys.press("Control+a")
            keys.type(value)
            keys.press("Enter")
    expect(page.locator(".sending")).to_have_count(0, timeout=60_000)
    changed = shown(page)
    edits = sum(
        was != now
        for field in proposed
        for was, now in zip(proposed[field], changed[field], strict=True)
    )
    assert edits == 20

    for _ in range(edits):
        # The page before said so too.
        with page.expect_navigation():
            keys.press("Control+z")
        expect(page.locator("#notice")).to_contain_text("Taken back")
    assert shown(page) == proposed
    for _ in range(edits):
        with page.expect_navigation():
            keys.press("Control+Shift+z")
        expect(page.locator("#notice")).to_contain_text("Done again")
    assert shown(page) == changed
    print(
        f"\nA design without errors after {designed_keys} keys and {designed_s:.0f} s; "
        f"{edits} changes, undone and redone: {keys.pressed} keys, "
        f"{time.monotonic() - began:.0f} s in all."
    )
