"""Printed labels measured and read by other people's programs: places and sizes in the PDF, codes, words.

PDF unit: ISO 32000-1 8.3.2 (1/72 in). QR: ISO/IEC 18004 (read second hand).
"""

from __future__ import annotations

import io
import math
import re
import shutil
from pathlib import Path

import pdfplumber
import pikepdf
import pypdfium2
import pytest
import zxingcpp
from click.testing import CliRunner

from diagramgen.app.main import group

ROOT = Path(__file__).resolve().parents[2]
MM = 25.4 / 72
WITHIN = 0.05
GRIDS = {
    # name: paper, columns, rows, label, pitch, margin; as the files under labelsheets say
    "4x12-a4": ((210, 297), 4, 12, (45.7, 21.2), (48.3, 21.2), (9.7, 21.3)),
    "3x8-a4": ((210, 297), 3, 8, (64, 34), (66.5, 34), (6.5, 12.5)),
    "2x5-a4-cut": ((210, 297), 2, 5, (90, 50), (90, 50), (15, 23.5)),
    "3x10-letter": ((215.9, 279.4), 3, 10, (66.7, 25.4), (69.85, 25.4), (4.75, 12.7)),
    "4x20-letter": ((215.9, 279.4), 4, 20, (44.5, 12.7), (52.1, 12.7), (7.55, 12.7)),
}


def labelled(folder, *arguments):
    file = folder / "baritone.yaml"
    if not file.exists():
        shutil.copy(ROOT / "samples" / "baritone.yaml", file)
        shutil.copytree(ROOT / "samples" / "groups", folder / "groups")
    out = folder / "-".join(("o", *(a.strip("-") for a in arguments)))
    done = CliRunner().invoke(group, ["labels", str(file), "--automatic-tags", "--out", str(out), *arguments])
    assert done.exit_code == 0, done.output
    return out


def outlines(page):
    """Every closed outline on a page as left, top, right, bottom in mm from the upper left, in the order drawn."""
    found = []
    for path in page.objects.get("rect", []) + page.objects.get("curve", []):
        found.append(tuple(path[key] * MM for key in ("x0", "top", "x1", "bottom")))
    return found


def cells(name):
    _, columns, rows, label, pitch, margin = GRIDS[name]
    for row in range(rows):
        for column in range(columns):
            left, top = margin[0] + column * pitch[0], margin[1] + row * pitch[1]
            yield left, top, left + label[0], top + label[1]


def nearest(found, cell):
    return min(max(abs(a - b) for a, b in zip(one, cell, strict=True)) for one in found)


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    return tmp_path_factory.mktemp("labels")


@pytest.mark.parametrize("name", GRIDS)
def test_labels_lie_in_the_pdf_where_the_label_sheet_has_them_to_0_05_mm(bench, name):
    out = labelled(bench, "--on", name, "--outlines", "--kind", "parts")
    (width, height), *_ = GRIDS[name]
    wanted = list(cells(name))
    for file, pages in (("alignment.pdf", 1), ("labels.pdf", None)):
        with pikepdf.open(out / file) as pdf:
            boxes = [[float(v) * MM for v in page.MediaBox] for page in pdf.pages]
        assert all(box == pytest.approx([0, 0, width, height], abs=0.001) for box in boxes)
        with pdfplumber.open(out / file) as pdf:
            assert pages is None or len(pdf.pages) == pages
            found = outlines(pdf.pages[0])
        # 15 parts have labels; the alignment page shows every place.
        for cell in wanted if file == "alignment.pdf" else wanted[:10]:
            assert nearest(found, cell) <= WITHIN, (file, cell)


def test_the_measuring_would_see_a_label_a_tenth_of_a_millimetre_off(bench):
    out = labelled(bench, "--on", "4x12-a4", "--outlines", "--kind", "parts", "--shift", "0.1,0")
    with pdfplumber.open(out / "labels.pdf") as pdf:
        found = outlines(pdf.pages[0])
    first = next(cells("4x12-a4"))
    assert nearest(found, first) == pytest.approx(0.1, abs=0.005)


def test_a_corrected_print_is_larger_about_the_middle_of_the_sheet(bench):
    out = labelled(bench, "--on", "4x12-a4", "--bar-measures", "99,98")
    with pdfplumber.open(out / "alignment.pdf") as pdf:
        found = outlines(pdf.pages[0])
    for left, top, right, bottom in cells("4x12-a4"):
        cell = tuple(105 + (x - 105) * 100 / 99 if i % 2 == 0 else 148.5 + (x - 148.5) * 100 / 98
                     for i, x in enumerate((left, top, right, bottom)))  # fmt: skip
        assert nearest(found, cell) <= WITHIN


