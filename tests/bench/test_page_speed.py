"""The measure of pages: which pages it takes, what SQL it holds them to, and what it prints."""

import re
import shutil

import pytest
from sqlalchemy import Engine, text
from sqlalchemy.orm import Session

from webapp.bench import big_loom, browser_speed, page_speed
from webapp.bench.loom_pages import addresses
from webapp.bench.statements import bare_s, recorded
from webapp.database import reading
from webapp.stages.catalogue import Catalogue, seed_parts
from webapp.stages.design import entry
from webapp.stages.design.findings import findings
from webapp.stages.design.wires import wires

NEEDS = 2
KNOWN = {"loom_id": "7", "link_uid": "w"}
LINE = re.compile(r"^\S+ +[\d.]+ m?s, +[\d.]+ times its SQL; first .* statements and \d+ again$")


def test_the_big_loom_has_three_hundred_wires_and_no_errors() -> None:
    loom = big_loom.proposed()
    assert 290 <= len(wires(loom)) <= 330
    catalogue = Catalogue({part.uid: part for part in seed_parts()})
    assert [each.rule for each in findings(loom, catalogue) if each.severity == "error"] == []


def test_the_same_loom_is_entered_through_the_stages(session: Session) -> None:
    loom_id = big_loom.enter(session, NEEDS)
    kept = entry.latest(session, loom_id)
    assert len(kept.need) == NEEDS
    assert len(wires(kept)) == len(wires(big_loom.proposed(NEEDS)))


def test_pages_are_those_that_the_application_answers() -> None:
    found = dict(addresses("/looms/{loom_id}/", KNOWN))
    assert found["needs"] == "/looms/7/needs"
    assert found["wires/{link_uid}"] == "/looms/7/wires/w"
    for page in ("price", "wires", "fittings", "circuits", "runs", "plan", "parts", "revisions",
                 "proposal", "sign-off", "papers", "labels", "build", "test"):  # fmt: skip
        assert page in found
    assert not [name for name in found if name.endswith((".pdf", ".csv", ".jpg"))]
    assert "live" not in found  # it asks for what a script on the page knows
    assert "fittings/{fitting_uid}" not in found  # none was named


def test_statements_are_noted_once_each_and_replayed(engine: Engine) -> None:
    with recorded(engine) as statements, reading(engine) as session:
        for number in (1, 2, 1):
            session.execute(text("SELECT :n"), {"n": number})
    with reading(engine) as session:
        session.execute(text("SELECT 4"))
    assert [given for _sql, given in statements.needed] == [(1,), (2,)]
    assert statements.again == 1
    assert bare_s(engine, statements) > 0


def test_every_page_has_its_line(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_speed, "NEEDS", NEEDS)
    monkeypatch.setattr(page_speed, "TURNS", 1)
    loom, *lines = page_speed.lines()
    assert loom.endswith(f"{NEEDS} needs")
    pages = {line.split(" ")[0]: line for line in lines}
    for page in ("wires", "needs", "price", "sign-off", "circuits", "fittings/{fitting_uid}"):
        assert LINE.match(pages[page]), pages[page]
    assert any(line.startswith("unit: bench ") for line in lines)
    assert not [line for line in lines if "answers 5" in line]


def test_a_missing_browser_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(browser_speed, "BROWSER", "no-such-browser")
    (line,) = browser_speed.lines()
    assert line.startswith("not measured: no browser is here")


@pytest.mark.skipif(not shutil.which(browser_speed.BROWSER), reason="Chromium is not installed")
def test_paint_and_answer_are_timed_in_a_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(browser_speed, "NEEDS", NEEDS)
    monkeypatch.setattr(browser_speed, "TURNS", 1)
    paint, answer = browser_speed.lines()
    assert re.match(r"\d+ links: first paint [\d.]+ m?s, whole [\d.]+ m?s$", paint)
    assert re.match(r"from Enter to the answer in the table: [\d.]+ m?s$", answer)
