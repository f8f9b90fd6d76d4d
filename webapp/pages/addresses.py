"""Which page to open for a job, a loom or a unit: the one of the stage that it is at."""

from starlette.requests import Request

PAGE_OF_STAGE = {
    "quote": "needs",
    "design": "wires",
    "build": "build",
    "test": "test",
    "done": "papers",
}


def exists(request: Request, route: str) -> bool:
    """True when a page answers to this route, as in "/looms/{loom_id}/needs"."""
    return route in request.app.state.page_paths


def loom_address(request: Request, loom_id: int, project_id: int, stage: str) -> str:
    """Where work on the loom goes on; its job where no such page exists."""
    page = PAGE_OF_STAGE[stage]
    if exists(request, f"/looms/{{loom_id}}/{page}"):
        return f"/looms/{loom_id}/{page}"
    return f"/jobs/{project_id}#looms"


def unit_address(request: Request, unit_id: int, loom_id: int, project_id: int, stage: str) -> str:
    """Where work on the unit goes on; its loom where no such page exists."""
    page = PAGE_OF_STAGE[stage]
    if exists(request, f"/units/{{unit_id}}/{page}"):
        return f"/units/{unit_id}/{page}"
    return loom_address(request, loom_id, project_id, stage)
