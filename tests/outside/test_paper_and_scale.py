"""Pages and measures read back by programs that are not ours.

Sizes: ISO 216:2007 table; ANSI/ASME Y14.1 A and B; US legal. PDF unit: ISO 32000-1 8.3.2 (1/72 in). Standards are read
second hand.
"""

import io
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pikepdf
import pypdfium2
import pytest

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "writers"))

from sheets_for_tests import measuring_sheet

from diagramgen.writers.pdf import pdf_bytes
from diagramgen.writers.svg import svg_bytes

MM = 25.4 / 72
ISO_216 = {
    "A0": (841, 1189), "A1": (594, 841), "A2": (420, 594), "A3": (297, 420), "A4": (210, 297),
    "A5": (148, 210),
    "A6": (105, 148),
}  # fmt: skip
ANSI_Y14_1 = {"letter": (215.9, 279.4), "legal": (215.9, 355.6), "tabloid": (279.4, 431.8)}
ANSI_POINTS = {"letter": (612, 792), "legal": (612, 1008), "tabloid": (792, 1224)}
PAPERS = {**ISO_216, **ANSI_Y14_1}


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize("name", PAPERS)
def test_the_page_box_is_the_paper_of_iso_216_or_asme_y14_1(name, turned):
    width, height = PAPERS[name][::-1] if turned else PAPERS[name]
    data = pdf_bytes([measuring_sheet(width, height)], "t")
    pdf = pikepdf.open(io.BytesIO(data))
    box = [float(v) for v in pdf.pages[0].MediaBox]
    assert box[:2] == [0, 0]
    assert box[2] * MM == pytest.approx(width, abs=0.001)
    assert box[3] * MM == pytest.approx(height, abs=0.001)
    seen = pypdfium2.PdfDocument(data)[0].get_size()
    assert [v * MM for v in seen] == pytest.approx([width, height], abs=0.001)
    if name in ANSI_POINTS:
        assert sorted(box[2:]) == pytest.approx(sorted(ANSI_POINTS[name]), abs=0.01)


def test_each_page_has_its_own_size():
    data = pdf_bytes(
        [measuring_sheet(210, 297), measuring_sheet(420, 297), measuring_sheet(215.9, 279.4)], "t"
    )
    sizes = [page.get_size() for page in pypdfium2.PdfDocument(data)]
    assert [round(w * MM, 2) for w, _ in sizes] == [210, 420, 215.9]
    assert [round(h * MM, 2) for _, h in sizes] == [297, 297, 279.4]


def test_the_bar_measures_100_mm_and_the_square_50_mm_in_the_pdf():
    with pdfplumber.open(io.BytesIO(pdf_bytes([measuring_sheet()], "t"))) as pdf:
        page = pdf.pages[0]
        (bar,) = page.lines
        marks = [m for m in [*page.rects, *page.curves] if m["width"] * MM < 200]
        (square,) = marks
    assert abs((bar["x1"] - bar["x0"]) * MM - 100) <= 0.01
    assert abs(bar["x0"] * MM - 30) <= 0.01
    assert abs(bar["top"] * MM - 150) <= 0.01
    assert abs(square["width"] * MM - 50) <= 0.01
    assert abs(square["height"] * MM - 50) <= 0.01


def test_the_bar_measures_100_mm_where_a_browser_shows_the_svg(tmp_path):
    """CSS Values 3: 1 in = 96 px; the picture of the page is measured to one pixel of 0.066 mm."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        pytest.skip("missing: chromium")
    from PIL import Image

    (tmp_path / "bar.svg").write_bytes(svg_bytes(measuring_sheet()))
    factor = 4
    subprocess.run(
        [chromium, "--headless", "--no-sandbox", "--hide-scrollbars", f"--force-device-scale-factor={factor}",
         "--window-size=1200,900", f"--screenshot={tmp_path / 'bar.png'}", (tmp_path / "bar.svg").as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    picture = Image.open(tmp_path / "bar.png").convert("L")
    per_mm = factor * 96 / 25.4
    row = round(150 * per_mm)
    dark = [x for x in range(round(135 * per_mm)) if picture.getpixel((x, row)) < 128]
    assert (max(dark) - min(dark) + 1) / per_mm == pytest.approx(100, abs=1 / per_mm)


def test_coordinates_in_the_svg_are_those_in_the_pdf():
    text = svg_bytes(measuring_sheet()).decode()
    assert re.search(r'd="M30 150L130 150"', text)
    pdf = pikepdf.open(io.BytesIO(pdf_bytes([measuring_sheet()], "t")))
    moves = [
        [float(v) for v in operands]
        for operands, operator in pikepdf.parse_content_stream(pdf.pages[0])
        if str(operator) in ("m", "l")
    ]
    assert [30.0, 150.0] in moves
    assert [130.0, 150.0] in moves
