"""Real printed sheets measured by other people's programs: pages, bar and square, lugs, ends of leads.

Sizes: ISO 216:2007 table; ANSI/ASME Y14.1 A and B; US legal. PDF unit: ISO 32000-1 8.3.2 (1/72 in). Standards are read
second hand.
"""

from __future__ import annotations

import csv
import functools
import io
import itertools
import math

import pdfplumber
import pikepdf
import pypdfium2
import pytest
import yaml
from printed_samples import NAMES, ROOT, SAMPLES, drawn_paths, lug_centres, lug_marks, noted, printed, root_of

from diagramgen.sheets.sheet_kind import Request

MM = 25.4 / 72
WITHIN = 0.01
TRUE = [name for name in NAMES if name != "no-cavity"]
"""Samples whose places were measured: they have sheets at full size."""
PAPERS = {
    "a5": (148, 210), "a4": (210, 297), "a3": (297, 420),
    "letter": (215.9, 279.4), "legal": (215.9, 355.6), "tabloid": (279.4, 431.8),
}  # fmt: skip
ONE_UP = {"a5": "a4", "a4": "a3", "a3": "a3", "letter": "tabloid", "legal": "tabloid", "tabloid": "tabloid"}


@functools.cache
def on_paper(paper):
    """The smallest sample on a paper: the PDF, and the words of each page."""
    made = noted(printed("one-volume").proof, Request(paper, ("diagram", "bench", "leads")))
    data = made.files["diagram.pdf"]
    words = tuple(page.get_textpage().get_text_bounded().upper() for page in pypdfium2.PdfDocument(data))
    return data, words, made.files["diagram.svg"]


@pytest.mark.parametrize("paper", PAPERS)
def test_every_page_is_the_paper_that_was_asked_for_by_two_readers(paper):
    data, words, _ = on_paper(paper)
    first = [[float(v) * MM for v in page.MediaBox] for page in pikepdf.open(io.BytesIO(data)).pages]
    second = [[v * MM for v in page.get_size()] for page in pypdfium2.PdfDocument(data)]
    assert len(words) >= 3
    for text, box, size in zip(words, first, second, strict=True):
        enlarged = ":1" in text and "LOOKING INTO" in text
        wanted = PAPERS[ONE_UP[paper] if enlarged else paper]
        assert box[:2] == [0, 0]
        assert sorted(box[2:]) == pytest.approx(sorted(wanted), abs=0.001)
        assert sorted(size) == pytest.approx(sorted(wanted), abs=0.001)


def test_no_page_is_cropped_turned_or_scaled_by_the_reader():
    for page in pikepdf.open(io.BytesIO(printed("baritone").files["diagram.pdf"])).pages:
        assert page.get("/Rotate", 0) == 0
        assert page.get("/UserUnit", 1) == 1
        assert list(page.cropbox) == list(page.mediabox)


def measured(page):
    """Lengths of the lines and sizes of the frames that stand beside the words '100 mm' and '50 mm'."""
    words = page.extract_words()
    pairs = list(itertools.pairwise(words))
    bars, squares = [], []
    for a, b in pairs:
        if b["text"] != "mm":
            continue
        if a["text"] == "100":
            near = [ln for ln in page.lines if 0 < (a["x0"] - ln["x1"]) * MM < 4 and abs(ln["x1"] - ln["x0"]) > 200]
            bars += [(ln["x1"] - ln["x0"]) * MM for ln in near if abs(ln["top"] - a["bottom"]) * MM < 2]
        if a["text"] == "50":
            frames = [r for r in [*page.rects, *page.curves] if 45 < r["width"] * MM < 55]
            squares += [(r["width"] * MM, r["height"] * MM) for r in frames
                        if r["x0"] < a["x0"] < r["x1"] and r["top"] < a["top"] < r["bottom"]]
    return bars, squares


@pytest.mark.parametrize("paper", PAPERS)
def test_the_bar_is_100_mm_on_every_full_size_page_of_the_pdf(paper):
    data, words, _ = on_paper(paper)
    full = [i for i, text in enumerate(words) if "FULL SIZE" in text and "KEY TO" not in text]
    assert full
    squares = []
    with pdfplumber.open(io.BytesIO(data)) as pdf:
        for i in full:
            bars, found = measured(pdf.pages[i])
            squares += found
            assert len(bars) == 1, f"page {i + 1}"
            assert abs(bars[0] - 100) <= WITHIN
    assert squares
    assert all(abs(side - 50) <= WITHIN for square in squares for side in square)


@pytest.mark.parametrize(("across", "upright"), [(99.2, 99.6), (100.7, 101.0)])
@pytest.mark.parametrize("paper", ["a4", "letter", "tabloid"])
def test_a_print_corrected_for_a_measured_printer_comes_out_true_on_that_printer(paper, across, upright):
    """What the PDF holds, shrunk or stretched as that printer does, is 100 mm and 50 mm; the sheet says so."""
    asked = Request(paper, ("diagram", "template"), bar_measures=(across, upright))
    made = noted(printed("one-volume").proof, asked)
    squares = []
    with pdfplumber.open(io.BytesIO(made.files["diagram.pdf"])) as pdf:
        for page in pdf.pages:
            bars, found = measured(page)
            squares += found
            assert [bar * across / 100 for bar in bars] == pytest.approx([100.0], abs=0.05)
            text = " ".join(word["text"] for word in page.extract_words())
            assert f"bars measured {across:g} across and {upright:g} mm upright" in text
    assert squares
    for wide, tall in squares:
        assert (wide * across / 100, tall * upright / 100) == pytest.approx((50.0, 50.0), abs=0.03)


