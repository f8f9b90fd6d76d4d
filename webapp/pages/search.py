"""Search over everything, and the permanent address that a label's QR code holds."""

from fastapi import APIRouter, HTTPException
from starlette.requests import Request
from starlette.responses import Response

from webapp.pages.access import Access
from webapp.pages.addresses import exists, loom_address, unit_address
from webapp.pages.deps import ReadSession
from webapp.pages.render import redirect, render
from webapp.stages import codes, looms, search, stage_line
from webapp.stages.search import Group, Hit

router = APIRouter()
MOST_CHARACTERS = 200


@router.get("/search")
def show(request: Request, session: ReadSession, q: str = "") -> Response:
    text = q.strip()[:MOST_CHARACTERS]
    there = search.straight_to(session, text) if text else None
    if there is not None:
        return redirect(_address(request, session, there.project_id, there.loom_id, there.unit_id))
    access: Access = request.state.access
    groups = search.search(session, text, for_office=access.money and access.addresses)
    found = [
        (group, [(hit, hit_address(request, group, hit)) for hit in group.hits]) for group in groups
    ]
    return render(request, "search/found.html", text=text, found=found)


@router.get("/c/{code}")
def follow(request: Request, session: ReadSession, code: str) -> Response:
    named = codes.find(session, code)
    if named is None:
        raise HTTPException(404, f"No job, loom, unit, part or quote carries the code {code[:20]}.")
    if named.quote_id is not None and exists(request, "/quotes/{quote_id}"):
        return redirect(f"/quotes/{named.quote_id}")
    return redirect(_address(request, session, named.project_id, named.loom_id, named.unit_id))


def hit_address(request: Request, group: Group, hit: Hit) -> str | None:
    """The page that shows what was found; None where there is none yet."""
    if hit.customer_id is not None:
        return f"/customers/{hit.customer_id}"
    if hit.part_uid is not None:
        return f"/stores/{hit.part_uid}"
    if hit.unit_id is not None:
        return f"/units/{hit.unit_id}/{group.page}" if group.page else f"/units/{hit.unit_id}"
    if hit.loom_id is not None:
        if exists(request, f"/looms/{{loom_id}}/{group.page}"):
            return f"/looms/{hit.loom_id}/{group.page}"
        return f"/looms/{hit.loom_id}"
    return f"/jobs/{hit.project_id}"


def _address(
    request: Request,
    session: ReadSession,
    project_id: int,
    loom_id: int | None,
    unit_id: int | None,
) -> str:
    if loom_id is None:
        return f"/jobs/{project_id}"
    if unit_id is not None:
        stage = stage_line.stage_of_unit(session, unit_id)
        return unit_address(request, unit_id, loom_id, project_id, stage)
    stage = looms.get(session, loom_id).line.at.stage
    return loom_address(request, loom_id, project_id, stage)
