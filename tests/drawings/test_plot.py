"""The small line plot."""

from xml.etree import ElementTree

import pytest

from webapp.drawings.plot import LEFT, TOP, Axis, Mark, Series, plot_svg, ticks

SVG = "{http://www.w3.org/2000/svg}"
AMPS, CELSIUS = Axis("A", 0, 20), Axis("°C", 20, 120)


def drawn(*args: object, **more: object) -> ElementTree.Element:
    return ElementTree.fromstring(plot_svg(*args, **more))  # type: ignore[arg-type]


def line_points(root: ElementTree.Element) -> list[tuple[float, float]]:
    d = root.findall(f"{SVG}path")[1].attrib["d"].removeprefix("M")
    return [tuple(map(float, each.split())) for each in d.split("L")]  # type: ignore[misc]


def test_points_stand_where_the_axes_say() -> None:
    root = drawn("Rise", AMPS, CELSIUS, [Series("wire", [(0, 20), (10, 70), (20, 120)])])
    first, middle, last = line_points(root)
    assert first[0] == LEFT
    assert last[1] == TOP
    assert middle == pytest.approx(((first[0] + last[0]) / 2, (first[1] + last[1]) / 2), abs=0.01)
    assert root.findtext(f"{SVG}title") == "Rise"
    assert root.attrib["role"] == "img"


def test_log_axes_give_each_decade_the_same_length() -> None:
    time_s = Axis("s", 0.01, 100, log=True)
    root = drawn("Gates", Axis("A", 1, 100, log=True), time_s, [
        Series("fuse-link", [(1, 0.01), (10, 1), (100, 100)], dash="4 3"),
    ])  # fmt: skip
    first, middle, last = line_points(root)
    assert middle == pytest.approx(((first[0] + last[0]) / 2, (first[1] + last[1]) / 2), abs=0.01)


def test_what_lies_beyond_the_axes_is_left_out() -> None:
    root = drawn(
        "Rise",
        AMPS,
        CELSIUS,
        [Series("wire", [(0, 20), (10, 70), (30, 300)]), Series("gone", [(30, 300)])],
        marks=[Mark(5, 40, "5 A"), Mark(50, 40, "50 A")],
    )
    assert len(line_points(root)) == 2
    words = [each.text for each in root.iter(f"{SVG}text")]
    assert "wire" in words
    assert "gone" not in words
    assert "5 A" in words
    assert "50 A" not in words


@pytest.mark.parametrize(
    ("axis", "expected"),
    [
        (Axis("A", 0, 20), [0, 5, 10, 15, 20]),
        (Axis("A", 0, 0.6), [0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6]),
        (Axis("°C", -20, 105), [0, 50, 100]),
        (Axis("s", 0.01, 1000, log=True), [0.01, 0.1, 1, 10, 100, 1000]),
        (Axis("A", 8, 60, log=True), [10, 20, 50]),
    ],
)
def test_ticks_are_round(axis: Axis, expected: list[float]) -> None:
    assert ticks(axis) == pytest.approx(expected)


def test_no_identities_styles_or_markup_get_in() -> None:
    svg = plot_svg("<b>&", AMPS, CELSIUS, [Series("<i>", [(0, 20), (1, 30)])])
    assert "&lt;b&gt;&amp;" in svg
    assert "<i>" not in svg
    assert " style=" not in svg
    assert " id=" not in svg


@pytest.mark.parametrize(
    ("axis", "colour"),
    [(Axis("A", 5, 5), "#000"), (Axis("A", 0, 5, log=True), "#000"), (AMPS, "red")],
)
def test_what_cannot_be_drawn_is_refused(axis: Axis, colour: str) -> None:
    with pytest.raises(ValueError, match=r"axis|colour"):
        plot_svg("Rise", axis, CELSIUS, [Series("wire", [(5, 30), (5, 40)], colour)])
