"""The words on real printed sheets as other programs find them; contrast, and which fonts are inside.

Contrast: WCAG 2.2 SC 1.4.3, 4.5 to 1 for text that is not large (all of ours is below 18 point).
"""

from __future__ import annotations

import base64
import csv
import functools
import io
import math
import re

import pdfplumber
import pikepdf
import pypdfium2
import pytest
import shapely
from coloraide import Color
from fontTools.pens.recordingPen import RecordingPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont
from printed_samples import NAMES, SAMPLES, SVG, print_file, printed, root_of

from diagramgen.sheets.sheet_kind import Request


def words_of(pdf):
    return "\n".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(pdf))


@functools.cache
def foreign(folder):
    """A build with a title in Cyrillic and Greek, a value in microfarads and one in ohms."""
    text = (SAMPLES / "no-cavity.yaml").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^title:.*$", "title: Жёлтая гитара — Ηλεκτρική κιθάρα", text)
    text = text.replace("parts:\n", "parts:\n  extra: capacitor-electrolytic, 10u, says Ёмкость\n", 1)
    file = folder / "foreign.yaml"
    file.write_text(text, encoding="utf-8")
    return print_file(file, Request(sheets=("bench", "leads")))


@pytest.fixture(scope="module")
def abroad(tmp_path_factory):
    return foreign(tmp_path_factory.mktemp("abroad"))


@pytest.mark.parametrize("name", NAMES)
def test_every_tag_and_colour_word_of_the_list_is_found_in_the_text_of_the_pdf(name):
    files = printed(name).files
    rows = list(csv.DictReader(io.StringIO(files["leads.csv"].decode(), newline="")))
    drawing = words_of(files["diagram.pdf"]).replace("\r\n", " ")
    listed = words_of(files["leads.pdf"])
    for row in rows:
        if row["kind"] in ("leg", "bend", "bridge"):  # no wire is cut: no tag on the drawing
            assert row["tag"] in listed
            continue
        assert len(re.findall(rf"\b{row['tag']}\b", drawing)) >= 3, f"{row['tag']}: both ends and the list"
        assert row["tag"] in listed
        assert row["colour"] in drawing


@pytest.mark.parametrize("name", NAMES)
def test_no_pdf_has_a_fault_of_syntax_and_every_svg_is_read_by_a_parser_of_xml(name):
    files = printed(name).files
    pdfs = [file for file in files if file.endswith(".pdf")]
    assert "diagram.pdf" in pdfs
    for file in pdfs:  # what `qpdf --check` looks at
        with pikepdf.open(io.BytesIO(files[file])) as pdf:
            assert (pdf.check_pdf_syntax() if hasattr(pdf, "check_pdf_syntax") else pdf.check()) == [], file
    for file in files:
        assert not file.endswith(".svg") or root_of(files[file]).tag == SVG + "svg", file


def test_a_title_in_cyrillic_and_greek_ohm_and_micro_are_found_by_two_readers(abroad):
    data = abroad.files["diagram.pdf"]
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        other = "\n".join(page.extract_text() for page in pdf.pages[:1])
    for text in (words_of(data), other):
        for wanted in ("Жёлтая гитара", "Ηλεκτρική κιθάρα", "Ёмкость", "kΩ", "10 µF"):
            assert wanted in text, wanted
    with pikepdf.open(io.BytesIO(data)) as pdf:
        assert "Жёлтая" in str(pdf.docinfo["/Title"])


def test_the_same_words_are_text_in_the_svg(abroad):
    said = " ".join("".join(t.itertext()) for t in root_of(abroad.files["diagram.svg"]).iter(SVG + "text"))
    for wanted in ("Жёлтая гитара", "Ηλεκτρική κιθάρα", "kΩ", "10 µF"):
        assert wanted in said


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("file", ["diagram.pdf", "leads.pdf"])
def test_only_our_own_faces_are_in_the_pdf_and_all_of_them_are_embedded(name, file):
    with pikepdf.open(io.BytesIO(printed(name).files[file])) as pdf:
        fonts = [font for page in pdf.pages for font in page.Resources.get("/Font", {}).values()]
        assert fonts
        for font in fonts:
            assert re.fullmatch(r"/[A-Z]{6}\+DGSans.*", str(font.BaseFont)), font.BaseFont
            assert "/FontFile2" in font.FontDescriptor
            assert "/ToUnicode" in font


@pytest.mark.parametrize("name", NAMES)
def test_the_svg_carries_the_characters_it_sets(name):
    text = printed(name).files["diagram.svg"].decode()
    faces = [TTFont(io.BytesIO(base64.b64decode(data))) for data in re.findall(r"base64,([A-Za-z0-9+/=]+)", text)]
    assert faces
    known = set().union(*(face.getBestCmap() for face in faces))
    said = set("".join("".join(t.itertext()) for t in root_of(text.encode()).iter(SVG + "text")))
    assert {c for c in said if ord(c) not in known} == set()
    assert set(re.findall(r'font-family="([^"]*)"', text)) == {"'DG Sans', sans-serif"}


def polygon_of(d):
    """The area a path fills, curves by their end and control points (a bound is enough for what lies under text)."""
    pen = RecordingPen()
    parse_path(d, pen)
    rings, ring = [], []
    for verb, points in pen.value:
        if verb == "moveTo" and len(ring) > 2:
            rings.append(ring)
        ring = [points[-1]] if verb == "moveTo" else ring + [p for p in points[-1:] if p]
    rings.append(ring)
    area = shapely.Polygon()
    for one in rings:
        if len(one) > 2:
            area = area.symmetric_difference(shapely.Polygon(one).buffer(0))
    return area


def texts_on_grounds(svg):
    """Each text with its colour and the colour of the topmost filled area under its middle."""
    root = root_of(svg)
    areas = [(shapely.box(0, 0, *map(float, root.get("viewBox").split()[2:])), "#ffffff")]
    for element in root.iter():
        if element.tag == SVG + "path" and element.get("fill", "none") not in ("none", ""):
            areas.append((polygon_of(element.get("d")), element.get("fill")))
        if element.tag == SVG + "text":
            where = middle_of(element)
            ground = next(colour for area, colour in reversed(areas) if area.intersects(where))
            yield "".join(element.itertext()), element.get("fill"), ground


def middle_of(element):
    """A point within the text: half a capital above its base line, a little after its beginning."""
    x, y, size = (float(element.get(key)) for key in ("x", "y", "font-size"))
    length = 0.5 * size * len("".join(element.itertext()))
    shift = {"middle": 0.0, "end": -length / 2}.get(element.get("text-anchor", "start"), length / 2)
    turn = re.match(r"rotate\(([-\d.]+)", element.get("transform", ""))
    angle = math.radians(float(turn[1])) if turn else 0.0
    c, s = math.cos(angle), math.sin(angle)
    return shapely.Point(x + c * shift + s * size * 0.36, y + s * shift - c * size * 0.36)


@pytest.mark.parametrize("file", ["diagram.svg", "bench.svg", "jig.svg"])
@pytest.mark.parametrize("name", ["baritone", "three-singles-lever"])
def test_every_text_stands_at_4_5_to_1_on_what_lies_under_it(name, file):
    found = list(texts_on_grounds(printed(name).files[file]))
    assert len(found) > 60
    assert len({ground for _, _, ground in found}) > 1, "texts stand on paper, stamps and tags"
    weak = {(text, colour, ground) for text, colour, ground in found
            if Color(colour).contrast(Color(ground), method="wcag21") < 4.5}
    assert weak == set()
