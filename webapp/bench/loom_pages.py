"""Every page of a loom by its address, taken from the application: a new page is measured too."""

import re
from collections.abc import Iterator, Mapping

from fastapi.routing import APIRoute
from sqlalchemy.orm import Session

from webapp.pages import ROUTERS
from webapp.stages.building import units
from webapp.stages.design.alternatives import WHOLE_LOOM
from webapp.stages.design.entry import latest

PARAMETER = re.compile(r"\{(\w+)\}")
# A file of its own, not a page; paper is drawn by another process.
FILES = (".pdf", ".csv", ".jpg")


def places(session: Session, loom_id: int) -> dict[str, str]:
    """What stands in the addresses: the loom, its first row of each sort, its first unit."""
    design = latest(session, loom_id)
    started = units.of_loom(session, loom_id)
    return {
        "loom_id": str(loom_id),
        "link_uid": next(iter(design.link)),
        "fitting_uid": next(iter(design.fitting)),
        "circuit_uid": next(iter(design.circuit)),
        "about": WHOLE_LOOM,
        **({"unit_id": str(started[0].id)} if started else {}),
    }


def addresses(first: str, known: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The pages whose address begins with `first`, such as `/looms/{loom_id}/`: what follows it,
    and the whole address. Pages that ask for more than is `known` are left out."""
    for route in (route for router in ROUTERS for route in router.routes):
        if (
            isinstance(route, APIRoute)
            and "GET" in (route.methods or ())
            and route.path.startswith(first)
            and not route.path.endswith(FILES)
            and not any(each.field_info.is_required() for each in route.dependant.query_params)
            and known.keys() >= set(PARAMETER.findall(route.path))
        ):
            yield route.path.removeprefix(first), route.path.format_map(known)
