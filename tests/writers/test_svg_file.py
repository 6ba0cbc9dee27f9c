import base64
import io
import itertools
import math
import re
import xml.etree.ElementTree as ET

import pytest
from fontTools.ttLib import TTFont
from sheets_for_tests import full_sheet, measuring_sheet, model

from diagramgen.drawing.scene import Anchor, Role, Shape, Sheet, Text, Viewport, walk
from diagramgen.kernel.geometry import Arc, Box, Path, Point, mirrored, moved
from diagramgen.lettering import font_size, text_width
from diagramgen.writers.svg import svg_bytes

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
KNOWN = {
    "svg": {"width", "height", "viewBox", "version", "baseProfile", "font-family", "text-rendering"},
    "title": set(),
    "desc": set(),
    "defs": set(),
    "style": {"type"},
    "clipPath": {"id"},
    "g": {"data-subject", "aria-label", "role", "clip-path"},
    "path": {
        "d",
        "fill",
        "fill-rule",
        "stroke",
        "stroke-width",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-dasharray",
        "data-subject",
        "id",
    },
    "text": {
        "x",
        "y",
        "font-size",
        "font-weight",
        "text-anchor",
        "transform",
        "fill",
        "fill-opacity",
        "textLength",
        "lengthAdjust",
        "data-subject",
        "{http://www.w3.org/XML/1998/namespace}space",
    },
    "rect": {"x", "y", "width", "height", "fill", "pointer-events"},
    "image": {
        "x",
        "y",
        "width",
        "height",
        "preserveAspectRatio",
        f"{XLINK}href",
        "aria-label",
        "role",
        "data-subject",
    },
    "a": {f"{XLINK}href", "target"},
}
NUMBERS = ("x", "y", "width", "height", "stroke-width", "font-size", "textLength")


def tree(sheet, lettering="font"):
    return ET.fromstring(svg_bytes(sheet, lettering))


@pytest.mark.parametrize("lettering", ["font", "outline"])
def test_only_known_elements_and_attributes_with_finite_numbers_and_unique_ids(lettering):
    root = tree(full_sheet(), lettering)
    ids = []
    for element in root.iter():
        name = element.tag.removeprefix(SVG)
        assert set(element.attrib) <= KNOWN[name], (name, set(element.attrib) - KNOWN[name])
        ids += [element.attrib["id"]] if "id" in element.attrib else []
        for key in NUMBERS:
            if key in element.attrib and name != "svg":
                assert re.fullmatch(r"-?\d+(\.\d{1,4})?", element.attrib[key])
        if "d" in element.attrib:
            assert re.fullmatch(r"(?:[MLACZ ]|-?\d+(?:\.\d{1,4})?)+", element.attrib["d"])
    assert ids
    assert len(set(ids)) == len(ids)
    for used in re.findall(r"url\(#([^)]+)\)", ET.tostring(root, "unicode")):
        assert used in ids


def test_size_and_view_box_are_the_sheet_in_mm():
    root = tree(measuring_sheet())
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("297mm", "210mm", "0 0 297 210")


def test_the_100_mm_bar_and_the_50_mm_square_measure_true_in_the_file():
    paths = {e.get("data-subject"): e.get("d") for e in tree(measuring_sheet()).iter(f"{SVG}path")}
    (x0, y0), (x1, y1) = _points(paths["bar"])
    assert abs(abs(x1 - x0) - 100) <= 0.01
    assert y0 == y1
    corners = _points(paths["square"])
    assert abs(max(x for x, _ in corners) - min(x for x, _ in corners) - 50) <= 0.01
    assert abs(max(y for _, y in corners) - min(y for _, y in corners) - 50) <= 0.01


