"""Pairing a tablet, on the tablet: the code comes in the address of the QR, or is typed.

In the address it stands behind a #, which no browser sends and no log keeps; static/js/pair.js
puts it into the form.
"""

import logging

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import PERSON_COOKIE, FieldsDep, in_writing
from webapp.pages.devices import address_of, drop_cookie, end_earlier, keep_cookie
from webapp.pages.forms import Form
from webapp.pages.log_in import NOT_NEEDED, too_many
from webapp.pages.render import redirect, render
from webapp.stages.access import pairing
from webapp.stages.access.attempts import Attempts
from webapp.stages.access.devices import LOG_IN, TABLET
from webapp.stages.refusals import Refused

router = APIRouter()
log = logging.getLogger(__name__)
PATH = "/pair"


def page(request: Request, form: Form, status: int = 200) -> Response:
    return render(request, "access/pair.html", status=status, form=form)


@router.get(PATH)
def show(request: Request) -> Response:
    if not request.app.state.lan:
        return redirect("/", notice=NOT_NEEDED)
    return page(request, Form())


@router.post(PATH)
async def pair(request: Request, fields: FieldsDep) -> Response:
    if not request.app.state.lan:
        return redirect("/", notice=NOT_NEEDED)
    form = Form(fields)
    form.text("code", "The code", most=40)
    if form.errors:
        return page(request, form, status=422)
    attempts: Attempts = request.app.state.pairing_attempts
    address = address_of(request)
    if wait_s := attempts.begin(address):
        headers = too_many(form, "code", wait_s)
        log.warning("Too many wrong codes from %s: it waits %s s", address, int(wait_s) + 1)
        answer = page(request, form, status=429)
        answer.headers.update(headers)
        return answer
    try:
        name, token = await in_writing(request, lambda s: _pair(request, s, form.values["code"]))
    except Refused as refusal:
        form.refuse(refusal.field, refusal.sentence)
        return page(request, form, status=422)
    attempts.right(address)
    answer = redirect("/who?next=/jobs", notice=f"This tablet is paired as {name}.")
    keep_cookie(answer, TABLET, token)
    # From now on it is the bench's: whoever was logged in or chosen here is so no more.
    drop_cookie(answer, LOG_IN)
    answer.delete_cookie(PERSON_COOKIE, httponly=True, samesite="strict")
    return answer


def _pair(request: Request, session: Session, code: str) -> tuple[str, str]:
    paired = pairing.pair(session, code, address_of(request))
    for kind in (LOG_IN, TABLET):
        end_earlier(session, request, kind)
    return paired
