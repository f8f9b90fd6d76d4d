"""The bench tablet: one wire end at a time, one tap one tick; and the unit's bench journal."""

import json
from datetime import UTC, datetime
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Depends
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages.bench_panels import Panel, key_of_step, panels
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.pages.unit_frame import UnitFrame, unit_frame
from webapp.stages import catalogue
from webapp.stages.building import bench, bench_journal, taking, units
from webapp.stages.building.bench import Entry
from webapp.stages.building.steps import WorkPlan
from webapp.stages.design import rows
from webapp.stages.refusals import NotThere
from webapp.stages.testing import standing

router = APIRouter()
MOST_ENTRIES = 200
SAY_STATES = {
    "done": "Done, out of order",
    "held": "On hold",
    "waived": "Left out, for good",
    "undone": "Taken apart, or ticked by mistake",
}


async def whole_body(request: Request) -> bytes:
    return await request.body()


BodyDep = Annotated[bytes, Depends(whole_body)]


@router.get("/units/{unit_id}/bench")
def show(
    request: Request, session: ReadSession, unit_id: int, at: str = "", step: str = ""
) -> Response:
    return bench_page(request, session, unit_id, at, step)


def bench_page(
    request: Request, session: Session, unit_id: int, at: str = "", step: str = "", said: str = ""
) -> Response:
    frame, plan, found = _everything(session, unit_id)
    place = _place(plan, found, at, step)
    return render(
        request,
        "bench/bench.html",
        part="bench/_part.html",
        status=422 if said else 200,
        at=frame,
        unit=frame.unit,
        panel=found[place],
        panels=found,
        place=place,
        said=said,
    )


def _everything(session: Session, unit_id: int) -> tuple[UnitFrame, WorkPlan, list[Panel]]:
    frame = unit_frame(session, unit_id)
    design = rows.load(session, frame.unit.revision_id)
    parts = catalogue.read(session).parts
    plan = units.plan_of(session, frame.unit)
    early = standing.open_first_offs(session, frame.unit)
    found = panels(design, parts, plan, bench.state(session, unit_id), early)
    if not found:
        raise NotThere
    return frame, plan, found


def _place(plan: WorkPlan, found: list[Panel], at: str, step: str) -> int:
    """Which panel: as asked for, else the first that is not finished."""
    keys = [panel.key for panel in found]
    wanted = key_of_step(plan, step) if step else at
    if wanted in keys:
        return keys.index(wanted)
    works = [work.left.uid for work in plan.wires if work.uid == wanted]
    if works:
        return keys.index(works[0])
    return next((n for n, panel in enumerate(found) if not panel.finished), 0)


@router.post("/units/{unit_id}/ticks")
def take_ticks(request: Request, session: WriteSession, body: BodyDep, unit_id: int) -> Response:
    """A batch of entries from a device's outbox; answers which keys it has, which it refused."""
    try:
        sent = json.loads(body)
        entries = [_entry(one, request.query_params.get("revision")) for one in sent["ticks"]]
    except (ValueError, KeyError, TypeError, AttributeError):
        request.state.refused = True
        return JSONResponse({"why": "These entries could not be read."}, 422)
    if len(entries) > MOST_ENTRIES:
        request.state.refused = True
        return JSONResponse({"why": f"Send at most {MOST_ENTRIES} entries at once."}, 422)
    device = request.client.host if request.client else ""
    answers = taking.append(session, unit_id, entries, device)
    return JSONResponse(
        {
            "saved": [answer.key for answer in answers if answer.saved],
            "refused": [
                {"key": answer.key, "why": answer.sentence}
                for answer in answers
                if not answer.saved
            ],
        }
    )


def _entry(sent: dict[str, Any], revision: str | None) -> Entry:
    person_id = sent.get("person_id")
    key = str(sent["key"])
    if not key.isascii():
        raise ValueError("The key goes back in the answer, so it must be writable")
    return Entry(
        key=key,
        step_uid=str(sent["step_uid"]),
        state=str(sent["state"]),
        person_id=person_id if isinstance(person_id, int) else 0,
        note=str(sent.get("note") or ""),
        revision_id=int(revision)
        if revision and revision.isascii() and revision.isdigit()
        else None,
        client_at=_moment(sent.get("client_at")),
    )


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
    at: str = "",
) -> Response:
    """One entry from a form: the way without scripts."""
    form = Form(fields)
    entry = Entry(
        key=fields.get("once", ""),
        step_uid=fields.get("step", ""),
        state=fields.get("state", ""),
        person_id=person.id,
        note=fields.get("note", ""),
    )
    with attempt(session, form):
        taking.tick(session, unit_id, entry, "form")
    if form.errors:
        return bench_page(request, session, unit_id, at, said=next(iter(form.errors.values())))
    return redirect(_address(unit_id, at))


def _address(unit_id: int, at: str) -> str:
    return f"/units/{unit_id}/bench?at={quote(at)}"


@router.get("/units/{unit_id}/bench/say")
def show_say(request: Request, session: ReadSession, unit_id: int, at: str = "") -> Response:
    return say_page(request, session, unit_id, at, Form())


def say_page(request: Request, session: Session, unit_id: int, at: str, form: Form) -> Response:
    frame, plan, found = _everything(session, unit_id)
    return render(
        request,
        "bench/say.html",
        status=422 if form.errors else 200,
        at=frame,
        unit=frame.unit,
        panel=found[_place(plan, found, at, "")],
        states=list(SAY_STATES.items()),
        form=form,
    )


@router.post("/units/{unit_id}/bench/say")
def say(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    unit_id: int,
    at: str = "",
) -> Response:
    """An entry with its reason: out of order, on hold, left out, taken apart and remade."""
    form = Form(fields)
    form.text("step", "The step", most=200)
    form.choice("state", "What is so", SAY_STATES)
    form.text("note", "The reason", most=500)
    if form.errors:
        return say_page(request, session, unit_id, at, form)
    entry = Entry(
        key=fields.get("once", ""),
        step_uid=form.values["step"],
        state=form.values["state"],
        person_id=person.id,
        note=form.values["note"],
    )
    with attempt(session, form):
        taking.tick(session, unit_id, entry, "form")
    if form.errors:
        return say_page(request, session, unit_id, at, form)
    return redirect(_address(unit_id, at), notice="Written into the bench journal.")


@router.get("/units/{unit_id}/journal")
def show_journal(request: Request, session: ReadSession, unit_id: int) -> Response:
    frame = unit_frame(session, unit_id)
    unit = units.get(session, unit_id)
    return render(
        request,
        "bench/journal.html",
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        lines=bench_journal.journal(session, unit, units.plan_of(session, unit)),
    )
