"""Answers: a page or a part of it from a template, a redirect with a notice, an error page."""

import hashlib
import secrets
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any
from urllib.parse import quote, unquote

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from webapp.folders import folder
from webapp.pages import wording
from webapp.pages.access import LEAST, Access, discreet, first_open
from webapp.pages.import_columns import list_names

NOTICE_COOKIE = "notice"
# Each leads to the first of its addresses that may be opened, and is left out where none may.
NAVIGATION = (
    ("Jobs", ("/jobs",)),
    ("Past jobs", ("/past",)),
    ("Customers", ("/customers",)),
    ("Stores", ("/stores",)),
    ("Calculators", ("/calculators",)),
    ("Method", ("/method",)),
    ("Rates", ("/rates",)),
    ("Settings", ("/settings", "/instruments")),
)


@lru_cache(maxsize=256)
def _content_hash(path: str, _changed_ns: int) -> str:
    return hashlib.sha256((folder("static") / path).read_bytes()).hexdigest()[:12]


def asset(path: str) -> str:
    """The address of a file in `static`, with its content's hash so that it may be kept."""
    changed_ns = (folder("static") / path).stat().st_mtime_ns
    return f"/static/{path}?v={_content_hash(path, changed_ns)}"


def fresh_key() -> str:
    """A key for one form, by which a second sending is known (128 random bits)."""
    return secrets.token_hex(16)


def make_environment() -> Environment:
    """The templates, with the filters and functions that every one may use."""
    env = Environment(
        loader=FileSystemLoader(folder("templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    env.filters |= wording.FILTERS
    env.globals |= {"asset": asset, "fresh_key": fresh_key, "letters": wording.letters}
    env.globals["list_names"] = list_names
    env.globals["length_unit"] = wording.length_unit
    return env


templates = make_environment()


def is_partial(request: Request) -> bool:
    """True when a script on the page asks for a part of it."""
    return request.headers.get("hx-request-type") == "partial"


def wants_json(request: Request) -> bool:
    """True when a script on the page sends and takes data."""
    return request.headers.get("accept", "").startswith("application/json")


def _is_stranger(request: Request) -> bool:
    """Nobody has let this device in: it is told no names."""
    return bool(request.app.state.lan) and getattr(request.state, "device", None) is None


def _shell(request: Request, notice: str) -> dict[str, Any]:
    """What the top bar and the frame of every page need."""
    access: Access = getattr(request.state, "access", LEAST)
    leading = ((name, first_open(access, addresses)) for name, addresses in NAVIGATION)
    return {
        "request": request,
        "path": request.url.path,
        "access": access,
        "discreet": discreet(request),
        "navigation": [(name, path) for name, path in leading if path],
        "has_search": access.reads("/search"),
        "people": () if _is_stranger(request) else getattr(request.state, "people", ()),
        "person": getattr(request.state, "person", None),
        "notice": notice,
        "demo": request.app.state.settings.demo,
    }


def render(
    request: Request, page: str, *, part: str | None = None, status: int = 200, **context: Any
) -> HTMLResponse:
    """The page, or only `part` of it when a script on the page asks for a part.

    A status of 400 and more says that nothing is to change: a writing session of the same
    request is then taken back instead of committed.
    """
    if status >= 400:
        request.state.refused = True
    partial = part is not None and is_partial(request)
    # A page that looks what is new of itself must not take the notice from the one that is coming.
    quiet = partial or "live-look" in request.headers
    notice = "" if quiet else unquote(request.cookies.get(NOTICE_COOKIE, ""))
    name = part if part is not None and partial else page
    body = templates.get_template(name).render(_shell(request, notice) | context)
    answer = HTMLResponse(body, status, {"Vary": "HX-Request-Type, Cookie"})
    if notice:
        answer.delete_cookie(NOTICE_COOKIE, httponly=True, samesite="strict")
    return answer


def redirect(url: str, notice: str = "") -> RedirectResponse:
    """Sends the browser to `url` after a write; `notice` is shown there once."""
    answer = RedirectResponse(url, 303)
    if notice:
        answer.set_cookie(NOTICE_COOKIE, quote(notice), 30, httponly=True, samesite="strict")
    return answer


def error_page(
    request: Request,
    status: int,
    title: str,
    words: str,
    *,
    links: Iterable[tuple[str, str]] = (),
    headers: Mapping[str, str] | None = None,
) -> Response:
    """An error as a page; as one line in the notice, or as data, when a script asked."""
    request.state.refused = True
    if wants_json(request):
        return JSONResponse({"why": words}, status, headers)
    if is_partial(request):
        line = templates.get_template("error_line.html").render(title=title, words=words)
        where = {"HX-Retarget": "#notice", "HX-Reswap": "innerHTML", "Vary": "HX-Request-Type"}
        return HTMLResponse(line, status, where | dict(headers or {}))
    answer = render(
        request, "error.html", status=status, title=title, words=words, links=list(links)
    )
    answer.headers.update(headers or {})
    return answer
