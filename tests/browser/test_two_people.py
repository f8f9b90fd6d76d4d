"""Two people in one design: each sees what the other does, and nobody's typing is lost."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import DESK, Live, Watch, context_of
from tests.pages.designed import LOOM, PROPOSED, designed_db
from webapp.database import make_engine, writing
from webapp.settings import Settings
from webapp.stages import people

__all__ = ["designed_db"]
# A page asks every second. How long it takes is for a benchmark, not for a test.
SOON_MS = 6_000
SLOWLY_MS = 12_000
NEED_NAMES = "[name^=needs-][name$='-name']"
WIRES = sorted(PROPOSED.link.values(), key=lambda link: link.number)


@pytest.fixture(autouse=True)
def designed(settings: Settings, designed_db: Path) -> None:
    """Served over a workshop of two with a proposed loom."""
    shutil.copyfile(designed_db, settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        people.add(session, name="Bo Finch", initials="BF", role="office")
    engine.dispose()


def works_at(browser: Browser, live: Live, watch: Watch, person: int) -> Iterator[Page]:
    with context_of(browser, live, DESK, touch=False) as context:
        context.set_default_timeout(SLOWLY_MS)
        context.add_cookies([{"name": "person", "value": str(person), "url": live.url}])
        page = context.new_page()
        watch.on(page, live)
        yield page


@pytest.fixture
def ada(browser: Browser, live: Live, watch: Watch) -> Iterator[Page]:
    yield from works_at(browser, live, watch, 1)


@pytest.fixture
def bo(browser: Browser, live: Live, watch: Watch) -> Iterator[Page]:
    yield from works_at(browser, live, watch, 2)


def both_open(ada: Page, bo: Page, page: str) -> None:
    for each in (ada, bo):
        each.goto(f"{LOOM}/{page}")
    expect(ada.locator("#live")).to_contain_text(f"Also here: Bo Finch ({page})")
    expect(bo.locator("#live")).to_contain_text(f"Also here: Ada Quill ({page})")


def cell(page: Page, row: str, field: str) -> "object":
    return page.locator(f"[id='{row}-{field}']")


def wire(page: Page, number: int, field: str) -> str:
    link = next(link for link in WIRES if link.number == number)
    return f"[id='wire-{link.uid}'] [data-cell={field}]"


def seen_by(page: Page, selector: str) -> list[str]:
    return [each.input_value() for each in page.locator(selector).all()]


def keep(page: Page, selector: str, text: str) -> None:
    field = page.locator(selector).first
    field.fill(text)
    field.press("Enter")
    expect(page.locator(".sending")).to_have_count(0)


def test_each_sees_the_others_wire_and_typing_is_not_disturbed(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "wires")
    typing = bo.locator(wire(bo, 2, "length_mm")).first
    typing.click()
    bo.keyboard.press("Control+a")
    bo.keyboard.type("98")
    keep(ada, wire(ada, 2, "main"), "BU")
    expect(bo.locator(wire(bo, 2, "main"))).to_have_value("BU", timeout=SOON_MS)
    expect(typing).to_be_focused()
    bo.keyboard.type("76")
    expect(typing).to_have_value("9876")
    bo.keyboard.press("Enter")
    expect(ada.locator(wire(ada, 2, "length_mm")).first).to_have_value("9,876", timeout=SOON_MS)
    expect(ada.locator("#live")).to_contain_text("Bo Finch: ")
    # Both pages show what the server has.
    for page in (ada, bo):
        shown = seen_by(page, "[data-cell]")
        page.reload()
        assert seen_by(page, "[data-cell]") == shown


def test_a_clash_shows_both_values_and_asks(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "wires")
    field = bo.locator(wire(bo, 2, "csa_mm2"))
    before = field.input_value()
    field.fill("6")
    keep(ada, wire(ada, 2, "csa_mm2"), "2.5")
    expect(bo.locator("#live")).to_contain_text("Ada Quill: ", timeout=SOON_MS)
    expect(field).to_have_value("6")
    field.press("Enter")
    error = bo.locator(".cell.wrong .error")
    expect(error).to_contain_text("set this to 2.5 mm² meanwhile; you typed 6")
    expect(ada.locator(wire(ada, 2, "csa_mm2"))).to_have_value("2.5")
    field.press("Enter")
    expect(error).to_have_count(0)
    expect(ada.locator(wire(ada, 2, "csa_mm2"))).to_have_value("6", timeout=SOON_MS)
    assert before not in ("2.5", "6")


def test_an_undo_of_mine_by_another_is_said(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "wires")
    before = ada.locator(wire(ada, 2, "main")).input_value()
    keep(ada, wire(ada, 2, "main"), "BU")
    expect(bo.locator(wire(bo, 2, "main"))).to_have_value("BU", timeout=SOON_MS)
    bo.get_by_role("button", name="Undo").click()
    expect(bo.locator("#notice")).to_contain_text("Taken back")
    expect(ada.locator(wire(ada, 2, "main"))).to_have_value(before, timeout=SOON_MS)
    expect(ada.locator("#live")).to_contain_text("Bo Finch took back your edit")


def test_a_wire_that_is_taken_out_leaves_the_other_page(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "wires")
    link = WIRES[-1]
    bo.locator(wire(bo, WIRES[-2].number, "main")).fill("blu")
    ada.goto(f"{LOOM}/wires/{link.uid}/remove")
    ada.get_by_role("button", name="Take it out").click()
    expect(bo.locator(f"[id='wire-{link.uid}']")).to_have_count(0, timeout=SLOWLY_MS)
    expect(bo.locator(wire(bo, WIRES[-2].number, "main"))).to_have_value("blu")


def test_a_circuit_and_a_fitting_follow(ada: Page, bo: Page) -> None:
    for page, row in (("circuits", "circuit-"), ("fittings", "fitting-")):
        both_open(ada, bo, page)
        name = f"tbody[id^='{row}'] [data-cell=name]"
        bo.locator(name).nth(1).fill("Half a na")
        keep(ada, name, f"Renamed {page}")
        expect(bo.locator(name).first).to_have_value(f"Renamed {page}", timeout=SOON_MS)
        bo.keyboard.type("me")
        expect(bo.locator(name).nth(1)).to_have_value("Half a name")
        # Typed on both sides: asked.
        bo.keyboard.press("Escape")
        bo.locator(name).first.fill("Mine")
        keep(ada, name, f"Named {page} anew")
        expect(bo.locator("#live")).to_contain_text(f"Named {page} anew", timeout=SOON_MS)
        bo.locator(name).first.press("Enter")
        expect(bo.locator(".cell.wrong .error")).to_contain_text(f"Named {page} anew meanwhile")
        bo.locator(name).first.press("Escape")


def test_needs_are_taken_in_and_both_values_shown(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "needs")
    names = seen_by(bo, NEED_NAMES)
    horn = names.index("Horn")
    assert horn != 1
    bo.locator("#needs-1-name").fill("Lamp at the bo")
    bo.locator(f"#needs-{horn}-rating").fill("5")
    bo.locator("#needs-1-name").focus()
    ada.locator("#needs-1-rating").fill("9")
    ada.locator(f"#needs-{horn}-rating").fill("6")
    ada.locator("#needs-1-name").press("Control+d")
    ada.keyboard.type("Copied")
    ada.keyboard.press("Control+Enter")
    expect(ada.locator("#notice")).to_contain_text("Needs: 1 added, 2 changed")
    expect(bo.locator("#needs-1-rating")).to_have_value("9", timeout=SOON_MS)
    expect(bo.locator("#needs-1-name")).to_be_focused()
    bo.keyboard.press("End")
    bo.keyboard.type("w")
    expect(bo.locator("#needs-1-name")).to_have_value("Lamp at the bow")
    assert "Copied" in seen_by(bo, NEED_NAMES)
    expect(bo.locator(f"#needs-{horn}-rating")).to_have_value("5")
    theirs = bo.locator(".theirs")
    expect(theirs).to_contain_text("Ada Quill has set this to 6.")
    bo.keyboard.press("Control+Enter")
    expect(bo.locator(f"#needs-{horn}-rating-error")).to_contain_text("has set this to 6 meanwhile")
    bo.keyboard.press("Control+Enter")
    bo.get_by_role("button", name="Save", exact=True).click()
    expect(bo.locator("#notice")).to_contain_text("2 changed")
    expect(ada.locator("#needs-1-name")).to_have_value("Lamp at the bow", timeout=SOON_MS)
    expect(ada.locator(f"#needs-{horn}-rating")).to_have_value("5")


def test_a_run_taken_out_by_another(ada: Page, bo: Page) -> None:
    both_open(ada, bo, "runs")
    rows = bo.locator("table[data-rows=runs] tbody tr:has([name$='-length_mm'])")
    count = len([v for v in seen_by(bo, "[name^=runs-][name$='-from_place']") if v])
    ada.locator("#runs-0-length_mm").fill("1234")
    ada.keyboard.press("Control+Enter")
    expect(bo.locator("#runs-0-length_mm")).to_have_value("1234", timeout=SOON_MS)
    assert rows.count() >= count
