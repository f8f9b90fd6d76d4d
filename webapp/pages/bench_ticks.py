"""Ticks come in: a batch from a tablet's outbox, or one from a form where there are no scripts."""

import hashlib
import json
from datetime import UTC, datetime
from typing import Annotated, Any

from fastapi import APIRouter, Depends
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages.bench import Along, bench_page
from webapp.pages.bench_list import Address, Asked
from webapp.pages.deps import FieldsDep, Person, WriteSession, is_json
from webapp.pages.devices import device_name
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect
from webapp.stages.access.devices import DeviceNow
from webapp.stages.building import bench_feed, taking, units
from webapp.stages.building.bench import Entry

router = APIRouter()
MOST_ENTRIES = 200
# What is measured on a joint: field, name, unit, the most that can be.
MEASURES = (("height_mm", "Crimp height", "mm", 100.0), ("pull_n", "Pull force", "N", 50_000.0))


async def whole_body(request: Request) -> bytes:
    """The entries as they were sent; nothing where they come as a form, which was read before."""
    return await request.body() if is_json(request) else b""


BodyDep = Annotated[bytes, Depends(whole_body)]


@router.post("/units/{unit_id}/ticks")
def take_ticks(request: Request, body: BodyDep, session: WriteSession, unit_id: int) -> Response:
    """Answers which keys it has, which it refused, and what there is to tell of those it has.

    Who has logged in with a password ticks in no other name: what somebody else ticked here
    before is neither taken nor refused, and the device keeps it until they are back.

    The body has come whole before the session asks for its turn to write: one that comes slowly
    would keep everybody else from writing.
    """
    try:
        sent = json.loads(body)
        entries = [_entry(one, request.query_params.get("revision")) for one in sent["ticks"]]
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError):
        request.state.refused = True
        return JSONResponse({"why": "These entries could not be read."}, 422)
    if len(entries) > MOST_ENTRIES:
        request.state.refused = True
        return JSONResponse({"why": f"Send at most {MOST_ENTRIES} entries at once."}, 422)
    device: DeviceNow | None = request.state.device
    logged_in_id = device.person_id if device else None
    own = [one for one in entries if logged_in_id in (None, one.person_id)]
    answers = taking.append(session, unit_id, own, device_name(request))
    refused = [one for one in answers if not one.saved]
    return JSONResponse(
        {
            "saved": [one.key for one in answers if one.saved],
            "refused": [{"key": one.key, "why": one.sentence} for one in refused],
            "told": [{"key": one.key, "words": one.told} for one in answers if one.told],
            "kept": [one.key for one in entries if one not in own],
            "last": bench_feed.last_tick(session, units.get(session, unit_id).loom_id),
        }
    )


def _entry(sent: dict[str, Any], revision: str | None) -> Entry:
    key = str(sent["key"])
    if not key.isascii():
        raise ValueError("The key goes back in the answer, so it must be writable")
    return Entry(
        key=key,
        step_uid=str(sent["step_uid"]),
        state=str(sent["state"]),
        person_id=_whole(sent.get("person_id")) or 0,
        note=str(sent.get("note") or ""),
        revision_id=int(revision)
        if revision and revision.isascii() and revision.isdigit()
        else None,
        client_at=_moment(sent.get("client_at")),
        height_mm=_measured(sent.get("height_mm")),
        pull_n=_measured(sent.get("pull_n")),
        seen=_whole(sent.get("seen")),
    )


def _whole(value: object) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _measured(value: object) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError("A measured value is a number")
    return float(value)


def _moment(text: object) -> datetime | None:
    """The device's own time; None where its clock says nothing that can be."""
    try:
        found = datetime.fromisoformat(str(text))
        return found.astimezone(UTC) if found.tzinfo else found.replace(tzinfo=UTC)
    except (ValueError, OverflowError):
        return None


@router.post("/units/{unit_id}/ticks/plain")
def take_tick(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    unit_id: int,
    state: str = "",
    order: str = "",
    at: str = "",
    along: Along = "",
) -> Response:
    """One entry from a row of the list. All rows share a form, and so its key."""
    form = Form(fields)
    step_uid = fields.get("step", "")
    entry = Entry(
        key=key_for(fields.get("once", ""), step_uid, state),
        step_uid=step_uid,
        state=state,
        person_id=person.id,
    )
    with attempt(session, form):
        taking.tick(session, unit_id, entry, device_name(request))
    if form.errors:
        said = next(iter(form.errors.values()))
        return bench_page(request, session, unit_id, Asked(order, at, "", along), said)
    return redirect(Address(unit_id, order, along).to(at))


def key_for(once: str, step_uid: str, state: str) -> str:
    """The same form sent again is the same entry; another row of it is another."""
    digest = hashlib.sha256(f"{step_uid} {state}".encode("utf-8", "replace")).hexdigest()
    return f"{once[:40]}-{digest[:16]}" if once else ""


def read_measures(form: Form) -> None:
    """What was measured on the joint, if anything."""
    for name, label, unit, most in MEASURES:
        form.number(name, label, unit=unit, above=0, most=most, needed=False)
        form.values.setdefault(name, None)
