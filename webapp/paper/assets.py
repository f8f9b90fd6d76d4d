"""The files that papers may use. The addresses work in a browser too, relative to the app."""

from dataclasses import dataclass
from pathlib import Path

from webapp.folders import folder

# `.invalid` never resolves (RFC 2606), should anything ever try.
BASE_URL = "http://paper.invalid/"


@dataclass(frozen=True)
class Asset:
    path: Path
    content_type: str


def asset_files() -> dict[str, Asset]:
    """Exact address to file, for the style sheet and the fonts."""
    static = folder("static")
    sheets = dict.fromkeys((static / "paper").glob("*.css"), "text/css")
    fonts = dict.fromkeys((static / "fonts").glob("*.woff2"), "font/woff2")
    return {
        f"{BASE_URL}static/{path.relative_to(static).as_posix()}": Asset(path, content_type)
        for path, content_type in (sheets | fonts).items()
    }
