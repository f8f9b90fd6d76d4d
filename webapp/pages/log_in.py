"""Logging in and out over the workshop's network. Each log-in is a device with a token of its own.

Served for this computer alone there is nothing to log in to.
"""

import logging
import math
from dataclasses import dataclass

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession, in_reading, in_writing
from webapp.pages.devices import COOKIES, address_of, drop_cookie, end_earlier, keep_cookie
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.pages.who import local_path
from webapp.stages.access import devices, passwords
from webapp.stages.access.attempts import Attempts
from webapp.stages.access.devices import LOG_IN, TABLET
from webapp.stages.access.passwords import Checked, MayLogIn

router = APIRouter()
log = logging.getLogger(__name__)
PATH = "/log-in"
# The same whatever is wrong, so that trying teaches nothing.
WRONG = "The name and the password do not belong together."
NOT_NEEDED = "Served for this computer alone, Loomwright asks for no password."
BROWSER = "browser"


@dataclass(frozen=True)
class Tried:
    """A password that was looked at, for one of the people who may log in."""

    person: MayLogIn | None
    checked: Checked


def too_many(form: Form, field: str, wait_s: float) -> dict[str, str]:
    """Says beside the field how long to wait; the header that says it to programs."""
    seconds = math.ceil(wait_s)
    form.refuse(
        field, f"Too many tries from this address: wait {in_words(seconds)}, then try again."
    )
    return {"Retry-After": str(seconds)}


def in_words(seconds: int) -> str:
    """90 -> "2 minutes", 1 -> "1 second"."""
    count, unit = (seconds, "second") if seconds < 60 else (math.ceil(seconds / 60), "minute")
    return f"{count} {unit}{'' if count == 1 else 's'}"


def page(request: Request, form: Form, may: tuple[MayLogIn, ...], status: int = 200) -> Response:
    tablet_is_out = COOKIES[TABLET] in request.cookies and request.state.device is None
    return render(
        request,
        "access/log_in.html",
        status=status,
        form=form,
        may_log_in=[(one.id, one.name) for one in may],
        next=local_path(form.typed("next") or "/"),
        tablet_is_out=tablet_is_out,
    )


@router.get(PATH)
def show(request: Request, session: ReadSession, next: str = "/") -> Response:
    if not request.app.state.lan:
        return redirect(local_path(next), notice=NOT_NEEDED)
    return page(request, Form({"next": next}), passwords.who_may_log_in(session))


@router.get("/log-in/standing")
def standing(request: Request) -> Response:
    """Whether this browser is let in: asked by the log-in page (static/js/log_in.js)."""
    return JSONResponse({"let_in": request.state.device is not None})


@router.post(PATH)
async def log_in(request: Request, fields: FieldsDep) -> Response:
    if not request.app.state.lan:
        return redirect("/", notice=NOT_NEEDED)
    form = Form(fields)
    may = await in_reading(request, passwords.who_may_log_in)
    attempts: Attempts = request.app.state.log_in_attempts
    address = address_of(request)
    if wait_s := attempts.begin(address):
        headers = too_many(form, "password", wait_s)
        log.warning("Too many wrong passwords from %s: it waits %s s", address, int(wait_s) + 1)
        answer = page(request, form, may, status=429)
        answer.headers.update(headers)
        return answer
    # Looked at before anything is locked for writing: this takes its time on purpose.
    tried = await in_reading(request, lambda session: _try(request, session, form, may))
    if tried.person is None or not tried.checked.right:
        form.refuse("password", WRONG)
        return page(request, form, may, status=422)
    attempts.right(address)
    person = tried.person
    token = await in_writing(request, lambda s: _begin(request, s, person.id, tried.checked))
    answer = redirect(local_path(form.typed("next") or "/"), notice=f"Working as {person.name}.")
    keep_cookie(answer, LOG_IN, token)
    return answer


def _try(request: Request, session: Session, form: Form, may: tuple[MayLogIn, ...]) -> Tried:
    person = next((one for one in may if str(one.id) == form.typed("person")), None)
    checked = passwords.check(
        session,
        person.id if person else 0,
        form.typed("password"),
        request.app.state.password_cost,
    )
    return Tried(person, checked)


def _begin(request: Request, session: Session, person_id: int, checked: Checked) -> str:
    if checked.renewed:
        passwords.renew(session, person_id, checked.renewed)
    return begin_log_in(request, session, person_id)


def begin_log_in(request: Request, session: Session, person_id: int) -> str:
    """A new log-in in this browser, in place of the one that it had; returns its token."""
    end_earlier(session, request, LOG_IN)
    address = address_of(request)
    _, token = devices.begin(
        session, kind=LOG_IN, name=BROWSER, address=address, person_id=person_id
    )
    return token


@router.post("/log-out")
def log_out(request: Request, session: WriteSession) -> Response:
    end_earlier(session, request, LOG_IN)
    answer = redirect("/", notice="Logged out.")
    drop_cookie(answer, LOG_IN)
    return answer
