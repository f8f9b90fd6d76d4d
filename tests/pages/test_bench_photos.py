"""Photos of work steps: taken at the bench, kept with the step, seen on the unit's page."""

import pytest
from starlette.testclient import TestClient

from tests.pages.bench_client import start, with_launch
from tests.pages.reading import errors
from tests.stages.test_pictures import SVG, picture

CRIMP = "l1:from:crimp"


@pytest.fixture
def unit_id(client: TestClient) -> int:
    return start(client, with_launch(client))[0]


def send(client: TestClient, step: str, data: bytes, **more: str):  # type: ignore[no-untyped-def]
    values = {
        "about": "step",
        "about_uid": step,
        "unit_id": "1",
        "once": "a" * 32,
        "next": f"/units/1/photos?step={step}",
    }
    files = {"camera": ("x.jpg", data, "image/jpeg")}
    return client.post("/looms/1/photos", data=values | more, files=files)


def test_a_photo_is_kept_with_its_step(client: TestClient, unit_id: int) -> None:
    page = client.get(f"/units/{unit_id}/photos?step={CRIMP}").text
    assert "Wire 1, left end: Crimp" in page
    assert 'capture="environment"' in page
    answer = send(client, CRIMP, picture(), note="wings even")
    assert answer.url.path == f"/units/{unit_id}/photos"
    assert "Photo of Wire 1, left end: Crimp, unit 1 kept" in answer.text
    assert "wings even" in answer.text
    row = client.get(f"/units/{unit_id}/bench?step={CRIMP}&order=wire").text
    assert f'href="/units/{unit_id}/photos?step=l1%3Afrom%3Acrimp"' in row
    assert "1 photo<" in row
    assert "Wire 1, left end: Crimp: wings even" in client.get(f"/units/{unit_id}/build").text
    assert "1 photo<" not in client.get("/units/2/bench?order=wire").text


def test_a_photo_that_is_taken_out_leaves_the_row(client: TestClient, unit_id: int) -> None:
    send(client, CRIMP, picture())
    here = f"/units/{unit_id}/photos?step={CRIMP}"
    answer = client.post("/looms/1/photos/1", data={"removed": "1", "next": here})
    assert "1 photo taken out" in answer.text
    assert "1 photo<" not in client.get(f"/units/{unit_id}/bench?step={CRIMP}").text
    assert "1 photo taken out" in client.get(f"/units/{unit_id}/photos").text


def test_the_way_back_leads_to_the_panel_that_one_came_from(
    client: TestClient, unit_id: int
) -> None:
    came = f"http://testserver/units/{unit_id}/bench?order=plug&at=supply"
    page = client.get(f"/units/{unit_id}/photos?step={CRIMP}", headers={"Referer": came}).text
    assert f'href="/units/{unit_id}/bench?order=plug&amp;at=supply"' in page
    assert f"/units/{unit_id}/photos?step=l1%3Afrom%3Acrimp&amp;order=plug&amp;at=supply" in page


@pytest.mark.parametrize(
    "wrong", [{"about_uid": "nothing"}, {"unit_id": "99"}, {"unit_id": "x"}, {"unit_id": ""}]
)
def test_a_photo_of_nothing_is_not_kept(
    client: TestClient, unit_id: int, wrong: dict[str, str]
) -> None:
    assert send(client, CRIMP, picture(), **wrong).status_code in (404, 422)
    assert "None is taken yet" in client.get(f"/units/{unit_id}/photos").text
    assert client.get(f"/units/{unit_id}/photos?step=nothing").status_code == 404


def test_what_is_no_photo_is_refused_beside_the_file(client: TestClient, unit_id: int) -> None:
    answer = send(client, CRIMP, SVG, note="wings even")
    assert answer.status_code == 422
    assert "photo" in errors(answer)
    assert "wings even" in answer.text
