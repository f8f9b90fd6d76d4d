"""Reads PDFs with tools that had no part in making them."""

import subprocess
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import zxingcpp
from PIL import Image
from pypdf import PdfReader

MM_PER_POINT = 25.4 / 72
XHTML = "{http://www.w3.org/1999/xhtml}"


def run(program: str, *arguments: str, pdf: bytes) -> bytes:
    done = subprocess.run([program, *arguments], input=pdf, capture_output=True, check=True)
    return done.stdout


def page_sizes_mm(pdf: bytes) -> list[tuple[float, float]]:
    boxes = [page.mediabox for page in PdfReader(BytesIO(pdf)).pages]
    return [
        (round(float(box.width) * MM_PER_POINT, 2), round(float(box.height) * MM_PER_POINT, 2))
        for box in boxes
    ]


def page_texts(pdf: bytes) -> list[str]:
    """The words of each page, with single spaces."""
    pages = run("pdftotext", "-layout", "-", "-", pdf=pdf).decode().split("\f")[:-1]
    return [" ".join(page.split()) for page in pages]


@dataclass(frozen=True)
class Word:
    words: str
    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float


def words_mm(pdf: bytes) -> list[list[Word]]:
    """Each page's words with their boxes."""
    root = ElementTree.fromstring(run("pdftotext", "-bbox", "-", "-", pdf=pdf))
    return [
        [
            Word(
                word.text or "",
                *(float(word.attrib[a]) * MM_PER_POINT for a in ("xMin", "yMin", "xMax", "yMax")),
            )
            for word in page.iter(f"{XHTML}word")
        ]
        for page in root.iter(f"{XHTML}page")
    ]


def image(pdf: bytes, page: int = 1, dpi: int = 150, side_mm: float = 0) -> Image.Image:
    """The page as dots; side_mm > 0 takes only a square of it, from the upper left corner."""
    side = str(round(side_mm * dpi / 25.4))
    square = ("-x", "0", "-y", "0", "-W", side, "-H", side) if side_mm else ()
    arguments = ("-r", str(dpi), "-f", str(page), "-l", str(page), *square, "-gray", "-png", "-")
    return Image.open(BytesIO(run("pdftoppm", *arguments, pdf=pdf)))


def qr_codes(pdf: bytes, page: int = 1, dpi: int = 203) -> list[Any]:
    """What an independent reader finds on the printed page, at a label printer's resolution."""
    return [
        found
        for found in zxingcpp.read_barcodes(image(pdf, page, dpi))
        if found.format == zxingcpp.BarcodeFormat.QRCode
    ]


def fonts(pdf: bytes) -> dict[str, bool]:
    """Font name (without its subset tag) to whether it is embedded."""
    rows = run("pdffonts", "-", pdf=pdf).decode().splitlines()[2:]
    return {row.split()[0].split("+")[-1]: row.split()[-5] == "yes" for row in rows}
