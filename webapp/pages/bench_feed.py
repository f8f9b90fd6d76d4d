"""What open bench pages are told of each other: ticks, meetings, set-ups, who is at what.

Asked each second by every tablet. `mark` stands for all that can change; while it is the one that
the page was told last, the answer is 204 for one statement on indexes.
"""

import hashlib
from collections.abc import Iterable
from typing import Annotated

from fastapi import APIRouter, Query
from sqlalchemy.orm import Session
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from webapp.pages.deps import MaybePerson, ReadSession
from webapp.pages.presence import AtBench, Presence
from webapp.pages.wording import clock
from webapp.stages import looms, progress
from webapp.stages.building import bench_feed, crimp_setups, units
from webapp.stages.building.bench_feed import News
from webapp.stages.building.units import UnitRow

router = APIRouter()


def mark_of(session: Session, loom_id: int, people: tuple[AtBench, ...] = ()) -> str:
    """Changes with whatever the feed tells."""
    here = hashlib.sha256(repr(people).encode()).hexdigest()[:12] if people else ""
    return "-".join(filter(None, (progress.of_loom(session, loom_id).mark, here)))


@router.get("/looms/{loom_id}/bench/feed")
def feed(
    request: Request,
    session: ReadSession,
    person: MaybePerson,
    loom_id: int,
    seen: Annotated[int, Query(ge=0, lt=2**63)] = 0,
    met: Annotated[int, Query(ge=0, lt=2**63)] = 0,
    tab: Annotated[str, Query(pattern=r"^([0-9a-f]{8,32})?$")] = "",
    unit: Annotated[int, Query(ge=0, lt=2**63)] = 0,
    at: Annotated[str, Query(max_length=120)] = "",
    mark: Annotated[str, Query(max_length=160)] = "",
) -> Response:
    """`at` is the title of the panel in view, `unit` the unit whose page it is.

    Raises:
        NotThere: no such loom.
    """
    presence: Presence = request.app.state.presence
    benches = presence.benches(loom_id)
    if person and tab and (_known(benches, unit) or _is_of(session, unit, loom_id)):
        presence.at_bench(tab, AtBench(person.id, person.name, loom_id, unit, at))
    me = person.id if person else None
    people = tuple(each for each in benches if each.person_id != me)
    now = mark_of(session, loom_id, people)
    if now == mark:
        return Response(status_code=204)
    news = bench_feed.news(session, loom_id, seen, met) or News(seen, met, (), ())
    return JSONResponse(_told(session, loom_id, news, people) | {"mark": now})


def lists_of(loom: Iterable[UnitRow]) -> dict[str, str]:
    """By unit, what its work list is made from: a page of another list has to be made anew."""
    return {str(unit.id): f"{unit.revision_id} {unit.depth} {unit.stage}" for unit in loom}


def _known(benches: tuple[AtBench, ...], unit_id: int) -> bool:
    return any(each.unit_id == unit_id for each in benches)


def _is_of(session: Session, unit_id: int, loom_id: int) -> bool:
    return any(unit.id == unit_id for unit in units.of_loom(session, loom_id))


def _told(
    session: Session, loom_id: int, news: News, people: tuple[AtBench, ...]
) -> dict[str, object]:
    looms.get(session, loom_id)
    loom = units.of_loom(session, loom_id)
    numbers = {unit.id: unit.number for unit in loom}
    setups = crimp_setups.of_loom(session, loom_id)
    return {
        "last": news.last,
        "met": news.met,
        "ticks": [
            {
                "id": tick.id,
                "unit_id": tick.unit_id,
                "step_uid": tick.step_uid,
                "state": tick.state,
                "note": tick.note,
                "who": tick.who,
                "person_id": tick.person_id,
                "device": tick.device,
                "when": clock(tick.at),
                "height_mm": tick.height_mm,
                "pull_n": tick.pull_n,
            }
            for tick in news.ticks
        ],
        "meetings": [
            {
                "id": met.id,
                "key": met.key,
                "unit_id": met.unit_id,
                "step_uid": met.step_uid,
                "words": f"unit {numbers[met.unit_id]}, {met.words}",
            }
            for met in news.meetings
        ],
        "people": [
            {"name": each.name, "unit": f"unit {numbers[each.unit_id]}", "at": each.at}
            for each in people
            if each.unit_id in numbers
        ],
        "setups": crimp_setups.words_for(setups, setups.keys()),
        "lists": lists_of(loom),
    }
