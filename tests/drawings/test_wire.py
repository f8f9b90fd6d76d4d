"""The wire drawn as itself."""

from itertools import product
from xml.etree import ElementTree

import pytest

from webapp.drawings.ends import EndState
from webapp.drawings.ink import CARD, INK, contrast, luminance
from webapp.drawings.wire import piece_symbol, wire_svg, wire_thickness

SVG = "{http://www.w3.org/2000/svg}"
BROWN, RED, WHITE, BLACK = "#7a4a22", "#c22a20", "#f7f5ee", "#26231f"


def drawn(*args: object, **more: object) -> ElementTree.Element:
    return ElementTree.fromstring(wire_svg(*args, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(("left", "right"), [*product(EndState, EndState)])
def test_every_pair_of_end_states_is_drawn_inside_its_frame_and_told_in_words(
    left: EndState, right: EndState
) -> None:
    root = drawn(BROWN, RED, left, right, 380, 22, 2.5, label="Wire 5 NR")
    assert root.attrib["role"] == "img"
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == f"Wire 5 NR: left end {left.value}, right end {right.value}"
    for shape in root.iter():
        assert "style" not in shape.attrib
        assert "id" not in shape.attrib
        if shape.tag == f"{SVG}rect":
            x, width = float(shape.attrib["x"]), float(shape.attrib["width"])
            assert x >= 0
            assert x + width <= 380


def test_each_end_state_looks_different() -> None:
    shapes = {wire_svg(RED, None, state, EndState.CUT).split("</title>")[1] for state in EndState}
    assert len(shapes) == len(EndState)


def test_ends_are_mirror_images() -> None:
    def copper_span(svg: ElementTree.Element) -> tuple[float, float]:
        rect = next(r for r in svg.iter(f"{SVG}rect") if r.attrib["fill"] == "#c07a3c")
        return float(rect.attrib["x"]), float(rect.attrib["width"])

    left = copper_span(drawn(RED, None, EndState.STRIPPED, EndState.CUT, 400))
    right = copper_span(drawn(RED, None, EndState.CUT, EndState.STRIPPED, 400))
    assert left[0] + left[1] / 2 == pytest.approx(400 - right[0] - right[1] / 2, abs=0.02)


def test_white_wire_has_an_ink_outline_that_shows_on_paper() -> None:
    body = drawn(WHITE, None, EndState.CUT, EndState.CUT).find(f"{SVG}rect")
    assert body is not None
    assert (body.attrib["fill"], body.attrib["stroke"]) == (WHITE, INK)
    assert contrast(INK, WHITE) > 7


@pytest.mark.parametrize(
    ("main", "tracer", "edged"), [(BROWN, RED, True), (BLACK, WHITE, False), (RED, BLACK, False)]
)
def test_a_tracer_that_nobody_would_see_gets_a_pale_edge(
    main: str, tracer: str, edged: bool
) -> None:
    root = drawn(main, tracer, EndState.CUT, EndState.CUT)
    strokes = [shape.attrib["stroke"] for shape in root.findall(f"{SVG}line")]
    assert tracer in strokes
    assert (CARD in strokes) is edged


def test_thicker_conductor_is_drawn_thicker_but_inside_the_row() -> None:
    sizes = [wire_thickness(csa, 22) for csa in (0.5, 1, 1.5, 2.5, 4, 6, 10)]
    assert sizes == sorted(set(sizes))
    assert wire_thickness(70, 22) < 22


@pytest.mark.parametrize("colour", ["red", "#12", '#fff" onload="x', "", "#gggggg"])
def test_what_is_no_colour_is_refused(colour: str) -> None:
    with pytest.raises(ValueError, match="is not a colour"):
        wire_svg(colour, None, EndState.CUT, EndState.CUT)


def test_label_is_escaped() -> None:
    svg = wire_svg(RED, None, EndState.CUT, EndState.CUT, label="<b>&")
    assert "&lt;b&gt;&amp;" in svg


def test_contrast_of_black_and_white() -> None:
    # W3C WCAG 2.2, "contrast ratio": ranges from 1 to 21.
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert luminance("#ffffff") == pytest.approx(1)


def test_a_piece_shows_the_colours_and_no_ends() -> None:
    symbol = ElementTree.fromstring(piece_symbol("w1", BROWN, RED, 96, 20, 2.5))
    assert (symbol.tag, symbol.attrib["id"], symbol.attrib["viewBox"]) == (
        "symbol", "w1", "0 0 96 20",
    )  # fmt: skip
    body = symbol.find("rect")
    assert body is not None
    assert body.attrib["fill"] == BROWN
    assert "stroke-dasharray" not in body.attrib
    assert symbol.findall("line")[-1].attrib["stroke"] == RED
    with pytest.raises(ValueError, match="not a colour"):
        piece_symbol("w1", "brown", None, 96, 20, 2.5)
