"""The plug face from the wire side."""

from xml.etree import ElementTree

import pytest

from webapp.drawings.plug_face import FaceWay, plug_face_svg

SVG = "{http://www.w3.org/2000/svg}"
WAYS = (
    FaceWay("1", "7", "NY", "#7a4a22", "#efc52c"),
    FaceWay("2", "8", "W", "#f7f5ee"),
    FaceWay("3"),
    FaceWay("4", "9", "B", "#26231f"),
)


def at(svg: str, words: str) -> tuple[float, float]:
    one = next(t for t in ElementTree.fromstring(svg).iter(f"{SVG}text") if t.text == words)
    return float(one.attrib["x"]), float(one.attrib["y"])


def test_ways_run_along_the_rows_and_the_mating_half_mirrors_them() -> None:
    plug = plug_face_svg("Roof plug", WAYS, 2)
    socket = plug_face_svg("Roof socket", WAYS, 2, mirrored=True)
    assert at(plug, "1")[0] < at(plug, "2")[0]
    assert at(plug, "1")[1] < at(plug, "3")[1]
    assert at(socket, "1")[0] > at(socket, "2")[0]
    assert at(socket, "1") == at(plug, "2")


def test_spare_ways_and_letters_are_told_in_words() -> None:
    svg = plug_face_svg("Roof plug", WAYS, 2)
    assert (
        "<title>Roof plug, seen from the wire side: way 1 wire 7 NY, way 2 wire 8 W, "
        "way 3 spare, way 4 wire 9 B</title>" in svg
    )
    assert svg.count(">spare</text>") == 1


def test_last_row_may_be_short() -> None:
    root = ElementTree.fromstring(plug_face_svg("P", WAYS[:3], 2))
    cells = [r for r in root.iter(f"{SVG}rect") if r.attrib["fill"] == "#ffffff"]
    assert len(cells) == 3


def test_no_columns_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one column"):
        plug_face_svg("P", WAYS, 0)
