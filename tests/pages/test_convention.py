"""A workshop that measures in inches, writes a decimal comma, and dates its own way."""

import re

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, loom, now, wire
from tests.pages.reading import errors, fields
from webapp.stages.design.rows import Design

__all__ = ["designed_db", "loom"]
CHOSEN = {"length_unit": "inch", "decimal_mark": ",", "date_style": "13.12.2026"}


@pytest.fixture
def inches(loom: TestClient) -> TestClient:
    answer = loom.post("/settings", data=fields(loom.get("/settings")) | CHOSEN)
    assert answer.status_code == 200
    assert fields(loom.get("/settings")).items() >= CHOSEN.items()
    return loom


def lengths(design: Design) -> list[int | None]:
    return sorted(run.length_mm or 0 for run in design.run.values())


@pytest.mark.parametrize("field", CHOSEN)
def test_an_unknown_convention_is_refused(loom: TestClient, field: str) -> None:
    answer = loom.post("/settings", data=fields(loom.get("/settings")) | {field: "ells"})
    assert answer.status_code == 422
    assert field in errors(answer)


@pytest.mark.parametrize("page", ["needs", "runs"])
def test_tables_sent_back_as_they_were_shown_change_nothing(inches: TestClient, page: str) -> None:
    before = now(inches)
    answer = inches.get(f"{LOOM}/{page}")
    assert ">in</th>" in answer.text
    sent = inches.post(f"{LOOM}/{page}", data=fields(answer))
    assert sent.status_code == 200
    assert now(inches) == before


def test_a_run_is_typed_in_inches_or_with_its_unit(inches: TestClient) -> None:
    page = fields(inches.get(f"{LOOM}/runs"))
    typed = {"runs-0-length_mm": "12 3/8", "runs-1-length_mm": "300 mm"}
    assert inches.post(f"{LOOM}/runs", data=page | typed).status_code == 200
    assert {314, 300} <= set(lengths(now(inches)))


def test_a_wires_length_in_a_cell(inches: TestClient) -> None:
    link = wire(2)
    page = inches.get(f"{LOOM}/wires/{link.uid}").text
    assert "Length, in" in page
    shown = re.search(r'id="[^"]*-length_mm" name="value" value="([^"]+)"', page)
    assert shown
    address = f"{LOOM}/wires/{link.uid}?segment=0"
    cell = {"field": "length_mm", "seen": shown[1]}
    assert inches.post(address, data=cell | {"value": shown[1]}).status_code == 200
    assert inches.post(address, data=cell | {"value": "120,5"}).status_code == 200
    assert now(inches).link[link.uid].lengths_mm == {"0": 3061}


def test_lists_that_come_in_stay_in_mm(inches: TestClient) -> None:
    before = now(inches)
    for what in ("runs", "wires"):
        out = inches.get(f"{LOOM}/{what}.csv").text
        preview = inches.post(f"{LOOM}/import", data={"what": what, "text": out})
        assert preview.status_code == 200
        assert "differs" not in preview.text
    assert now(inches) == before


def test_dates_and_money_follow(inches: TestClient) -> None:
    job = inches.get("/jobs/1/edit")
    changed = inches.post("/jobs/1/edit", data=fields(job) | {"due_on": "24.12.2026"})
    assert changed.status_code == 200
    assert "24.12.2026" in changed.text
    assert fields(inches.get("/jobs/1/edit"))["due_on"] == "24.12.2026"
