"""QR codes, read back by an independent reader."""

import re

import pytest
import zxingcpp
from PIL import Image, ImageDraw

from webapp.drawings.qr import qr_path, qr_svg

DOTS = 6


def rasterised(words: str) -> Image.Image:
    code = qr_path(words)
    image = Image.new("L", (code.side_modules * DOTS,) * 2, 255)
    brush = ImageDraw.Draw(image)
    for x, y, width in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", code.d):
        left, top = int(x) * DOTS, int(y) * DOTS
        brush.rectangle((left, top, left + int(width) * DOTS - 1, top + DOTS - 1), fill=0)
    return image


@pytest.mark.parametrize(
    "words", ["K7M4", "http://192.168.4.20:8000/go/u-26-041-02", "naïve – Ω", "x" * 300]
)
def test_is_read_back_as_it_was_written(words: str) -> None:
    found = zxingcpp.read_barcodes(rasterised(words))
    assert [one.text for one in found] == [words]


def test_has_a_quiet_zone_of_four_modules() -> None:
    code = qr_path("K7M4")
    numbers = re.findall(r"M(\d+) (\d+)h(\d+)", code.d)
    assert min(int(x) for x, _, _ in numbers) == 4
    assert min(int(y) for _, y, _ in numbers) == 4
    assert max(int(x) + int(w) for x, _, w in numbers) == code.side_modules - 4


def test_long_text_asks_for_more_room() -> None:
    assert qr_path("K7M4").least_size_mm == 15
    assert qr_path("x" * 400).least_size_mm > 20


def test_empty_text_is_refused() -> None:
    with pytest.raises(ValueError, match="needs a text"):
        qr_path("")


def test_whole_drawing_has_size_and_name() -> None:
    assert 'width="76" height="76" role="img"><title>QR code</title>' in qr_svg("K7M4")
