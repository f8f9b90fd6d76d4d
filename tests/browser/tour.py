"""Makes the pictures of the tour: `python -m tests.browser.tour [FOLDER]`, else static/tour.

A picture of each page of the demo workshop, named by its address, and of a day launch and a loom
of three hundred wires.
"""

import io
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, ViewportSize, sync_playwright
from sqlalchemy import select
from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.browser.conftest import DESK, FLAGS, TABLET, find_chromium, served
from tests.browser.every_page import (
    BUILT,
    DESIGNED,
    HALF_MADE_UNIT,
    QUOTED,
    TESTED_UNIT,
    make_demo,
    page_routes,
    values_of,
)
from tests.pages.launch import day_launch_loom
from webapp.app import create_app
from webapp.bench import big_loom
from webapp.database import make_engine, upgrade, writing
from webapp.folders import folder
from webapp.records.people import Person
from webapp.settings import Settings
from webapp.stages.design import commands, proposing, revisions

# What another loom of the demo shows better than the one at the bench.
LOOM_OF = {
    "wires": DESIGNED,
    "proposal": QUOTED,
    "price": QUOTED,
    "price-check": QUOTED,
    "alternatives-one": DESIGNED,
    "sign-off": DESIGNED,
}
# Seen in a state of their own, under a name of their own.
BESIDE = {
    "test": f"/units/{TESTED_UNIT}/test?part=resistance",
    "done": f"/units/{TESTED_UNIT}/done",
    "calculator": "/calculators/capacity",
    "build": f"/units/{HALF_MADE_UNIT}/build",
}
LAUNCH = ("needs", "proposal", "wires", "circuits", "plan", "price")
BIG = ("wires", "fittings", "circuits", "plan")
NOT_SHOWN = {"first-run", "method-circles", "price-draft", "quotes-one-quotation", "search"}
COLOURS = 96


def main() -> None:
    where = Path(sys.argv[1]) if len(sys.argv) > 1 else folder("static") / "tour"
    where.mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=FLAGS)
        with workshop(make_demo, browser) as (page, session):
            for name, address in demo_pages(session).items():
                picture(page, address, where / f"{name}.png", TABLET if "bench" in name else DESK)
        with workshop(make_launch, browser) as (page, _session):
            for name in LAUNCH:
                picture(page, f"/looms/1/{name}", where / f"launch-{name}.png")
        with workshop(make_big, browser) as (page, _session):
            for name in BIG:
                picture(page, f"/looms/1/{name}", where / f"300-wires-{name}.png")
        browser.close()


def name_of(route: str) -> str:
    """/looms/{loom_id}/wires/{link_uid}/remove -> wires-one-remove; of a unit: unit-build."""
    route = re.sub(r"^/looms/\{loom_id\}/", "/", route)
    route = re.sub(r"^/units/\{unit_id\}/(?!bench|journal)", "/unit/", route)
    route = re.sub(r"^/units/\{unit_id\}/", "/", route)
    return re.sub(r"\{\w+\}", "one", route).strip("/").replace("/", "-")


def demo_pages(session: Session) -> dict[str, str]:
    """The address of each picture by its name."""
    pages = {}
    for route in page_routes():
        name = name_of(route)
        if name in NOT_SHOWN or name == "calculators-one":
            continue
        pages[name] = values_of(session, LOOM_OF.get(name, BUILT)).addresses(route)[0]
    return pages | BESIDE


def make_launch(settings: Settings) -> None:
    """The day launch as its lists bring it in, with the proposal taken."""
    upgrade(settings.database_path)
    here = "http://127.0.0.1"
    with TestClient(create_app(settings), base_url=here, headers={"origin": here}) as client:
        set_up = {"name": "Tern Lane Looms", "currency": "£"}
        client.post("/first-run", data=set_up | {"person_name": "Ada Quill", "initials": "AQ"})
        day_launch_loom(client)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        owner = session.scalars(select(Person.id)).one()
        last = commands.last_id(session, revisions.latest(session, 1).id)
        proposing.take(session, 1, last, owner)
    engine.dispose()


def make_big(settings: Settings) -> None:
    upgrade(settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        big_loom.enter(session)
    engine.dispose()


@contextmanager
def workshop(make: Callable[[Settings], None], browser: Browser) -> Iterator[tuple[Page, Session]]:
    """A workshop that is served, with the page of somebody who works in it."""
    with tempfile.TemporaryDirectory() as data:
        settings = Settings(data_dir=Path(data))
        make(settings)
        with served(settings) as live, Session(live.app.state.engine) as session:
            context = browser.new_context(base_url=live.url, viewport=DESK)
            page = context.new_page()
            page.goto("/jobs")
            chooser = page.get_by_label("Who is working")
            with page.expect_navigation():
                chooser.first.select_option(label="Ada Quill")
            yield page, session
            context.close()


def picture(page: Page, address: str, to: Path, size: ViewportSize = DESK) -> None:
    """Few colours keep the file small; these pages have few."""
    page.set_viewport_size(size)
    answer = page.goto(address)
    assert answer is not None
    assert answer.ok, address
    taken = Image.open(io.BytesIO(page.screenshot()))
    few = taken.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(to, optimize=True)


if __name__ == "__main__":
    main()
