"""Errors that no page answered, as pages in the app's own look."""

import logging
from http import HTTPStatus

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from webapp.pages.access import NotAllowed, access_of
from webapp.pages.deps import NobodyChosenError, form_data, know_people
from webapp.pages.guards import add_safe_headers
from webapp.pages.render import error_page, is_partial, render, wants_json
from webapp.stages.refusals import NotThere

log = logging.getLogger(__name__)

WORDS = {
    403: ("Not accepted", "This is not allowed here."),
    404: ("Not found", "There is nothing at this address. It may have been removed."),
    405: ("Not accepted", "This address does not take that kind of request."),
    409: ("Changed meanwhile", "Somebody changed this before you. Look at it again first."),
    413: ("Too large", "What was sent is larger than fits. Send it smaller, or in pieces."),
    422: ("Not understood", "Something in the address or the form could not be read."),
    503: ("Busy", "Another change is still being written. Nothing was saved; try again."),
}
OUR_FAULT = (
    "Something went wrong on our side",
    "Nothing of this request was saved. Go back, and try again; "
    "if it happens again, the terminal that runs Loomwright says why.",
)


async def http_error(request: Request, error: Exception) -> Response:
    """An error that a page, or the way to it, raised."""
    assert isinstance(error, HTTPException)
    if error.status_code == 404 and not hasattr(request.state, "people"):
        await _know_the_frame(request)
    title, words = WORDS.get(error.status_code, ("Not accepted", "This could not be done."))
    if error.detail != HTTPStatus(error.status_code).phrase:
        words = error.detail
    return error_page(request, error.status_code, title, words, headers=error.headers)


async def _know_the_frame(request: Request) -> None:
    """No page answers to this address, so nothing has asked yet who works here."""
    if request.method == "GET":
        await know_people(request)
        request.state.access = access_of(request)


async def unreadable(request: Request, error: Exception) -> Response:
    """An address or a body that does not have the form it should."""
    assert isinstance(error, RequestValidationError)
    in_address = any(e["loc"][:1] == ("path",) for e in error.errors())
    status = 404 if in_address else 422
    title, words = WORDS[status]
    return error_page(request, status, title, words)


async def nobody_chosen(request: Request, error: Exception) -> Response:
    """Asks who is doing it, and carries on with what was sent."""
    assert isinstance(error, NobodyChosenError)
    if is_partial(request) or wants_json(request):
        return error_page(
            request, 409, "Nobody chosen", "Choose your name at the top first; nothing was saved."
        )
    form = await form_data(request)
    sent = [(name, value) for name, value in form.multi_items() if isinstance(value, str)]
    return render(request, "who.html", status=409, sent=sent)


async def not_allowed(request: Request, error: Exception) -> Response:
    """A page or a write that is not for whoever asks."""
    return error_page(request, 403, "Not for this role", str(error))


async def not_there(request: Request, error: Exception) -> Response:
    """A row that a page or a form names does not exist."""
    return error_page(request, 404, *WORDS[404])


async def too_large(request: Request, error: Exception) -> Response:
    """No row has a number that SQLite cannot hold; any other overflow is a fault of ours."""
    if "SQLite INTEGER" in str(error):
        return await not_there(request, error)
    return await our_fault(request, error)


async def gone(_request: Request, _error: Exception) -> Response:
    """The browser left before it had sent everything: nobody reads this answer."""
    return Response(status_code=400)


async def our_fault(request: Request, error: Exception) -> Response:
    """Anything else. It is logged with its trace and never shown."""
    log.error("%s %s failed", request.method, request.url.path, exc_info=error)
    answer = error_page(request, 500, *OUR_FAULT)
    # This handler stands outside the middleware that adds them.
    add_safe_headers(MutableHeaders(raw=answer.raw_headers), request.scope)
    return answer


def add_error_pages(app: FastAPI) -> None:
    """Registers the handlers."""
    app.add_exception_handler(HTTPException, http_error)
    app.add_exception_handler(RequestValidationError, unreadable)
    app.add_exception_handler(NobodyChosenError, nobody_chosen)
    app.add_exception_handler(NotAllowed, not_allowed)
    app.add_exception_handler(NotThere, not_there)
    app.add_exception_handler(OverflowError, too_large)
    app.add_exception_handler(ClientDisconnect, gone)
    app.add_exception_handler(Exception, our_fault)
