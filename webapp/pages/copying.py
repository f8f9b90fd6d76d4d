"""An old loom on the bench, copied wire by wire: one line a wire, typed or tapped."""

import hashlib
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter
from markupsafe import Markup
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.drawings.ends import EndState
from webapp.drawings.wire import wire_svg
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import fresh_key, is_partial, redirect, render
from webapp.pages.wire_table import LinkRow, WireTable, colours_on_offer
from webapp.pages.wires import wire_table
from webapp.sizing.colours import drawing_rgb
from webapp.stages import photos
from webapp.stages.design import entry
from webapp.stages.design.accepted import Answered
from webapp.stages.design.copied_words import WAY, read_colours
from webapp.stages.design.editing.copying import EXISTING, SIDES, CopiedEnd, CopiedWire, copy
from webapp.stages.design.editing.edit import save
from webapp.stages.design.editing.wires import MOST_MM, read_section
from webapp.stages.design.halves import used_ways
from webapp.stages.design.rows import Design, Fitting
from webapp.stages.photos import Of, PhotoRow
from webapp.stages.refusals import Refused

router = APIRouter()
LAST_WIRES = 12
LOOSE = re.compile(r"(?:left )?loose(?: at (.+))?", re.IGNORECASE)
MOST_TAIL_MM = 20_000


@dataclass(frozen=True)
class Swatch:
    """A colour to tap, drawn as a piece of wire."""

    letters: str
    name: str
    rgb: str
    svg: Markup


@dataclass(frozen=True)
class Pictured:
    """A fitting of the loom with its photos."""

    fitting: Fitting
    of: Of
    photos: list[PhotoRow]


@router.get("/looms/{loom_id}/copy")
def show(request: Request, session: ReadSession, loom_id: int, left: str = "") -> Response:
    return _page(request, session, loom_id, Form({"left": left[:160]}))


def _page(
    request: Request,
    session: Session,
    loom_id: int,
    form: Form,
    *,
    said: tuple[str, ...] = (),
    part: str = "copying/_taken.html",
) -> Response:
    table = wire_table(session, loom_id)
    design = table.design
    state = design_state(session, loom_id, f"/looms/{loom_id}/copy", design)
    return render(
        request,
        "copying/page.html",
        part=part,
        status=422 if form.errors else 200,
        frame=state.frame,
        state=state,
        form=form,
        design=design,
        swatches=_swatches(design.basis.colour_code),
        ends=_ends(design),
        existing=EXISTING,
        sides=SIDES,
        rows=_last(table),
        wires=len(design.link),
        said=said,
        found_words=_found_words,
        pictured=_pictured(session, loom_id, design),
        key=fresh_key(),
    )


def _last(table: WireTable) -> list[LinkRow]:
    """The last wires, the newest first."""
    return list(table.rows.values())[: -LAST_WIRES - 1 : -1]


def _found_words(found: Iterable[Answered]) -> str:
    """3 to mend, 1 to look at: an old loom has much of it until its sections are known."""
    counts = Counter("accepted" if each.accepted else each.finding.severity for each in found)
    named = (
        (counts["error"], "to mend"),
        (counts["warning"], "to look at"),
        (counts["note"], "to note"),
        (counts["accepted"], "accepted"),
    )
    return ", ".join(f"{count} {words}" for count, words in named if count)


def _swatches(code: str) -> list[Swatch]:
    return [
        Swatch(
            letters,
            name,
            drawing_rgb(name),
            Markup(
                wire_svg(
                    drawing_rgb(name), None, EndState.CUT, EndState.CUT, 64, 18, 4.0, label=name
                )
            ),
        )
        for letters, name in colours_on_offer(code)
    ]


def _ends(design: Design) -> list[tuple[str, str]]:
    """The ways that are there, free ones first, each with its place."""
    used = used_ways(design)
    ways = [
        (way.uid in used, design.way_name(way.uid), design.place[fitting.place_uid].name)
        for fitting in design.fitting.values()
        for way in design.ways_of[fitting.uid]
    ]
    return [(name, place) for _, name, place in sorted(ways, key=lambda each: each[0])]


def _pictured(session: Session, loom_id: int, design: Design) -> list[Pictured]:
    kept = photos.of_loom(session, loom_id, "fitting")
    return [
        Pictured(fitting, Of(loom_id, "fitting", uid), kept.get(uid, []))
        for uid, fitting in design.fitting.items()
    ]


@router.post("/looms/{loom_id}/copy")
def take(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """One wire. A script sends one after the other while the next is typed."""
    design = entry.latest(session, loom_id)
    form = Form(fields)
    wire = _read(form, design, person.name)
    if not form.errors:
        try:
            edit = save(session, loom_id, copy(wire), person.id, design)
        except Refused as refused:
            form.refuse(refused.field, refused.sentence)
        else:
            said = (f"{edit.sentence}.", *edit.said)
            if is_partial(request):
                return _page(request, session, loom_id, Form(), said=said)
            kept = quote(_kept(form))
            return redirect(f"/looms/{loom_id}/copy?left={kept}", " ".join(said))
    return _page(request, session, loom_id, form, part="copying/_form.html")


def _read(form: Form, design: Design, measured_by: str) -> CopiedWire:
    form.text("colour", "The colour", most=40, needed=False)
    main, tracer, strange = read_colours(design.basis.colour_code, form.values["colour"])
    left, right = (_end(form, side) for side in SIDES)
    form.mm("length_mm", "The length", least=10, most=MOST_MM, needed=False)
    form.text("circuit", "The circuit", most=120, needed=False)
    form.text("note", "The note", most=400, needed=False)
    csa_mm2, said = _section(form, design)
    return CopiedWire(
        uid=hashlib.sha256((form.typed("once") or fresh_key()).encode()).hexdigest()[:10],
        left=left,
        right=right,
        main=main,
        tracer=tracer,
        length_mm=form.values.get("length_mm"),
        csa_mm2=csa_mm2,
        circuit=form.values["circuit"],
        note=form.values["note"],
        measured_by=measured_by,
        said=tuple(filter(None, (strange, said))),
    )


def _end(form: Form, side: str) -> CopiedEnd:
    form.text(side, f"The {side} end", most=160)
    form.text(f"{side}_place", "The place", most=60, needed=False)
    form.mm(f"{side}_loose_mm", "The tail", least=10, most=MOST_TAIL_MM, needed=False)
    form.text(f"{side}_tag", "The tag", most=40, needed=False)
    words = " ".join(form.values[side].split())
    loose = LOOSE.fullmatch(words)
    said_with_it = (loose.group(1) if loose else None) or ""
    return CopiedEnd(
        words=words,
        place=" ".join(form.values[f"{side}_place"].split()) or said_with_it,
        loose=loose is not None,
        loose_mm=form.values.get(f"{side}_loose_mm"),
        tag=form.values[f"{side}_tag"],
    )


def _section(form: Form, design: Design) -> tuple[float | None, str]:
    try:
        return read_section(design, form.typed("csa_mm2"))
    except Refused as refused:
        form.refuse("csa_mm2", refused.sentence)
        return None, ""


def _kept(form: Form) -> str:
    """The left fitting, for the next wire's way to be typed after it."""
    words = " ".join(form.values["left"].split())
    if LOOSE.fullmatch(words):
        return ""
    before, blank, last = words.rpartition(" ")
    return f"{before} " if blank and WAY.fullmatch(last) else words
