"""Real sheets through three programs that share no code: cairo and librsvg show the SVG, pdfium the PDF page.

Both pictures are softened by 1.5 pixels and a pixel counts when a channel differs by more than 40 of 255, so
that a program's way of smoothing edges does not. What was seen between the three is at most 0.001 % of the
pixels; one coloured lead left out is 0.1 %. The tolerance, 0.01 %, stands ten times from either; the last test
leaves a lead out.
"""

from __future__ import annotations

import functools
import io
import re
import shutil
import subprocess

import numpy as np
import pypdfium2
import pytest
from PIL import Image, ImageFilter
from printed_samples import noted, printed

from diagramgen.sheets.sheet_kind import Request

DPI = 96
TOLERANCE = 0.0001
NAMES = ["one-volume", "left-handed"]


@functools.cache
def outlined(name):
    """The diagram as outlines: viewers that ignore embedded fonts must show it too."""
    # All sheets are asked for, since the count of sheets stands on each.
    return noted(printed(name).proof, Request(lettering="outline")).files["diagram.svg"]


def softened(picture, size):
    soft = picture.convert("RGB").resize(size, Image.Resampling.BILINEAR).filter(ImageFilter.GaussianBlur(1.5))
    return np.asarray(soft, dtype=float)


def difference(a, b):
    size = a.size
    return float((np.abs(softened(a, size) - softened(b, size)).max(axis=2) > 40).mean())


@functools.cache
def by_pdfium(name):
    return pypdfium2.PdfDocument(printed(name).files["diagram.pdf"])[0].render(scale=DPI / 72).to_pil()


@functools.cache
def by_cairo(name):
    cairosvg = pytest.importorskip("cairosvg", reason="missing: cairosvg")
    return flat(Image.open(io.BytesIO(cairosvg.svg2png(bytestring=outlined(name), dpi=DPI))))


def by_librsvg(svg):
    program = shutil.which("rsvg-convert")
    if program is None:
        pytest.skip("missing: rsvg-convert")
    done = subprocess.run([program, "-d", str(DPI), "-p", str(DPI)], input=svg, capture_output=True, check=True)
    return flat(Image.open(io.BytesIO(done.stdout)))


def flat(picture):
    paper = Image.new("RGBA", picture.size, "white")
    paper.alpha_composite(picture.convert("RGBA"))
    return paper


def test_librsvg_shows_the_svg_as_cairo_shows_it():
    assert difference(by_cairo("one-volume"), by_librsvg(outlined("one-volume"))) < TOLERANCE


@pytest.mark.parametrize("name", NAMES)
def test_librsvg_shows_the_svg_as_pdfium_shows_the_page(name):
    assert difference(by_pdfium(name), by_librsvg(outlined(name))) < TOLERANCE


def test_cairo_shows_the_svg_as_pdfium_shows_the_page():
    assert difference(by_pdfium("one-volume"), by_cairo("one-volume")) < TOLERANCE


def test_a_sheet_with_one_lead_left_out_is_not_the_same():
    whole = outlined("one-volume")
    without = re.sub(rb'<g [^>]*data-subject="lead:W03".*?</g>', b"", whole, count=1, flags=re.S)
    assert len(without) < len(whole)
    assert difference(by_pdfium("one-volume"), by_librsvg(without)) > TOLERANCE
