"""Every page of the application, by address: the demo workshop's, a bare one's, and refused forms.

A new page whose address takes a number or a uid gets its value in `values_of`; a test fails until
it has one.
"""

import re
from dataclasses import dataclass

from fastapi.routing import APIRoute
from sqlalchemy import select
from sqlalchemy.orm import Session

from tests.stages.office import begin_job
from webapp.database import make_engine, upgrade, writing
from webapp.pages import ROUTERS
from webapp.pages.calculators.routes import CALCULATORS
from webapp.records.catalogue import Part
from webapp.records.jobs import Loom
from webapp.settings import Settings
from webapp.stages import workshop
from webapp.stages.demo import fill
from webapp.stages.design import revisions
from webapp.stages.design.alternatives import WHOLE_LOOM
from webapp.stages.design.rows import load
from webapp.stages.workshop import WorkshopValues

# Files, parts of a page, and addresses that only lead on.
NO_PAGES = re.compile(
    r"\.(csv|pdf|jpg)$|/row$|/live$|^/live/|/change/draft$|/loads$|/current/\{load_uid\}$|/feed$|"
    r"^/$|^/c/|^/looms/\{loom_id\}$|^/units/\{unit_id\}$|"
    # Over the network only: test_way_in.py looks at them.
    r"^/(log-in|pair|password)$|^/log-in/|^/devices/"
)
# What does not depend on the workshop's own jobs.
AS_EVER = re.compile(r"/(calculators|method|stores|colours|label-sheets|rates|settings)\b")
# The demo's first loom has needs only, the second is quoted, the third designed, the fourth built.
NEW, QUOTED, DESIGNED, BUILT = 1, 2, 3, 4
TESTED_UNIT, HALF_MADE_UNIT = 1, 2
CRIMPED = "tab-receptacle-6.3-1-2.5~1.5"
BESIDE = (
    f"/looms/{NEW}/needs",
    f"/looms/{NEW}/proposal",
    f"/looms/{NEW}/wires",
    f"/looms/{NEW}/fittings",
    f"/looms/{NEW}/circuits",
    f"/looms/{NEW}/plan",
    f"/looms/{NEW}/price",
    f"/looms/{QUOTED}/price",
    f"/looms/{QUOTED}/proposal",
    f"/looms/{BUILT}/change",
    f"/looms/{BUILT}/revisions",
    f"/looms/{BUILT}/cut-list",
    f"/looms/{BUILT}/papers",
    f"/looms/{BUILT}/labels",
    f"/looms/{BUILT}/build",
    f"/looms/{BUILT}/test",
    f"/looms/{BUILT}/wires",
    f"/looms/{BUILT}/sign-off",
    f"/units/{TESTED_UNIT}/test?part=resistance",
    f"/units/{TESTED_UNIT}/done",
    f"/units/{HALF_MADE_UNIT}/build",
    *(f"/units/{HALF_MADE_UNIT}/bench?order={order}" for order in ("wire", "plug", "place")),
    f"/units/{HALF_MADE_UNIT}/bench?with=all",
    "/search?q=lamp",
    "/search?q=nothing+of+this+name",
    "/stores?kind=terminal",
)
# Sent empty or wrong, so that what is shown again with its errors is looked at too.
REFUSED: tuple[tuple[str, dict[str, str]], ...] = (
    ("/jobs/new", {"title": ""}),
    ("/customers/new", {"name": ""}),
    ("/settings", {"name": "", "address_url": "nowhere"}),
    ("/people", {"name": "", "initials": ""}),
    ("/people/2/password", {"password": "short", "again": "short"}),
    ("/devices", {"name": ""}),
    ("/instruments", {"name": ""}),
    ("/rates", {"labour": "a lot"}),
    (f"/looms/{NEW}/needs", {"needs-0-name": "Lamp", "needs-0-quantity": "none"}),
    (f"/looms/{NEW}/runs", {"runs-0-from_place": "bow", "runs-0-length_mm": "long"}),
    ("/label-sheets/new", {"name": ""}),
    (
        f"/units/{HALF_MADE_UNIT}/crimp-setups/{CRIMPED}",
        {"act": "first-off", "first-off-height_1": "low", "first-off-pull_2": "-5"},
    ),
    (
        f"/units/{HALF_MADE_UNIT}/crimp-setups/{CRIMPED}",
        {"act": "begin", "new-tool": "", "new-wire_lot": "W-12"},
    ),
)


