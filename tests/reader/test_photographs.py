"""Photographs of the record: turned upright, made small, stripped; broken and huge ones are said and left out."""

from __future__ import annotations

import io
import struct
import zlib

import pytest
from PIL import Image

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.reader.work_record import LONG_SIDE, upright

PLACE = Location("job.yaml", 7, 5)
RED, BLUE = (200, 20, 20), (20, 20, 200)
TURNS = {1: None, 2: Image.Transpose.FLIP_LEFT_RIGHT, 3: Image.Transpose.ROTATE_180,
         4: Image.Transpose.FLIP_TOP_BOTTOM, 5: Image.Transpose.TRANSPOSE, 6: Image.Transpose.ROTATE_90,
         7: Image.Transpose.TRANSVERSE, 8: Image.Transpose.ROTATE_270}
"""EXIF orientation (CIPA DC-008, tag 0x0112) -> how a camera lays an upright picture down in its file."""


def scene() -> Image.Image:
    """Red at the upper left, blue at the lower right, 120 x 80."""
    picture = Image.new("RGB", (120, 80), "white")
    picture.paste(RED, (0, 0, 30, 20))
    picture.paste(BLUE, (90, 60, 120, 80))
    return picture


def jpeg(picture: Image.Image, orientation: int = 0, gps: bool = False) -> bytes:
    exif = Image.Exif()
    if orientation:
        exif[0x0112] = orientation
    if gps:
        exif[0x010F] = "CAMERA-MARK"
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=95, exif=exif)
    return out.getvalue()


def near(found, wanted) -> bool:
    return all(abs(a - b) < 40 for a, b in zip(found, wanted, strict=True))


def read(data: bytes):
    say = Diagnostics()
    return upright(data, "a.jpg", "", PLACE, say), list(say)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_photograph_is_turned_upright_from_every_exif_orientation(orientation):
    laid = scene() if TURNS[orientation] is None else scene().transpose(TURNS[orientation])
    found, said = read(jpeg(laid, orientation))
    assert said == []
    assert found is not None
    picture = Image.open(io.BytesIO(found.data))
    assert (found.width, found.height) == picture.size == (120, 80)
    assert near(picture.getpixel((10, 8)), RED)
    assert near(picture.getpixel((110, 72)), BLUE)
    assert not picture.getexif()


def test_nothing_but_the_picture_goes_along():
    found, _ = read(jpeg(scene(), gps=True))
    assert found is not None
    assert b"CAMERA-MARK" not in found.data
    assert b"Exif" not in found.data


def test_a_large_photograph_is_made_as_small_as_a_page_needs():
    found, _ = read(jpeg(Image.new("RGB", (4000, 3000), "gray")))
    assert found is not None
    assert (found.width, found.height) == (LONG_SIDE, 1050)


def test_what_is_clear_in_a_png_is_white_on_paper():
    picture = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    out = io.BytesIO()
    picture.save(out, "PNG")
    found, said = read(out.getvalue())
    assert said == []
    assert found is not None
    assert near(Image.open(io.BytesIO(found.data)).getpixel((20, 20)), (255, 255, 255))


def claiming(width: int, height: int) -> bytes:
    """A PNG of a few bytes that claims to be as large as this."""
    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    body = chunk(b"IDAT", zlib.compress(b"\0" * 100))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + body + chunk(b"IEND", b"")


@pytest.mark.parametrize(("data", "says"), [
    (b"", "no JPEG or PNG"),
    (b"GIF89a" + b"\0" * 60, "no JPEG or PNG"),
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "no JPEG or PNG"),
    (jpeg(scene())[:400], "broken"),
    (claiming(9000, 9000), "more than any camera"),
    (claiming(60000, 60000), "REC-513"),
    (claiming(300, 300), "broken"),
])
def test_what_cannot_be_shown_is_said_at_its_place_and_left_out(data, says):
    found, said = read(data)
    assert found is None
    assert [p.code for p in said] == ["REC-513"]
    assert said[0].place == PLACE
    assert said[0].severity is Severity.WARNING
    assert says in said[0].code + said[0].message
    assert "left out" in said[0].message


def test_a_photograph_cut_anywhere_is_never_more_than_a_sentence():
    whole = jpeg(scene(), 6)
    for end in range(0, len(whole), max(1, len(whole) // 60)):
        found, said = read(whole[:end])
        assert (found is None) == (len(said) == 1)
