"""Cables and pairs through their page, on the wire pages, the cut list and the labels."""

import re
import shutil
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.pages.conftest import ClientMaker
from tests.pages.designed import LOOM, designed_db, put_design
from tests.stages.design.laid import LAID, links_in
from webapp.database import make_engine, writing
from webapp.settings import Settings

PAGE = f"{LOOM}/cables"
__all__ = ["designed_db"]


@pytest.fixture
def laid(settings: Settings, designed_db: Path, client_with: ClientMaker) -> TestClient:
    """The application over a loom with a pair, a screened cable and a cable of cores."""
    shutil.copyfile(designed_db, settings.database_path)
    engine = make_engine(settings.database_path)
    with writing(engine) as session:
        put_design(session, 1, LAID)
    engine.dispose()
    return client_with()


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


def test_the_page_shows_what_lies_in_what(laid: TestClient) -> None:
    page = laid.get(PAGE)
    assert page.status_code == 200
    text = words(page.text)
    assert "twisted pair" in text
    assert "Boat 2-core screened cable" in text
    assert "cut back and sleeved" in text


def test_a_cable_is_parted_and_laid_again(laid: TestClient) -> None:
    feed, back = links_in(LAID, "cable of cores")
    gone = laid.post(f"{PAGE}/{feed.cable_uid}", data={"act": "all"})
    assert gone.url.path == PAGE
    assert "single" in words(laid.get(f"{LOOM}/wires/{feed.uid}").text)
    again = laid.post(
        PAGE, data={"wires": f"{feed.number}, {back.number}", "kind": "cable of cores"}
    )
    assert again.url.path == PAGE
    assert "core red of" in words(laid.get(f"{LOOM}/wires").text)


def test_undo_brings_a_parted_cable_back(laid: TestClient) -> None:
    feed, _ = links_in(LAID, "screened cable")[:2]
    before = words(laid.get(PAGE).text).count("screened cable")
    laid.post(f"{PAGE}/{feed.cable_uid}", data={"act": "all"})
    laid.post(f"{LOOM}/undo", data={"here": PAGE})
    assert words(laid.get(PAGE).text).count("screened cable") == before


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"wires": "5000, 1", "kind": "twisted pair"}, "There is no wire “5000”"),
        ({"wires": "1", "kind": "twisted pair"}, "two wires"),
        ({"wires": "1, 2", "kind": ""}, "Laid as"),
        ({"wires": "1, 2", "kind": "rope"}, "Laid as"),
        ({"wires": "", "kind": "twisted pair"}, "Wires"),
    ],
)
def test_what_cannot_be_laid_is_said_and_kept(
    laid: TestClient, fields: dict[str, str], said: str
) -> None:
    answer = laid.post(PAGE, data=fields)
    assert answer.status_code == 422
    assert said in words(answer.text)
    assert f'value="{fields["wires"]}"' in answer.text


def test_a_cable_gets_another_part_and_a_name(laid: TestClient) -> None:
    uid = links_in(LAID, "cable of cores")[0].cable_uid or ""
    part = "cores-class5-tinned-3x2.5"
    answer = laid.post(f"{PAGE}/{uid}", data={"act": "part", f"{uid}-part_uid": part, "seen": ""})
    assert answer.url.path == PAGE
    laid.post(f"{PAGE}/{uid}", data={"act": "name", f"{uid}-name": "Horn lead"})
    text = laid.get(PAGE).text
    assert 'value="Horn lead"' in text
    assert f'value="{part}" selected' in text
    wrong = {"act": "part", f"{uid}-part_uid": "screened-class5-tinned-2x1", "seen": part}
    refused = laid.post(f"{PAGE}/{uid}", data=wrong)
    assert refused.status_code == 422
    assert "has a screen" in words(refused.text)


def test_a_cable_that_is_not_there_is_not_found(laid: TestClient) -> None:
    assert laid.post(f"{PAGE}/nothing", data={"act": "all"}).status_code == 404
    uid = links_in(LAID, "cable of cores")[0].cable_uid
    missing = laid.post(f"{PAGE}/{uid}", data={"act": "out", "link_uid": "nothing"})
    assert missing.status_code == 404


def test_the_cut_list_and_the_labels_name_the_cable(laid: TestClient) -> None:
    cut = words(laid.get(f"{LOOM}/cut-list").text)
    assert "Cable 2" in cut
    assert "mm at bow" in cut
    assert "Cable and pair tags" in words(laid.get(f"{LOOM}/labels").text)
