"""The fittings of a loom by place, one fitting with its ways, and plugs put in and taken out."""

from typing import Any

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import cells, fitting_cells
from webapp.pages.cells import Refusal, Taken
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.fitting_rows import FittingRows
from webapp.pages.forms import Form
from webapp.pages.plug_faces import faces, leading
from webapp.pages.render import error_page, is_partial, redirect, render
from webapp.pages.wires import wire_table
from webapp.pages.wording import plural
from webapp.stages import catalogue, photos
from webapp.stages.catalogue import CatalogPart, Catalogue
from webapp.stages.design import entry
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import fittings, plugs, ways
from webapp.stages.design.editing.edit import get, save
from webapp.stages.design.editing.removals import remove_fitting, wire_words, wires_of_fitting
from webapp.stages.design.names import key
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import travelled
from webapp.stages.photos import Of
from webapp.stages.refusals import NotThere, Refused

router = APIRouter()


def _context(
    session: Session, loom_id: int, here: str, refused: Refusal | None = None
) -> dict[str, Any]:
    table = wire_table(session, loom_id)
    state = design_state(session, loom_id, here, table.design)
    return {
        "rows": FittingRows(table),
        "design": table.design,
        "state": state,
        "frame": state.frame,
        "refused": refused,
        "said": (),
        "suppliers": [(each, each) for each in fittings.SUPPLIERS],
    }


@router.get("/looms/{loom_id}/fittings")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    here = f"/looms/{loom_id}/fittings"
    return render(request, "fittings/list.html", **_context(session, loom_id, here))


# A new fitting


@router.get("/looms/{loom_id}/fittings/new")
def new(request: Request, session: ReadSession, loom_id: int) -> Response:
    return _new_page(request, session, loom_id, Form({"supplied_by": "workshop"}))


def _new_page(
    request: Request, session: Session, loom_id: int, form: Form, status: int = 200
) -> Response:
    state = design_state(session, loom_id, f"/looms/{loom_id}/fittings/new")
    return render(
        request,
        "fittings/new.html",
        status=status,
        frame=state.frame,
        state=state,
        form=form,
        design=entry.latest(session, loom_id),
        parts=part_options(catalogue.read(session), halves=True),
        suppliers=[(each, each) for each in fittings.SUPPLIERS],
    )


def part_options(parts: Catalogue, *, halves: bool = False) -> list[tuple[str, str]]:
    """The parts that a fitting can be, sorted by what they are; with plug halves if asked."""
    offered = sorted(fittings.parts_on_offer(parts), key=_by_what)
    options = [(part.uid, f"{part.text('what')}: {part.name}") for part in offered]
    if halves:
        options += [
            (f"{part.uid}|{half}", f"{half} half alone: {part.name}")
            for part, half in fittings.halves_on_offer(parts)
        ]
    return options


def _by_what(part: CatalogPart) -> tuple[str, float]:
    return part.text("what"), part.number("max_a")