def _points(d):
    values = [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?", d)]
    return list(zip(values[::2], values[1::2], strict=True))


def test_nothing_but_text_is_moved_by_a_transform():
    for element in tree(full_sheet()).iter():
        assert "transform" not in element.attrib or element.tag == f"{SVG}text"


def test_titles_subjects_and_figures_are_told_to_those_who_do_not_see():
    root = tree(full_sheet())
    assert root.find(f"{SVG}title").text == full_sheet().title
    assert root.find(f"{SVG}desc").text == full_sheet().subject
    figure = next(e for e in root.iter(f"{SVG}g") if e.get("role") == "img")
    assert figure.get("aria-label") == 'Control cavity: one pot "Volume", three leads'
    assert figure.find(f"{SVG}desc").text == figure.get("aria-label")
    subjects = {e.get("data-subject") for e in root.iter()} - {None}
    assert {"part:vol", "lead:W01", "lead:W02", "lug:vol.wiper", 'note:"1"', "photo:1"} <= subjects


def test_every_text_can_be_read_back_in_both_letterings():
    wanted = [m.text.replace("\u00ad", "") for m in walk(full_sheet()) if isinstance(m, Text)]
    for lettering in ("font", "outline"):
        assert [e.text for e in tree(full_sheet(), lettering).iter(f"{SVG}text")] == wanted


def test_outline_text_is_invisible_and_as_long_as_its_outlines():
    sheet = Sheet(100, 50, "t", (Text("Volume 500 kΩ", Point(10, 20), 2.5),))
    (ghost,) = tree(sheet, "outline").iter(f"{SVG}text")
    assert ghost.get("fill-opacity") == "0"
    assert float(ghost.get("textLength")) == pytest.approx(text_width("Volume 500 kΩ", 2.5), abs=1e-3)
    assert float(ghost.get("font-size")) == pytest.approx(font_size(2.5), abs=1e-4)
    assert b"font-face" not in svg_bytes(sheet, "outline")


def test_the_embedded_font_holds_exactly_what_is_set_with_its_licence():
    sheet = Sheet(100, 50, "t", (Text("Ω ab", Point(10, 20), 2.5), Text("B", Point(10, 30), 2.5, bold=True)))
    style = tree(sheet).find(f"{SVG}defs/{SVG}style").text
    faces = re.findall(r"font-family:'DG Sans';font-weight:(\d+);src:url\(data:font/woff;base64,([^)]+)\)", style)
    assert [weight for weight, _ in faces] == ["400", "700"]
    plain, bold = (TTFont(io.BytesIO(base64.b64decode(data))) for _, data in faces)
    assert plain.flavor == "woff"
    assert {chr(c) for c in plain.getBestCmap()} == set("Ω ab")
    assert {chr(c) for c in bold.getBestCmap()} == {"B"}
    assert "Permission is hereby granted" in plain["name"].getDebugName(13)


def test_text_in_a_mirrored_window_is_never_written_backwards():
    place = mirrored(0).then(moved(Point(200, 0)))
    root = tree(Sheet(300, 100, "t", (Viewport(Box(0, 0, 300, 100), place, model()),)))
    volume = next(e for e in root.iter(f"{SVG}text") if e.text == "Volume")
    assert float(volume.get("x")) == pytest.approx(180)
    assert "transform" not in volume.attrib
    tag = next(e for e in root.iter(f"{SVG}text") if e.text == "W02 wht/blk")
    assert tag.get("transform").startswith("rotate(-90 ")


def test_links_lead_to_anchors_of_the_sheet_and_to_the_web():
    root = tree(full_sheet())
    targets = [e.get(f"{XLINK}href") for e in root.iter(f"{SVG}a")]
    ids = {e.get("id") for e in root.iter() if e.get("id")}
    assert targets[0].removeprefix("#") in ids
    assert targets[1] == "https://example.org/?a=1&b=2"


def test_a_link_to_another_sheet_is_left_out_and_a_doubled_anchor_refused():
    from diagramgen.drawing.scene import Link

    assert b"<a " not in svg_bytes(Sheet(10, 10, "t", (Link(Box(0, 0, 1, 1), "elsewhere"),)))
    twice = Anchor("here", Point(0, 0))
    with pytest.raises(ValueError, match="two anchors"):
        svg_bytes(Sheet(10, 10, "t", (twice, twice)))


def test_double_spaces_survive_in_the_file():
    root = tree(Sheet(10, 10, "t", (Text("a  b", Point(0, 5), 2),)))
    assert next(root.iter(f"{SVG}text")).get("{http://www.w3.org/XML/1998/namespace}space") == "preserve"


@pytest.mark.parametrize("sweep", [0.4, -0.4, 2.0, -2.0, 3.14159, -3.14159, 4.5, -6.2])
def test_arcs_in_the_file_run_the_way_the_scene_says(sweep):
    """Read back by a library's own SVG path parser."""
    from fontTools.pens.recordingPen import RecordingPen
    from fontTools.svgLib.path import parse_path

    centre = Point(50, 40)
    start = centre.towards(0.3, 20)
    path = Path(start, (Arc(centre.towards(0.3 + sweep, 20), centre, sweep),))
    root = tree(Sheet(100, 100, "t", (Shape((path,), Role.LEG, "arc"),)))
    pen = RecordingPen()
    parse_path(next(e.get("d") for e in root.iter() if e.get("data-subject") == "arc"), pen)
    angles = [0.3]
    for verb, points in pen.value:
        if verb == "curveTo":
            for p in points[-1:]:
                assert Point(*p).distance(centre) == pytest.approx(20, abs=1e-3)
                angles.append(centre.angle_to(Point(*p)))
    turned = sum(math.remainder(b - a, math.tau) for a, b in itertools.pairwise(angles))
    assert turned == pytest.approx(sweep, abs=1e-3)
