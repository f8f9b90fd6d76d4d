"""The parts list of a loom: what one unit and the whole batch take, and what is not chosen yet."""

from dataclasses import dataclass
from decimal import Decimal

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from webapp.costing.materials import material_cost
from webapp.costing.reasons import CostError
from webapp.pages.access import Access
from webapp.pages.deps import ReadSession
from webapp.pages.loom_frame import loom_frame
from webapp.pages.render import render
from webapp.pages.wording import short
from webapp.stages import pricing
from webapp.stages.design.csv_out import cell, table_text
from webapp.stages.parts_list import PartUse
from webapp.stages.pricing import Priced

router = APIRouter()
COLUMNS = (
    "part",
    "colour",
    "group",
    "unit",
    "one_unit",
    "scrap_percent",
    "units",
    "to_have_with_scrap",
    "price",
    "price_per",
    "price_note",
    "cost_one_unit",
    "cost_all_units",
)
MONEY_COLUMNS = {"price", "price_per", "price_note", "cost_one_unit", "cost_all_units"}


@dataclass(frozen=True)
class PartRow:
    """A part and its cost; nothing where its price is too large to be one."""

    use: PartUse
    to_have: Decimal
    one_minor: int | None
    all_minor: int | None


def part_rows(priced: Priced) -> list[PartRow]:
    """The parts with what they cost: the same figures as in the price."""
    found = []
    for use in priced.parts.parts:
        one_minor = _cost_minor(use, priced.scrap_percent)
        units = priced.loom.quantity
        to_have = use.to_have(units, priced.scrap_percent)
        all_minor = None if one_minor is None else one_minor * units
        found.append(PartRow(use, to_have, one_minor, all_minor))
    return found


def _cost_minor(use: PartUse, scrap_percent: Decimal) -> int | None:
    try:
        return material_cost(pricing.material(use, scrap_percent)).cost.minor
    except CostError:
        return None


@router.get("/looms/{loom_id}/parts")
def show(request: Request, session: ReadSession, loom_id: int) -> Response:
    priced = pricing.read(session, loom_id)
    rows = part_rows(priced)
    groups = list(dict.fromkeys(row.use.group for row in rows))
    return render(
        request,
        "parts/show.html",
        frame=loom_frame(session, loom_id),
        priced=priced,
        groups=[(name, [row for row in rows if row.use.group == name]) for name in groups],
        one_minor=sum(row.one_minor or 0 for row in rows),
        all_minor=sum(row.all_minor or 0 for row in rows),
        invented=any(row.use.invented for row in rows),
    )


@router.get("/looms/{loom_id}/parts.csv")
def as_csv(request: Request, session: ReadSession, loom_id: int) -> Response:
    priced = pricing.read(session, loom_id)
    access: Access = request.state.access
    shown = [name for name in COLUMNS if access.money or name not in MONEY_COLUMNS]
    lines = (dict(zip(COLUMNS, _csv_row(row, priced), strict=True)) for row in part_rows(priced))
    text = table_text(shown, ([cell(line[name]) for name in shown] for line in lines))
    name = f"{priced.job.number}-{priced.loom.code}-parts.csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text.encode("utf-8-sig"), media_type="text/csv; charset=utf-8", headers=headers)


def _csv_row(row: PartRow, priced: Priced) -> list[str | int]:
    part = row.use.part
    return [
        part.name,
        row.use.colour,
        row.use.group,
        row.use.unit,
        _plain(row.use.quantity),
        _plain(priced.scrap_percent) if row.use.scrapped else "0",
        priced.loom.quantity,
        _plain(row.to_have),
        _hundredths(part.price_minor),
        part.price_per,
        part.price_note,
        _hundredths(row.one_minor),
        _hundredths(row.all_minor),
    ]


def _plain(value: Decimal) -> str:
    return short(value, 6).replace(",", "")


def _hundredths(minor: int | None) -> str:
    return "" if minor is None else f"{Decimal(minor) / 100:.2f}"
