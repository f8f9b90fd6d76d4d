"""The keyboard map: on a question mark outside fields, by its button, and closed by Esc."""

from pathlib import Path

from playwright.sync_api import Browser, expect

from tests.browser.conftest import DESK, context_of, served
from tests.browser.every_page import make_bare
from tests.browser.test_every_page import AXE, RUN_AXE
from webapp.settings import Settings


def test_the_map_of_keys(browser: Browser, tmp_path: Path) -> None:
    settings = Settings(data_dir=tmp_path)
    make_bare(settings)
    with served(settings) as live, context_of(browser, live, DESK, touch=False) as context:
        page = context.new_page()
        page.goto("/looms/1/needs")
        dialog = page.get_by_role("dialog", name="Keys")
        field = page.locator("#needs-0-name")
        field.press("?")
        expect(field).to_have_value("?")
        expect(dialog).to_have_count(0)
        field.evaluate("field => field.blur()")
        page.keyboard.press("?")
        expect(dialog).to_be_visible()
        expect(dialog).to_contain_text("goes to the search box")
        page.evaluate(AXE)
        assert page.evaluate(RUN_AXE, True) == []
        page.keyboard.press("Escape")
        expect(dialog).to_be_hidden()
        page.get_by_role("button", name="Keys").click()
        expect(dialog).to_be_visible()
        expect(dialog.get_by_role("button", name="Close")).to_be_focused()
        page.keyboard.press("Enter")
        expect(dialog).to_be_hidden()
