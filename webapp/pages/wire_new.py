"""A wire typed by hand, and the one-tap mends of findings."""

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.pages.wire_table import colours_on_offer
from webapp.stages import colours
from webapp.stages.design import entry
from webapp.stages.design.editing.adding import NewEnd, NewWire, add
from webapp.stages.design.editing.edit import save
from webapp.stages.design.editing.wires import next_number, read_colour, read_section
from webapp.stages.design.halves import used_ways
from webapp.stages.design.names import key
from webapp.stages.design.rows import Design
from webapp.stages.refusals import Refused

router = APIRouter()
LOOSE = "left loose at "


@router.get("/looms/{loom_id}/wires/new")
def show(
    request: Request,
    session: ReadSession,
    loom_id: int,
    from_way: str = "",
    circuit: str = "",
    after: str = "",
) -> Response:
    """`after` is a wire that this one goes on from, in its circuit."""
    design = entry.latest(session, loom_id)
    if after in design.link:
        before = design.link[after]
        from_way = before.to_way_uid or before.from_way_uid or ""
        circuit = design.circuit[before.circuit_uid].name
    start = design.way_name(from_way) if from_way in design.way else ""
    return _page(request, session, loom_id, design, Form({"from": start, "circuit": circuit}))


def _page(
    request: Request, session: Session, loom_id: int, design: Design, form: Form, status: int = 200
) -> Response:
    state = design_state(session, loom_id, f"/looms/{loom_id}/wires/new")
    return render(
        request,
        "wires/new.html",
        status=status,
        frame=state.frame,
        state=state,
        form=form,
        design=design,
        number=next_number(design),
        ends=end_names(design),
        colours=colours_on_offer(design.basis.colour_code),
    )


def end_names(design: Design) -> list[tuple[str, str]]:
    """What an end can be: free ways, places to leave it loose, and ways that carry something."""
    used = used_ways(design)
    ways = [
        (design.way_name(way.uid), design.place[fitting.place_uid].name, way.uid in used)
        for fitting in design.fitting.values()
        for way in design.ways_of[fitting.uid]
    ]
    free = [(name, place) for name, place, taken in ways if not taken]
    full = [(name, f"{place}, in use") for name, place, taken in ways if taken]
    loose = [(f"{LOOSE}{place.name}", "tagged") for place in design.place.values()]
    return [*free, *loose, *full]


def read_end(form: Form, design: Design, field: str, label: str) -> NewEnd | None:
    """An end by its name, as `end_names` offers it."""
    form.text(field, label)
    typed = key(form.values.get(field) or "")
    if not typed:
        return None
    for way in design.way.values():
        if key(design.way_name(way.uid)) == typed:
            return NewEnd(way.uid)
    for place in design.place.values():
        if key(f"{LOOSE}{place.name}") == typed:
            return _loose(form, field, place.uid)
    form.refuse(
        field,
        f"Nothing here is called “{form.typed(field)[:60]}”: choose a fitting and way such as "
        f"“Horn relay · 87”, or “{LOOSE}…” and a place.",
    )
    return None


def _loose(form: Form, field: str, place_uid: str) -> NewEnd:
    name = f"{field}_loose_mm"
    form.mm(name, "The length left loose", least=10, most=20_000, needed=False)
    length_mm = form.values.get(name)
    return NewEnd(None, place_uid, length_mm) if length_mm else NewEnd(None, place_uid)


@router.post("/looms/{loom_id}/wires/new")
def create(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    form = Form(fields)
    wire = _read(form, design)
    if wire is not None and not form.errors:
        try:
            edit = save(session, loom_id, add(wire, colours.palette(session)), person.id)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
        else:
            notice = " ".join((f"{edit.sentence}.", *edit.said))
            if fields.get("then") == "another":
                return redirect(f"/looms/{loom_id}/wires/new", notice)
            new = [uid for uid in edit.design.link if uid not in design.link]
            return redirect(f"/looms/{loom_id}/wires#wire-{new[0]}", notice)
    return _page(request, session, loom_id, design, form, status=422)


def _read(form: Form, design: Design) -> NewWire | None:
    start = read_end(form, design, "from", "From")
    end = read_end(form, design, "to", "To")
    form.text("circuit", "The circuit", most=120)
    form.text("note", "The note", most=400, needed=False)
    colours = {name: _colour(form, design, name) for name in ("main", "tracer")}
    if colours["tracer"] and not colours["main"]:
        form.refuse("tracer", "A tracer needs a main colour.")
    elif colours["tracer"] and colours["tracer"] == colours["main"]:
        form.refuse("tracer", "The tracer must differ from the main colour.")
    csa_mm2, said = _section(form, design)
    if start is None or end is None or form.errors:
        return None
    return NewWire(
        start=start,
        end=end,
        circuit=form.values["circuit"],
        main=colours["main"],
        tracer=colours["tracer"],
        csa_mm2=csa_mm2,
        note=form.values["note"],
        said=said,
    )


def _colour(form: Form, design: Design, field: str) -> str:
    try:
        return read_colour(design.basis.colour_code, form.typed(field))
    except Refused as refused:
        form.refuse(field, refused.sentence)
        return ""


def _section(form: Form, design: Design) -> tuple[float | None, str]:
    try:
        return read_section(design, form.typed("csa_mm2"))
    except Refused as refused:
        form.refuse("csa_mm2", refused.sentence)
        return None, ""
