"""Two revisions side by side: each wire drawn as it was and as it is, and the ticks undone."""

from dataclasses import dataclass

from fastapi import APIRouter
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import ReadSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.planned_wire import planned_wire
from webapp.pages.render import render
from webapp.stages.building import wire_colours
from webapp.stages.design import revisions
from webapp.stages.design.comparing import Value, WireDifference
from webapp.stages.design.rows import Design
from webapp.stages.design.wires import Wire
from webapp.stages.refusals import NotThere
from webapp.stages.revision_changes import UndoneTick, between

router = APIRouter()


@dataclass(frozen=True)
class Side:
    """A wire as it stands in one of the two revisions."""

    letter: str
    number: str
    from_words: str
    to_words: str
    svg: Markup
    letters: str
    csa_mm2: float | None
    length_mm: int | None


@dataclass(frozen=True)
class WireRow:
    number: str
    what: str
    sides: tuple[Side, ...]
    values: tuple[Value, ...]


@router.get("/looms/{loom_id}/revisions")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    """`from` and `to` name revisions by their letters; without them the latest against the last
    that was signed off before it."""
    frame = loom_frame(session, loom_id)
    every = revisions.of_loom(session, loom_id)
    asked = request.query_params
    after = _named(every, asked.get("to")) or every[-1]
    signed = [one for one in every if one.signed_off and one.number < after.number]
    earlier = [one for one in every if one.number < after.number]
    before = _named(every, asked.get("from")) or next(
        iter([*reversed(signed), *reversed(earlier)]), after
    )
    change = between(session, loom_id, before, after)
    return render(
        request,
        "comparison/show.html",
        frame=frame,
        every=every,
        change=change,
        wires=[
            wire_row(wire, (change.before.letter, change.old), (change.after.letter, change.new))
            for wire in change.comparison.wires
        ],
        by_place=by_place,
        latest=every[-1],
        signed_off=any(one.signed_off for one in every),
    )


def _named(every: list[revisions.RevisionState], letter: str | None) -> (
    revisions.RevisionState | None
):  # fmt: skip
    if not letter:
        return None
    for one in every:
        if one.letter == letter.strip().upper():
            return one
    raise NotThere


def wire_row(
    wire: WireDifference, before: tuple[str, Design], after: tuple[str, Design]
) -> WireRow:
    """A wire that differs between two designs, each with the word that stands beside its wire."""
    sides = (
        _side(word, design, one)
        for (word, design), one in ((before, wire.before), (after, wire.after))
        if one is not None
    )
    values = wire.values if wire.what == "changed" else ()
    return WireRow(wire.number, wire.what, tuple(sides), values)


def _side(letter: str, design: Design, wire: Wire) -> Side:
    return Side(
        letter=letter,
        number=wire.number,
        from_words=design.way_name(wire.left.way_uid),
        to_words=design.way_name(wire.right.way_uid),
        svg=planned_wire(design, wire, 300),
        letters=wire_colours.letters(design, wire.link),
        csa_mm2=wire.link.csa_mm2,
        length_mm=wire.length_mm,
    )


def by_place(ticks: tuple[UndoneTick, ...]) -> dict[str, list[UndoneTick]]:
    """Undone ticks by where they belong."""
    found: dict[str, list[UndoneTick]] = {}
    for tick in ticks:
        found.setdefault(tick.undone.where, []).append(tick)
    return found
