"""Cables and pairs: which wires are laid as one, in what, and laying or parting them by hand."""

import re
from collections.abc import Callable
from dataclasses import dataclass

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.design_state import design_state
from webapp.pages.forms import Form
from webapp.pages.render import redirect, render
from webapp.stages import catalogue as catalogues
from webapp.stages.building import wire_colours
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import entry
from webapp.stages.design.cables import CABLE_KINDS, SCREEN, TWISTED, Piece, pieces
from webapp.stages.design.commands import Clash
from webapp.stages.design.editing import cables
from webapp.stages.design.editing.edit import Editing, get, save
from webapp.stages.design.rows import Cable, Design, Link
from webapp.stages.refusals import Refused

router = APIRouter()
Options = list[tuple[str, str]]
NUMBERS = re.compile(r"[\s,;]+")
CHANGED = (
    "Somebody else changed this meanwhile. It stands as shown now: repeat it if it still holds."
)


@dataclass(frozen=True)
class CoreRow:
    """One wire of a cable."""

    link: Link
    letters: str
    rgb: str
    words: str

    @property
    def is_screen(self) -> bool:
        return self.link.core == SCREEN


@dataclass(frozen=True)
class CableRow:
    """A cable with what lies in it, and the parts that it could be."""

    cable: Cable
    cores: tuple[CoreRow, ...]
    pieces: tuple[Piece, ...]
    part_name: str
    parts: Options

    @property
    def sheathed(self) -> bool:
        return self.cable.kind != TWISTED

    @property
    def conductors(self) -> int:
        return sum(not core.is_screen for core in self.cores)


@router.get("/looms/{loom_id}/cables")
def show(request: Request, session: ReadSession, loom_id: int, wires: str = "") -> Response:
    return _page(request, session, loom_id, Form({"wires": wires.strip()[:100]}))


def _page(request: Request, session: Session, loom_id: int, form: Form) -> Response:
    design, catalogue = entry.latest(session, loom_id), catalogues.read(session)
    state = design_state(session, loom_id, f"/looms/{loom_id}/cables")
    return render(
        request,
        "cables/list.html",
        status=422 if form.errors else 200,
        frame=state.frame,
        state=state,
        design=design,
        form=form,
        rows=_rows(design, catalogue),
        kinds=[(kind, kind) for kind in CABLE_KINDS],
        parts=_parts(design, catalogue),
    )


def _rows(design: Design, catalogue: Catalogue) -> list[CableRow]:
    found = pieces(design)
    return [
        CableRow(
            cable=cable,
            cores=tuple(_core(design, link) for link in _lying_in(design, cable)),
            pieces=tuple(piece for piece in found if piece.cable.uid == cable.uid),
            part_name=part.name if (part := catalogue.get(cable.part_uid)) else "",
            parts=_parts(design, catalogue, screened=cable.kind == "screened cable"),
        )
        for cable in design.cable.values()
    ]


def _lying_in(design: Design, cable: Cable) -> list[Link]:
    mine = [link for link in design.link.values() if link.cable_uid == cable.uid]
    return sorted(mine, key=lambda link: (link.core == SCREEN, link.number))


def _core(design: Design, link: Link) -> CoreRow:
    ends = [
        design.way_name(uid) if uid or link.core != SCREEN else "cut back and sleeved"
        for uid in (link.from_way_uid, link.to_way_uid)
    ]
    return CoreRow(
        link=link,
        letters=wire_colours.letters(design, link),
        rgb=wire_colours.main_rgb(design, link),
        words=" – ".join(ends),
    )


def _parts(design: Design, catalogue: Catalogue, *, screened: bool | None = None) -> Options:
    """The cables of cores of the conductor that the job names, the fewest cores first."""
    basis = design.basis
    found = [
        part
        for part in catalogue.kind("cable of cores")
        if part.text("conductor_kind") == basis.cable_kind
        and part.text("finish") == basis.cable_finish
        and screened in (None, bool(part.facts.get("screened")))
    ]
    found.sort(key=lambda part: (len(part.core_colours), part.number("csa_mm2"), part.name))
    return [(part.uid, part.name) for part in found]


@router.post("/looms/{loom_id}/cables")
def lay(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    """Lay wires together."""
    form = Form(fields)
    design = entry.latest(session, loom_id)
    uids = _wires(form, design)
    form.choice("kind", "Laid as", CABLE_KINDS)
    form.text("part_uid", "Cable", most=200, needed=False)

    def editing() -> Editing:
        return cables.lay(uids, form.values["kind"], form.values["part_uid"] or None)

    return _done(request, session, loom_id, person.id, form, editing)


def _wires(form: Form, design: Design) -> list[str]:
    """Wires by their numbers: 5, 6."""
    form.text("wires", "Wires", most=100)
    by_number = {str(link.number): link.uid for link in design.link.values()}
    found = []
    for word in filter(None, NUMBERS.split(form.values.get("wires") or "")):
        if word in by_number:
            found.append(by_number[word])
        else:
            form.refuse(
                "wires", f"There is no wire “{word[:20]}”. Give their numbers, such as 5, 6."
            )
    return found


@router.post("/looms/{loom_id}/cables/{cable_uid}")
def change(
    request: Request,
    session: WriteSession,
    fields: FieldsDep,
    person: Person,
    loom_id: int,
    cable_uid: str,
) -> Response:
    """Change a cable's part or name, take one wire out of it, or lay all its wires single."""
    form = Form(fields, prefix=f"{cable_uid}-")
    cable: Cable = get(entry.latest(session, loom_id), "cable", cable_uid)
    act = fields.get("act", "")
    if act == "part":
        form.text("part_uid", "Cable", most=200, needed=False)
        seen = fields.get("seen") or None
    elif act == "name":
        form.text("name", "Name", most=cables.MOST_NAME)

    def editing() -> Editing:
        if act == "part":
            return cables.change_part(cable_uid, form.values["part_uid"] or None, seen)
        if act == "name":
            return cables.rename(cable_uid, form.values["name"], cable.name)
        if act == "out":
            return cables.take_out(fields.get("link_uid", ""))
        return cables.dissolve(cable_uid)

    return _done(request, session, loom_id, person.id, form, editing)


def _done(
    request: Request,
    session: Session,
    loom_id: int,
    person_id: int,
    form: Form,
    editing: Callable[[], Editing],
) -> Response:
    if not form.errors:
        try:
            edit = save(session, loom_id, editing(), person_id)
        except Refused as refused:
            form.refuse(refused.field or "wires", refused.sentence)
        except Clash:
            form.refuse("part_uid", CHANGED)
        else:
            notice = " ".join((f"{edit.sentence}.", *edit.said))
            return redirect(f"/looms/{loom_id}/cables", notice)
    return _page(request, session, loom_id, form)
