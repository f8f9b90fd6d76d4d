"""The application in a real browser: served from a fresh data folder, watched for faults."""

import os
import shutil
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pytest
import uvicorn
from fastapi import APIRouter, Depends, FastAPI
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    ViewportSize,
    expect,
    sync_playwright,
)

from tests.pages.conftest import let_in
from webapp.app import create_app
from webapp.pages.deps import know_people
from webapp.settings import Settings

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DESK: ViewportSize = {"width": 1280, "height": 800}
TABLET: ViewportSize = {"width": 800, "height": 1280}
# The browser reports an answer that names a mistake as a failed resource.
NAMED_MISTAKES = ("status of 422", "status of 409")
# Patience for machines where the other half of the tests has the processor.
expect.set_options(timeout=15_000)


@dataclass
class Live:
    """An application that is being served; `stop` and `start` are the server's plug."""

    app: FastAPI
    data_dir: Path
    port: int
    _server: uvicorn.Server | None = field(default=None, repr=False)
    _thread: threading.Thread | None = field(default=None, repr=False)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        config = uvicorn.Config(
            self.app, port=self.port, log_level="error", timeout_graceful_shutdown=1
        )
        self._server = uvicorn.Server(config)
        self._thread = threading.Thread(target=self._server.run, daemon=True)
        self._thread.start()
        while not self._server.started:
            assert self._thread.is_alive(), "the server did not start"
            time.sleep(0.01)

    def stop(self) -> None:
        assert self._server is not None
        assert self._thread is not None
        self._server.should_exit = True
        self._thread.join(10)


@dataclass
class Watch:
    """What a page complained of. A test names what it provokes on purpose."""

    complaints: list[str] = field(default_factory=list)
    allowed: list[str] = field(default_factory=lambda: list(NAMED_MISTAKES))

    def allow(self, words: str) -> None:
        self.allowed.append(words)

    def on(self, page: Page, live: Live) -> None:
        def console(kind: str, text: str) -> None:
            if kind == "error" and not any(words in text for words in self.allowed):
                self.complaints.append(text)

        def request(url: str) -> None:
            if not url.startswith((live.url, "data:", "blob:")):
                self.complaints.append(f"asked elsewhere: {url}")

        page.on("console", lambda message: console(message.type, message.text))
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("request", lambda sent: request(sent.url))


@contextmanager
def served(settings: Settings, *routers: APIRouter) -> Iterator[Live]:
    """Serves the application, with routers of the test's own beside its pages."""
    app = create_app(settings)
    for router in routers:
        app.include_router(router, dependencies=[Depends(know_people), Depends(let_in)])
    running = Live(app, settings.data_dir, free_port())
    running.start()
    yield running
    running.stop()
    app.state.engine.dispose()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@pytest.fixture
def live(settings: Settings) -> Iterator[Live]:
    """The application over a data folder with no rows."""
    with served(settings) as running:
        yield running


def find_chromium() -> str | None:
    """Chromium on the path, or the one that Playwright installed."""
    if found := shutil.which("chromium") or shutil.which("chromium-browser"):
        return found
    with sync_playwright() as playwright:
        own = playwright.chromium.executable_path
    return own if Path(own).exists() else None


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    executable = find_chromium()
    if executable is None:
        reason = "Chromium is not installed; python3 -m webapp test installs it"
        pytest.fail(reason) if os.environ.get("CI") else pytest.skip(reason)
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=executable, args=FLAGS)
        yield launched
        launched.close()


@pytest.fixture
def watch() -> Iterator[Watch]:
    """Fails the test when a page made an error, broke the policy, or asked elsewhere."""
    watching = Watch()
    yield watching
    assert watching.complaints == []


@contextmanager
def context_of(
    browser: Browser, live: Live, size: ViewportSize, touch: bool
) -> Iterator[BrowserContext]:
    context = browser.new_context(base_url=live.url, viewport=size, has_touch=touch)
    context.set_default_timeout(15_000)
    # A page that works long, while another half of the tests has the other core.
    context.set_default_navigation_timeout(30_000)
    yield context
    context.close()


@pytest.fixture
def page(browser: Browser, live: Live, watch: Watch) -> Iterator[Page]:
    """A page on the shop's PC."""
    with context_of(browser, live, DESK, touch=False) as context:
        opened = context.new_page()
        watch.on(opened, live)
        yield opened


@pytest.fixture
def tablet(browser: Browser, live: Live, watch: Watch) -> Iterator[Page]:
    """A page on the bench tablet."""
    with context_of(browser, live, TABLET, touch=True) as context:
        opened = context.new_page()
        watch.on(opened, live)
        yield opened
