"""Cells pasted into a table that is edited in place: shown first, kept as one command."""

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, loom, now
from tests.pages.reading import fields

__all__ = ["designed_db", "loom"]
WIRES = sorted(PROPOSED.link.values(), key=lambda link: link.number)
TITLES = {"number": "No.", "main": "Main", "csa_mm2": "mm²", "note": "Note"}


def grid(count: int = 3, first: int = 0, columns: tuple[str, ...] = ("csa_mm2", "note")) -> str:
    rows = []
    for link in WIRES[:count]:
        to = f"{LOOM}/wires/{link.uid}?segment=0"
        seen = {
            "number": str(link.number),
            "csa_mm2": f"{link.csa_mm2:g}",
            "note": link.note,
            "main": link.main,
        }
        cells = {name: {"to": to, "seen": value} for name, value in seen.items()}
        rows.append({"name": f"Wire {link.number}", "key": str(link.number), "cells": cells})
    shown = {"titles": TITLES, "key": "number", "first": first, "columns": columns, "rows": rows}
    return json.dumps(shown)


def look(client: TestClient, text: str, **more: str) -> Any:
    return client.post(f"{LOOM}/paste", data={"text": text, "grid": grid()} | more)


def keep(client: TestClient, shown: Any, **more: str) -> Any:
    return client.post(f"{LOOM}/paste/cells", data=fields(shown) | more)


def notes(client: TestClient) -> list[str]:
    design = now(client)
    return [design.link[link.uid].note for link in WIRES[:3]]


def test_nothing_is_written_before_it_is_kept_and_one_undo_takes_it_back(
    loom: TestClient,
) -> None:
    before = now(loom)
    shown = look(loom, "6\tbehind the panel\n2,5\tin the bilge\n")
    assert "4 cells would change" in shown.text
    assert now(loom) == before
    page = keep(loom, shown)
    assert "Paste 4 cells into 2 rows: kept." in page.text
    assert notes(loom)[:2] == ["behind the panel", "in the bilge"]
    assert now(loom).link[WIRES[1].uid].csa_mm2 == 2.5
    loom.post(f"{LOOM}/undo", data={"next": f"{LOOM}/wires"})
    assert notes(loom) == [link.note for link in WIRES[:3]]
    assert now(loom).link == before.link
    assert now(loom).wire_end == before.wire_end


def test_what_is_refused_is_named_and_left_out_only_when_told(loom: TestClient) -> None:
    shown = look(loom, "2.4\tone\n\ttwo\nbig\t\n")
    assert "2 cells would change" in shown.text
    assert "“2.4” is not a size of this cable" in shown.text
    refused = keep(loom, shown)
    assert refused.status_code == 422
    assert "Some cells are refused" in refused.text
    assert notes(loom) == [link.note for link in WIRES[:3]]
    assert keep(loom, refused, without_refused="1").url.path == f"{LOOM}/wires"
    assert notes(loom)[:2] == ["one", "two"]


def test_a_first_line_names_the_columns_and_the_rows(loom: TestClient) -> None:
    second, third = WIRES[1].number, WIRES[2].number
    shown = look(loom, f"Note\tNo.\nfor {third}\t{third}\nfor {second}\t{second}\nx\t9999\n")
    assert "1 line found no row" in shown.text
    keep(loom, shown)
    assert notes(loom)[1:] == [f"for {second}", f"for {third}"]


def test_a_column_is_taken_for_another(loom: TestClient) -> None:
    shown = look(loom, "anything\t6\n", **{"column-0": "note", "column-1": ""})
    assert "1 cell would change" in shown.text
    keep(loom, shown)
    assert notes(loom)[0] == "anything"
    assert now(loom).link[WIRES[0].uid].csa_mm2 == WIRES[0].csa_mm2


def test_a_design_that_changed_since_is_shown_anew(loom: TestClient) -> None:
    shown = look(loom, "\tmine\n")
    sent = {"field": "note", "value": "theirs", "seen": WIRES[0].note}
    loom.post(f"{LOOM}/wires/{WIRES[0].uid}", data=sent)
    clash = keep(loom, shown)
    assert clash.status_code == 409
    assert "changed after" in clash.text
    assert notes(loom)[0] == "theirs"
    # What the page saw of this cell is not what stands: it is refused, not overwritten.
    assert "It was changed after this page was opened" in clash.text
    assert keep(loom, clash).status_code == 422


def test_numbers_that_wait_for_each_other(loom: TestClient) -> None:
    first, second = WIRES[0], WIRES[1]
    shown = look(loom, "5000\n", grid=grid(first=1, columns=("number",)))
    keep(loom, shown)
    text = f"{second.number}\n"
    keep(loom, look(loom, text, grid=grid(first=0, columns=("number",))))
    assert now(loom).link[first.uid].number == second.number
    assert now(loom).link[second.uid].number == 5000


@pytest.mark.parametrize(
    "sent",
    [
        {"grid": ""},
        {"grid": "[]"},
        {"grid": json.dumps({"titles": {}, "columns": [], "rows": [{"name": "a"}]})},
        {"grid": grid().replace("/looms/1/", "/looms/2/")},
        {"grid": grid().replace("/wires/", "/elsewhere/")},
        {"grid": grid().replace("csa_mm2", "uid")},
    ],
)
def test_what_no_page_sends_is_not_taken(loom: TestClient, sent: dict[str, str]) -> None:
    before = now(loom)
    assert look(loom, "6\tx\n", **sent).status_code == 422
    assert now(loom) == before


@pytest.mark.parametrize("text", ["", "  \n", '"open', "x\t" * 4000])
def test_what_cannot_be_read_is_said(loom: TestClient, text: str) -> None:
    answer = look(loom, text)
    assert answer.status_code in (200, 422)
    assert "Internal" not in answer.text
    assert answer.status_code == 422 or "There is nothing to keep" in answer.text