@router.post("/looms/{loom_id}/fittings/new")
def create(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    form = Form(fields)
    form.text("name", "The name", most=80)
    offered = part_options(catalogue.read(session), halves=True)
    form.choice("part_uid", "The part", [uid for uid, _ in offered])
    form.choice("supplied_by", "Supplied by", fittings.SUPPLIERS)
    form.text("note", "The note", most=400, needed=False)
    place_uid = _place(form, design)
    if not form.errors:
        part_uid, _, half = form.values["part_uid"].partition("|")
        editing = fittings.add(
            part_uid,
            form.values["name"],
            place_uid,
            half=half,
            supplied_by=form.values["supplied_by"],
            note=form.values["note"],
        )
        try:
            edit = save(session, loom_id, editing, person.id)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
        else:
            again = fields.get("then") == "another"
            to = "/new" if again else ""
            return redirect(f"/looms/{loom_id}/fittings{to}", f"{edit.sentence}.")
    return _new_page(request, session, loom_id, form, status=422)


def _place(form: Form, design: Design) -> str:
    form.text("place_uid", "The place", most=120)
    typed = key(form.values.get("place_uid") or "")
    for place in design.place.values():
        if key(place.name) == typed:
            return place.uid
    if typed:
        form.refuse("place_uid", "No place is called so: choose one, or add it under Needs.")
    return ""


# Plugs


@router.get("/looms/{loom_id}/fittings/plug")
def new_plug(request: Request, session: ReadSession, loom_id: int) -> Response:
    return _plug_page(request, session, loom_id, Form())


def _plug_page(
    request: Request, session: Session, loom_id: int, form: Form, status: int = 200
) -> Response:
    design = entry.latest(session, loom_id)
    state = design_state(session, loom_id, f"/looms/{loom_id}/fittings/plug")
    return render(
        request,
        "fittings/plug.html",
        status=status,
        frame=state.frame,
        state=state,
        form=form,
        spots=plug_spots(design),
    )


def plug_spots(design: Design) -> list[tuple[str, str]]:
    """Each end of each run that has wires: run and place, how many wires pass, how many of them
    go through a plug there already.
    """
    passing: dict[str, int] = {}
    for link in design.link.values():
        for run_uid, _ in travelled(design, link):
            passing[run_uid] = passing.get(run_uid, 0) + 1
    plugged: dict[tuple[str, str], int] = {}
    for crossing in design.crossing.values():
        for way_uid in (crossing.way_a_uid, crossing.way_b_uid):
            half = design.fitting[design.way[way_uid].fitting_uid]
            if half.run_uid:
                spot = half.run_uid, half.place_uid
                plugged[spot] = plugged.get(spot, 0) + 1
    spots = []
    for run in design.run.values():
        for place, other in (
            (run.from_place_uid, run.to_place_uid),
            (run.to_place_uid, run.from_place_uid),
        ):
            if passing.get(run.uid):
                names = design.place[place].name, design.place[other].name
                count = plural(passing[run.uid], "wire")
                words = f"at {names[0]}, on the run to {names[1]}: {count}"
                if there := plugged.get((run.uid, place)):
                    words += f", {there} through a plug there"
                spots.append((f"{run.uid}|{place}", words))
    return spots


@router.post("/looms/{loom_id}/fittings/plug")
def put_in(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    form = Form(fields)
    form.choice("run_uid", "Where", [spot for spot, _ in plug_spots(design)])
    form.yes("sealed")
    if not form.errors:
        run_uid, _, place_uid = form.values["run_uid"].partition("|")
        editing = plugs.put_in(place_uid, run_uid, sealed=form.values["sealed"])
        try:
            edit = save(session, loom_id, editing, person.id)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
        else:
            return redirect(
                f"/looms/{loom_id}/fittings", " ".join((f"{edit.sentence}.", *edit.said))
            )
    return _plug_page(request, session, loom_id, form, status=422)


# One fitting


@router.get("/looms/{loom_id}/fittings/{fitting_uid}")
def one(request: Request, session: ReadSession, loom_id: int, fitting_uid: str) -> Response:
    return _one(request, session, loom_id, fitting_uid)


def _one(
    request: Request,
    session: Session,
    loom_id: int,
    fitting_uid: str,
    taken: Taken | None = None,
    *,
    part: str = "fittings/_facts_answer.html",
    led: Form | None = None,
) -> Response:
    here = f"/looms/{loom_id}/fittings/{fitting_uid}"
    context = _context(session, loom_id, here, taken.refusal if taken else None)
    design, on_way = context["design"], context["rows"].table.view.on_way
    fitting = get(design, "fitting", fitting_uid)
    mate = design.fitting.get(fitting.mate_uid or "")
    context["said"] = taken.said if taken else ()
    led = led or Form()
    return render(
        request,
        "fittings/one.html",
        part=part,
        status=taken.status if taken else 422 if led.errors else 200,
        row=context["rows"].row(fitting),
        mate=mate,
        mate_faces=faces(design, mate, on_way) if mate else [],
        parts=part_options(catalogue.read(session)),
        leading=leading(design, fitting, on_way),
        led=led,
        photos_of=Of(loom_id, "fitting", fitting_uid),
        photos=photos.of_loom(session, loom_id, "fitting").get(fitting_uid, []),
        **context,
    )


@router.post("/looms/{loom_id}/fittings/{fitting_uid}")
def change(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
    page: str = "",
) -> Response:
    """One cell of a fitting, from the table or from its own page."""
    design = entry.latest(session, loom_id)
    get(design, "fitting", fitting_uid)
    known = fitting_cells.fitting_cells(design, catalogue.read(session), fitting_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"fitting-{fitting_uid}")
    here = f"/looms/{loom_id}/fittings"
    if page == "one":
        if taken.refusal is None and not is_partial(request):
            return redirect(f"{here}/{fitting_uid}", " ".join(taken.said) or "Saved.")
        return _one(request, session, loom_id, fitting_uid, taken)
    if taken.refusal is None and not is_partial(request):
        return redirect(f"{here}#fitting-{fitting_uid}", " ".join(taken.said) or "Saved.")
    context = _context(session, loom_id, here, taken.refusal)
    context["said"] = taken.said
    fitting = get(context["design"], "fitting", fitting_uid)
    return render(
        request,
        "fittings/list.html",
        part="fittings/_answer.html",
        status=taken.status,
        row=context["rows"].row(fitting),
        **context,
    )


@router.post("/looms/{loom_id}/fittings/{fitting_uid}/inside/{bridge_uid}")
def change_inside(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
    bridge_uid: str,
) -> Response:
    """The fuse-link or the current between two ways of a fitting."""
    bridge = get(entry.latest(session, loom_id), "bridge", bridge_uid)
    if bridge.fitting_uid != fitting_uid:
        raise NotThere
    known = fitting_cells.inside_cells(bridge_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"inside-{bridge_uid}")
    return _answer_ways(request, session, loom_id, fitting_uid, taken)


@router.post("/looms/{loom_id}/fittings/{fitting_uid}/through/{crossing_uid}")
def change_through(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
    crossing_uid: str,
) -> Response:
    """The way of a plug that a wire goes through."""
    design = entry.latest(session, loom_id)
    get(design, "fitting", fitting_uid)
    get(design, "crossing", crossing_uid)
    known = fitting_cells.through_cells(crossing_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"through-{crossing_uid}")
    return _answer_ways(request, session, loom_id, fitting_uid, taken)


@router.post("/looms/{loom_id}/fittings/{fitting_uid}/way/{way_uid}")
def change_way(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
    way_uid: str,
) -> Response:
    """The contact of a way that grew from wires."""
    design = entry.latest(session, loom_id)
    get(design, "fitting", fitting_uid)
    get(design, "way", way_uid)
    known = fitting_cells.way_cells(fitting_uid, way_uid)
    taken = cells.take(session, loom_id, person.id, fields, known, f"way-{way_uid}")
    return _answer_ways(request, session, loom_id, fitting_uid, taken)


def _answer_ways(
    request: Request, session: Session, loom_id: int, fitting_uid: str, taken: Taken
) -> Response:
    if taken.refusal is None and not is_partial(request):
        notice = " ".join(taken.said) or "Saved."
        return redirect(f"/looms/{loom_id}/fittings/{fitting_uid}", notice)
    part = "fittings/_ways_answer.html"
    return _one(request, session, loom_id, fitting_uid, taken, part=part)


# Wires led to other ways


@router.post("/looms/{loom_id}/fittings/{fitting_uid}/ways")
def lead(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
) -> Response:
    """A wire to another way, dragged, keyed or chosen from two lists."""
    design = entry.latest(session, loom_id)
    fitting = get(design, "fitting", fitting_uid)
    form = Form(fields)
    link_uid, sign, from_way_uid = form.typed("wire").partition("|")
    to_way_uid, also, seen = form.typed("to").partition("|")
    if not sign:
        form.refuse("wire", "Choose the wire that is to go to another way.")
    if not also:
        form.refuse("to", "Choose the way that it is to go to.")
    said: tuple[str, ...] = ()
    if not form.errors:
        saw = tuple(filter(None, seen.split(",")))
        try:
            editing = ways.lead(fitting_uid, link_uid, from_way_uid, to_way_uid, saw)
            edit = save(session, loom_id, editing, person.id)
        except Refused as refused:
            form.refuse("to", refused.sentence)
        except Clash:
            form.refuse("to", "Somebody has led wires here meanwhile: look at the ways again.")
        except NotThere:
            form.refuse("wire", "This wire is no longer there: choose another.")
        else:
            said = (f"{edit.sentence}.", *edit.said)
            form = Form()
    if said and not is_partial(request):
        return redirect(f"/looms/{loom_id}/fittings/{fitting.uid}#faces", " ".join(said))
    form.values["said"] = said
    part = "fittings/_led_answer.html"
    return _one(request, session, loom_id, fitting_uid, part=part, led=form)


# Taking a fitting out


@router.get("/looms/{loom_id}/fittings/{fitting_uid}/remove")
def ask_remove(request: Request, session: ReadSession, loom_id: int, fitting_uid: str) -> Response:
    design = entry.latest(session, loom_id)
    fitting = get(design, "fitting", fitting_uid)
    links = wires_of_fitting(design, fitting_uid)
    state = design_state(session, loom_id, f"/looms/{loom_id}/fittings")
    return render(
        request,
        "fittings/remove.html",
        frame=state.frame,
        state=state,
        fitting=fitting,
        name=fitting.name.rpartition(",")[0] if fitting.mate_uid else fitting.name,
        going=[_sentence(wire_words(design, link)) for link in links],
        agreed=",".join(link.uid for link in links),
    )


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


@router.post("/looms/{loom_id}/fittings/{fitting_uid}/remove")
def remove(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    fitting_uid: str,
) -> Response:
    here = f"/looms/{loom_id}/fittings"
    agreed = tuple(filter(None, fields.get("agreed", "").split(",")))
    back = [("Look at it again", f"{here}/{fitting_uid}/remove")]
    try:
        edit = save(session, loom_id, remove_fitting(fitting_uid, agreed), person.id)
    except Clash:
        words = "Other wires go to it by now than were named. Nothing was taken out."
        return error_page(request, 409, "Changed meanwhile", words, links=back)
    except Refused as refused:
        return error_page(request, 422, "Not taken out", refused.sentence, links=back)
    return redirect(here, f"{edit.sentence}. Undo brings it back.")
