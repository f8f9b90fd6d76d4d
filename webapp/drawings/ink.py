"""Colours and numbers that every drawing shares."""

import re

INK = "#211e1a"
SOFT = "#635c51"
LINE = "#d9d0bd"
CARD = "#fcfaf4"
COPPER = "#c07a3c"
METAL = "#b9b4a8"
METAL_LIGHT = "#d6d1c4"
SOLDER = "#f4f2ec"

TEXT_FONT = "Barlow, sans-serif"
CODE_FONT = "Barlow Condensed, sans-serif"

_HEX = re.compile(r"#(?:[0-9a-fA-F]{3}){1,2}")


def checked_hex(colour: str) -> str:
    """The colour itself, if it is #rgb or #rrggbb; raises ValueError if not."""
    if not _HEX.fullmatch(colour):
        raise ValueError(f"{colour!r} is not a colour such as #c22a20.")
    return colour


def luminance(colour: str) -> float:
    """Relative luminance, 0 (black) to 1 (white). Source: W3C WCAG 2.2, "relative luminance"."""
    digits = checked_hex(colour)[1:]
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    linear = [_linear(int(digits[i : i + 2], 16) / 255) for i in (0, 2, 4)]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def _linear(channel: float) -> float:
    return channel / 12.92 if channel <= 0.04045 else ((channel + 0.055) / 1.055) ** 2.4


def contrast(one: str, other: str) -> float:
    """Contrast ratio, 1 to 21. Source: W3C WCAG 2.2, "contrast ratio"."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def num(value: float) -> str:
    """A coordinate, short: two decimals, no trailing zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
