"""Makes one PDF: HTML on standard input, PDF on standard output.

Run as `python -m webapp.paper.worker` by webapp.paper.render. It can read the fonts and the style
sheet of the papers and nothing else: no file, no network.
"""

import sys
from typing import Any

from .assets import BASE_URL, asset_files

MISSING_EXIT = 3


def main() -> int:
    try:
        # Imported here: without Pango the import itself raises OSError, and it takes half a second.
        import weasyprint  # noqa: F401
    except OSError as exc:
        print(exc, file=sys.stderr)
        return MISSING_EXIT
    sys.stdout.buffer.write(pdf_of(sys.stdin.buffer.read().decode()))
    return 0


def pdf_of(html: str) -> bytes:
    """The PDF, made in this process."""
    from weasyprint import HTML

    made: bytes = HTML(string=html, base_url=BASE_URL, url_fetcher=make_fetcher()).write_pdf()
    return made


def make_fetcher() -> Any:
    """A fetcher that knows the papers' own assets by their exact addresses and refuses the rest."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    files = asset_files()

    class AssetFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            if url not in files:
                raise ValueError(f"Papers may not fetch {url}")
            file = files[url]
            return URLFetcherResponse(
                url, file.path.read_bytes(), {"Content-Type": file.content_type}
            )

    return AssetFetcher()


if __name__ == "__main__":
    sys.exit(main())
