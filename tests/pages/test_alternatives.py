"""The page of alternatives, and the way to it from the proposal."""

import re

from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, loom, now

__all__ = ["designed_db", "loom"]


def test_the_proposal_leads_to_the_whole_looms_alternatives(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/proposal").text
    assert f'href="{LOOM}/alternatives/loom"' in page
    assert "Thickest bundle" in page


def test_what_is_picked_is_taken_as_one_step(loom: TestClient) -> None:
    page = loom.get(f"{LOOM}/alternatives/loom").text
    assert "As it stands" in page
    assert "Fuse-links shared by place" in page
    last = re.search(r'name="last_command" value="(\d+)"', page)
    assert last is not None
    sent = {"last_command": last.group(1), "alternative": "sharing"}
    answer = loom.post(f"{LOOM}/alternatives/loom", data=sent, follow_redirects=True)
    assert "Undo takes it back whole" in answer.text
    assert now(loom).basis.fuse_sharing == "by place"
    again = loom.post(f"{LOOM}/alternatives/loom", data=sent)
    assert again.status_code == 409


def test_nonsense_is_refused_and_what_is_not_there_is_not_found(loom: TestClient) -> None:
    assert loom.get(f"{LOOM}/alternatives/none").status_code == 404
    sent = {"last_command": "x", "alternative": "sharing"}
    assert loom.post(f"{LOOM}/alternatives/loom", data=sent).status_code == 409
    assert loom.post(f"{LOOM}/alternatives/loom", data={}).status_code == 409
