"""The bench: a unit's work list on a tablet, panel by panel; and the unit's bench journal."""

import secrets
from typing import Annotated

from fastapi import APIRouter, Query
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.bench_feed import lists_of, mark_of
from webapp.pages.bench_list import ORDER_NAMES, Asked, bench_list
from webapp.pages.deps import ReadSession
from webapp.pages.render import render
from webapp.pages.unit_frame import unit_frame
from webapp.stages.building import bench_feed, bench_journal, units

router = APIRouter()
Along = Annotated[str, Query(alias="with", max_length=200)]


@router.get("/units/{unit_id}/bench")
def show(
    request: Request,
    session: ReadSession,
    unit_id: int,
    order: str = "",
    at: str = "",
    step: str = "",
    along: Along = "",
) -> Response:
    return bench_page(request, session, unit_id, Asked(order, at, step, along))


def bench_page(
    request: Request, session: Session, unit_id: int, asked: Asked, said: str = ""
) -> Response:
    """The page, or only its panel in view; `said` is why the last tick was refused."""
    found = bench_list(session, unit_id, asked)
    loom_id = found.frame.loom.loom_id
    return render(
        request,
        "bench/bench.html",
        part="bench/_part.html",
        status=422 if said else 200,
        at=found.frame,
        unit=found.frame.unit,
        list=found,
        orders=ORDER_NAMES,
        said=said,
        last=bench_feed.last_tick(session, loom_id),
        met=bench_feed.last_meeting(session, loom_id),
        mark=mark_of(session, loom_id),
        lists=lists_of(found.units),
        tab=secrets.token_hex(8),
    )


@router.get("/units/{unit_id}/journal")
def show_journal(request: Request, session: ReadSession, unit_id: int) -> Response:
    frame = unit_frame(session, unit_id)
    unit = units.get(session, unit_id)
    return render(
        request,
        "bench/journal.html",
        frame=frame.loom,
        at=frame,
        unit=frame.unit,
        lines=bench_journal.journal(session, unit, units.plan_of(session, unit)),
    )
