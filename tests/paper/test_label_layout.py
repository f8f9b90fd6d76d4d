"""The layout on labels of any size, without printing them."""

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from webapp.paper.label_layout import label_shapes
from webapp.paper.label_values import Label, LabelKind
from webapp.paper.text_fit import width_em

WORDS = st.text(st.characters(min_codepoint=32, max_codepoint=0x2FF), max_size=60)
QR_TEXT = "http://192.168.4.20:8000/go/u-26-041-02"


@st.composite
def any_label(draw: st.DrawFn) -> Label:
    return Label(
        draw(st.sampled_from(LabelKind)),
        draw(WORDS),
        tuple(draw(st.lists(WORDS, max_size=14))),
        draw(st.text("ABC123", max_size=8)),
        draw(st.sampled_from([None, QR_TEXT])),
        draw(st.sampled_from([None, ("#7a4a22", None), ("#7a4a22", "#c22a20")])),
        draw(st.sampled_from(["", "N", "NR"])),
    )


@settings(max_examples=150, deadline=None)
@given(any_label(), st.floats(15, 120), st.floats(6, 80))
def test_everything_stays_on_the_label(label: Label, width: float, height: float) -> None:
    shapes = "".join(label_shapes(label, width, height, 0.8))
    for shape in ElementTree.fromstring(f"<g>{shapes}</g>"):
        if shape.tag == "text":
            check_text(shape, width, height)
        elif shape.tag == "rect":
            left, top, wide, high = (float(shape.attrib[a]) for a in ("x", "y", "width", "height"))
            assert min(left, top, wide, high) >= 0
            assert left + wide <= width
            assert top + high <= height


def check_text(shape: ElementTree.Element, width: float, height: float) -> None:
    size = float(shape.attrib["font-size"])
    weight = int(shape.attrib["font-weight"])
    wide = width_em(shape.text or "", weight) * size
    x, y = float(shape.attrib["x"]), float(shape.attrib["y"])
    left = x - wide if shape.attrib["text-anchor"] == "end" else x
    assert left >= -0.05
    assert left + wide <= width + 0.05
    assert y - 0.7 * size >= -0.05  # height of capitals
    assert y + 0.2 * size <= height + 0.05  # depth of a descender
    assert size >= 1


@pytest.mark.parametrize(
    ("width", "height", "shown"), [(38, 21, True), (60, 12, False), (30, 40, False), (70, 24, True)]
)
def test_qr_code_only_where_it_has_room(width: float, height: float, shown: bool) -> None:
    label = Label(LabelKind.KIT_BAG, "Unit 2", (), "U2Q7", QR_TEXT)
    assert ("crispEdges" in "".join(label_shapes(label, width, height, 0.8))) is shown


def test_fuse_chart_that_does_not_fit_says_that_there_is_more() -> None:
    lines = tuple(f"{number} Circuit {number} 10 A" for number in range(1, 30))
    small = "".join(label_shapes(Label(LabelKind.FUSE_CHART, "Board", lines), 38, 21, 0.8))
    large = "".join(label_shapes(Label(LabelKind.FUSE_CHART, "Board", lines), 100, 80, 0.8))
    assert "…" in small
    assert "…" not in large
    assert all(f">{line}<" in large for line in lines)
