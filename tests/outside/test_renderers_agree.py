"""Independent programs must show the same picture of one sheet: cairo, librsvg, pdfium, and a browser."""

import io
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "writers"))

from sheets_for_tests import full_sheet

from diagramgen.drawing.scene import Role, Shape
from diagramgen.kernel.geometry import Point, circle
from diagramgen.writers.pdf import pdf_bytes
from diagramgen.writers.png import png_bytes
from diagramgen.writers.svg import svg_bytes

DPI = 96
SIZE = (round(297 / 25.4 * DPI), round(210 / 25.4 * DPI))


def as_array(picture):
    """Softened, so that a program's way of smoothing an edge does not count."""
    soft = (
        picture.convert("RGB").resize(SIZE, Image.Resampling.BILINEAR).filter(ImageFilter.GaussianBlur(1.5))
    )
    return np.asarray(soft, dtype=float)


def share_of_pixels_that_differ(a, b):
    return float((np.abs(as_array(a) - as_array(b)).max(axis=2) > 40).mean())


def by_pdfium(sheet):
    return pypdfium2.PdfDocument(pdf_bytes([sheet], "t"))[0].render(scale=DPI / 72).to_pil()


def by_cairo(sheet):
    pytest.importorskip("cairosvg", reason="missing: cairosvg")
    return Image.open(io.BytesIO(png_bytes(sheet, DPI)))


def by_librsvg(sheet):
    program = shutil.which("rsvg-convert")
    if program is None:
        pytest.skip("missing: rsvg-convert")
    done = subprocess.run(
        [program, "-d", str(DPI), "-p", str(DPI)],
        input=svg_bytes(sheet, "outline"),
        capture_output=True,
        check=True,
    )
    return Image.open(io.BytesIO(done.stdout))


def by_chromium(sheet, folder, lettering):
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        pytest.skip("missing: chromium")
    (folder / "sheet.svg").write_bytes(svg_bytes(sheet, lettering))
    subprocess.run(
        [program, "--headless", "--no-sandbox", "--hide-scrollbars", "--window-size=1400,1100",
         f"--screenshot={folder / 'sheet.png'}", (folder / "sheet.svg").as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    return Image.open(folder / "sheet.png").crop((0, 0, *SIZE))


@pytest.fixture(scope="module")
def reference():
    return by_pdfium(full_sheet())


def test_cairo_shows_the_svg_as_pdfium_shows_the_pdf(reference):
    assert share_of_pixels_that_differ(reference, by_cairo(full_sheet())) < 0.002


def test_librsvg_shows_the_svg_as_pdfium_shows_the_pdf(reference):
    assert share_of_pixels_that_differ(reference, by_librsvg(full_sheet())) < 0.002


@pytest.mark.parametrize("lettering", ["font", "outline"])
def test_a_browser_shows_the_svg_as_pdfium_shows_the_pdf(reference, tmp_path, lettering):
    assert share_of_pixels_that_differ(reference, by_chromium(full_sheet(), tmp_path, lettering)) < 0.002


def test_the_comparison_notices_one_joint_too_many(reference):
    blot = Shape((circle(Point(100, 100), 1.5),), Role.JOINT)
    spoiled = replace(full_sheet(), marks=(*full_sheet().marks, blot))
    assert share_of_pixels_that_differ(reference, by_pdfium(spoiled)) > 0.0001


def test_two_renderings_of_the_same_pdf_are_equal(reference):
    assert share_of_pixels_that_differ(reference, by_pdfium(full_sheet())) == 0.0
