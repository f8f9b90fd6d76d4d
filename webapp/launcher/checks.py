"""The `test` command."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence

from webapp import debian
from webapp.folders import CHECKOUT, in_checkout
from webapp.problems import Problem

# What opens a browser or prints waits much: it runs beside all the rest, on a second core. The
# bench's own loops come before the browser's, which stays open.
BESIDE = ("tests/bench", "tests/browser", "tests/paper")
PYTEST = (sys.executable, "-m", "pytest")


def run_tests(pytest_arguments: Sequence[str], *, install_only: bool) -> int:
    """Run what is asked for, or all in two halves, with what browser and paper need in place."""
    if not in_checkout():
        raise Problem(
            "The tests are not installed with Loomwright: "
            "run `python3 -m webapp test` in a checkout of its source."
        )
    needed = debian.TESTS | debian.PDF
    debian.see_to(needed, "the tests")
    debian.remind(needed, "The tests")
    if install_only:
        return 0
    os.chdir(CHECKOUT)
    if pytest_arguments:
        os.execv(sys.executable, [*PYTEST, *pytest_arguments])
    return _both_halves()


def _both_halves() -> int:
    """What the half beside prints comes after the other's, so that both can be read."""
    with tempfile.TemporaryFile() as said:
        beside = subprocess.Popen([*PYTEST, *BESIDE], stdout=said, stderr=subprocess.STDOUT)
        rest = subprocess.run([*PYTEST, *(f"--ignore={folder}" for folder in BESIDE)])
        status = beside.wait()
        said.seek(0)
        print(
            f"\n-- {' '.join(BESIDE)}", said.read().decode(errors="replace"), sep="\n", flush=True
        )
    return rest.returncode or status
