"""Lists and photos that were made to do harm: refused in words, never served as what they are."""

import io
import zipfile

import pytest
from starlette.testclient import TestClient

from tests.pages.designed import LOOM, designed_db, fitting, loom
from tests.pages.reading import errors
from tests.stages.test_pictures import picture

__all__ = ["designed_db", "loom"]
SCRIPT = "<script>alert(1)</script>"
HEAD = "need,place,kind,rating"


def spreadsheet() -> bytes:
    """What a spreadsheet program saves unless it is told otherwise: a zip of XML."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("xl/worksheets/sheet1.xml", "<c>0</c>" * 100_000)
    return out.getvalue()


def look(client: TestClient, data: bytes, name: str = "list.csv", to: str = f"{LOOM}/import"):  # type: ignore[no-untyped-def]
    return client.post(to, data={"what": "needs"}, files={"file": (name, data, "text/csv")})


@pytest.mark.parametrize(
    "data",
    [
        spreadsheet(),
        picture("PNG"),
        b"%PDF-1.7\n\x00\x01",
        b"MZ\x90\x00\x03",
        HEAD.encode() + b"\nHorn\x00,bow,motor,4",
        "\ufeffneed".encode("utf-16-le")[:-1],
        bytes(range(256)),
    ],
    ids=["spreadsheet", "picture", "pdf", "program", "a zero", "half a character", "every byte"],
)
@pytest.mark.parametrize("to", [f"{LOOM}/import", "/stores/import"])
def test_what_is_no_text_is_refused_and_not_shown(loom: TestClient, data: bytes, to: str) -> None:
    answer = look(loom, data, to=to)
    assert answer.status_code == 422
    assert "not text" in errors(answer)["text"]
    assert "\0" not in answer.text


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"x" * (1024 * 1024 + 1), "1 MB"),
        (f"{HEAD}\n".encode() + b"Horn,bow,motor,4\n" * 2001, "2,000 fit"),
        (HEAD.encode() + b"," * 400_000 + b"\nHorn,bow,motor,4", "columns"),
        (HEAD.encode() + b"\nHorn" + b"," * 900_000, "refused"),
        (HEAD.encode() + b'\n"' + b"x" * 900_000, "refused"),
        (b'"' * 900_001, "first line"),
        (HEAD.encode() + b"\n" + b"x" * 900_000 + b",bow,motor,4", "refused"),
    ],
    ids=["size", "rows", "columns", "cells", "an open quote", "quotes", "a long cell"],
)
def test_a_list_without_measure_is_refused_in_words(
    loom: TestClient, data: bytes, words: str
) -> None:
    answer = look(loom, data)
    assert answer.status_code in (200, 422)
    assert words in answer.text
    # What was sent is shown again, to be put right; a quote is five characters there.
    assert len(answer.content) < 6_000_000


@pytest.mark.parametrize("name", ["../../x.csv", f'"{SCRIPT}.csv', "x.html", "\u202egnp.csv"])
def test_the_name_of_a_file_is_never_used(loom: TestClient, name: str) -> None:
    answer = look(loom, f"{HEAD}\n{SCRIPT},bow,motor,4".encode(), name)
    assert answer.status_code == 200
    assert SCRIPT not in answer.text
    assert "&lt;script&gt;" in answer.text
    assert answer.headers["x-content-type-options"] == "nosniff"
    for part in name.split("/")[-1:]:
        assert part not in answer.text.replace("&#34;", '"').replace("&lt;", "<")


@pytest.mark.parametrize(
    ("name", "kind"), [("x.html", "text/html"), ("x.svg", "image/svg+xml"), ("x.js", "text/html")]
)
def test_a_picture_with_a_script_behind_it_is_served_as_a_picture_alone(
    loom: TestClient, name: str, kind: str
) -> None:
    data = picture() + f"/*{SCRIPT}*/".encode()
    lamp = fitting("Lamp 0").uid
    values = {"about": "fitting", "about_uid": lamp, "next": f"{LOOM}/fittings/{lamp}"}
    assert loom.post(f"{LOOM}/photos", data=values, files={"photo": (name, data, kind)})
    shown = loom.get(f"{LOOM}/photos/1.jpg")
    assert shown.headers["content-type"] == "image/jpeg"
    assert shown.headers["x-content-type-options"] == "nosniff"
    assert shown.headers["content-disposition"] == 'inline; filename="photo-1.jpg"'
    assert shown.content.startswith(b"\xff\xd8\xff")
    assert b"script" not in shown.content


def test_a_script_that_begins_like_a_picture_is_none(loom: TestClient) -> None:
    lamp = fitting("Lamp 0").uid
    values = {"about": "fitting", "about_uid": lamp, "next": "/"}
    for data in (
        b"GIF89a/*" + b"x" * 60 + b"*/=1;alert(1)",
        b"\xff\xd8\xff\xe0/*" + SCRIPT.encode(),
    ):
        files = {"photo": ("x.jpg", data, "image/jpeg")}
        answer = loom.post(f"{LOOM}/photos", data=values, files=files)
        assert answer.status_code == 422
        assert "photo" in errors(answer)
