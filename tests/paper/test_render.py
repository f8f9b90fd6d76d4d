"""The PDF worker: what it may read, and what is said when it cannot work."""

import http.server
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.paper.reading import page_texts
from webapp.paper import render
from webapp.paper.assets import BASE_URL, asset_files
from webapp.paper.render import PaperUnavailable, available, pdf_from
from webapp.paper.worker import make_fetcher

IN_A_PROCESS = render._run_worker
PAGE = "<!doctype html><title>Sheet</title><p>Sheet</p>"


@pytest.fixture(autouse=True)
def in_a_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """As it is served; elsewhere tests make their papers in their own process."""
    monkeypatch.setattr(render, "_run_worker", IN_A_PROCESS)


@pytest.mark.parametrize(
    "url",
    [
        "file:///etc/passwd",
        "http://127.0.0.1/static/paper/paper.css",
        "https://example.com/x.css",
        "data:text/css,p{color:red}",
        f"{BASE_URL}static/paper/../../pyproject.toml",
        f"{BASE_URL}static/css/look.css",
    ],
)
def test_fetcher_refuses_all_but_its_own_assets(url: str) -> None:
    with pytest.raises(ValueError, match="may not fetch"):
        make_fetcher().fetch(url)


def test_fetcher_gives_fonts_and_style_sheets() -> None:
    fetcher = make_fetcher()
    assert b"@page" in fetcher.fetch(f"{BASE_URL}static/paper/paper.css").read()
    assert sum(url.endswith(".woff2") for url in asset_files()) >= 6


class Counting(http.server.BaseHTTPRequestHandler):
    asked: list[str]

    def do_GET(self) -> None:
        self.asked.append(self.path)
        self.send_error(404)


@pytest.fixture
def listener() -> Iterator[tuple[str, list[str]]]:
    Counting.asked = []
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Counting) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}", Counting.asked
        server.shutdown()


def test_a_page_full_of_foreign_links_makes_a_pdf_and_asks_nobody(
    listener: tuple[str, list[str]], tmp_path: Path
) -> None:
    address, asked = listener
    secret = tmp_path / "secret.txt"
    secret.write_text("secret words of the workshop")
    pdf = pdf_from(
        f'{PAGE}<link rel="stylesheet" href="{address}/a.css"><img src="{address}/b.png">'
        f'<link rel="attachment" href="{secret.as_uri()}"><object data="{secret.as_uri()}">'
        f'</object><svg><image href="{address}/c.svg" width="9" height="9"/></svg>'
    )
    assert pdf.startswith(b"%PDF")
    assert asked == []
    assert b"/EmbeddedFile" not in pdf
    assert b"secret" not in pdf


def test_nothing_is_missing_here() -> None:
    assert available() is None


def test_missing_pango_is_said_with_the_command_that_mends_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(render, "LINUX_LIBRARIES", ("libnosuchpango.so.0",))
    monkeypatch.setattr(render.sys, "platform", "linux")
    assert "sudo apt install libpangoft2-1.0-0 libharfbuzz-subset0" in (available() or "")
    with pytest.raises(PaperUnavailable, match="Pango"):
        pdf_from(PAGE)


def test_worker_that_cannot_load_its_library_is_said_the_same_way(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "weasyprint.py").write_text("raise OSError('cannot load library pango')")
    inherited = render._worker_environment()
    first = {"PYTHONPATH": f"{tmp_path}:{inherited['PYTHONPATH']}"}
    monkeypatch.setattr(render, "_worker_environment", lambda: inherited | first)
    with pytest.raises(PaperUnavailable, match="apt install libpangoft2"):
        pdf_from(PAGE)


def test_worker_that_breaks_is_said_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "weasyprint.py").write_text("raise RuntimeError('out of paper')")
    inherited = render._worker_environment()
    first = {"PYTHONPATH": f"{tmp_path}:{inherited['PYTHONPATH']}"}
    monkeypatch.setattr(render, "_worker_environment", lambda: inherited | first)
    with pytest.raises(PaperUnavailable, match="could not be made: RuntimeError: out of paper"):
        pdf_from(PAGE)


def test_a_pdf_that_takes_too_long_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "TIME_LIMIT_S", 0.01)
    with pytest.raises(PaperUnavailable, match="took longer than"):
        pdf_from(PAGE)


