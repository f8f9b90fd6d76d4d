"""How the house is built: what stands where, and what may use what."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from webapp.folders import CHECKOUT

WEBAPP = CHECKOUT / "webapp"
# Read before the environment exists.
BEFORE_THE_ENVIRONMENT = [
    WEBAPP / "__init__.py",
    WEBAPP / "__main__.py",
    WEBAPP / "data_folder.py",
    WEBAPP / "debian.py",
    WEBAPP / "folders.py",
    WEBAPP / "problems.py",
    *sorted((WEBAPP / "launcher").glob("*.py")),
]
# Not there in the environment's first second, and slow to read: nothing may need them to start.
HEAVY = ["numpy", "scipy", "weasyprint", "segno", "pytest"]


def test_the_top_level_holds_what_it_should() -> None:
    top_level = {path.name for path in CHECKOUT.iterdir() if not path.name.startswith(".")}
    assert top_level == {
        *("README.md", "DEVELOPERS.md", "pyproject.toml"),
        *("webapp", "migrations", "templates", "static", "tests", "seed_data"),
    }


@pytest.mark.parametrize("path", BEFORE_THE_ENVIRONMENT, ids=lambda path: path.name)
def test_the_launcher_needs_the_standard_library_alone(path: Path) -> None:
    ours = {
        ".".join(file.relative_to(CHECKOUT).with_suffix("").parts)
        for file in BEFORE_THE_ENVIRONMENT
    } | {"webapp", "webapp.launcher"}
    tree = ast.parse(path.read_text(encoding="utf-8"))
    needed = {name for node in tree.body for name in _imported(node)}
    assert {
        name
        for name in needed
        if name.split(".")[0] not in sys.stdlib_module_names and name not in ours
    } == set()


def _imported(node: ast.stmt) -> Iterator[str]:
    """The modules that a statement at a module's top level imports."""
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        module = node.module or ""
        within = [f"{module}.{alias.name}" for alias in node.names]
        yield from within if module in ("webapp", "webapp.launcher") else [module]


@pytest.mark.parametrize("name", ["__init__.py", "__main__.py"])
def test_an_old_python_can_read_what_tells_it_that_it_is_old(name: str) -> None:
    source = (WEBAPP / name).read_text(encoding="utf-8")
    ast.parse(source, feature_version=(3, 5))
    assert not any(isinstance(node, ast.JoinedStr) for node in ast.walk(ast.parse(source)))


def test_nothing_heavy_is_read_to_start() -> None:
    """A second start takes under two seconds; these alone would take most of them."""
    script = (
        "import sys; import webapp.launcher.command_line, webapp.serving;"
        f"print([name for name in {HEAVY} if name in sys.modules])"
    )
    started = subprocess.run(
        [sys.executable, "-c", script], cwd=CHECKOUT, check=True, capture_output=True, text=True
    )
    assert started.stdout.strip() == "[]"


def test_both_locks_pin_the_same_versions() -> None:
    app, tests = (_pins(CHECKOUT / room / "requirements.lock") for room in ("webapp", "tests"))
    assert app.items() <= tests.items()


@pytest.mark.parametrize("room", ["webapp", "tests"])
def test_every_pin_has_a_hash_and_no_address(room: str) -> None:
    text = (CHECKOUT / room / "requirements.lock").read_text(encoding="utf-8")
    assert "://" not in text
    blocks = text.split("\n    # via")
    assert len(blocks) == len(_pins(CHECKOUT / room / "requirements.lock")) + 1
    assert all("--hash=sha256:" in block for block in blocks[:-1])
    options = [line for line in text.splitlines() if line.startswith("-")]
    assert options == []


def _pins(lock: Path) -> dict[str, str]:
    pins = (line.split("==") for line in lock.read_text(encoding="utf-8").splitlines())
    return {name: rest[0].rstrip(" \\") for name, *rest in pins if rest}
