import math

import pytest
from sheets_for_tests import full_sheet

from diagramgen.drawing.scene import Group, Image, Role, Shape, Sheet, Text, Viewport, walk
from diagramgen.kernel.geometry import Arc, Box, Path, Point, Transform, circle, moved, polyline
from diagramgen.writers import canvas
from diagramgen.writers.pdf import pdf_bytes
from diagramgen.writers.svg import svg_bytes


class Recorder:
    """A canvas that only writes down what it is asked to do."""

    def __init__(self):
        self.calls = []

    def __getattr__(self, name):
        if name.startswith("_"):
            raise AttributeError(name)
        return lambda *args: self.calls.append((name, *args))


def recorded(sheet):
    recorder = Recorder()
    canvas.draw(sheet, recorder)
    return recorder.calls


def test_a_canvas_answers_eight_calls():
    calls = {name for name in vars(canvas.Canvas) if not name.startswith("_")}
    assert calls == {"open_group", "close_group", "path", "text", "image", "clip", "link", "anchor"}
    assert {name for name, *_ in recorded(full_sheet())} == calls


def test_the_paper_is_painted_first_and_groups_and_windows_close():
    calls = recorded(full_sheet())
    assert calls[0][0] == "path"
    assert calls[0][2].fill == "#ffffff"
    names = [name for name, *_ in calls]
    assert names.count("open_group") == names.count("close_group")
    windows = [args[0] for name, *args in calls if name == "clip"]
    assert sum(w is not None for w in windows) == sum(w is None for w in windows) == 2


def test_what_is_drawn_is_what_walk_measures():
    sheet = full_sheet()
    drawn = [args[0] for name, *args in recorded(sheet) if name == "text"]
    assert [t.at for t in drawn] == [m.at for m in walk(sheet) if isinstance(m, Text)]
    paths = [args[0] for name, *args in recorded(sheet) if name == "path"][1:]
    assert paths == [m.path for m in walk(sheet) if isinstance(m, Shape)]


def test_line_widths_and_dashes_follow_the_line_scale_and_text_does_not():
    line = Shape((polyline((Point(0, 0), Point(9, 0))),), Role.HIDDEN)
    word = Text("a", Point(1, 1), 2.5)
    plain = Sheet(10, 10, "", (line, word))
    scaled = Sheet(10, 10, "", (Viewport(Box(0, 0, 9, 9), Transform(), (line, word), 0.5),))
    (_, (_, _, a, _), (_, t1, _)) = recorded(plain)
    (_, _, (_, _, b, _), (_, t2, _), _) = recorded(scaled)
    assert b.width_mm == a.width_mm / 2
    assert b.dash == tuple(d / 2 for d in a.dash)
    assert t1.height == t2.height == 2.5


BAD = float("nan")


@pytest.mark.parametrize("writer", [svg_bytes, lambda s: pdf_bytes([s], "t")])
@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize(
    "marks",
    [
        lambda v: (Shape((polyline((Point(0, 0), Point(v, 1))),), Role.LEG, "lead:W1"),),
        lambda v: (Shape((Path(Point(0, 0), (Arc(Point(2, 0), Point(1, 0), v),)),), Role.LEG),),
        lambda v: (Text("a", Point(1, v), 2.5),),
        lambda v: (Text("a", Point(1, 1), v),),
        lambda v: (Text("a", Point(1, 1), 2.5, angle=v),),
        lambda v: (Image(b"", Box(0, 0, v, 1)),),
        lambda v: (Viewport(Box(0, 0, 1, v), Transform(), ()),),
        lambda v: (Viewport(Box(0, 0, 1, 1), moved(Point(v, 0)), ()),),
        lambda v: (Viewport(Box(0, 0, 1, 1), Transform(), (), v),),
    ],
)
def test_a_place_that_is_no_number_is_refused_by_both_writers(writer, value, marks):
    with pytest.raises(ValueError, match="finite"):
        writer(Sheet(100, 100, "t", marks(value)))


@pytest.mark.parametrize("size", [(0, 10), (10, -1), (float("nan"), 10)])
def test_a_sheet_without_area_is_refused(size):
    with pytest.raises(ValueError, match=r"area|finite"):
        recorded(Sheet(*size, "t", ()))


def test_numbers_are_short_and_never_minus_nothing():
    assert [canvas.number(v) for v in (1.0, 0.30000000000000004, -0.00001, 1234.56789, -2.5)] == [
        "1", "0.3", "0", "1234.5679", "-2.5",
    ]  # fmt: skip
    with pytest.raises(ValueError, match="not a length"):
        canvas.number(BAD)


def test_characters_no_file_may_hold_are_replaced():
    assert canvas.clean("a\x00b\ud800c\nd\te") == "a\ufffdb\ufffdc d e"
    sheet = Sheet(10, 10, "t\x01", (Group((Text("x\x0by", Point(1, 1), 2),), "s\x02", "alt\x03"),))
    import xml.etree.ElementTree as ET

    assert "x\ufffdy" in ET.fromstring(svg_bytes(sheet)).itertext()
    assert pdf_bytes([sheet], "t\x01")


@pytest.mark.parametrize("sweep", [0.3, -0.3, math.pi / 2, math.pi, -math.pi, 2 * math.pi, 5.5, -6.0])
def test_arcs_become_curves_and_parts_that_stay_on_the_circle(sweep):
    centre, radius = Point(3, 4), 10.0
    start = centre.towards(1.0, radius)
    arc = Arc(centre.towards(1.0 + sweep, radius), centre, sweep)
    curve = Path(start, tuple(canvas.arc_curves(start, arc)))
    assert all(abs(p.distance(centre) - radius) < 0.003 * radius / 10 for p in curve.flat(0.001))
    assert curve.end == arc.to
    assert curve.length() == pytest.approx(abs(sweep) * radius, rel=1e-3)
    parts = list(canvas.arc_parts(start, arc, 3.0))
    assert all(abs(part.sweep) <= 3.0 for part in parts)
    assert sum(part.sweep for part in parts) == pytest.approx(sweep)


def test_an_empty_circle_and_an_empty_text_do_no_harm():
    nothing = Shape((), Role.BODY)
    marks = (Shape((circle(Point(1, 1), 0.0),), Role.BODY), Text("  ", Point(1, 1), 2), nothing)
    sheet = Sheet(10, 10, "", marks)
    assert svg_bytes(sheet)
    assert svg_bytes(sheet, "outline")
    assert pdf_bytes([sheet], "")
