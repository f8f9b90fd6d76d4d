"""QR codes as one SVG path."""

from dataclasses import dataclass
from functools import lru_cache

from .ink import INK, num
from .shapes import path, svg

BORDER_MODULES = 4
LEAST_SIZE_MM = 15.0
# About two and a half dots of a 203 dpi label printer, below which readers fail (common practice).
LEAST_MODULE_MM = 0.3


@dataclass(frozen=True)
class QrPath:
    """A QR code with its quiet zone.

    `d` is a path whose unit is one module; side counts both borders.
    """

    d: str
    side_modules: int

    @property
    def least_size_mm(self) -> float:
        """The smallest print that is read without fail."""
        return max(LEAST_SIZE_MM, self.side_modules * LEAST_MODULE_MM)


@lru_cache(maxsize=256)
def qr_path(words: str) -> QrPath:
    """Encode words; every dark row segment becomes one rectangle of the path.

    Raises ValueError if the text is empty or too long for a QR code.
    """
    if not words:
        raise ValueError("A QR code needs a text.")
    # Imported here: it is slow to read, and the first page draws no code.
    import segno

    code = segno.make(words, error="l", micro=False)
    parts = []
    for row_number, row in enumerate(code.matrix_iter(border=BORDER_MODULES)):
        parts += _segments(bytes(row), row_number)
    return QrPath("".join(parts), int(code.symbol_size(border=BORDER_MODULES)[0]))


def _segments(row: bytes, y: int) -> list[str]:
    found, start = [], None
    for x, dark in enumerate([*row, 0]):
        if dark and start is None:
            start = x
        elif not dark and start is not None:
            found.append(f"M{start} {y}h{x - start}v1h{start - x}z")
            start = None
    return found


def qr_group(words: str, x: float, y: float, size: float) -> str:
    """The code as an SVG fragment: `size` wide with its border, upper left corner at x, y."""
    code = qr_path(words)
    move = f"translate({num(x)} {num(y)}) scale({size / code.side_modules:.5f})"
    return path(code.d, transform=move, fill=INK, shape_rendering="crispEdges")


def qr_svg(words: str, size: float = 76, title: str = "QR code") -> str:
    """The code as a whole drawing, `size` px wide (76 px are 20 mm).

    The page behind it must be pale.
    """
    return svg(size, size, title, [qr_group(words, 0, 0, size)], "qr")
