"""How wide words print in the label fonts, and words cut to fit a width."""

from functools import cache

from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

from webapp.folders import folder

ELLIPSIS = "…"
# Kerning and a printer's rounding may add a little to the sum of the advances.
SAFETY = 1.02
# A character that the font lacks is printed from another; hardly any is wider than this.
UNKNOWN_EM = 1.1


@cache
def _advances(weight: int) -> dict[int, float]:
    """Code point to advance width in em."""
    path = folder("static") / "fonts" / f"barlow-condensed-latin-{weight}-normal.woff2"
    with TTFont(path) as font:
        per_em, metrics = font["head"].unitsPerEm, font["hmtx"]
        return {code: metrics[name][0] / per_em for code, name in font.getBestCmap().items()}


def width_em(words: str, weight: int = 600) -> float:
    """Width of the words in em of Barlow Condensed."""
    advances = _advances(weight)
    return SAFETY * sum(advances.get(ord(letter), UNKNOWN_EM) for letter in words)


def size_to_fit(words: str, width: float, largest: float, weight: int = 600) -> float:
    """The largest type size, up to `largest`, at which the words fit the width."""
    em = width_em(words, weight)
    return min(largest, width / em) if em else largest


def cut_to_fit(words: str, width: float, size: float, weight: int = 600) -> str:
    """The words, cut and ended with an ellipsis where they would be too wide at that size."""
    if width_em(words, weight) * size <= width + 1e-9:
        return words
    kept = words
    while kept and width_em(kept.rstrip() + ELLIPSIS, weight) * size > width:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS if kept else ""


def wrap_to_fit(words: str, width: float, size: float, weight: int = 600) -> list[str]:
    """The words in as few rows as fit the width; a single word may still be too wide."""
    rows: list[str] = []
    for word in words.split():
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and width_em(longer, weight) * size <= width:
            rows[-1] = longer
        else:
            rows.append(word)
    return rows
