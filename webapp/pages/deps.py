"""What page functions ask for: a session, the form's fields, and who is working."""

import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from dataclasses import dataclass
from typing import Annotated, TypeVar

import anyio.to_thread
from anyio import CancelScope, CapacityLimiter
from fastapi import Depends, HTTPException, Request
from python_multipart.multipart import parse_options_header
from sqlalchemy import select
from sqlalchemy.orm import Session
from starlette.datastructures import FormData

from webapp.convention import PLAIN, Convention, hold
from webapp.database import write_lock
from webapp.records.people import Person as PersonRecord
from webapp.stages import workshop
from webapp.stages.access.devices import DeviceNow

# A need list of some hundred rows has thousands of fields.
MAX_FIELDS = 20_000
WRITE_WAIT_S = 10.0
T = TypeVar("T")
PERSON_COOKIE = "person"
PERSON_FIELD = "who"


# --- sessions ---------------------------------------------------------------------------------


def _session(request: Request, begin: str) -> Session:
    return Session(request.app.state.engine.execution_options(begin=begin))


def read_session(request: Request) -> Iterator[Session]:
    """One reading transaction for the request; it never writes."""
    with _session(request, "DEFERRED") as session:
        yield session


@contextmanager
def _write_transaction(request: Request) -> Iterator[Session]:
    with _session(request, "IMMEDIATE") as session, session.begin() as transaction:
        yield session
        if getattr(request.state, "refused", False):
            # The answer names a mistake (see render): whatever was begun is taken back.
            transaction.rollback()


async def write_session(request: Request) -> AsyncIterator[Session]:
    """One writing transaction for the request, committed before the answer leaves.

    Waiting for the lock takes no thread: the writer that holds it needs one to finish.
    """
    waited_until = time.monotonic() + WRITE_WAIT_S
    while not write_lock.acquire(blocking=False):
        if time.monotonic() > waited_until:
            raise HTTPException(503)
        await anyio.sleep(0.005)
    try:
        transaction = _write_transaction(request)
        session = await anyio.to_thread.run_sync(transaction.__enter__)
        own_thread = CapacityLimiter(1)
        try:
            yield session
        except BaseException as error:
            with CancelScope(shield=True):
                await anyio.to_thread.run_sync(
                    transaction.__exit__, type(error), error, error.__traceback__,
                    limiter=own_thread,
                )  # fmt: skip
            raise
        with CancelScope(shield=True):
            await anyio.to_thread.run_sync(
                transaction.__exit__, None, None, None, limiter=own_thread
            )
    finally:
        write_lock.release()


ReadSession = Annotated[Session, Depends(read_session, scope="function")]
WriteSession = Annotated[Session, Depends(write_session, scope="function")]


async def in_reading(request: Request, work: Callable[[Session], T]) -> T:
    """What `work` gives in a reading transaction of its own, in a thread."""

    def run() -> T:
        with _session(request, "DEFERRED") as session:
            return work(session)

    return await anyio.to_thread.run_sync(run)


async def in_writing(request: Request, work: Callable[[Session], T]) -> T:
    """What `work` gives in a writing transaction, committed when this returns.

    For pages that have slow things to do before they know whether they write.
    """
    async with asynccontextmanager(write_session)(request) as session:
        return await anyio.to_thread.run_sync(work, session)


# --- form fields ------------------------------------------------------------------------------


async def form_data(request: Request) -> FormData:
    """The whole form, with repeated fields and files.

    No browser names another character set for a form, and what some of them give is no text.
    """
    _kind, options = parse_options_header(request.headers.get("content-type"))
    if options.get(b"charset", b"utf-8").lower() != b"utf-8":
        raise HTTPException(415, "This form came in other characters than UTF-8.")
    return await request.form(max_fields=MAX_FIELDS)


async def form_fields(request: Request) -> dict[str, str]:
    """The form's text fields; of a repeated field the last value."""
    form = await form_data(request)
    return {name: value for name, value in form.multi_items() if isinstance(value, str)}


FormDep = Annotated[FormData, Depends(form_data)]
FieldsDep = Annotated[dict[str, str], Depends(form_fields)]


# --- people -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class PersonChoice:
    """One person in the chooser at the top of every page."""

    id: int
    name: str
    initials: str
    role: str


class NobodyChosenError(Exception):
    """A write needs a name beside it, and nobody has been chosen on this device."""


def active_people(session: Session) -> tuple[PersonChoice, ...]:
    """The people who can be chosen, by name."""
    rows = session.execute(
        select(PersonRecord.id, PersonRecord.name, PersonRecord.initials, PersonRecord.role)
        .where(PersonRecord.active)
        .order_by(PersonRecord.name)
    )
    return tuple(PersonChoice(*row) for row in rows)


async def know_people(request: Request) -> None:
    """Puts the people, and the one who works at this device, into `request.state`.

    Runs before every page; the top bar shows it. A log-in fixes the person; else, in a workshop of
    one, that one is chosen. From here on the request also keeps to how the workshop writes
    lengths, numbers and dates.
    """
    people, convention = await anyio.to_thread.run_sync(_workshop_now, request)
    hold(convention)
    request.state.people = people
    named = await _named_in_form(request)
    by_id = {str(person.id): person for person in people}
    device: DeviceNow | None = request.state.device
    if device and device.person_id is not None:
        request.state.person = by_id.get(str(device.person_id))
        return
    kept = request.cookies.get(PERSON_COOKIE)
    only_one = people[0] if len(people) == 1 else None
    request.state.person = by_id.get(named or kept or "", only_one)
    if named in by_id:
        # SafeHeaders sends it as the cookie.
        request.state.remember_person = named


async def _named_in_form(request: Request) -> str | None:
    if request.method != "POST" or is_json(request):
        return None
    return (await form_fields(request)).get(PERSON_FIELD)


def is_json(request: Request) -> bool:
    return request.headers.get("content-type", "").startswith("application/json")


def _workshop_now(request: Request) -> tuple[tuple[PersonChoice, ...], Convention]:
    with _session(request, "DEFERRED") as session:
        return active_people(session), workshop.convention(session)


async def plainly() -> None:
    """For pages of lists that come in: their headings say mm, and their numbers have points."""
    hold(PLAIN)


def maybe_person(request: Request) -> PersonChoice | None:
    person: PersonChoice | None = request.state.person
    return person


def chosen_person(request: Request) -> PersonChoice:
    """The person who works at this device; asks when nobody is chosen."""
    person = maybe_person(request)
    if person is None:
        raise NobodyChosenError
    return person


Person = Annotated[PersonChoice, Depends(chosen_person)]
MaybePerson = Annotated[PersonChoice | None, Depends(maybe_person)]
