"""Every page at both sizes: no violation that axe-core knows, nothing cut off, the focus seen."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page
from sqlalchemy.orm import Session

from tests.browser.conftest import DESK, TABLET, Live, served
from tests.browser.every_page import bare_addresses, demo_addresses, make_bare, make_demo
from webapp.settings import Settings

AXE = (Path(__file__).parent / "vendor" / "axe-4.14.1.min.js").read_text(encoding="utf-8")
RUN_AXE = """async (contrast) => {
  const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
  const found = await axe.run(document, {
    runOnly: { type: "tag", values: tags }, resultTypes: ["violations"],
    rules: { "color-contrast": { enabled: contrast } },
  });
  const why = (node) => [...node.any, ...node.all, ...node.none][0]?.message;
  return found.violations.flatMap((each) =>
    each.nodes.map((node) => `${each.id} at ${node.target.join(" ")}: ${why(node)}`));
}"""
# On a loom's or a unit's page: what it is called, and whether the title begins so and says more.
MISNAMED = """() => {
  const there = (selector) => document.querySelector(selector);
  const heading = there(".stages") && there("h1")?.innerText.trim();
  if (!heading) return false;
  const titled = document.title.startsWith(`${heading}, `);
  return !titled || !there(".crumbs [aria-current]") || !there(".tabs [aria-current]");
}"""
# axe-core leaves the words in drawings out: their ink against what lies behind the drawing.
PALE_INK = """() => {
  const parts = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const linear = (c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
  const light = (c) => 0.2126 * linear(c[0]) + 0.7152 * linear(c[1]) + 0.0722 * linear(c[2]);
  const ground = (element) => {
    const colour = element ? parts(getComputedStyle(element).backgroundColor) : [255, 255, 255];
    return colour.length === 4 && colour[3] === 0 ? ground(element.parentElement) : colour;
  };
  return [...document.querySelectorAll("svg text")].flatMap((words) => {
    const lights = [parts(getComputedStyle(words).fill), ground(words)].map(light);
    const [dark, pale] = [Math.min(...lights), Math.max(...lights)];
    const ratio = (pale + 0.05) / (dark + 0.05);
    return ratio < 4.5 ? [`“${words.textContent}” has a contrast of ${ratio.toFixed(2)}`] : [];
  });
}"""
HIGHEST = 12_000
WIDER = """() => document.documentElement.scrollWidth - document.documentElement.clientWidth"""
# What can have the focus, and shows it neither by an outline of its own, nor of what it stands in,
# nor, in a drawing, by its strokes.
UNSEEN_FOCUS = """() => {
  const able = "a[href], button, input, select, textarea, summary, [tabindex]:not([tabindex^='-'])";
  const outlined = (element) => {
    const style = getComputedStyle(element);
    return style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2;
  };
  const strokes = (element) => [...element.querySelectorAll("*")]
    .map((each) => getComputedStyle(each)).map((style) => style.stroke + style.strokeWidth).join();
  return [...document.querySelectorAll(able)]
    .filter((each) => !each.disabled && each.checkVisibility({ visibilityProperty: true }))
    .filter((each) => {
      const before = each instanceof SVGElement ? strokes(each) : "";
      each.focus({ preventScroll: true });
      if (document.activeElement !== each) return false;
      if (each instanceof SVGElement && strokes(each) !== before) return false;
      return !outlined(each) && !outlined(each.parentElement);
    })
    .map((each) => each.outerHTML.slice(0, 120));
}"""


def opened(browser: Browser, live: Live) -> Page:
    context = browser.new_context(base_url=live.url, viewport=DESK)
    context.set_default_timeout(8_000)
    context.set_default_navigation_timeout(30_000)
    return context.new_page()


def faults_of(page: Page, address: str) -> Iterator[str]:
    """What is wrong on a page, at both sizes."""
    answer = page.goto(address)
    assert answer is not None
    if answer.status != 200:
        yield f"answers {answer.status}"
    yield from faults_shown(page)


def faults_shown(page: Page) -> Iterator[str]:
    if page.evaluate(MISNAMED):
        yield f"does not say where it is: {page.title()}"
    yield from page.evaluate(PALE_INK)
    page.evaluate(AXE)
    for size in (DESK, TABLET):
        page.set_viewport_size(size)
        # As high as the page, so that a bar that sticks to the window's edge lies over nothing.
        high = max(size["height"], min(page.evaluate("document.body.scrollHeight"), HIGHEST))
        page.set_viewport_size({"width": size["width"], "height": high})
        at = f"at {size['width']}:"
        if wider := page.evaluate(WIDER):
            yield f"{at} {wider} px wider than the window"
        # Colours are the same at every width, and take the longest to measure.
        for violation in page.evaluate(RUN_AXE, size == DESK):
            yield f"{at} {violation}"
    page.keyboard.press("Tab")  # from here on the focus is a keyboard's
    for element in page.evaluate(UNSEEN_FOCUS):
        yield f"no focus is seen on {element}"
    page.set_viewport_size(DESK)


def faults(page: Page, addresses: list[str]) -> dict[str, list[Any]]:
    found = {address: list(faults_of(page, address)) for address in addresses}
    return {address: some for address, some in found.items() if some}


@pytest.fixture
def fresh(tmp_path: Path) -> Settings:
    return Settings(data_dir=tmp_path)


def test_every_page_of_the_demo_workshop(browser: Browser, fresh: Settings) -> None:
    make_demo(fresh)
    with served(fresh) as live:
        with Session(live.app.state.engine) as session:
            addresses = demo_addresses(session)
        page = opened(browser, live)
        assert faults(page, addresses) == {}
        page.context.close()


def test_every_page_with_nothing_on_it(browser: Browser, fresh: Settings) -> None:
    make_bare(fresh)
    with served(fresh) as live:
        page = opened(browser, live)
        assert faults(page, bare_addresses()) == {}
        page.context.close()


def test_what_is_wrong_is_found(browser: Browser) -> None:
    page = browser.new_page()
    page.set_content(
        """<!doctype html><html lang="en"><title>Wires</title>
        <style>button { outline: none !important } p { width: 1500px; color: #ccc }</style>
        <main><h1>Loom</h1><ol class="stages"></ol><p>Pale</p><button>Go</button><input>
        <svg role="img" aria-label="A"><text y="20" fill="#aaa">faint</text></svg></main>"""
    )
    found = "\n".join(faults_shown(page))
    for words in (
        "does not say where it is: Wires",
        "“faint” has a contrast of 2.32",
        "at 1280: color-contrast at p",
        "at 800: label at input",
        "px wider than the window",
        "no focus is seen on <button>",
    ):
        assert words in found, found
    page.close()
