"""Pictures that people send, good and hostile: what is kept is always a JPEG of our own."""

import struct
import zlib
from io import BytesIO

import pytest
from PIL import ExifTags, Image, ImageCms

from webapp.stages.pictures import LONGEST_PX, MOST_BYTES, read_picture
from webapp.stages.refusals import Refused

Size = tuple[int, int]


def picture(
    kind: str = "JPEG",
    size: Size = (80, 40),
    mode: str = "RGB",
    colour: str = "red",
    **more: object,
) -> bytes:
    out = BytesIO()
    Image.new(mode, size, colour).save(out, kind, **more)
    return out.getvalue()


def read(data: bytes) -> Image.Image:
    made = read_picture(BytesIO(data), len(data))
    image = Image.open(BytesIO(made.jpeg))
    image.load()
    assert image.format == "JPEG"
    assert image.size == (made.width_px, made.height_px)
    return image


def bomb(width: int, height: int) -> bytes:
    """A PNG of few bytes whose head promises a great picture."""

    def chunk(name: bytes, data: bytes) -> bytes:
        whole = name + data
        return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = zlib.compress(bytes(1_000_000), 9)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_what_cameras_write_is_taken(kind: str) -> None:
    image = read(picture(kind))
    assert image.size == (80, 40)
    red, green, blue = image.getpixel((40, 20))  # type: ignore[misc]
    assert red > 240
    assert green < 20
    assert blue < 20


@pytest.mark.parametrize("mode", ["L", "P", "1", "CMYK"])
def test_other_kinds_of_dots_are_taken(mode: str) -> None:
    out = BytesIO()
    Image.new("RGB", (20, 20), "white").convert(mode).save(out, "JPEG" if mode == "CMYK" else "PNG")
    assert read(out.getvalue()).getpixel((5, 5)) == (255, 255, 255)


def test_what_shines_through_is_white() -> None:
    assert read(picture("PNG", mode="RGBA", colour="#ff000000")).getpixel((5, 5)) == (255, 255, 255)


def test_a_large_picture_is_made_smaller_and_keeps_its_shape() -> None:
    assert read(picture(size=(4000, 3000))).size == (LONGEST_PX, 1200)
    assert read(picture("PNG", size=(1000, 2000))).size == (800, LONGEST_PX)


def test_a_picture_taken_on_its_side_is_turned_upright() -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 6
    image = read(picture(size=(400, 200), exif=exif))
    assert image.size == (200, 400)
    assert not image.getexif()


def test_nothing_but_the_picture_is_kept() -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Make] = "Some camera"
    exif.get_ifd(ExifTags.IFD.GPSInfo)[ExifTags.GPS.GPSLatitudeRef] = "N"
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    told = picture(exif=exif, icc_profile=profile, comment=b"whose shed this is", dpi=(300, 300))
    told += b"<script>alert(1)</script>"
    made = read_picture(BytesIO(told), len(told)).jpeg
    image = Image.open(BytesIO(made))
    assert not image.getexif()
    assert image.info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    for words in (b"camera", b"shed", b"script", b"Exif", b"ICC_PROFILE"):
        assert words not in made


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
GIF = picture("GIF")
WHOLE = picture(size=(600, 600))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\xff\xd8\xff",
        SVG,
        b"<!doctype html><script>alert(1)</script>",
        b"%PDF-1.7\n",
        GIF,
        picture("BMP"),
        WHOLE[: len(WHOLE) // 2],
        picture("PNG", size=(600, 600))[:200],
        b"\x89PNG\r\n\x1a\n" + b"\x00" * 50,
        b"RIFF\x00\x00\x00\x00WEBPVP8 " + b"\xff" * 40,
        bomb(3000, 3000)[:-40],
    ],
    ids=[
        "nothing", "only a mark", "svg", "html", "pdf", "gif", "bmp", "half a jpeg", "half a png",
        "png without anything", "webp of noise", "dots missing",
    ],
)  # fmt: skip
def test_what_is_no_picture_is_refused(data: bytes) -> None:
    with pytest.raises(Refused, match="no picture that can be read") as refused:
        read_picture(BytesIO(data), len(data))
    assert refused.value.field == "photo"


@pytest.mark.parametrize("size", [(8000, 5001), (20_000, 20_000), (2_000_000, 2_000_000)])
def test_a_small_file_that_unpacks_to_a_great_picture_is_refused_unread(size: Size) -> None:
    with pytest.raises(Refused, match="more than 40 megapixels"):
        read_picture(BytesIO(bomb(*size)), 2000)


def test_a_file_that_is_too_large_is_refused_unread() -> None:
    with pytest.raises(Refused, match="12 MB fit"):
        read_picture(BytesIO(picture()), MOST_BYTES + 1_000_000)
