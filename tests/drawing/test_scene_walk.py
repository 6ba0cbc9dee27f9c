import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.drawing.scene import (
    Anchor,
    Group,
    Image,
    Link,
    Role,
    Shape,
    Sheet,
    Text,
    Viewport,
    walk,
    walk_placed,
)
from diagramgen.kernel.geometry import Box, Point, Transform, circle, mirrored, moved, polyline, scaled, turned

WINDOW = Box(0, 0, 100, 100)


def sheet(*marks):
    return Sheet(297, 210, "t", marks)


def seen(mark, place):
    (only,) = walk(sheet(Viewport(WINDOW, place, (mark,))))
    return only


def test_marks_on_the_sheet_are_left_as_they_are():
    marks = (Shape((circle(Point(1, 2), 3),), Role.BODY), Text("a", Point(1, 1), 2.5, angle=2.0))
    assert tuple(walk(sheet(*marks))) == marks


def test_a_viewport_maps_every_kind_of_mark_into_sheet_mm():
    place = scaled(2).then(moved(Point(10, 20)))
    assert seen(Shape((circle(Point(1, 1), 3),), Role.BODY), place).path[0].box() == pytest.approx(
        Box(6, 16, 18, 28), abs=0.06
    )
    assert seen(Text("a", Point(1, 1), 2.5), place).at == Point(12, 22)
    assert seen(Text("a", Point(1, 1), 2.5), place).height == 2.5
    assert seen(Image(b"", Box(0, 0, 1, 1)), place).box == Box(10, 20, 12, 22)
    assert seen(Link(Box(0, 0, 1, 1), "x"), place).box == Box(10, 20, 12, 22)
    assert seen(Anchor("x", Point(1, 1)), place).at == Point(12, 22)


def test_nested_viewports_compose_places_windows_and_line_scales():
    inner = Viewport(
        Box(0, 0, 30, 30), scaled(0.5), (Shape((polyline((Point(0, 0), Point(8, 0))),), Role.LEG),), 0.5
    )
    outer = Viewport(Box(5, 5, 40, 20), moved(Point(10, 0)), (inner,), 0.7)
    (placed,) = walk_placed(sheet(outer))
    assert placed.mark.path[0].end == Point(14, 0)
    assert placed.clip == Box(10, 5, 40, 20)
    assert placed.line_scale == pytest.approx(0.35)


def test_windows_that_do_not_meet_leave_an_empty_window():
    inner = Viewport(Box(50, 50, 60, 60), Transform(), (Anchor("a", Point(0, 0)),))
    (placed,) = walk_placed(sheet(Viewport(Box(0, 0, 10, 10), Transform(), (inner,))))
    assert placed.clip.width == 0
    assert placed.clip.height == 0


def test_a_mark_without_a_subject_takes_that_of_its_nearest_group():
    own = Text("a", Point(0, 0), 2, subject="lug:x")
    bare = Text("b", Point(0, 0), 2)
    group = Group((own, Group((bare,), "")), "part:neck")
    assert [p.subject for p in walk_placed(sheet(group))] == ["lug:x", "part:neck"]


def test_text_in_a_mirrored_view_keeps_its_place_and_reads_from_left_to_right():
    label = Text("Volume", Point(10, 20), 2.5, "start")
    got = seen(label, mirrored(50))
    assert got.angle == pytest.approx(0)
    assert got.box() == pytest.approx(Box(90 - label.box().width, label.box().top, 90, label.box().bottom))


def test_text_seen_upside_down_is_turned_and_stays_on_its_side_of_the_part():
    got = seen(Text("Volume", Point(10, 20), 2.5, "start"), turned(math.pi))
    assert got.angle == pytest.approx(0)
    assert got.anchor == "end"
    assert got.at == pytest.approx(Point(-10, -17.5))


@given(
    st.floats(-7, 7),
    st.floats(-7, 7),
    st.booleans(),
    st.sampled_from(["start", "middle", "end"]),
)
def test_mapped_text_is_upright_and_covers_the_place_the_model_gave_it(angle, turn, flip, anchor):
    place = (mirrored(3) if flip else Transform()).then(turned(turn)).then(moved(Point(5, 7)))
    text = Text("Tone 250 k", Point(11, 4), 2.5, anchor, angle)
    got = seen(text, place)
    assert -math.pi / 2 - 1e-5 <= got.angle <= math.pi / 2
    # the middle of the capitals' band falls where the transform sends it
    assert _band_middle(got) == pytest.approx(place(_band_middle(text)), abs=1e-6)


def _band_middle(text):
    share = {"start": 0.5, "middle": 0.0, "end": -0.5}[text.anchor]
    width = math.hypot(*_reading(text)) * share
    along = text.at.towards(text.angle, width)
    return along.towards(text.angle - math.pi / 2, text.height / 2)


def _reading(text):
    from diagramgen.lettering import text_width

    return text_width(text.text, text.height, text.bold), 0.0
