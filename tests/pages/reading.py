"""Reads an answer as its user does: what a form would send, which error stands beside a field."""

from functools import lru_cache
from html.parser import HTMLParser

from httpx2 import Response


class _Fields(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.fields: dict[str, str] = {}
        self.errors: dict[str, str] = {}
        self._select = self._area = self._error = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        at = {name: value or "" for name, value in attrs}
        name = at.get("name", "")
        if tag == "input" and name and at.get("type") in ("checkbox", "radio"):
            if "checked" in at:
                self.fields[name] = at["value"]
        elif tag == "input" and name:
            self.fields[name] = at.get("value", "")
        elif tag == "select":
            self._select = name
            self.fields.setdefault(name, "")
        elif tag == "option" and "selected" in at:
            self.fields[self._select] = at.get("value", "")
        elif tag == "textarea":
            self._area = name
            self.fields[name] = ""
        elif tag == "p" and at.get("class") == "error":
            self._error = at.get("id", "?").removesuffix("-error")
            self.errors[self._error] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            # A browser drops the first line end.
            self.fields[self._area] = self.fields[self._area].removeprefix("\n")
            self._area = ""
        elif tag == "p":
            self._error = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            self.fields[self._area] += data
        if self._error:
            self.errors[self._error] += data


@lru_cache(maxsize=32)  # many tests open the same page, and ask it several things
def _read(html: str) -> _Fields:
    parser = _Fields()
    parser.feed(html)
    return parser


def fields(answer: Response) -> dict[str, str]:
    """Every form field of the page with what stands in it."""
    return dict(_read(answer.text).fields)


def errors(answer: Response) -> dict[str, str]:
    """The sentence beside each field that is wrong."""
    return dict(_read(answer.text).errors)
