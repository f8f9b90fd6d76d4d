"""The needs page: places, runs, needs, and what the sizing rests on, typed on one page."""

from collections.abc import Mapping

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages import entry_forms
from webapp.pages.deps import FieldsDep, Person, ReadSession, WriteSession
from webapp.pages.entry_tables import EntryTable, SentTables, opened_form
from webapp.pages.finding_forms import found_about
from webapp.pages.forms import Form
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import redirect, render
from webapp.pages.undo import undo_state
from webapp.stages import catalogue
from webapp.stages.catalogue import Catalogue
from webapp.stages.design import entry, needs, runs
from webapp.stages.design.circuit_needs import circuits_of_needs
from webapp.stages.design.controls import CONTROLS
from webapp.stages.design.duty import CONTINUOUS
from webapp.stages.design.entry import RowsRefused
from webapp.stages.design.rows import Design

router = APIRouter()


def tables(coverings: list[str]) -> tuple[EntryTable, ...]:
    """The page's tables, in the order in which they are saved."""
    return (
        EntryTable("places", "place", entry_forms.read_place),
        EntryTable("runs", "run", lambda form: entry_forms.read_run(form, coverings)),
        EntryTable("needs", "need", entry_forms.read_need, ignore=entry_forms.NEVER_EMPTY),
        EntryTable("basis", "basis", entry_forms.read_basis),
    )


def covering_names(parts: Catalogue) -> list[str]:
    """The coverings that the stores have, each once."""
    return list(dict.fromkeys(part.text("covering") for part in parts.kind("covering")))


@router.get("/looms/{loom_id}/needs")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    design = entry.latest(session, loom_id)
    form = opened_form(design, tables(covering_names(catalogue.read(session))))
    return page(request, session, loom_id, design, form)


@router.post("/looms/{loom_id}/needs")
def save(
    request: Request, session: WriteSession, fields: FieldsDep, person: Person, loom_id: int
) -> Response:
    design = entry.latest(session, loom_id)
    sent = SentTables(fields, tables(covering_names(catalogue.read(session))))
    if sent.form.errors:
        return page(request, session, loom_id, design, sent.form, status=422)
    try:
        sentence = entry.save(session, loom_id, sent.sheet, person.id)
    except RowsRefused as refused:
        sent.refuse(refused)
        status = 409 if refused.clash else 422
        return page(request, session, loom_id, design, sent.form, status=status)
    if fields.get("then") == "propose":
        return redirect(f"/looms/{loom_id}/proposal")
    return redirect(
        f"/looms/{loom_id}/needs",
        notice=f"Saved. {sentence}." if sentence else "Nothing was changed.",
    )


def page(
    request: Request,
    session: Session,
    loom_id: int,
    design: Design,
    form: Form,
    status: int = 200,
) -> Response:
    return render(
        request,
        "needs/show.html",
        status=status,
        frame=loom_frame(session, loom_id),
        undo=undo_state(session, loom_id),
        form=form,
        found=found_about(session, loom_id, "need", "basis"),
        basis_form=Form(form.fields, prefix="basis-", errors=form.errors),
        design=design,
        labels=entry_forms.LABELS,
        kinds=entry_forms.KINDS,
        units=entry_forms.UNITS,
        choices=entry_forms.CHOICES,
        services=[(each, each) for each in needs.SERVICES],
        live_when=entry_forms.LIVE_WHEN,
        never_empty=("id", *entry_forms.NEVER_EMPTY),
        laid_as=[(each, each) for each in needs.LAID_AS],
        suggestions=suggestions(session, design),
        more_words=more_words,
        circuits={
            uid: f"/looms/{loom_id}/circuits/{circuit.uid}"
            for uid, circuit in circuits_of_needs(design).items()
        },
        to_look_at={uid: needs.to_look_at(need) for uid, need in design.need.items()},
    )


def suggestions(session: Session, design: Design) -> Mapping[str, tuple[str, ...]]:
    """What the fields offer while typing; other words may be typed too."""
    return {
        "places": tuple(place.name for place in design.place.values()),
        "needs": tuple(need.name for need in design.need.values()),
        "controls": tuple(CONTROLS),
        "coverings": tuple(covering_names(catalogue.read(session))),
        "measured": runs.MEASURED,
        "through": runs.THROUGH,
    }


def more_words(row: Form) -> str:
    """What stands in a need's second line, in few words."""
    words = [row.typed("service")]
    if row.typed("duty") not in ("", CONTINUOUS):
        words.append(row.typed("duty").removeprefix("intermittent "))
    for field, before, unit in (
        ("max_drop_percent", "drop ", " %"),
        ("inrush_a", "inrush ", " A"),
        ("max_fuse_a", "fuse-link up to ", " A"),
    ):
        if row.typed(field):
            words.append(f"{before}{row.typed(field)}{unit}")
    for field, before in (
        ("switched_with", "same switch as"),
        ("also_with", "lit also with"),
        ("apart_from", "apart from"),
        ("second_place", "second place"),
        ("relay_place", "relay at"),
    ):
        if row.typed(field):
            words.append(f"{before} {row.typed(field)}")
    words += _choices(row)
    for flag in needs.FLAGS:
        if row.typed(flag):
            label = entry_forms.LABELS["need"][flag]
            words.append(f"{label[:1].lower()}{label[1:]}")
    words.append(row.typed("note"))
    return " · ".join(filter(None, words))


def _choices(row: Form) -> list[str]:
    """What was chosen beyond the plain, in few words."""
    words = []
    if row.typed("live_when") not in ("", needs.LIVE_WHEN[0]):
        words.append(f"live at {row.typed('live_when')}")
    if row.typed("laid_as") not in ("", needs.SINGLE_WIRES):
        words.append(row.typed("laid_as"))
    if row.typed("feeds") not in ("", "1"):
        words.append(f"{row.typed('feeds')} feeds")
    if row.typed("extra_sizes") not in ("", "0"):
        words.append(f"{row.typed('extra_sizes')} sizes up")
    return words
