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
