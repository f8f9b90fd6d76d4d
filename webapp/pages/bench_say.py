"""What may be said of a step besides a plain tick, as a form: the way without scripts."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.bench import Along
from webapp.pages.bench_list import Asked, bench_list
from webapp.pages.bench_rows import StepRow
from webapp.pages.bench_ticks import read_measures
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.devices import device_name
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.stages.building import taking
from webapp.stages.building.bench import Entry

router = APIRouter()
STATES = {
    "done": "Done: measured, or out of order with the reason",
    "held": "On hold",
    "rework": "To be made again",
    "scrapped": "Scrapped: cut again",
    "waived": "Left out, for good",
    "undone": "Taken apart, or ticked by mistake",
}


@router.get("/units/{unit_id}/bench/say")
def show(
    request: Request,
    session: ReadSession,
    unit_id: int,
    order: str = "",
    at: str = "",
    step: str = "",
    along: Along = "",
) -> Response:
    form = Form({"step": step})
    return say_page(request, session, unit_id, Asked(order, at, step, along), form)


def say_page(
    request: Request, session: Session, unit_id: int, asked: Asked, form: Form
) -> Response:
    found = bench_list(session, unit_id, asked)
    return render(
        request,
        "bench/say.html",
        status=422 if form.errors else 200,
        at=found.frame,
        unit=found.frame.unit,
        list=found,
        panel=found.panel,
        steps=[(row.uid, _named(row)) for row in found.panel.rows],
        states=list(STATES.items()),
        form=form,
    )


def _named(row: StepRow) -> str:
    return f"{row.where}: {row.title}" + (f" ({row.when})" if row.when else "")


@router.post("/units/{unit_id}/bench/say")
def say(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    unit_id: int,
    order: str = "",
    at: str = "",
    along: Along = "",
) -> Response:
    """An entry with its reason, and with what was measured."""
    form, asked = Form(fields), Asked(order, at, "", along)
    form.text("step", "The step", most=200)
    form.choice("state", "What is so", STATES)
    read_measures(form)
    measured = any(form.values[name] is not None for name in ("height_mm", "pull_n"))
    form.text("note", "The reason", most=500, needed=not measured)
    if form.errors:
        return say_page(request, session, unit_id, asked, form)
    found = bench_list(session, unit_id, asked)
    step_uid = form.values["step"]
    if form.values["state"] == "scrapped":
        # What is thrown away is the piece: it is cut again, whichever of its steps shows it.
        cuts = {row.uid: row.cut for row in found.panel.rows}
        step_uid = cuts.get(step_uid) or step_uid
    entry = Entry(
        key=fields.get("once", ""),
        step_uid=step_uid,
        state=form.values["state"],
        person_id=person.id,
        note=form.values["note"],
        height_mm=form.values["height_mm"],
        pull_n=form.values["pull_n"],
    )
    with attempt(session, form):
        taking.tick(session, unit_id, entry, device_name(request))
    if form.errors:
        return say_page(request, session, unit_id, asked, form)
    return redirect(found.address.to(found.panel.key), notice="Written into the bench journal.")
