"""Findings under their rows: mended by one tap, accepted with a reason and a name."""

import re
from dataclasses import replace
from html import unescape

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, PROPOSED, designed_db, loom, now, put_design
from webapp.database import writing

__all__ = ["designed_db", "loom"]

# The first finding that may be accepted: a warning or a note on the page of wires.
FORM = re.compile(
    r'action="/looms/1/findings/accept"[^>]*>\s*<input type="hidden" name="rule" value="([^"]*)">'
    r'<input type="hidden" name="table" value="([^"]*)">'
    r'<input type="hidden" name="uid" value="([^"]*)">'
    r'<input type="hidden" name="sentence" value="([^"]*)">'
)
REASON = "The yard keeps to one pole, as its survey asks."


@pytest.fixture
def named(loom: TestClient) -> dict[str, str]:
    found = FORM.search(loom.get(f"{LOOM}/wires").text)
    assert found
    names = ("rule", "table", "uid", "sentence")
    return dict(zip(names, map(unescape, found.groups()), strict=True))


def accept(loom: TestClient, named: dict[str, str], reason: str = REASON) -> str:
    answer = loom.post(f"{LOOM}/findings/accept", data=named | {"reason": reason})
    assert answer.status_code == 200
    return loom.get(f"{LOOM}/wires").text


def test_an_accepted_finding_takes_one_line_with_who_when_and_why(
    loom: TestClient, named: dict[str, str]
) -> None:
    page = accept(loom, named)
    assert re.search(rf"Accepted by Ada Quill on \d+ \w+ \d{{4}}: {re.escape(REASON)}", page)
    sign_off = loom.get(f"{LOOM}/sign-off").text
    open_ones, _, accepted = sign_off.partition("Accepted as it stands")
    assert REASON in accepted
    assert named["sentence"] not in unescape(open_ones)


def test_it_can_be_taken_back(loom: TestClient, named: dict[str, str]) -> None:
    accept(loom, named)
    assert loom.post(f"{LOOM}/findings/withdraw", data=named).status_code == 200
    page = loom.get(f"{LOOM}/wires").text
    assert "Accepted by" not in page
    assert FORM.search(page)
    # Once more takes nothing back.
    assert loom.post(f"{LOOM}/findings/withdraw", data=named).status_code == 200


def test_without_a_reason_it_is_asked_again_with_what_was_typed(
    loom: TestClient, named: dict[str, str]
) -> None:
    for reason, said in (("  ", "Say why"), ("x" * 501, "At most 500")):
        answer = loom.post(f"{LOOM}/findings/accept", data=named | {"reason": reason})
        assert answer.status_code == 422
        assert said in answer.text
        assert f'value="{reason}"' in answer.text
    assert "Accepted by" not in loom.get(f"{LOOM}/wires").text


def test_what_is_not_said_now_cannot_be_accepted(loom: TestClient, named: dict[str, str]) -> None:
    for change in ({"sentence": "All is well."}, {"uid": "nowhere"}, {"rule": "no rule"}):
        answer = loom.post(f"{LOOM}/findings/accept", data=named | change | {"reason": REASON})
        assert answer.status_code == 409
    assert loom.post(f"{LOOM}/findings/withdraw", data={}).status_code == 409


def test_an_error_offers_no_accepting_and_takes_none(loom: TestClient) -> None:
    link = next(iter(now(loom).link.values()))
    loom.post(f"{LOOM}/wires/{link.uid}", data={"field": "main", "value": "", "seen": link.main})
    loom.post(
        f"{LOOM}/wires/{link.uid}", data={"field": "csa_mm2", "value": "", "seen": link.csa_mm2}
    )
    error = {
        "rule": "conductor",
        "table": "wire",
        "uid": link.uid,
        "sentence": "No conductor size is given yet.",
    }
    page = loom.get(f"{LOOM}/wires").text
    assert error["sentence"] in page
    assert "conductor" not in {found[0] for found in FORM.findall(page)}
    answer = loom.post(f"{LOOM}/findings/accept", data=error | {"reason": REASON})
    assert answer.status_code == 422
    assert "An error cannot be accepted" in answer.text


def test_what_is_found_about_runs_and_needs_stands_below_their_forms(loom: TestClient) -> None:
    needs = loom.get(f"{LOOM}/needs").text
    assert re.search(r'id="found".*Insulated return.*findings/accept', needs, re.S)
    assert 'id="found"' not in loom.get(f"{LOOM}/runs").text
    unused = replace(PROPOSED.run["r0"], uid="r9", position=9)
    with writing(loom.app.state.engine) as session:  # type: ignore[attr-defined]
        put_design(session, 1, replace(PROPOSED, run=PROPOSED.run | {"r9": unused}))
    runs = loom.get(f"{LOOM}/runs").text
    assert re.search(r'id="found".*No wire takes this run.*findings/accept', runs, re.S)
    gate = loom.get(f"{LOOM}/sign-off").text
    assert f'href="{LOOM}/needs#found"' in gate
    assert f'href="{LOOM}/runs#found"' in gate
