"""A picture that somebody sends, made anew as a plain JPEG: nothing of the file itself is kept."""

import threading
from dataclasses import dataclass
from io import BytesIO
from typing import BinaryIO

from PIL import Image, ImageFile, ImageOps

from webapp.stages.refusals import Refused

MOST_BYTES = 12_000_000
MOST_PX = 40_000_000
LONGEST_PX = 1600
QUALITY = 85
# What tablets, telephones and cameras write.
FORMATS = ("JPEG", "PNG", "WEBP")
# A picture of 40 megapixels takes some 160 MB while it is read: one at a time.
_one_at_a_time = threading.Lock()


@dataclass(frozen=True)
class Picture:
    """A JPEG that we wrote: upright, at most LONGEST_PX long, without anything but the picture."""

    jpeg: bytes
    width_px: int
    height_px: int


def read_picture(file: BinaryIO, size_bytes: int) -> Picture:
    """The picture in a file, whatever its name says.

    Raises:
        Refused: too large, or no picture that we can read; `field` is "photo".
    """
    if size_bytes > MOST_BYTES:
        raise Refused(
            "photo",
            f"This file has {size_bytes / 1e6:.0f} MB; {MOST_BYTES // 1_000_000} MB fit. Take the "
            "photo smaller.",
        )
    with _one_at_a_time:
        # Half a picture is refused, whatever another library in this process has asked for.
        ImageFile.LOAD_TRUNCATED_IMAGES = False
        return _made_anew(file)


def _made_anew(file: BinaryIO) -> Picture:
    try:
        image = Image.open(file, formats=FORMATS)
    except Image.DecompressionBombError:
        raise _too_many_dots() from None
    except Exception:
        raise _no_picture() from None
    # The head of the file says how large the picture is, before any of it is unpacked.
    if image.width * image.height > MOST_PX:
        raise _too_many_dots()
    try:
        # A JPEG is unpacked no larger than it will be kept.
        image.draft("RGB", (LONGEST_PX, LONGEST_PX))
        image.load()
        upright = ImageOps.exif_transpose(image)
        upright.thumbnail((LONGEST_PX, LONGEST_PX))
        return _written(_on_white(upright))
    except Exception:
        # Whatever a decoder trips over: a broken file is a mistake to name, not one of ours.
        raise _no_picture() from None


def _on_white(image: Image.Image) -> Image.Image:
    """Only its dots, in red, green and blue; what shines through is white."""
    dots = Image.new("RGB", image.size, "white")
    if image.has_transparency_data:
        rgba = image.convert("RGBA")
        dots.paste(rgba, mask=rgba.getchannel("A"))
    else:
        dots.paste(image.convert("RGB"))
    return dots


def _written(dots: Image.Image) -> Picture:
    out = BytesIO()
    dots.save(out, "JPEG", quality=QUALITY, optimize=True)
    return Picture(out.getvalue(), dots.width, dots.height)


def _no_picture() -> Refused:
    return Refused(
        "photo",
        "This is no picture that can be read: send a JPEG, PNG or WebP, and the whole file.",
    )


def _too_many_dots() -> Refused:
    return Refused(
        "photo",
        f"This picture has more than {MOST_PX // 1_000_000} megapixels: take it smaller.",
    )
