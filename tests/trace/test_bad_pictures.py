"""Pictures and answers nobody could measure by are said in plain words with a code; nothing ends in a traceback."""

from __future__ import annotations

import io
import struct
import zlib

import numpy as np
import pytest
from making import SHEET, Camera, as_file, sheet_photo, sheet_scene
from PIL import Image
from scene import photograph, rounded

from diagramgen.features.trace.compute import CARD, Known, trace
from diagramgen.features.trace.homography import BadCorners, check_corners
from diagramgen.features.trace.open_picture import open_picture
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.geometry import Point

pytest.importorskip("cv2")

PLACE = Location("photo.jpg")


def codes(data, known):
    say = Diagnostics()
    picture = open_picture(data, PLACE, say)
    if picture is not None:
        assert trace(picture, known, PLACE, say) is None
    return [p.code for p in say.sorted()], " ".join(p.text() for p in say)


def bomb(width, height):
    """A PNG of a few bytes that claims to be huge."""
    def chunk(kind, body):
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(b"\0" * 9)) + chunk(b"IEND", b"")


def plain(colour, size=(800, 600)):
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, "PNG")
    return out.getvalue()


@pytest.mark.parametrize(("data", "code"), [
    (b"", "PHO-802"), (b"format: 1\ntitle: no picture\n", "PHO-802"), (b"%PDF-1.7\n", "PHO-802"),
    (b"\xff\xd8\xff\xe0junk", "PHO-802"),
    (bomb(60_000, 60_000), "PHO-803"), (bomb(9000, 9000), "PHO-803"), (bomb(2_000_000_000, 2_000_000_000), "PHO-803"),
    (plain("white", (100, 100)), "PHO-803"), (bomb(3000, 3000), "PHO-802"),
])
def test_what_is_no_usable_picture_is_said(data, code):
    assert codes(data, Known(dpi=100.0))[0] == [code]


def test_a_photograph_cut_off_in_the_middle_is_broken():
    whole = as_file(sheet_photo())
    assert codes(whole[: len(whole) // 2], Known(dpi=100.0))[0] == ["PHO-802"]


@pytest.mark.parametrize("known", [Known(sheet=(105, 148.5)), Known(card=CARD)])
def test_a_scale_that_is_not_there_is_said(known):
    assert codes(plain("#887766"), known)[0] == ["PHO-801"]


@pytest.mark.parametrize("colour", ["white", "black", "#887766"])
def test_a_picture_without_a_cavity_says_that_nothing_was_found(colour):
    assert codes(plain(colour), Known(dpi=100.0))[0] in (["PHO-805"], ["PHO-806"])


def test_noise_is_no_cavity():
    chance = np.random.default_rng(5)
    out = io.BytesIO()
    Image.fromarray(chance.integers(0, 256, (600, 800, 3), np.uint8)).save(out, "PNG")
    found, _ = codes(out.getvalue(), Known(dpi=100.0))
    assert found
    assert set(found) <= {"PHO-804", "PHO-805", "PHO-806", "PHO-807"}


def test_an_outline_that_leaves_the_picture_is_said():
    scene = sheet_scene(rounded(120, 75, 14, -60, 20))
    data = as_file(photograph(scene, Camera(high=360, light=0.1)))
    assert codes(data, Known(dpi=110.0, inside=Point(100, 300)))[0] == ["PHO-806"]


@pytest.mark.parametrize(("four", "words"), [
    ([(100, 100), (500, 110), (490, 400), (110, 390)], ""),
    ([(100, 100), (490, 400), (500, 110), (110, 390)], "clockwise"),
    ([(100, 100), (110, 390), (490, 400), (500, 110)], "clockwise"),
    ([(100, 100), (300, 100), (500, 100), (110, 390)], "one line"),
    ([(100, 100), (100, 100), (500, 110), (110, 390)], "one line"),
    ([(100, 100), (500, 110), (250, 200), (110, 390)], "inside the triangle"),
    ([(100, 100), (110, 100), (110, 110), (100, 110)], "picture elements wide"),
])
def test_corners_that_are_no_sheet_are_refused(four, words):
    points = [Point(*map(float, p)) for p in four]
    if not words:
        check_corners(points)
        return
    with pytest.raises(BadCorners, match=words) as fault:
        check_corners(points)
    if words == "clockwise":
        assert "100,100 500,110 490,400 110,390" in fault.value.remedy


def test_corners_outside_the_picture_are_refused_and_the_turn_is_named():
    four = tuple(Point(*p) for p in ((100.0, 100.0), (1500.0, 110.0), (1490.0, 1100.0), (110.0, 1900.0)))
    found, words = codes(as_file(sheet_photo(), orientation=6), Known(sheet=SHEET[2:], corners=four))
    assert found == ["PHO-804"]
    assert "EXIF" in words


def test_a_size_no_cavity_has_is_refused():
    found, words = codes(as_file(sheet_photo()), Known(dpi=2500.0))
    assert found[0] in ("PHO-804", "PHO-805")
    assert words


@pytest.mark.parametrize(("text", "code"), [
    ("", "INP-030"), ("<svg/>", "INP-036"), ('<svg><path d="M 0 0 L 5 5"/></svg>', "PHO-808"),
    ('<svg><image width="10" height="10"/><rect width="5" height="4"/></svg>', "PHO-808"),
    ('<svg><image width="8" height="6"/><image width="8" height="6"/><rect width="5" height="4"/></svg>', "INP-035"),
    ('<svg><image width="8mm" height="6"/><rect width="5" height="4"/></svg>', "INP-030"),
    ('<svg><rect width="50000" height="40"/></svg>', "PHO-808"),
    ('<!DOCTYPE svg [<!ENTITY a "b">]><svg/>', "INP-031"), ("<svg><script/></svg>", "INP-032"),
])
def test_a_drawing_that_cannot_be_used_is_said(text, code):
    assert codes(plain("white"), Known(dpi=100.0, drawing=text))[0] == [code]