def test_every_word_stands_inside_its_label_and_skipped_labels_are_empty(bench):
    out = labelled(bench, "--on", "4x12-a4", "--skip", "5", "--kind", "parts")
    wanted = list(cells("4x12-a4"))
    held = [0] * len(wanted)
    with pdfplumber.open(out / "labels.pdf") as pdf:
        for char in pdf.pages[0].chars:
            box = [char[key] * MM for key in ("x0", "x1")] + [(char["top"] + char["bottom"]) / 2 * MM]
            index = [i for i, (left, top, right, bottom) in enumerate(wanted)
                     if left < box[0] and box[1] < right and top < box[2] < bottom]  # fmt: skip
            assert len(index) == 1, char
            held[index[0]] += 1
    assert [bool(n) for n in held[:5]] == [False] * 5
    assert all(held[5:15])


def test_every_code_on_the_rendered_page_is_read_back_as_tag_check_and_job(bench):
    out = labelled(bench, "--on", "3x8-a4", "--code", "--kind", "flags")
    listed = [line.split(",") for line in (out / "labels.csv").read_text(encoding="utf-8").splitlines()[1:]]
    check = listed[0][-1].upper()
    pdf = pypdfium2.PdfDocument(out / "labels.pdf")
    for number, page in enumerate(pdf, 1):
        image = page.render(scale=300 / 72, grayscale=True).to_pil()
        read = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
        here = [line for line in listed if line[0] == str(number)]
        assert sorted(code.text for code in read) == sorted(f"{line[4]}/{check}/LL-1175" for line in here)
        for code in read:
            # Which label a code lies on, and that its words are those of its tag.
            x, y = code.position.top_left.x * 25.4 / 300, code.position.top_left.y * 25.4 / 300
            row, column = int((y - 12.5) // 34) + 1, int((x - 6.5) // 66.5) + 1
            assert [line[4] for line in here if line[1:3] == [str(row), str(column)]] == [code.text.split("/")[0]]
            assert x - 6.5 - (column - 1) * 66.5 > 32  # on the back half of the flag


def test_a_code_is_as_large_as_its_modules_say_with_four_white_modules_around(bench):
    out = labelled(bench, "--on", "3x8-a4", "--code", "--kind", "flags", "--module", "0.5")
    image = pypdfium2.PdfDocument(out / "labels.pdf")[0].render(scale=600 / 72, grayscale=True).to_pil()
    dot = 25.4 / 600
    code = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)[0]
    corner = code.position
    side = math.dist((corner.top_left.x, corner.top_left.y), (corner.top_right.x, corner.top_right.y)) * dot
    assert side == pytest.approx(21 * 0.5, abs=0.12)
    quiet = round(4 * 0.5 / dot)
    left, top = corner.top_left.x, corner.top_left.y
    right, bottom = corner.bottom_right.x, corner.bottom_right.y
    for box in ((left - quiet + 4, top - quiet + 4, right + quiet - 4, top - 3),
                (left - quiet + 4, bottom + 4, right + quiet - 4, bottom + quiet - 4),
                (left - quiet + 4, top, left - 3, bottom), (right + 4, top, right + quiet - 4, bottom)):  # fmt: skip
        assert image.crop(box).getextrema()[0] > 250


def test_the_svg_holds_the_same_places(bench):
    out = labelled(bench, "--on", "2x5-a4-cut", "--outlines", "--kind", "parts")
    text = (out / "labels-1.svg").read_text(encoding="utf-8")
    assert re.search(r'viewBox="0[ ,]0[ ,]210[ ,]297"', text)
    for left, top, right, bottom in cells("2x5-a4-cut"):
        for x, y in ((left, top), (right, bottom)):
            assert re.search(rf"[ML]{x:g}[ ,]{y:g}(?![\d.])", text), (x, y)


def test_strips_of_tape_are_pages_of_their_own_size(bench):
    out = labelled(bench, "--kind", "sleeves", "--tape", "12", "--length", "50")
    with pikepdf.open(io.BytesIO((out / "labels.pdf").read_bytes())) as pdf:
        sizes = [tuple(round(float(v) * MM, 2) for v in page.MediaBox[2:]) for page in pdf.pages]
    assert set(sizes[:-1]) == {(250, 12)}
    assert sizes[-1][0] % 50 == 0