def test_who_prints_much_leaves_room_for_those_who_tick(monkeypatch: pytest.MonkeyPatch) -> None:
    """What waits for a PDF keeps a thread and a connection: of fifteen, eight at most."""
    begun, go_on = threading.Semaphore(0), threading.Event()

    def slow(_html: str) -> subprocess.CompletedProcess[bytes]:
        begun.release()
        go_on.wait(30)
        return subprocess.CompletedProcess([], 0, b"%PDF", b"")

    monkeypatch.setattr(render, "_run_worker", slow)
    with ThreadPoolExecutor(render.MOST_ASKED_FOR) as pool:
        asked = [pool.submit(pdf_from, PAGE) for _ in range(render.MOST_ASKED_FOR)]
        for _ in range(render.AT_ONCE):
            assert begun.acquire(timeout=30)
        assert not begun.acquire(timeout=0.1)
        wait_for(lambda: render._asked_for._value == 0)  # all of them have come
        with pytest.raises(PaperUnavailable, match="again in a minute"):
            pdf_from(PAGE)
        go_on.set()
        assert {one.result() for one in asked} == {b"%PDF"}
    assert pdf_from(PAGE) == b"%PDF"


def wait_for(there: Callable[[], bool]) -> None:
    until = time.monotonic() + 30
    while not there():
        assert time.monotonic() < until
        time.sleep(0.01)


def test_starts_from_any_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    assert pdf_from(PAGE).startswith(b"%PDF")


# What Python itself opens, asks for and connects to while the worker runs, a line each. The text
# libraries that it loads read the computer's fonts besides.
WATCH = """
import os, sys
log = os.open({log!r}, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
def watch(event, args):
    if event == "open" or event.startswith(("socket.", "urllib.")):
        os.write(log, (event + " " + repr(args[:2]) + "\\n").encode())
sys.addaudithook(watch)
"""
REACHES = (
    '<img src="{0}">',
    '<img srcset="{0} 2x" src="{0}">',
    '<link rel="stylesheet" href="{0}">',
    '<link rel="attachment" href="{0}">',
    '<a rel="attachment" href="{0}">a</a>',
    '<style>@import "{0}";</style>',
    "<style>@import url({0});</style>",
    "<style>@font-face {{ font-family: x; src: url({0}) }} p {{ font-family: x }}</style>",
    '<style>p {{ background: url("{0}"); list-style: url({0}) }}</style>',
    "<style>p::before {{ content: url({0}) }}</style>",
    "<style>@page {{ background: url({0}) }}</style>",
    '<p style="background-image: url({0})">p</p>',
    '<object data="{0}"></object><embed src="{0}"><iframe src="{0}"></iframe>',
    '<svg width="9" height="9"><image href="{0}" width="9" height="9"/><use href="{0}#a"/></svg>',
    '<svg width="9" height="9"><style>@import url({0});</style><rect fill="url({0}#a)"/></svg>',
    '<base href="{0}"><img src="">',
    '<img src="data:image/svg+xml,%3Csvg xmlns=%22http://www.w3.org/2000/svg%22%3E'
    '%3Cimage href=%22{0}%22/%3E%3C/svg%3E">',
)  # fmt: skip


def test_nothing_on_a_page_reaches_a_file_or_the_network(
    listener: tuple[str, list[str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    address, asked = listener
    secret = tmp_path / "secret.txt"
    secret.write_text("secret words of the workshop")
    wanted = (
        secret.as_uri(),
        "file:///etc/passwd",
        f"{address}/x",
        "//127.0.0.1:9/x",
        "../../../../etc/passwd",
        "/static/../pyproject.toml",
        "%2e%2e/%2e%2e/etc/passwd",
    )
    log = tmp_path / "log.txt"
    (tmp_path / "sitecustomize.py").write_text(WATCH.format(log=str(log)))
    inherited = render._worker_environment()
    first = {"PYTHONPATH": f"{tmp_path}:{inherited['PYTHONPATH']}"}
    monkeypatch.setattr(render, "_worker_environment", lambda: inherited | first)
    page = "".join(each.format(one) for each in REACHES for one in wanted)

    pdf = pdf_from(PAGE + page)

    told = log.read_text().splitlines()
    assert any("weasyprint" in line for line in told)
    assert asked == []
    assert [line for line in told if not line.startswith("open ")] == []
    for forbidden in ("secret.txt", "/etc/passwd", "pyproject.toml"):
        assert not any(forbidden in line for line in told)
    assert b"/EmbeddedFile" not in pdf
    assert "secret" not in "".join(page_texts(pdf))
