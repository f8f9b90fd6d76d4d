"""Which device a request comes from: stands before every page, and sets `request.state.device`.

Served for this computer alone, no device is asked for and everybody is let in. Served over the
workshop's network, only a paired tablet or a browser with a log-in gets further than the way in.
"""

from datetime import timedelta
from urllib.parse import quote, urlsplit

import anyio.to_thread
from sqlalchemy import Engine
from sqlalchemy.orm import Session
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from webapp.database import write_lock
from webapp.pages.guards import READS
from webapp.pages.render import error_page, is_partial, wants_json
from webapp.pages.sizing_api.problems import FieldError, problem
from webapp.records.base import now
from webapp.stages.access import devices
from webapp.stages.access.devices import LOG_IN, SEEN_EVERY, TABLET, DeviceNow

# A log-in on a paired tablet stands before the pairing, which is there again after logging out.
COOKIES = {LOG_IN: "log-in", TABLET: "tablet"}
# No browser keeps a cookie longer; a tablet's is sent anew while it is used.
LONGEST_COOKIE = timedelta(days=400)
WAY_IN = {"/log-in", "/log-in/standing", "/log-out", "/pair"}
LOG_IN_FIRST = "You are not logged in here, or no longer. Nothing was saved: log in, and try again."
PAIR_AGAIN = "This tablet is no longer paired: nothing is shown or saved until it is paired again."


def address_of(request: Request) -> str:
    """The network address that the request comes from."""
    return request.client.host if request.client else ""


def device_name(request: Request) -> str:
    """What a journal calls the device: the paired tablet's name, else its address."""
    device: DeviceNow | None = request.state.device
    return device.name if device and device.kind == TABLET else address_of(request)


# --- its cookie -------------------------------------------------------------------------------


def cookie(kind: str, token: str) -> str:
    """Not `Secure`: the workshop's network is plain http."""
    life = devices.LIVES[kind].whole or LONGEST_COOKIE
    kept_s = int(life.total_seconds())
    return f"{COOKIES[kind]}={token}; Max-Age={kept_s}; Path=/; HttpOnly; SameSite=Strict"


def keep_cookie(answer: Response, kind: str, token: str) -> None:
    """Has the browser keep a token; the one that it held before is gone."""
    answer.headers.append("Set-Cookie", cookie(kind, token))


def drop_cookie(answer: Response, kind: str) -> None:
    answer.headers.append("Set-Cookie", f"{COOKIES[kind]}=; Max-Age=0; Path=/; HttpOnly")


def end_earlier(session: Session, request: Request, kind: str) -> None:
    """Ends what this browser's cookie of this kind has opened so far."""
    if found := devices.known(session, request.cookies.get(COOKIES[kind], "")):
        devices.revoke(session, found[0].id)


# --- who is let in ----------------------------------------------------------------------------


class KnowDevice:
    """Sets `device` in the request's state; over the network answers those who have none."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope, receive)
        request.state.device = None
        if request.app.state.lan and not scope["path"].startswith("/static/"):
            tablet = await self._know(request)
            if request.state.device is None and scope["path"] not in WAY_IN:
                await not_let_in(request)(scope, receive, send)
                return
            if tablet and scope["method"] in READS:
                send = _renewing(send, tablet)
        await self.app(scope, receive, send)

    async def _know(self, request: Request) -> str:
        """Puts the device into the state; the token of a tablet whose cookie is to be renewed."""
        tokens = {kind: request.cookies[name] for kind, name in COOKIES.items()
                  if name in request.cookies}  # fmt: skip
        if not tokens:
            return ""
        engine: Engine = request.app.state.engine
        request.state.device, noted = await anyio.to_thread.run_sync(
            _find, engine, tokens, address_of(request)
        )
        is_tablet = noted and request.state.device.kind == TABLET
        return tokens[TABLET] if is_tablet else ""


def _find(engine: Engine, tokens: dict[str, str], address: str) -> tuple[DeviceNow | None, bool]:
    """The device, and whether it has just been noted as seen."""
    for kind, token in tokens.items():
        with Session(engine) as session:
            found = devices.known(session, token)
        if found and found[0].kind == kind:
            device, seen_at = found
            due = now() - seen_at >= SEEN_EVERY
            return device, due and _note(engine, device.id, address)
    return None, False


def _note(engine: Engine, device_id: int, address: str) -> bool:
    """Notes that the device is in use, unless somebody is writing: then its next request does."""
    if not write_lock.acquire(blocking=False):
        return False
    try:
        with Session(engine.execution_options(begin="IMMEDIATE")) as session, session.begin():
            devices.seen(session, device_id, address)
    finally:
        write_lock.release()
    return True


def _renewing(send: Send, token: str) -> Send:
    async def send_renewed(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).append("Set-Cookie", cookie(TABLET, token))
        await send(message)

    return send_renewed


def not_let_in(request: Request) -> Response:
    """The answer to a device that nobody has let in, or no longer."""
    words = PAIR_AGAIN if COOKIES[TABLET] in request.cookies else LOG_IN_FIRST
    challenge = {"WWW-Authenticate": 'Log-in realm="Loomwright"'}
    path = request.url.path
    if path.startswith("/api/"):
        answer = problem([FieldError(field="", message=words)], 401)
        answer.headers.update(challenge)
        return answer
    sends_json = request.headers.get("content-type", "").startswith("application/json")
    if wants_json(request) or sends_json:
        return JSONResponse({"why": words}, 401, challenge)
    if is_partial(request):
        return error_page(request, 401, "Not let in", words, headers=challenge)
    if request.method in READS:
        query = f"?{request.url.query}" if request.url.query else ""
        return RedirectResponse(log_in_address(path + query), 303)
    before = _came_from(request)
    return error_page(
        request, 401, "Not let in", words, headers=challenge,
        links=[("Log in", log_in_address(before)), ("This is a tablet: pair it", "/pair")],
    )  # fmt: skip


def _came_from(request: Request) -> str:
    """The page that a form was sent from, where it says so."""
    try:
        return urlsplit(request.headers.get("referer", "")).path or "/"
    except ValueError:
        return "/"


def log_in_address(back_to: str) -> str:
    """The log-in page that leads back to where it was asked for."""
    return f"/log-in?next={quote(back_to, safe='/')}"
