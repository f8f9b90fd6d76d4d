"""The plug face from the wire side."""

from xml.etree import ElementTree

import pytest

from webapp.drawings.plug_face import (
    FaceWay,
    face_symbol,
    marked_face_svg,
    plug_face_svg,
    pointing_face_svg,
)

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


def places(svg: str) -> dict[str, tuple[float, float]]:
    return {way.number: at(svg, way.number) for way in WAYS}


def test_ways_run_along_the_rows_of_a_plugs_wire_side() -> None:
    plug = places(plug_face_svg("Roof plug", WAYS, 2))
    assert plug["1"][0] < plug["2"][0]
    assert plug["1"][1] == plug["2"][1] < plug["3"][1]
    assert plug["1"][0] == plug["3"][0]


@pytest.mark.parametrize("ways", [WAYS, WAYS[:3]], ids=["full rows", "a short row"])
@pytest.mark.parametrize("columns", [1, 2, 3])
def test_the_other_side_and_the_other_half_are_mirror_images(
    ways: tuple[FaceWay, ...], columns: int
) -> None:
    def drawn(*, socket: bool, side: str) -> dict[str, tuple[float, float]]:
        svg = plug_face_svg("P", ways, columns, socket=socket, side=side)
        return {way.number: at(svg, way.number) for way in ways}

    plug, mating = drawn(socket=False, side="wire"), drawn(socket=False, side="mating")
    socket, other = drawn(socket=True, side="wire"), drawn(socket=True, side="mating")
    axis = {round(plug[number][0] + mating[number][0], 6) for number in plug}
    assert len(axis) == 1, "one axis for every way"
    assert all(plug[number][1] == mating[number][1] for number in plug)
    # Looked at from one side, each way of the socket lies behind the same way of the plug.
    assert socket == mating
    assert other == plug
    if columns > 1:
        assert plug != mating


def test_a_side_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="seen from"):
        plug_face_svg("P", WAYS, 2, side="under")


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


@pytest.mark.parametrize("socket", [False, True])
@pytest.mark.parametrize("marked", range(4))
def test_the_mark_lies_on_its_way_and_is_told_in_words(socket: bool, marked: int) -> None:
    svg = marked_face_svg("f1", "P", WAYS, 2, socket=socket, side="wire", marked=marked)
    root = ElementTree.fromstring(svg)
    title, use, frame = root.find("title"), root.find("use"), root.find("rect")
    assert title is not None
    assert title.text == f"P, seen from the wire side: way {marked + 1} marked"
    assert use is not None
    assert use.attrib["href"] == "#f1"
    # Over the cell of its way, as the whole face draws it; by a frame and a pointer, not by colour.
    assert frame is not None
    number = at(plug_face_svg("P", WAYS, 2, socket=socket), WAYS[marked].number)
    assert (float(frame.attrib["x"]), float(frame.attrib["y"])) == (number[0] - 5, number[1] - 13)
    assert frame.attrib["fill"] == "none"
    assert root.find("path") is not None


def test_a_face_can_point_to_each_of_its_ways() -> None:
    svg = pointing_face_svg(
        "f1", "P", WAYS, 2, socket=False, side="wire", marks=["a", "b", "c", "d"], now="c"
    )
    marks = {g.attrib["data-way-mark"]: g for g in ElementTree.fromstring(svg).iter("g")}
    assert list(marks) == ["a", "b", "c", "d"]
    assert [name for name, mark in marks.items() if "data-now" in mark.attrib] == ["c"]
    singly = marked_face_svg("f1", "P", WAYS, 2, socket=False, side="wire", marked=2)
    for shape in marks["c"]:
        assert ElementTree.tostring(shape).decode() in singly.replace("/>", " />")


def test_the_symbol_holds_what_the_face_shows() -> None:
    symbol = face_symbol("f1", WAYS, 2, socket=True, side="wire")
    root = ElementTree.fromstring(symbol)
    assert (root.tag, root.attrib["id"]) == ("symbol", "f1")
    whole = plug_face_svg("P", WAYS, 2, socket=True)
    inside = symbol.partition(">")[2].removesuffix("</symbol>")
    assert whole.endswith(f"{inside}</svg>")
