"""Photos of fittings, through their pages."""

from io import BytesIO

import pytest
from PIL import Image
from sqlalchemy import func, select
from sqlalchemy.orm import Session
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, fitting, loom
from tests.pages.reading import errors, fields
from tests.stages.test_pictures import GIF, SVG, WHOLE, bomb, picture
from webapp.records.photos import Photo

__all__ = ["designed_db", "loom"]
LAMP = fitting("Lamp 0")
HERE = f"{LOOM}/fittings/{LAMP.uid}"


def send(client: TestClient, data: bytes, name: str = "plug.jpg", **more: str):  # type: ignore[no-untyped-def]
    values = {"about": "fitting", "about_uid": LAMP.uid, "next": HERE, "once": "a" * 32, **more}
    return client.post(f"{LOOM}/photos", data=values, files={"photo": (name, data, "image/jpeg")})


def kept(client: TestClient) -> int:
    with Session(client.app.state.engine) as session:  # type: ignore[attr-defined]
        return session.scalar(select(func.count()).select_from(Photo)) or 0


def test_a_photo_is_kept_and_shown_on_its_fitting(loom: TestClient) -> None:
    answer = send(loom, picture("PNG", size=(3200, 1600)), note="green goo in way 2")
    assert answer.url.path == HERE
    assert "Photo of Lamp 0 kept" in answer.text
    assert f'src="{LOOM}/photos/1.jpg" width="1600" height="800"' in answer.text
    assert "green goo in way 2" in answer.text
    shown = loom.get(f"{LOOM}/photos/1.jpg")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert shown.headers["cache-control"].startswith("private, max-age=")
    assert "default-src 'none'" in shown.headers["content-security-policy"]
    assert Image.open(BytesIO(shown.content)).size == (1600, 800)


def test_the_same_form_sent_twice_is_one_photo(loom: TestClient) -> None:
    send(loom, picture())
    assert send(loom, picture()).status_code == 200
    assert kept(loom) == 1
    send(loom, picture(), once="b" * 32)
    assert kept(loom) == 2


def test_a_tablets_camera_sends_by_a_field_of_its_own(loom: TestClient) -> None:
    values = {"about": "fitting", "about_uid": LAMP.uid, "next": HERE, "once": "c" * 32}
    files = {
        "photo": ("", b"", "application/octet-stream"),
        "camera": ("x", picture(), "image/png"),
    }
    assert loom.post(f"{LOOM}/photos", data=values, files=files).url.path == HERE
    assert kept(loom) == 1


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("drawing.svg", SVG),
        ("plug.jpg", b"<!doctype html><script>alert(1)</script>"),
        ("../../plug.jpg", SVG),
        ("plug.jpg", WHOLE[:1000]),
        ("plug.gif", GIF),
        ("plug.png", bomb(30_000, 30_000)),
    ],
    ids=["svg", "html", "svg by another name", "half a jpeg", "gif", "bomb"],
)
def test_what_is_no_photo_is_refused_beside_the_file(
    loom: TestClient, name: str, data: bytes
) -> None:
    answer = send(loom, data, name, note="by the door")
    assert answer.status_code == 422
    assert "photo" in errors(answer)
    assert fields(answer)["note"] == "by the door"
    assert kept(loom) == 0


def test_a_file_over_twelve_megabytes_is_refused_beside_it_and_a_huge_one_at_the_door(
    loom: TestClient,
) -> None:
    answer = send(loom, WHOLE + bytes(12_100_000))
    assert answer.status_code == 422
    assert "12 MB fit" in errors(answer)["photo"]
    assert send(loom, bytes(17_000_000)).status_code == 413
    other = loom.post(f"{HERE}/remove", files={"file": ("x", bytes(9_000_000))})
    assert other.status_code == 413
    assert kept(loom) == 0


def test_no_file_is_asked_for(loom: TestClient) -> None:
    answer = loom.post(f"{LOOM}/photos", data={"about": "fitting", "about_uid": LAMP.uid})
    assert answer.status_code == 422
    assert errors(answer)["photo"] == "Choose a photo, or take one."


def test_a_photo_is_taken_out_with_a_mark_and_shown_again(loom: TestClient) -> None:
    send(loom, picture())
    for removed, shown in (("1", False), ("1", False), ("0", True)):
        answer = loom.post(f"{LOOM}/photos/1", data={"removed": removed, "next": HERE})
        assert answer.url.path == HERE
        assert (f'src="{LOOM}/photos/1.jpg"' in answer.text) is shown
        assert ("1 photo taken out" in answer.text) is not shown
        assert loom.get(f"{LOOM}/photos/1.jpg").status_code == 200
    journal = loom.get("/jobs/1").text
    assert journal.count("Photo of Lamp 0 taken out.") == 1
    assert journal.count("Photo of Lamp 0 shown again.") == 1


def test_what_is_not_there(loom: TestClient) -> None:
    send(loom, picture())
    for path in (f"{LOOM}/photos/2.jpg", "/looms/2/photos/1.jpg", f"{LOOM}/photos/x.jpg"):
        assert loom.get(path).status_code == 404
    assert loom.post("/looms/2/photos/1", data={"removed": "1"}).status_code == 404
    assert send(loom, picture(), once="d" * 32, about_uid="nothing").status_code == 404
    assert send(loom, picture(), once="d" * 32, about="step").status_code == 404
    assert send(loom, picture(), once="d" * 32, about="shed").status_code == 404
    assert send(loom, picture(), once="d" * 32, next="//elsewhere.example/").url.path != "/"[1:]
