"""Passwords: an owner gives and takes them; whoever is logged in changes their own."""

from functools import partial

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession, in_reading, in_writing
from webapp.pages.devices import address_of, keep_cookie
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.log_in import begin_log_in, too_many
from webapp.pages.render import redirect, render
from webapp.stages import people
from webapp.stages.access import passwords
from webapp.stages.access.attempts import Attempts
from webapp.stages.access.devices import LOG_IN, DeviceNow
from webapp.stages.people import PersonRow

router = APIRouter()


# --- by an owner ------------------------------------------------------------------------------


def page(request: Request, person: PersonRow, has_one: bool, form: Form) -> Response:
    return render(
        request,
        "settings/password.html",
        status=422 if form.errors else 200,
        form=form,
        one=person,
        has_one=has_one,
        least=passwords.LEAST_CHARACTERS,
    )


def _person(session: Session, person_id: int) -> tuple[PersonRow, bool]:
    return people.get(session, person_id), passwords.has_one(session, person_id)


@router.get("/people/{person_id}/password")
def show(request: Request, session: ReadSession, person_id: int) -> Response:
    return page(request, *_person(session, person_id), Form())


@router.post("/people/{person_id}/password")
async def give(request: Request, fields: FieldsDep, person_id: int) -> Response:
    form = Form(fields)
    person, has_one = await in_reading(request, partial(_person, person_id=person_id))
    await in_reading(request, lambda session: _read(request, session, person_id, form))
    if form.errors:
        return page(request, person, has_one, form)
    answer = redirect(f"/people/{person_id}", notice=f"{person.name} has a new password.")
    return await _keep(request, person_id, form.values["hash"], answer)


def _read(request: Request, session: Session, person_id: int, form: Form) -> None:
    """The new password's hash as `form.values["hash"]`, or why it is not taken beside its field."""
    with attempt(session, form):
        form.values["hash"] = passwords.hash_new(
            session,
            person_id,
            form.typed("password"),
            form.typed("again"),
            request.app.state.password_cost,
        )


async def _keep(request: Request, person_id: int, password_hash: str, answer: Response) -> Response:
    """Keeps a new password. It ends all log-ins of its person, and begins this one anew."""
    device: DeviceNow | None = request.state.device
    is_own = device is not None and device.person_id == person_id

    def write(session: Session) -> str:
        passwords.give(session, person_id, password_hash)
        return begin_log_in(request, session, person_id) if is_own else ""

    if token := await in_writing(request, write):
        keep_cookie(answer, LOG_IN, token)
    return answer


@router.post("/people/{person_id}/password/remove")
def take_away(request: Request, session: WriteSession, person_id: int) -> Response:
    person, has_one = _person(session, person_id)
    form = Form()
    with attempt(session, form):
        passwords.take_away(session, person_id)
        if request.app.state.lan:
            passwords.keep_an_owner(session)
    if form.errors:
        return page(request, person, has_one, form)
    return redirect(f"/people/{person_id}", notice=f"{person.name} logs in no more.")


# --- one's own --------------------------------------------------------------------------------


def own_page(request: Request, form: Form, status: int = 200) -> Response:
    return render(
        request,
        "access/password.html",
        status=status,
        form=form,
        least=passwords.LEAST_CHARACTERS,
    )


def _own_id(request: Request) -> int | None:
    device: DeviceNow | None = request.state.device
    return device.person_id if device else None


@router.get("/password")
def show_own(request: Request) -> Response:
    if _own_id(request) is None:
        return redirect("/", notice="Nobody is logged in here.")
    return own_page(request, Form())


@router.post("/password")
async def change_own(request: Request, fields: FieldsDep) -> Response:
    person_id = _own_id(request)
    if person_id is None:
        return redirect("/", notice="Nobody is logged in here.")
    form = Form(fields)
    # The one that holds is guessed here as little as at the log-in.
    attempts: Attempts = request.app.state.log_in_attempts
    if wait_s := attempts.begin(address_of(request)):
        headers = too_many(form, "now", wait_s)
        answer = own_page(request, form, status=429)
        answer.headers.update(headers)
        return answer
    cost = request.app.state.password_cost
    checked = await in_reading(
        request, lambda session: passwords.check(session, person_id, form.typed("now"), cost)
    )
    if not checked.right:
        form.refuse("now", "This is not your password.")
        return own_page(request, form, status=422)
    attempts.right(address_of(request))
    await in_reading(request, lambda session: _read(request, session, person_id, form))
    if form.errors:
        return own_page(request, form, status=422)
    answer = redirect("/", notice="Your password is changed; you are logged out everywhere else.")
    return await _keep(request, person_id, form.values["hash"], answer)
