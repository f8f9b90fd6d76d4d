"""The checkout's own environment in `.venv`: made, filled from the locks, and entered."""

import hashlib
import importlib.util
import json
import os
import re
import subprocess
import sys
from collections import deque
from collections.abc import Iterable, Sequence
from pathlib import Path

from webapp import debian
from webapp.folders import CHECKOUT, in_checkout
from webapp.problems import Problem

HOME = CHECKOUT / ".venv"
PYTHON = HOME / "bin" / "python"
STAMP = HOME / "installed.json"
APP_LOCK = CHECKOUT / "webapp" / "requirements.lock"
TESTS_LOCK = CHECKOUT / "tests" / "requirements.lock"


def enter(arguments: Sequence[str]) -> None:
    """Go on in the environment, seeing first that it holds what the command needs.

    Returns only once this process runs in it. An installed package is in its own already.
    """
    if not in_checkout():
        return
    if not _holds(APP_LOCK):
        _make()
        _install(APP_LOCK, "Loomwright")
        debian.see_to(debian.PDF, "PDF files")
    if arguments[:1] == ["test"] and not _holds(TESTS_LOCK):
        _install(TESTS_LOCK, "the tests")
    if Path(sys.prefix).resolve() != HOME.resolve():
        os.execv(PYTHON, [str(PYTHON), "-m", "webapp", *arguments])


def _python_version() -> str:
    return f"{sys.version_info.major}.{sys.version_info.minor}"


def _holds(lock: Path) -> bool:
    """True when everything in this lock is installed, for this version of Python."""
    stamp = _stamp()
    return (
        PYTHON.exists()
        and stamp.get("python") == _python_version()
        and stamp.get(lock.parent.name) == _hash(lock)
    )


def _stamp() -> dict[str, str]:
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def _hash(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def _make() -> None:
    """Make the environment, unless an earlier lock's is there to be brought up to date."""
    if PYTHON.exists() and _stamp().get("python") == _python_version():
        return
    if importlib.util.find_spec("ensurepip") is None:
        # One visit to apt is enough for all that it has to bring.
        debian.require([*debian.VENV, *debian.missing(debian.PDF)], "Python environments")
    print(f"Making an environment in {HOME}", flush=True)
    # The Python beneath, because this one may be in the environment that is to be cleared.
    beneath = getattr(sys, "_base_executable", sys.executable)
    made = subprocess.run(
        [beneath, "-m", "venv", "--clear", str(HOME)],
        check=False,
        capture_output=True,
        text=True,
    )
    if made.returncode:
        last = (made.stdout + made.stderr).strip().splitlines()[-1:]
        raise Problem(f"The environment {HOME} could not be made: {' '.join(last)}")


def _install(lock: Path, what: str) -> None:
    """Install a lock, one line for each package, and stamp the environment with it."""
    total = sum("==" in line for line in lock.read_text(encoding="utf-8").splitlines())
    print(f"Installing {total} packages for {what}", flush=True)
    pip = subprocess.Popen(
        [
            *(str(PYTHON), "-m", "pip", "install", "--require-hashes", "--only-binary=:all:"),
            *("--disable-pip-version-check", "--no-input", "--progress-bar=off"),
            *("--root-user-action=ignore", "-r", str(lock)),
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    last_lines = deque[str](maxlen=8)
    with pip:
        _show_progress(pip.stdout or (), total, last_lines)
    if pip.returncode:
        sys.stderr.writelines(last_lines)
        raise Problem(
            f"The packages for {what} could not be installed: "
            "see the lines above, check the network, and start again."
        )
    stamp = _stamp() | {"python": _python_version(), lock.parent.name: _hash(lock)}
    unfinished = STAMP.with_suffix(".unfinished")
    unfinished.write_text(json.dumps(stamp), encoding="utf-8")
    unfinished.replace(STAMP)


def _show_progress(lines: Iterable[str], total: int, last_lines: deque[str]) -> None:
    count = 0
    for line in lines:
        last_lines.append(line)
        if found := re.match(r"(?:Collecting|Requirement already satisfied:) (\S+)", line):
            count += 1
            print(f"  {count} of {total}: {found[1]}", flush=True)
        elif line.startswith("Installing collected packages"):
            print("  unpacking", flush=True)
