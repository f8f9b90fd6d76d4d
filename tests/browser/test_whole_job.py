"""The whole job in the browser: the day launch from zero rows, and the demo's half-made unit."""

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import DESK, Live, Watch, context_of, served
from tests.browser.workday import Workday
from tests.paper.reading import page_texts
from webapp.database import make_engine, writing
from webapp.settings import Settings
from webapp.stages.demo import fill

# The invented need list of a 6.4 m day launch in a batch of six.
LAUNCH = Path(__file__).parents[1] / "day_launch"


def text_of(pdf: bytes) -> str:
    return "\n".join(page_texts(pdf))


def lists(name: str) -> str:
    return (LAUNCH / name).read_text(encoding="utf-8")


def test_the_day_launch_from_nothing_to_its_certificate(page: Page, live: Live) -> None:
    day = Workday(page)
    begun = time.monotonic()
    day.set_up("Tern Lane Looms", "Ada Quill", "AQ")
    day.new_job("Dunlin Day Boats", "Day launch", "craft", "12", "insulated return", "6")
    day.follow("main loom")
    day.paste("runs", lists("runs.csv"))
    day.paste("facts", lists("job.csv"))
    day.paste("needs", lists("needs.csv"))
    day.propose()
    day.quote()
    quoted = (time.monotonic() - begun, len(day.sent))
    quotation = text_of(day.pdf("Quotation PDF"))
    assert "Dunlin Day Boats" in quotation
    assert "Accepted by" in quotation
    day.accept("J. Dunlin")
    day.sign_off()
    day.add_instrument("Meter", "2026-10-01", "2027-10-01")
    day.find("26-001")
    day.follow("main loom")
    day.start_building("short")
    page.get_by_role("row").nth(1).get_by_role("link").first.click()
    assert day.set_crimps_up("Meter") > 5
    taps = day.make()
    day.pass_to_test()
    for part in ("Isolation", "Resistance", "Polarity", "Function"):
        day.read_all(part, "Meter")
    day.pass_circuits("Meter")
    day.sign_tested()
    certificate = text_of(day.pdf("Test certificate, PDF"))
    assert "Ada Quill" in certificate
    assert "R001" in certificate
    print(
        f"issued quote after {quoted[0]:.0f} s and {quoted[1]} forms; "
        f"certificate after {time.monotonic() - begun:.0f} s and {len(day.sent)} forms, {taps} taps"
    )
    for words in ("Dunlin", "6.4 m", "launch 12", "Tab receptacle"):
        day.find(words)
        expect(page.get_by_role("main")).to_contain_text("Day launch")


@pytest.fixture
def demo(settings: Settings) -> Iterator[Live]:
    """The demo workshop, as `serve --demo` opens it."""
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        fill(session)
    engine.dispose()
    with served(settings) as running:
        yield running


def test_the_demo_goes_on_to_a_new_job_from_an_old_one(
    browser: Browser, demo: Live, watch: Watch
) -> None:
    with context_of(browser, demo, DESK, touch=False) as context:
        page = context.new_page()
        watch.on(page, demo)
        day = Workday(page)
        page.goto("/jobs")
        with page.expect_navigation():
            page.get_by_label("Who is working").first.select_option(label="Ada Quill")
        day.find("26-004-02")
        day.make()
        assert day.measure_last("gauge") > 5
        day.pass_to_test()
        for part in ("Isolation", "Resistance", "Polarity", "Function"):
            day.read_all(part, "Multimeter")
        day.pass_circuits("Multimeter")
        day.sign_tested()
        assert "26-004-02" in text_of(day.pdf("Test certificate, PDF"))
        day.find("26-004")
        day.press("Start a new job from this one")
        day.press("Save")
        day.follow("main loom")
        day.quote()
        day.accept("J. Dunlin")
        day.sign_off()
        expect(page.get_by_role("main")).to_contain_text("Start building")
