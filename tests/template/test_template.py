"""The drilling template: true sizes, true distances from a datum that is named, seen by the player."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from sampled import proof_of
from shapely import LineString
from shapely import box as shapely_box

from diagramgen.drawing.scene import Role, Shape, Text, walk
from diagramgen.drawing.view import from_the_player
from diagramgen.features.template.holes import fields
from diagramgen.features.template.sheet import running, spaced, template_sheets
from diagramgen.kernel.geometry import Point, box_around
from diagramgen.kernel.paper import PAPERS
from diagramgen.lettering import text_box
from diagramgen.sheets.context import context_of
from diagramgen.sheets.scale_marks import Correction

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def subject(name):
    return context_of(proof_of(name))


@cache
def found(name):
    return {f.region.name: f for f in fields(from_the_player(subject(name).layout))}


def sheets(name, paper="a4", **changes):
    return [make(1, 1) for make in template_sheets(replace(subject(name), **changes), PAPERS[paper])]


def words(made):
    return [m.text for sheet in made for m in walk(sheet) if isinstance(m, Text)]


def middles(field):
    return {h.part: field.distances(h) for h in field.holes if h.kind in ("hole", "slot")}


@pytest.mark.parametrize("name", ["two-pickups-toggle", "three-singles-lever", "baritone"])
def test_a_hole_is_as_far_from_the_datum_as_the_file_says_seen_from_the_front(name):
    """A file's places count from the outline's upper left on the solder side: right there is left from the front."""
    build = subject(name).layout.build
    for field in found(name).values():
        outline = field.region.cavity.outline.box()
        # A bore or a small rout has no edge a rule could be laid along: it counts from its middle.
        small = field.datum_says.startswith("its middle")
        zero = outline.centre if small else Point(outline.right, outline.bottom)
        assert small == (field.region.name in ("jack-bore", "toggle", "selector-bore"))
        for part, far in middles(field).items():
            at = build.parts[part].at
            assert far.x == pytest.approx(zero.x - at.x, abs=1e-6)
            assert far.y == pytest.approx(zero.y - at.y, abs=1e-6)


@pytest.mark.parametrize("name", ["two-pickups-toggle", "three-singles-lever", "baritone", "bass-active"])
def test_figures_on_paper_are_what_is_drawn_from_the_datum_to_the_middle_of_the_hole(name):
    """Every line of a running dimension ends on the middle of a hole or on the datum, and says how far that is."""
    for field in found(name).values():
        for mark, text in pairwise(running(field)):
            if not (isinstance(mark, Shape) and isinstance(text, Text)):
                continue
            start = mark.path[0].start
            far = start.x - field.datum.x if mark.subject.endswith("across") else field.datum.y - start.y
            assert float(text.text.replace("−", "-")) == pytest.approx(far, abs=0.006)
            level = (lambda p: p.x) if mark.subject.endswith("across") else (lambda p: p.y)
            middles_of = [h.at for h in field.holes if h.through]
            assert any(abs(level(p) - level(start)) < 0.06 for p in [*middles_of, field.datum])


@pytest.mark.parametrize("name", ["one-volume", "two-pickups-toggle", "three-singles-lever", "baritone", "bass-active"])
def test_no_line_runs_through_the_name_or_the_size_of_a_hole(name):
    """Centre lines reach into the white round a hole; its name stands beyond them."""
    marks = [m for sheet in sheets(name) for m in walk(sheet)]
    texts = [text_box(m.text, m.at, m.height, m.anchor, m.angle, m.bold) for m in marks
             if isinstance(m, Text) and m.role in (Role.NAME_TEXT, Role.DIMENSION_TEXT) and m.height == 2.5]
    assert texts
    for mark in marks:
        if isinstance(mark, Shape) and mark.role in (Role.CENTRE, Role.DIMENSION) and mark.subject:
            for path in mark.path:
                line = LineString(path.flat())
                for box in texts:
                    inner = shapely_box(box.left + 0.2, box.top + 0.2, box.right - 0.2, box.bottom - 0.6)
                    assert not line.intersects(inner), (mark.subject, box)


def test_a_plan_made_for_the_other_hand_is_mirrored_twice_and_reads_as_written():
    build, field = subject("left-handed").layout.build, found("left-handed")["cavity"]
    box = build.cavities["cavity"].outline.box()
    for part, far in middles(field).items():
        assert far == pytest.approx((build.parts[part].at.x, box.bottom - build.parts[part].at.y))


def test_holes_in_the_top_count_from_the_hole_at_the_lower_left():
    field = found("holes-in-top")["top"]
    assert "lower left, tone" in field.datum_says
    places = subject("holes-in-top").layout.build.parts
    zero = places["tone"].at
    for part, far in middles(field).items():
        assert far == pytest.approx((zero.x - places[part].at.x, zero.y - places[part].at.y))


def test_holes_are_drawn_at_the_size_of_the_part():
    for name in ("three-singles-lever", "baritone"):
        layout = subject(name).layout
        drawn = [m for sheet in sheets(name) for m in walk(sheet) if isinstance(m, Shape) and m.role == Role.HOLE]
        for part in ("volume",):
            ring = next(m for m in drawn if m.subject == f"hole:{part}").path[0]
            box = box_around(ring.flat(0.0005))
            assert box.width == pytest.approx(layout.parts[part].shape.hole, abs=1e-3)
            assert box.height == pytest.approx(layout.parts[part].shape.hole, abs=1e-3)
    slot = found("three-singles-lever")["cavity"]
    shape = subject("three-singles-lever").layout.parts["lever"].shape
    (cut,) = (h for h in slot.holes if h.kind == "slot")
    assert (cut.outline.box().width, cut.outline.box().height) == pytest.approx(shape.slot, abs=0.01)
    screws = [h for h in slot.holes if h.kind == "screw"]
    assert [h.outline.box().width for h in screws] == pytest.approx([shape.screw_hole] * 2)
    assert abs(screws[0].at.x - screws[1].at.x) == pytest.approx(abs(shape.screws[0].x - shape.screws[1].x))


def test_sizes_and_distances_stand_in_the_table():
    text = words(sheets("two-pickups-toggle"))
    assert "⌀ 9.7" in text
    for figure in ("94", "32", "80", "24"):
        assert figure in text
    assert any("0: lower left" in w for w in text)


def test_a_pin_is_never_a_hole_through_the_face():
    pins = [h for f in found("one-volume").values() for h in f.holes if h.kind == "pin"]
    assert pins
    assert not any(p.through for p in pins)
    made = sheets("one-volume")
    through = [m.path[0].box().centre for s in made for m in walk(s) if isinstance(m, Shape) and m.role == Role.HOLE]
    assert len(through) == 1
    assert any("only from inside" in w for w in words(made))


def test_what_is_screwed_down_inside_is_not_drilled_through_the_face():
    drilled = {h.part for f in found("bass-active").values() for h in f.holes}
    assert drilled == {"blend", "volume", "tone"}


def test_a_part_whose_place_nobody_measured_is_named_and_not_drilled():
    layout = subject("two-pickups-toggle").layout
    parts = {**layout.parts, "neck-tone": replace(layout.parts["neck-tone"], automatic=True)}
    made = sheets("two-pickups-toggle", layout=replace(layout, parts=parts))
    assert not [m for s in made for m in walk(s) if isinstance(m, Shape) and m.subject == "hole:neck-tone"]
    assert any("nobody measured" in w and "neck-tone" in w for w in words(made))


def test_the_neck_arrow_and_the_stamp_are_the_player_s():
    text = words(sheets("one-volume"))
    assert "DRILLING TEMPLATE, PLAYER'S FACE, FULL SIZE" in " ".join(text)


def test_a_field_larger_than_the_paper_comes_in_pieces_that_name_their_neighbours():
    made = sheets("three-singles-lever", "a5")
    text = words(made)
    assert {"piece A1", "piece B1"} <= set(text)
    assert "joins B1" in text


def test_the_template_is_corrected_for_the_printer():
    plain = sheets("two-pickups-toggle")
    made = sheets("two-pickups-toggle", correction=Correction(98.0, 99.0))

    def hole(found, part):
        return next(m for s in found for m in walk(s) if isinstance(m, Shape) and m.role == Role.HOLE
                    and m.subject == f"hole:{part}").path[0].box().centre

    a, b = "neck-tone", "bridge-volume"
    assert hole(made, b).x - hole(made, a).x == pytest.approx((hole(plain, b).x - hole(plain, a).x) / 0.98, abs=1e-3)
    assert hole(made, b).y - hole(made, a).y == pytest.approx((hole(plain, b).y - hole(plain, a).y) / 0.99, abs=1e-3)


def test_figures_that_would_touch_are_moved_apart_in_their_order_and_no_more_than_needed():
    assert spaced([0, 10, 20], 3) == [0, 10, 20]
    assert spaced([5, 5, 5], 3) == pytest.approx([2, 5, 8])
    placed = spaced([0, 1, 1.5, 9], 3)
    assert all(b - a >= 3 - 1e-9 for a, b in pairwise(placed))
