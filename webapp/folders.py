"""Where the folders beside `webapp` are: in a checkout, or inside the installed package."""

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent
CHECKOUT = PACKAGE.parent


def in_checkout() -> bool:
    """True when the package runs from its source tree."""
    return (CHECKOUT / "pyproject.toml").is_file() and (CHECKOUT / "migrations").is_dir()


def folder(name: str) -> Path:
    """The folder `name`: templates, static, migrations or seed_data.

    pyproject.toml copies them to `webapp/shipped` when it builds the wheel.
    """
    return (CHECKOUT if in_checkout() else PACKAGE / "shipped") / name
