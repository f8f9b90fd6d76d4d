"""The wires table of a big loom in Chromium: its first paint, and from Enter to the answer."""

import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import uvicorn
from fastapi import FastAPI

from webapp import debian
from webapp.app import create_app
from webapp.bench import big_loom
from webapp.bench.page_speed import big_workshop
from webapp.bench.stopwatch import shown

if TYPE_CHECKING:
    from playwright.sync_api import Page

TITLE = "The wires table of a big loom in a browser"
BROWSER = "chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking"]
NEEDS = big_loom.NEEDS
TURNS = 5
CELL = "table.wires [data-cell=length_mm]"
PAINTED = """() => [
  performance.getEntriesByName("first-contentful-paint")[0].startTime,
  performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd,
]"""
# From the key until the frame after the answer is in the page.
WATCH = """() => {
  window.answered = new Promise((done) => {
    let begun = 0;
    const keyed = () => { begun = performance.now(); };
    document.addEventListener("keydown", keyed, { once: true, capture: true });
    const swapped = () => requestAnimationFrame(() => setTimeout(
      () => done(performance.now() - begun)));
    document.addEventListener("htmx:after:swap", swapped, { once: true });
  });
}"""
ANSWERED = "() => window.answered"


def lines() -> Iterator[str]:
    """First paint and answer to an edit; or what is missing for them."""
    if not shutil.which(BROWSER):
        yield f"not measured: no browser is here ({debian.command_for([BROWSER])})"
        return
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        yield "not measured: Playwright is not here (`python3 -m webapp test --install-only`)"
        return
    with (
        big_workshop(NEEDS) as (settings, engine, loom_id),
        _served(create_app(settings, engine)) as url,
        sync_playwright() as playwright,
    ):
        browser = playwright.chromium.launch(executable_path=shutil.which(BROWSER), args=FLAGS)
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        for measured in (_first_paint, _answer):
            yield measured(page, f"{url}/looms/{loom_id}/wires")
        browser.close()


def _first_paint(page: "Page", address: str) -> str:
    found = []
    for _turn in range(TURNS):
        page.goto(address)
        found.append(tuple(page.evaluate(PAINTED)))
    painted_ms, whole_ms = (min(times) for times in zip(*found, strict=True))
    rows = page.locator("table.wires tbody").count()
    return f"{rows} links: first paint {shown(painted_ms / 1000)}, whole {shown(whole_ms / 1000)}"


def _answer(page: "Page", address: str) -> str:
    """A wire's length is changed again and again, in the middle of the table."""
    page.goto(address)
    times_ms = []
    for turn in range(TURNS):
        cell = page.locator(CELL).nth(page.locator(CELL).count() // 2)
        cell.fill(str(4000 + 100 * turn))
        page.evaluate(WATCH)
        cell.press("Enter")
        times_ms.append(page.evaluate(ANSWERED))
    return f"from Enter to the answer in the table: {shown(min(times_ms) / 1000)}"


@contextmanager
def _served(app: FastAPI) -> Iterator[str]:
    """The application at a free port of this machine; yields its address."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        server = uvicorn.Server(uvicorn.Config(app, log_level="error"))
        thread = threading.Thread(target=server.run, args=([listener],), daemon=True)
        thread.start()
        while not server.started and thread.is_alive():
            time.sleep(0.01)
        host, port = listener.getsockname()
        try:
            yield f"http://{host}:{port}"
        finally:
            server.should_exit = True
            thread.join(10)
