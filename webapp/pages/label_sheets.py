"""Label sheets and rolls: any measurements, as long as the labels lie on the page."""

from collections.abc import Mapping
from dataclasses import asdict, fields

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.deps import FieldsDep, ReadSession, WriteSession
from webapp.pages.editing import Edit, as_text, attempt, both_values
from webapp.pages.forms import Form, filled
from webapp.pages.render import redirect, render
from webapp.paper.stock import LabelStock, StockError, TapeStock
from webapp.stages import label_sheets
from webapp.stages.label_sheets import ROLL, SHEET, SheetValues
from webapp.stages.refusals import ChangedMeanwhile, Refused

router = APIRouter()
MOST_MM = 2000
LABELS = {
    "name": "Name",
    "kind": "Kind",
    "page_width_mm": "Page width",
    "page_height_mm": "Page height",
    "width_mm": "Label width",
    "height_mm": "Label height",
    "columns": "Labels across",
    "rows": "Labels down",
    "margin_left_mm": "Left margin",
    "margin_top_mm": "Top margin",
    "pitch_x_mm": "Pitch across",
    "pitch_y_mm": "Pitch down",
    "offset_x_mm": "Printer shift to the right",
    "offset_y_mm": "Printer shift down",
}
OF_A_ROLL = ("width_mm", "height_mm")


def read_sheet(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    form.values["kind"] = SHEET
    for name in ("columns", "rows"):
        form.whole(name, LABELS[name], least=1, most=100)
    for name in LABELS:
        if name.startswith("offset_"):
            form.number(name, LABELS[name], unit="mm", least=-50, most=50)
        elif name.endswith("_mm"):
            form.number(name, LABELS[name], unit="mm", most=MOST_MM)


def read_roll(form: Form) -> None:
    form.text("name", LABELS["name"], most=80)
    for name, label in (("width_mm", "Label length"), ("height_mm", "Tape width")):
        form.number(name, label, unit="mm", most=MOST_MM)
    if not form.errors:
        name = form.values["name"]
        values = asdict(label_sheets.roll(form.values["height_mm"], form.values["width_mm"]))
        form.values.update(values | {"name": name})


def check(values: SheetValues) -> None:
    """Refuses measurements that cannot be printed.

    Raises:
        Refused: with the field to mend.
    """
    try:
        if values.kind == ROLL:
            TapeStock(width_mm=values.height_mm, label_length_mm=values.width_mm)
        else:
            stock = {one.name for one in fields(LabelStock)}
            LabelStock(**{k: v for k, v in asdict(values).items() if k in stock})
    except StockError as error:
        field = error.field
        if values.kind == ROLL:
            field = {"width_mm": "height_mm", "label_length_mm": "width_mm"}.get(field, field)
        raise Refused(field, error.message) from error


def form_page(
    request: Request,
    form: Form,
    *,
    kind: str,
    was: Mapping[str, str] | None = None,
    sheet_id: int | None = None,
) -> Response:
    return render(
        request,
        "settings/label_sheet.html",
        status=422 if form.errors else 200,
        form=form,
        kind=kind,
        was=was or {},
        sheet_id=sheet_id,
    )


@router.get("/label-sheets")
def show_all(request: Request, session: ReadSession) -> Response:
    sheets = label_sheets.everything(session)
    return render(request, "settings/label_sheets.html", sheets=sheets)


@router.get("/label-sheets/new")
def show_new(request: Request, kind: str = SHEET) -> Response:
    start = {
        "page_width_mm": 210.0,
        "page_height_mm": 297.0,
        "offset_x_mm": 0.0,
        "offset_y_mm": 0.0,
    }
    return form_page(request, filled(start), kind=ROLL if kind == ROLL else SHEET)


@router.post("/label-sheets/new")
def add(request: Request, session: WriteSession, fields: FieldsDep, kind: str = SHEET) -> Response:
    form = Form(fields)
    (read_roll if kind == ROLL else read_sheet)(form)
    if not form.errors:
        with attempt(session, form):
            values = SheetValues(**form.values)
            check(values)
            label_sheets.add(session, values)
    if form.errors:
        return form_page(request, form, kind=kind)
    return redirect("/label-sheets", notice=f"{form.values['name']} is added.")


@router.get("/label-sheets/{sheet_id}")
def show_edit(request: Request, session: ReadSession, sheet_id: int) -> Response:
    values = asdict(label_sheets.get(session, sheet_id).values)
    kind = values["kind"]
    shown = _shown(values)
    return form_page(request, filled(shown), kind=kind, was=as_text(shown), sheet_id=sheet_id)


@router.post("/label-sheets/{sheet_id}")
def edit(request: Request, session: WriteSession, fields: FieldsDep, sheet_id: int) -> Response:
    kind = label_sheets.get(session, sheet_id).values.kind
    sent = Edit(fields, read_roll if kind == ROLL else read_sheet)
    here = f"/label-sheets/{sheet_id}"
    try:
        if not sent.form.errors:
            with attempt(session, sent.form):
                label_sheets.edit(session, sheet_id, sent.opened, sent.typed, check)
    except ChangedMeanwhile as change:
        return both_values(request, change, action=here, back="/label-sheets", labels=LABELS)
    if sent.form.errors:
        return form_page(request, sent.form, kind=kind, was=sent.was, sheet_id=sheet_id)
    return redirect("/label-sheets", notice="Saved.")


@router.post("/label-sheets/{sheet_id}/remove")
def remove(session: WriteSession, sheet_id: int) -> Response:
    name = label_sheets.get(session, sheet_id).values.name
    label_sheets.remove(session, sheet_id)
    return redirect("/label-sheets", notice=f"{name} is off the list.")


def _shown(values: Mapping[str, object]) -> dict[str, object]:
    """The values that stand in the form: of a roll only its two measurements."""
    names = ("name", *OF_A_ROLL) if values["kind"] == ROLL else tuple(LABELS)
    return {name: values[name] for name in names if name != "kind"}
