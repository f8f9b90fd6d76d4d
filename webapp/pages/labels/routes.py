"""Choose labels, a sheet and where on it to start; the labels as PDF."""

from dataclasses import dataclass

from fastapi import APIRouter
from sqlalchemy.orm import Session
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.access import discreet
from webapp.pages.deps import ReadSession
from webapp.pages.forms import Form
from webapp.pages.labels.sets import LOOM_SETS, UNIT_SETS, LabelSet
from webapp.pages.loom_frame import loom_frame
from webapp.pages.papers.heads import Subject, as_read_by, loom_subject, unit_subject
from webapp.pages.papers.routes import pdf_answer
from webapp.pages.render import error_page, render
from webapp.pages.unit_frame import unit_frame
from webapp.paper.label_values import Label
from webapp.paper.labels import labels_pdf
from webapp.paper.render import PaperUnavailable, available
from webapp.paper.stock import LabelStock, StockError, TapeStock
from webapp.stages import label_sheets, workshop
from webapp.stages.label_sheets import ROLL, SheetValues

router = APIRouter()
MOST_LABELS = 2000
MOST_COPIES = 50


@dataclass(frozen=True)
class SetRow:
    """A set with its labels and whether it is ticked."""

    set: LabelSet
    labels: tuple[Label, ...]
    chosen: bool


@router.get("/looms/{loom_id}/labels")
def show_loom(request: Request, session: ReadSession, loom_id: int) -> Response:
    about = loom_subject(session, loom_id)
    form = Form(_fields(request.query_params))
    return page(request, session, about, LOOM_SETS, form)


@router.get("/units/{unit_id}/labels")
def show_unit(request: Request, session: ReadSession, unit_id: int) -> Response:
    about = unit_subject(session, unit_id)
    form = Form(_fields(request.query_params))
    return page(request, session, about, UNIT_SETS, form)


@router.get("/looms/{loom_id}/labels.pdf")
def loom_pdf(request: Request, session: ReadSession, loom_id: int) -> Response:
    return pdf(request, session, loom_subject(session, loom_id), LOOM_SETS)


@router.get("/units/{unit_id}/labels.pdf")
def unit_pdf(request: Request, session: ReadSession, unit_id: int) -> Response:
    return pdf(request, session, unit_subject(session, unit_id), UNIT_SETS)


def _fields(query: QueryParams) -> dict[str, str]:
    """The query as a form's fields; each chosen set is a field of its own."""
    fields = {"start": "1", "copies": "1"}
    fields |= {name: value for name, value in query.multi_items() if name != "set"}
    return fields | {f"set-{slug}": "1" for slug in query.getlist("set")}


def page(
    request: Request,
    session: Session,
    about: Subject,
    sets: tuple[LabelSet, ...],
    form: Form,
) -> Response:
    about = as_read_by(about, discreet(request))
    rows = [
        SetRow(one, tuple(one.make(session, about)), bool(form.typed(f"set-{one.slug}")))
        for one in sets
    ]
    unit = about.unit
    frame = unit_frame(session, unit.id) if unit else None
    return render(
        request,
        "labels/labels.html",
        status=422 if form.errors else 200,
        frame=frame.loom if frame else loom_frame(session, about.loom.id),
        at=frame,
        base=f"/units/{unit.id}/labels" if unit else f"/looms/{about.loom.id}/labels",
        rows=rows,
        sheets=[(str(one.id), one.values.name) for one in label_sheets.everything(session)],
        form=form,
        loopback=workshop.only_loopback(workshop.get(session).address_url),
        missing=available(),
    )


def pdf(request: Request, session: Session, about: Subject, sets: tuple[LabelSet, ...]) -> Response:
    """The chosen labels; the page again, with what to mend, where something is missing."""
    about = as_read_by(about, discreet(request))
    form = Form(_fields(request.query_params))
    known = {str(one.id): one.values for one in label_sheets.everything(session)}
    form.choice("sheet", "The sheet or roll", known)
    form.whole("start", "The first free label", least=1, most=10_000)
    form.whole("copies", "Copies", least=1, most=MOST_COPIES)
    chosen = [one for one in sets if form.typed(f"set-{one.slug}")]
    if not chosen:
        form.refuse("set", "Choose at least one kind of label.")
    if form.errors:
        return page(request, session, about, sets, form)
    labels = [
        label
        for one in chosen
        for label in one.make(session, about)
        for _ in range(form.values["copies"])
    ]
    stock = _stock(known[form.values["sheet"]], form)
    if not labels:
        form.refuse("set", "There is no label of this kind yet.")
    if len(labels) > MOST_LABELS:
        form.refuse("set", f"These are {len(labels):,} labels; print at most {MOST_LABELS:,}.")
    if form.errors or stock is None:
        return page(request, session, about, sets, form)
    try:
        body = labels_pdf(stock, labels, outline=bool(form.typed("outline")))
    except PaperUnavailable as missing:
        return error_page(request, 503, "No PDF here", str(missing))
    serial = about.unit.serial if about.unit else f"{about.job.number}-{about.loom.code}"
    return pdf_answer(body, f"labels-{serial}.pdf")


def _stock(values: SheetValues, form: Form) -> LabelStock | TapeStock | None:
    """The stock to print on; a measurement that cannot be lands beside the field."""
    try:
        if values.kind == ROLL:
            return TapeStock(width_mm=values.height_mm, label_length_mm=values.width_mm)
        return LabelStock(
            width_mm=values.width_mm,
            height_mm=values.height_mm,
            columns=values.columns,
            rows=values.rows,
            margin_left_mm=values.margin_left_mm,
            margin_top_mm=values.margin_top_mm,
            pitch_x_mm=values.pitch_x_mm,
            pitch_y_mm=values.pitch_y_mm,
            page_width_mm=values.page_width_mm,
            page_height_mm=values.page_height_mm,
            start_position=form.values["start"],
            offset_x_mm=values.offset_x_mm,
            offset_y_mm=values.offset_y_mm,
        )
    except StockError as error:
        form.refuse("start" if error.field == "start_position" else "sheet", error.message)
        return None
