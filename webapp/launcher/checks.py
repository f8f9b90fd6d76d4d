"""The `test` command."""

import os
import sys
from collections.abc import Sequence

from webapp import debian
from webapp.folders import CHECKOUT, in_checkout
from webapp.problems import Problem


def run_tests(pytest_arguments: Sequence[str], *, install_only: bool) -> int:
    """Have pytest take over this process, with what the browser and paper tests need in place."""
    if not in_checkout():
        raise Problem(
            "The tests are not installed with Loomwright: "
            "run `python3 -m webapp test` in a checkout of its source."
        )
    needed = debian.TESTS | debian.PDF
    debian.see_to(needed, "the tests")
    debian.remind(needed, "The tests")
    if not install_only:
        os.chdir(CHECKOUT)
        os.execv(sys.executable, [sys.executable, "-m", "pytest", *pytest_arguments])
    return 0
