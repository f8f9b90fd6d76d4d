"""Build: the units of a loom, one unit wire by wire, and the gate to test."""

from dataclasses import dataclass

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.at_work import at_work
from webapp.pages.bench_photos import unit_photos
from webapp.pages.crimp_forms import address_of
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.editing import attempt
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import redirect, render
from webapp.pages.unit_frame import unit_frame
from webapp.pages.wire_rows import WireRow, wire_row
from webapp.pages.wording import plural
from webapp.stages import catalogue, change_quotes, looms, priced_time, rates, workshop
from webapp.stages.building import (
    bench,
    bench_journal,
    crimp_standing,
    cutting,
    gate,
    how_far,
    scrap,
    time_taken,
    units,
    wire_colours,
)
from webapp.stages.building.bench_journal import JournalLine
from webapp.stages.building.cable_steps import piece_place
from webapp.stages.building.steps import OtherWork
from webapp.stages.building.superseding import step_changes, undone_steps
from webapp.stages.building.tick_states import FINISHED
from webapp.stages.building.units import UnitRow
from webapp.stages.design import revisions, rows

router = APIRouter()


@router.get("/looms/{loom_id}/build")
def show_loom(request: Request, session: ReadSession, loom_id: int) -> Response:
    return loom_page(request, session, loom_id, Form({"depth": workshop.get(session).step_depth}))


def loom_page(request: Request, session: Session, loom_id: int, form: Form) -> Response:
    frame = loom_frame(session, loom_id)
    return render(
        request,
        "building/loom.html",
        status=422 if form.errors else 200,
        frame=frame,
        form=form,
        progress=how_far.of_loom(session, loom_id),
        at_work=at_work(request, session, loom_id),
        taken_s=time_taken.by_unit(session, (loom_id,)),
        priced=priced_time.of_loom(session, loom_id),
        scrap=scrap.of_loom(session, loom_id),
        quantity=looms.get(session, loom_id).quantity,
        revision=revisions.latest_signed_off(session, loom_id),
    )


@router.post("/looms/{loom_id}/build")
def start(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    form = Form(fields)
    form.choice("depth", "How finely the bench ticks", ("short", "full"))
    if form.errors:
        return loom_page(request, session, loom_id, form)
    made: list[int] = []
    with attempt(session, form):
        made = units.start(session, loom_id, person.id, form.values["depth"])
    if form.errors:
        return loom_page(request, session, loom_id, form)
    return redirect(f"/looms/{loom_id}/build", notice=f"{plural(len(made), 'unit')} started.")


@router.get("/looms/{loom_id}/cut-list")
def cut_list(request: Request, session: ReadSession, loom_id: int) -> Response:
    frame = loom_frame(session, loom_id)
    revision = revisions.latest_signed_off(session, loom_id) or revisions.latest(session, loom_id)
    design = rows.load(session, revision.id)
    parts = catalogue.read(session).parts
    return render(
        request,
        "building/cut_list.html",
        frame=frame,
        revision=revision,
        design=design,
        groups=cutting.cable_groups(design, parts),
        cables=cutting.core_cables(design, parts),
        places=lambda piece, side: piece_place(design, piece, side),
        quantity=looms.get(session, loom_id).quantity,
        again=scrap.of_loom(session, loom_id),
        scrap_percent=float(rates.values(session)["scrap_percent"]),
        colours=wire_colours,
    )


@dataclass(frozen=True)
class OtherRow:
    work: OtherWork
    done: int
    first_open: str


def other_row(work: OtherWork, states: dict[str, str]) -> OtherRow:
    unfinished = [step for step in work.steps if states.get(step.uid) not in FINISHED]
    first = unfinished[0].title if unfinished else ""
    return OtherRow(work, len(work.steps) - len(unfinished), first)


@router.get("/units/{unit_id}/build")
def show_unit(request: Request, session: ReadSession, unit_id: int) -> Response:
    return unit_page(request, session, unit_id, Form())


def unit_page(request: Request, session: Session, unit_id: int, form: Form) -> Response:
    frame = unit_frame(session, unit_id)
    design = rows.load(session, frame.unit.revision_id)
    plan = units.plan_of(session, frame.unit)
    now = bench.state(session, unit_id)
    states = {uid: step.state for uid, step in now.items()}
    wires = [wire_row(design, work, states) for work in plan.wires]
    done, total = bench.counts(plan, states.items())
    newer = units.newer_revision(session, frame.unit)
    newer_plan = units.plan_at(session, newer.id, frame.unit.depth) if newer else None
    return render(
        request,
        "building/unit.html",
        status=422 if form.errors else 200,
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        at_work=at_work(request, session, frame.unit.loom_id),
        taken=time_taken.of_unit(session, unit_id),
        scrap=scrap.of_loom(session, frame.unit.loom_id).of_unit(unit_id),
        form=form,
        wires=wires,
        next_wire=_first_open(wires),
        others=[other_row(work, states) for work in (*plan.cables, *plan.others)],
        done=done,
        total=total,
        gaps=gate.gaps(plan, now) + gate.crimp_gaps(session, frame.unit),
        setups=crimp_standing.groups(session, frame.unit),
        address_of=address_of,
        waived=[*gate.waived(plan, now), *crimp_standing.waived(session, frame.unit)],
        newer=newer,
        changes=step_changes(plan, newer_plan) if newer_plan else None,
        agreed=change_quotes.agreed_to(session, frame.unit),
        undoes=undone_steps(plan, newer_plan, states) if newer_plan else (),
        photos=unit_photos(session, unit_id),
        superseded=_by_place(bench_journal.superseded(session, units.get(session, unit_id), plan)),
    )


def _by_place(lines: list[JournalLine]) -> dict[tuple[str, str], list[str]]:
    """The titles of superseded steps by where they belong and why they are superseded."""
    found: dict[tuple[str, str], list[str]] = {}
    for line in reversed(lines):
        found.setdefault((line.where, line.note), []).append(line.title)
    return found


def _first_open(wires: list[WireRow]) -> str | None:
    return next((wire.uid for wire in wires if not wire.finished), None)


@router.post("/units/{unit_id}/build")
def act(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, unit_id: int
) -> Response:
    """One of the three acts on a unit: pass it to test, send it back, move it to a revision."""
    form = Form(fields)
    unit = units.row(session, unit_id)
    form.choice("act", "What to do", ("pass", "back", "revision"))
    form.text("reason", "The reason", most=400, needed=fields.get("act") != "pass")
    if fields.get("act") == "revision":
        form.whole("revision_id", "The revision", least=1)
    if form.errors:
        return unit_page(request, session, unit_id, form)
    notice = ""
    with attempt(session, form):
        notice = _do(session, unit, form, person.id)
    if form.errors:
        return unit_page(request, session, unit_id, form)
    stage = "test" if form.values["act"] == "pass" else "build"
    return redirect(f"/units/{unit_id}/{stage}", notice=notice)


def _do(session: Session, unit: UnitRow, form: Form, person_id: int) -> str:
    reason = form.values["reason"]
    if form.values["act"] == "pass":
        gate.pass_to_test(session, unit.id, person_id)
        return f"Unit {unit.serial} is at test."
    if form.values["act"] == "back":
        units.send_back(session, unit.id, "build", reason, person_id)
        return f"Unit {unit.serial} is back at build. Readings of what is reworked will not count."
    count = units.move_to_revision(session, unit.id, form.values["revision_id"], reason, person_id)
    again = f" {plural(count, 'tick')} superseded." if count else ""
    return f"Unit {unit.serial} is built to the new revision from now on.{again}"
