"""The few Debian packages that no Python wheel carries."""

import ctypes
import os
import shutil
import subprocess
import sys
from collections.abc import Iterable, Mapping

from webapp.problems import Problem

VENV = ("python3-venv",)
# Package: the shared library or the program that shows that it is there.
PDF = {
    "libpangoft2-1.0-0": "libpangoft2-1.0.so.0",
    "libharfbuzz-subset0": "libharfbuzz-subset.so.0",
}
TESTS = {"chromium": "chromium", "ngspice": "ngspice", "poppler-utils": "pdftotext"}


def missing(packages: Mapping[str, str]) -> list[str]:
    """Those of the packages whose library or program is not on this machine."""
    return [package for package, shown_by in packages.items() if not _is_there(shown_by)]


def command_for(packages: Iterable[str]) -> str:
    """What a person types to install them."""
    return f"sudo apt install {' '.join(packages)}"


def see_to(packages: Mapping[str, str], what_for: str) -> None:
    """Install what is missing where that is allowed; `remind` tells about the rest."""
    lacking = missing(packages)
    if lacking and _may_install():
        _install(lacking, what_for)


def require(packages: list[str], what_for: str) -> None:
    """Install the packages.

    Raises:
        Problem: that is not allowed, or failed.
    """
    if not _may_install() or not _install(packages, what_for):
        raise Problem(
            f"{what_for} need Debian packages that are missing: "
            f"install them with `{command_for(packages)}` and start again."
        )


def remind(packages: Mapping[str, str], what_for: str) -> None:
    """Say what is missing, and the exact command for it."""
    if lacking := missing(packages):
        print(
            f"{what_for} need Debian packages that are missing: "
            f"install them with `{command_for(lacking)}`.",
            file=sys.stderr,
        )


def _is_there(shown_by: str) -> bool:
    if ".so" not in shown_by:
        return shutil.which(shown_by) is not None
    if not sys.platform.startswith("linux"):
        return True  # named otherwise there; the PDF pages find out for themselves
    try:
        ctypes.CDLL(shown_by)
    except OSError:
        return False
    return True


def _may_install() -> bool:
    return os.geteuid() == 0 and shutil.which("apt-get") is not None


def _install(packages: Iterable[str], what_for: str) -> bool:
    packages = list(packages)
    print(f"Installing Debian packages for {what_for}: {' '.join(packages)}", flush=True)
    quiet = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    apt = ("apt-get", "-qq", "-o=Dpkg::Use-Pty=0")
    update = subprocess.run([*apt, "update"], check=False, env=quiet)
    install = [*apt, "install", "--yes", "--no-install-recommends", *packages]
    return not update.returncode and not subprocess.run(install, check=False, env=quiet).returncode
