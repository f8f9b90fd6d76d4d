"""Which page to open for a job, a loom or a unit: the one of the stage that it is at.

Who may not open that page is led to one that shows the same as far as it is theirs to see.
"""

from starlette.requests import Request

from webapp.pages.access import Access

PAGE_OF_STAGE = {
    "quote": "needs",
    "design": "wires",
    "build": "build",
    "test": "test",
    "done": "papers",
}
# Before there is a design to build to, the wires are what there is to look at.
INSTEAD = {"needs": "wires"}


def exists(request: Request, route: str) -> bool:
    """True when a page that this request may open answers to the route "/looms/{loom_id}/needs"."""
    access: Access = request.state.access
    return route in request.app.state.page_paths and access.reads(route)


def loom_address(request: Request, loom_id: int, project_id: int, stage: str) -> str:
    """Where work on the loom goes on; its job where no such page exists."""
    page = PAGE_OF_STAGE[stage]
    for one in (page, INSTEAD.get(page, page)):
        if exists(request, f"/looms/{{loom_id}}/{one}"):
            return f"/looms/{loom_id}/{one}"
    return f"/jobs/{project_id}#looms"


def unit_address(request: Request, unit_id: int, loom_id: int, project_id: int, stage: str) -> str:
    """Where work on the unit goes on; its loom where no such page exists."""
    page = PAGE_OF_STAGE[stage]
    if exists(request, f"/units/{{unit_id}}/{page}"):
        return f"/units/{unit_id}/{page}"
    return loom_address(request, loom_id, project_id, stage)
