"""From values to HTML to PDF. The PDF is made in a process of its own, so that ticks never wait."""

import ctypes
import os
import subprocess
import sys
import threading
from datetime import date
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from webapp.convention import now
from webapp.folders import folder

from . import draw
from .worker import MISSING_EXIT

TIME_LIMIT_S = 90
AT_ONCE = 2
# Whoever waits for a PDF keeps a thread and a connection from those who tick.
MOST_ASKED_FOR = 8
_asked_for = threading.BoundedSemaphore(MOST_ASKED_FOR)
_made_at_once = threading.BoundedSemaphore(AT_ONCE)
MANY_ASKED_FOR = "Many papers are being made at this moment: ask for this one again in a minute."
PANGO_MISSING = (
    "PDF needs the Pango text library, which is not installed on this computer. "
    "On Debian: sudo apt install libpangoft2-1.0-0 libharfbuzz-subset0"
)
WEASYPRINT_MISSING = "PDF needs the Python package weasyprint, which is not installed."
LINUX_LIBRARIES = ("libgobject-2.0.so.0", "libpango-1.0.so.0", "libpangoft2-1.0.so.0")


class PaperUnavailable(Exception):
    """The PDF cannot be made; the message is a plain sentence for the person who asked."""


def available() -> str | None:
    """None if PDFs can be made here, otherwise the sentence that says what is missing."""
    if find_spec("weasyprint") is None:
        return WEASYPRINT_MISSING
    if sys.platform == "linux" and not all(_loads(name) for name in LINUX_LIBRARIES):
        return PANGO_MISSING
    return None


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def html_from(template: str, **values: Any) -> str:
    """The template under templates/paper, filled in."""
    return environment().get_template(template).render(**values)


def pdf_from(html: str) -> bytes:
    """The HTML as PDF. Raises PaperUnavailable when that cannot be done."""
    if missing := available():
        raise PaperUnavailable(missing)
    if not _asked_for.acquire(blocking=False):
        raise PaperUnavailable(MANY_ASKED_FOR)
    try:
        with _made_at_once:
            done = _run_worker(html)
    except subprocess.TimeoutExpired as exc:
        raise PaperUnavailable(
            f"The PDF took longer than {TIME_LIMIT_S} seconds and was stopped. "
            "Print fewer pages or labels at a time."
        ) from exc
    finally:
        _asked_for.release()
    if done.returncode == MISSING_EXIT:
        raise PaperUnavailable(PANGO_MISSING)
    if done.returncode or not done.stdout.startswith(b"%PDF"):
        raise PaperUnavailable(f"The PDF could not be made: {_last_line(done.stderr)}")
    return done.stdout


def _run_worker(html: str) -> "subprocess.CompletedProcess[bytes]":
    return subprocess.run(
        [sys.executable, "-m", "webapp.paper.worker"],
        input=html.encode(),
        capture_output=True,
        timeout=TIME_LIMIT_S,
        env=_worker_environment(),
        check=False,
    )


def _worker_environment() -> dict[str, str]:
    """The worker finds this package wherever the app was started from."""
    here = str(Path(__file__).resolve().parents[2])
    inherited = os.environ.get("PYTHONPATH")
    return os.environ | {"PYTHONPATH": os.pathsep.join(filter(None, (here, inherited)))}


def _last_line(stderr: bytes) -> str:
    lines = stderr.decode(errors="replace").strip().splitlines()
    return lines[-1] if lines else "the program that makes it stopped without a word."


@cache
def environment() -> Environment:
    made = Environment(
        loader=FileSystemLoader(folder("templates") / "paper"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"day": day, "mm": length, "tape": tape, "strip": strip_length}
    made.globals |= {
        "length_unit": lambda: now().unit,
        "draw_rule": lambda: Markup(draw.rule()),
        "draw_wire": lambda *a, **k: Markup(draw.wire(*a, **k)),
        "draw_bench_wire": lambda wire: Markup(draw.bench_wire(wire)),
        "draw_band": lambda *a: Markup(draw.band(*a)),
        "draw_plan": lambda plan: Markup(draw.plan(plan)),
        "plan_is_wide": draw.plan_is_wide,
        "draw_face": lambda fitting: Markup(draw.face(fitting)),
        "draw_qr": lambda words: Markup(draw.qr(words)),
    }
    return made


def day(value: date | None) -> str:
    """3 November 2026."""
    return now().long_day(value) if value else ""


def length(value: int) -> str:
    """3,520, or 138.58 in inches."""
    return now().length(value)


def tape(value: int) -> str:
    """What is cut by a tape: 3,520, or 138 9/16 (3,520 mm)."""
    return now().tape(value)


def strip_length(value: float | None) -> str:
    """6.4, or a dash where nothing is stripped."""
    return "–" if value is None else now().fine(value)