@pytest.mark.parametrize("name", TRUE)
@pytest.mark.parametrize("file", ["diagram.svg", "jig.svg"])
def test_one_unit_of_the_svg_is_one_millimetre(name, file):
    root = root_of(printed(name).files[file])
    left, top, width, height = map(float, root.get("viewBox").split())
    assert (left, top) == (0, 0)
    assert root.get("width") == f"{width:g}mm"
    assert root.get("height") == f"{height:g}mm"


@pytest.mark.parametrize("name", TRUE)
@pytest.mark.parametrize("file", ["diagram.svg", "jig.svg"])
def test_bar_and_square_measure_100_and_50_mm_in_the_svg(name, file):
    paths = drawn_paths(printed(name).files[file])
    (bar,) = [p for p in paths if p.subject == "measure:bar"]
    (square,) = [p for p in paths if p.subject == "measure:square"]
    assert abs(bar.size[0] - 100) <= WITHIN
    assert bar.size[1] == 0
    assert abs(square.size[0] - 50) <= WITHIN
    assert abs(square.size[1] - 50) <= WITHIN


def pots(name):
    """The pots inside the cavities of a sample with their symbol files as a YAML reader sees them."""
    for part in printed(name).proof.layout.parts.values():
        file = ROOT / "symbols" / f"{part.part.symbol.name}.yaml"
        text = yaml.safe_load(file.read_text(encoding="utf-8"))
        if not part.outside and "lug-pitch" in text["dimensions"] and {"zero", "wiper", "ten"} <= set(part.lugs):
            yield part.part, text["dimensions"]


def mm_of(dimension):
    return float(str(dimension["value"]).removesuffix("mm"))


@pytest.mark.parametrize("name", TRUE)
def test_pot_lugs_stand_at_the_pitch_their_symbol_file_says(name):
    found = lug_centres(drawn_paths(printed(name).files["diagram.svg"]))
    seen = 0
    for part, dimensions in pots(name):
        if "lug-pitch" in part.dimensions:
            continue
        zero, wiper, ten = (found[f"{part.name}.{lug}"] for lug in ("zero", "wiper", "ten"))
        pitch = mm_of(dimensions["lug-pitch"])
        assert math.dist(zero, wiper) == pytest.approx(pitch, abs=WITHIN)
        assert math.dist(wiper, ten) == pytest.approx(pitch, abs=WITHIN)
        assert math.dist(zero, ten) == pytest.approx(2 * pitch, abs=WITHIN)
        seen += 1
    assert seen


@pytest.mark.parametrize("file", ["diagram.svg", "jig.svg"])
@pytest.mark.parametrize("name", TRUE)
def test_all_lug_distances_of_a_part_are_those_of_its_dimensions(name, file):
    found = lug_centres(drawn_paths(printed(name).files[file]))
    compared = 0
    for part in printed(name).proof.layout.parts.values():
        if part.outside or part.part.between is not None:
            continue
        for a, b in itertools.combinations(part.shape.lugs.values(), 2):
            drawn = math.dist(found[f"{part.part.name}.{a.name}"], found[f"{part.part.name}.{b.name}"])
            assert drawn == pytest.approx(a.at.distance(b.at), abs=WITHIN), (part.part.name, a.name, b.name)
            compared += 1
    assert compared


@pytest.mark.parametrize("name", TRUE)
def test_parts_in_a_cavity_stand_as_far_apart_as_the_build_file_says(name):
    """Right- and left-handed: distances between the places in the file do not change by mirroring."""
    build = yaml.safe_load((SAMPLES / f"{name}.yaml").read_text(encoding="utf-8"))
    places = dict(places_of(build))
    paths = drawn_paths(printed(name).files["jig.svg"])
    layout = printed(name).proof.layout
    centres = {part: cross_of(paths, part) for part in places}
    compared = 0
    for a, b in itertools.combinations(sorted(places), 2):
        same = layout.parts[a].region == layout.parts[b].region
        if same and centres[a] and centres[b]:
            assert math.dist(centres[a], centres[b]) == pytest.approx(math.dist(places[a], places[b]), abs=WITHIN)
            compared += 1
    assert compared or len(places) < 2


def places_of(build):
    for name, said in build["parts"].items():
        if isinstance(said, dict) and "at" in said and isinstance(said["at"], list):
            yield name, said["at"]
        elif isinstance(said, str) and ", at " in said:
            x, y = said.split(", at ")[1].split(",")[0].split()[:2]
            yield name, (float(x), float(y))


def cross_of(paths, part):
    """The crossing of the two short lines that mark a bushing's centre: the only such pair in its group."""
    crosses = [p for p in paths if p.subject == f"part:{part}" and p.d.count("M") == 2
               and p.size == pytest.approx((4, 4), abs=0.001)]
    return crosses[0].centre if len(crosses) == 1 else None


@pytest.mark.parametrize("name", NAMES)
def test_every_lead_in_the_svg_ends_on_the_two_lugs_its_row_names(name):
    paths = drawn_paths(printed(name).files["diagram.svg"])
    lugs = lug_marks(paths)
    by_tag = {}
    for one in paths:
        if one.subject.startswith("lead:") and one.ends:
            by_tag.setdefault(one.subject.removeprefix("lead:"), []).append(one.ends)
    rows = list(csv.DictReader(io.StringIO(printed(name).files["leads.csv"].decode(), newline="")))
    assert rows
    for row in rows:
        goals = [lugs.get(row["from"]), lugs.get(row["to"])]
        if None in goals:
            assert "unknown" in (row["from"], row["to"]) or "parked" in (row["from"], row["to"]), row["tag"]
            continue
        off = [max(min(math.dist(start, at) for at in goals[0]), min(math.dist(end, at) for at in goals[1]))
               for start, end in by_tag[row["tag"]]]
        assert min(off) <= WITHIN, (row["tag"], min(off))