@dataclass(frozen=True)
class Values:
    """What stands for each name in braces."""

    of: dict[str, tuple[str, ...]]

    def addresses(self, route: str) -> list[str]:
        found = [route]
        for name in re.findall(r"\{(\w+)\}", route):
            assert name in self.of, f"{route}: give {name} a value in every_page.py"
            found = [one.replace(f"{{{name}}}", value) for one in found for value in self.of[name]]
        return found


def make_demo(settings: Settings) -> None:
    """The demo workshop in a fresh folder."""
    settings.data_dir.mkdir(exist_ok=True)
    upgrade(settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        fill(session)
    engine.dispose()


def make_bare(settings: Settings) -> None:
    """A workshop of one on its first day, with one job of which nothing is known yet."""
    settings.data_dir.mkdir(exist_ok=True)
    upgrade(settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        workshop.set_up(
            session, WorkshopValues(name="Tern Lane Looms"),
            person_name="Ada Quill", initials="AQ", demo=False,
        )  # fmt: skip
        begin_job(session)
    engine.dispose()


def page_routes() -> list[str]:
    """The address of every page, with names in braces where it takes a value."""
    every = (route for router in ROUTERS for route in router.routes)
    return [
        route.path
        for route in every
        if isinstance(route, APIRoute) and "GET" in route.methods
        and not NO_PAGES.search(route.path)
    ]  # fmt: skip


def demo_addresses(session: Session) -> list[str]:
    """Each page of the demo workshop once, and some more in other states."""
    values = values_of(session)
    once = [address for route in page_routes() for address in values.addresses(route)]
    return list(dict.fromkeys([*once, *BESIDE]))


def bare_addresses() -> list[str]:
    """The pages of a workshop with nothing in it, and of a loom with nothing in it."""
    plain = [route for route in page_routes() if "{" not in route and not AS_EVER.match(route)]
    loom = [
        route.replace("{loom_id}", "1")
        for route in page_routes()
        if re.findall(r"\{(\w+)\}", route) == ["loom_id"]
    ]
    return ["/jobs/1", *plain, *loom]


def values_of(session: Session, loom_id: int = DESIGNED) -> Values:
    """What addresses take, for the pages of one loom of the demo."""
    design = load(session, revisions.latest(session, loom_id).id)
    link = max(design.link.values(), key=lambda each: each.number or 0)
    circuit = next(each for each in design.circuit.values() if each.need_uid in design.need)
    fitting = max(design.fitting.values(), key=lambda each: bool(each.mate_uid))
    parts = {part.kind: part.uid for part in session.scalars(select(Part))}
    project_id = session.get_one(Loom, BUILT).project_id
    return Values(
        {
            "loom_id": (str(loom_id),),
            "unit_id": (str(HALF_MADE_UNIT),),
            "project_id": (str(project_id),),
            "customer_id": ("1",),
            "person_id": ("2",),
            "instrument_id": ("1",),
            "sheet_id": ("1",),
            "quote_id": ("1",),
            "link_uid": (link.uid,),
            "fitting_uid": (fitting.uid,),
            "circuit_uid": (circuit.uid,),
            "uid": tuple(parts[kind] for kind in sorted(parts)[:2]),
            "about": (WHOLE_LOOM,),
            "group": (CRIMPED,),
            "slug": tuple(CALCULATORS),
        }
    )
