"""What stands before every page: safe headers, no huge bodies, writes from our own pages only."""

import re

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.pages.render import error_page

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "font-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)
MAX_BODY_BYTES = 8 * 1024 * 1024
# A photo is refused beside its field up to here, by pages/photos.py.
MAX_PHOTO_BODY_BYTES = 16 * 1024 * 1024
PHOTO_PATH = re.compile(r"/looms/[0-9]+/photos", re.ASCII)
PERSON_DAYS = 400
READS = {"GET", "HEAD", "OPTIONS"}


def add_safe_headers(headers: MutableHeaders, scope: Scope) -> None:
    """Sets the security and caching headers of an answer."""
    headers["Content-Security-Policy"] = CONTENT_SECURITY_POLICY
    headers["X-Content-Type-Options"] = "nosniff"
    headers["X-Frame-Options"] = "DENY"
    headers["Referrer-Policy"] = "same-origin"
    headers["Cross-Origin-Opener-Policy"] = "same-origin"
    if headers.get("Cache-Control", "").startswith("private"):
        # The page says that this device may keep its answer: a photo never changes.
        pass
    elif not scope["path"].startswith("/static/"):
        headers["Cache-Control"] = "no-store"
    elif b"v=" in scope["query_string"]:
        # The address carries the content's hash, so it never changes meaning.
        headers["Cache-Control"] = "public, max-age=31536000, immutable"
    else:
        headers["Cache-Control"] = "no-cache"


def person_cookie(person_id: str) -> str:
    """Keeps the person chosen at this device. Not `Secure`: the workshop's net is plain http."""
    return f"person={person_id}; Max-Age={PERSON_DAYS * 86_400}; Path=/; HttpOnly; SameSite=Strict"


class SafeHeaders:
    """Adds the headers to every answer that passes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        async def send_safely(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                add_safe_headers(headers, scope)
                if person_id := scope.get("state", {}).get("remember_person"):
                    headers.append("Set-Cookie", person_cookie(person_id))
            await send(message)

        await self.app(scope, receive, send_safely if scope["type"] == "http" else send)


def own_origin(scope: Scope) -> bool:
    """False when a browser says that another site's page sent the request, or does not say.

    On this computer alone a program that sends nothing of the kind is let through. Over the
    network the sender has to be known, by Origin or Referer: no browser leaves both out.
    """
    headers = Headers(scope=scope)
    own = f"{scope['scheme']}://{headers.get('host', '')}"
    origin = headers.get("origin")
    if origin is not None:
        return origin == own
    if scope["app"].state.lan:
        return headers.get("referer", "").startswith(f"{own}/")
    return headers.get("sec-fetch-site", "none") in {"same-origin", "none"}


class OwnOriginOnly:
    """Refuses writes that another site's page sent."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or scope["method"] in READS or own_origin(scope):
            await self.app(scope, receive, send)
            return
        answer = error_page(
            Request(scope, receive),
            403,
            "Not accepted",
            "This came from another site's page. Open the form here and send it again.",
        )
        await answer(scope, receive, send)


class BodyLimit:
    """Stops reading a body that is too large.

    FastAPI's own limit answers before our error pages can.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        declared = Headers(scope=scope).get("content-length", "")
        known_bytes = int(declared) if declared.isascii() and declared.isdigit() else 0
        is_photo = PHOTO_PATH.fullmatch(scope["path"])
        most_bytes = MAX_PHOTO_BODY_BYTES if is_photo else MAX_BODY_BYTES
        read_bytes = 0

        async def receive_within() -> Message:
            nonlocal read_bytes
            if known_bytes > most_bytes:
                raise HTTPException(413)
            message = await receive()
            read_bytes += len(message.get("body", b""))
            if read_bytes > most_bytes:
                raise HTTPException(413)
            return message

        await self.app(scope, receive_within, send)
