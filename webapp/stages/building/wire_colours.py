"""A wire's colours as letters and as something to draw with, by the design's colour code.

A design names colours in words (brown) or, where a loom is copied, in letters (N).
"""

from functools import cache

from webapp.sizing.colours import colour_letters, colour_names, drawing_rgb
from webapp.sizing.reasons import SizingError
from webapp.stages.design.rows import Design, Link

UNKNOWN_RGB = "#b9b4a8"


def letters(design: Design, link: Link) -> str:
    """NR, or BN/YE where the code's letters come in pairs; nothing without a colour."""
    if not link.main:
        return ""
    try:
        return colour_letters(design.basis.colour_code, link.main, link.tracer or None)
    except SizingError:
        single = len(link.main) == len(link.tracer) == 1
        return f"{link.main}{link.tracer}" if single else "/".join(_given(link))


def _given(link: Link) -> list[str]:
    return [colour for colour in (link.main, link.tracer) if colour]


def main_rgb(design: Design, link: Link) -> str:
    """`#rrggbb` of the main colour."""
    return _rgb(design.basis.colour_code, link.main)


def tracer_rgb(design: Design, link: Link) -> str | None:
    """`#rrggbb` of the tracer, or None where there is none."""
    return _rgb(design.basis.colour_code, link.tracer) if link.tracer else None


@cache
def _rgb(code: str, colour: str) -> str:
    try:
        by_letters = {colour_letters(code, name): name for name in colour_names(code)}
        return drawing_rgb(by_letters.get(colour, colour))
    except SizingError:
        return UNKNOWN_RGB
