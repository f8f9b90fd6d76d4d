"""Makes the pictures of the tour: `python -m tests.browser.tour`, from the demo workshop."""

import io
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import DESK, FLAGS, TABLET, find_chromium, served
from webapp.database import make_engine, upgrade, writing
from webapp.folders import folder
from webapp.settings import Settings
from webapp.stages.demo import fill

# The demo's fourth job is at the bench, its second is quoted.
DESK_PAGES = {
    "jobs": "/jobs",
    "needs": "/looms/4/needs",
    "proposal": "/looms/2/proposal",
    "price": "/looms/2/price",
    "wires": "/looms/3/wires",
    "fittings": "/looms/4/fittings",
    "circuits": "/looms/4/circuits",
    "runs": "/looms/4/runs",
    "build": "/units/2/build",
    "test": "/units/1/test?part=resistance",
    "done": "/units/1/done",
    "labels": "/looms/4/labels",
    "stores": "/stores",
    "calculator": "/calculators/capacity",
}
TABLET_PAGES = {"bench": "/units/2/bench"}
COLOURS = 96


def main() -> None:
    where = folder("static") / "tour"
    where.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as data, sync_playwright() as playwright:
        settings = Settings(data_dir=Path(data))
        upgrade(settings.database_path)
        engine = make_engine(settings.database_path)
        with writing(engine) as session:
            fill(session)
        engine.dispose()
        browser = playwright.chromium.launch(executable_path=find_chromium(), args=FLAGS)
        with served(settings) as live:
            for name, path in DESK_PAGES.items():
                picture(page_of(browser, live.url, DESK, touch=False), path, where / f"{name}.png")
            for name, path in TABLET_PAGES.items():
                picture(page_of(browser, live.url, TABLET, touch=True), path, where / f"{name}.png")
        browser.close()


def page_of(browser: Browser, url: str, size: object, *, touch: bool) -> Page:
    context = browser.new_context(base_url=url, viewport=size, has_touch=touch)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto("/jobs")
    chooser = page.get_by_label("Who is working")
    if chooser.count():
        with page.expect_navigation():
            chooser.first.select_option(label="Ben Sable" if touch else "Ada Quill")
    return page


def picture(page: Page, path: str, to: Path) -> None:
    """Few colours keep the file small; these pages have few."""
    answer = page.goto(path)
    assert answer is not None
    assert answer.ok, path
    taken = Image.open(io.BytesIO(page.screenshot()))
    few = taken.convert("RGB").quantize(COLOURS, dither=Image.Dither.NONE)
    few.save(to, optimize=True)
    page.context.close()


if __name__ == "__main__":
    main()
