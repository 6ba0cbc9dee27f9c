"""Outlines of cavities: path data and SVG files against shapes worked out by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reading import codes, good

from diagramgen.kernel.geometry import Arc, Point, area, box_around
from diagramgen.reader.svg_outline import BadSvg, read_svg
from diagramgen.reader.svg_path import BadPath, read_path


def box_of(text: str) -> tuple[float, ...]:
    return tuple(round(v, 3) for v in box_around(read_path(text).flat(0.001)))


@pytest.mark.parametrize("text", [
    "M 0 0 H 92 V 62 H 0 Z", "m0,0 92,0 0,62 -92,0z", "M0 0L92 0L92 62L0 62L0 0", "M0 0 92 0 92 62 0 62Z",
    "M0 0h92v62h-92z", "M0 0l92 0 0 62-92 0z", "M 0e0 0 H 9.2e1 V62 H.0 Z",
])
def test_the_same_rectangle_however_it_is_written(text: str) -> None:
    path = read_path(text)
    assert box_of(text) == (0, 0, 92, 62)
    assert abs(area(path.flat())) == pytest.approx(92 * 62)


def test_arc_flags_may_stand_against_the_next_number() -> None:
    """SVG 1.1, 8.3.9: a flag is one digit and needs no blank behind it."""
    assert box_of("M0 10A10 10 0 0110 0H80V50H0Z") == (0, 0, 80, 50)
    assert read_path("M0 10A10 10 0 0110 0H80V50H0Z") == read_path("M 0 10 A 10 10 0 0 1 10 0 H 80 V 50 H 0 Z")


def test_a_circle_of_two_arcs_has_the_area_of_a_circle() -> None:
    path = read_path("M 0 30 A 30 30 0 0 1 60 30 A 30 30 0 0 1 0 30 Z")
    assert all(isinstance(p, Arc) for p in path.pieces)
    assert abs(area(path.flat(0.001))) == pytest.approx(math.pi * 900, rel=1e-3)


def test_an_ellipse_of_two_arcs_has_the_area_of_an_ellipse() -> None:
    path = read_path("M 0 20 A 40 20 0 0 1 80 20 A 40 20 0 0 1 0 20 Z")
    assert abs(area(path.flat(0.001))) == pytest.approx(math.pi * 40 * 20, rel=1e-3)


def test_a_quadratic_curve_encloses_two_thirds_of_its_box() -> None:
    """Archimedes: the segment of a parabola is 4/3 of its triangle, here 2/3 of base times height."""
    path = read_path("M 0 0 Q 30 60 60 0 Z")
    assert abs(area(path.flat(0.0005))) == pytest.approx(60 * 30 * 2 / 3, rel=1e-3)


def test_smooth_curves_mirror_the_last_handle_and_only_one_of_their_own_kind() -> None:
    assert read_path("M0 0C0 10 10 20 20 20S40 10 40 0Z") == read_path("M0 0C0 10 10 20 20 20C30 20 40 10 40 0Z")
    assert read_path("M0 0Q10 20 20 0T40 0V-9Z") == read_path("M0 0Q10 20 20 0Q30 -20 40 0V-9Z")
    assert read_path("M0 0Q10 20 20 0S30 9 40 0V-9Z") == read_path("M0 0Q10 20 20 0C20 0 30 9 40 0V-9Z")


@pytest.mark.parametrize("text", ["", "10 10", "L 0 0", "M", "M 0", "M0 0H9", "M0 0H9V9Z L 3 3", "M0 0X9",
                                  "M0 0H9V9ZM1 1H2V2Z", "M0 0A9 9 0 2 1 9 9Z", "M0 0H1e9V9Z", "M0 0 H nan Z"])
def test_what_is_no_single_closed_outline_is_refused(text: str) -> None:
    with pytest.raises(BadPath):
        read_path(text)


@given(st.text(alphabet="MLHVCSQTAZmlhvcsqtaz0123456789.,-+e ", max_size=60))
def test_any_path_text_is_read_or_refused(text: str) -> None:
    try:
        path = read_path(text)
    except BadPath:
        return
    assert path.closed
    assert all(math.isfinite(v) for p in path.pieces for v in p.to)


SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">{}</svg>'


@pytest.mark.parametrize("shape", [
    '<rect x="10" y="20" width="92" height="62"/>',
    '<polygon points="10,20 102,20 102,82 10,82"/>',
    '<path d="M10 20h92v62h-92z"/>',
    '<g transform="translate(10 20)"><path d="M0 0h92v62h-92z"/></g>',
    '<g transform="translate(10,20) scale(2)"><rect width="46" height="31" transform="scale(1 1)"/></g>',
    '<rect width="62" height="92" transform="matrix(0 1 -1 0 102 20)"/>',
    '<defs><rect width="5" height="5"/></defs><polyline points="10,20 102,20 102,82 10,82 10,20"/>',
])
def test_the_same_rectangle_from_any_svg_shape(shape: str) -> None:
    box = box_around(read_svg(SVG.format(shape)).flat())
    assert tuple(round(v, 6) for v in box) in ((10, 20, 102, 82), (10, 20, 102, 112))


def test_a_circle_squeezed_by_a_transform_becomes_an_ellipse() -> None:
    path = read_svg(SVG.format('<circle cx="0" cy="0" r="10" transform="scale(4 2)"/>'))
    assert abs(area(path.flat(0.001))) == pytest.approx(math.pi * 40 * 20, rel=1e-3)


def test_the_element_with_the_given_id_is_taken() -> None:
    two = '<rect id="a" width="20" height="20"/><rect id="b" width="50" height="20"/>'
    assert box_around(read_svg(SVG.format(two), "b").flat()).width == 50
    assert box_around(read_svg(SVG.format(two)).flat()).width == 20


@pytest.mark.parametrize(("text", "code"), [
    ("<svg><a href='other.svg'/></svg>", "INP-033"),
    ("<svg><path style='fill: url(http://example.org/a)'/></svg>", "INP-033"),
    ("<?xml-stylesheet href='a.css'?><svg/>", "INP-033"),
    ("<svg><image/></svg>", "INP-035"),
    ("<svg ONCLICK='x'/>", "INP-034"),
    ("<svg>" + "<g>" * 100, "INP-030"),
    ("<!DOCTYPE svg><svg/>", "INP-031"),
    ("<svg><foreignObject/></svg>", "INP-032"),
    ("<svg><path transform='spin(4)' d='M0 0H9V9Z'/></svg>", "INP-030"),
])
def test_what_an_outline_file_may_not_hold_is_refused(text: str, code: str) -> None:
    with pytest.raises(BadSvg) as fault:
        read_svg(text)
    assert fault.value.code.id == code


def test_a_gradient_inside_the_file_does_no_harm() -> None:
    text = SVG.format('<linearGradient id="g"/><rect width="92" height="62" style="fill: url(#g)"/>')
    assert box_around(read_svg(text).flat()).width == 92


def test_an_svg_outline_takes_its_size_from_the_build(tmp_path: Path) -> None:
    (tmp_path / "cavity.svg").write_text(SVG.format('<rect x="10" y="20" width="46" height="31"/>'))
    text = "format: 1\ncavity: {{shape: {{svg: cavity.svg, {}}}}}\n"
    by_width = good(text.format("width: 92"), tmp_path).cavities["cavity"].outline
    by_scale = good(text.format("scale: 2"), tmp_path).cavities["cavity"].outline
    assert by_width is not None
    assert by_scale is not None
    assert tuple(by_width.box()) == pytest.approx((20, 40, 112, 102))
    assert tuple(by_scale.box()) == pytest.approx((20, 40, 112, 102))


def test_every_outline_runs_clockwise_as_seen() -> None:
    for points in ("[[0, 0], [92, 0], [92, 62], [0, 62]]", "[[0, 0], [0, 62], [92, 62], [92, 0]]"):
        outline = good(f"format: 1\ncavity: {{shape: {{polygon: {points}}}}}\n").cavities["cavity"].outline
        assert outline is not None
        assert area(outline.flat()) == pytest.approx(92 * 62)


def test_a_rounded_outline_starts_at_the_upper_left_of_its_box() -> None:
    outline = good("format: 1\ncavity: {shape: {rounded: [124, 74], corner: 12}}\n").cavities["cavity"].outline
    assert outline is not None
    assert tuple(outline.box()) == pytest.approx((0, 0, 124, 74))
    assert outline.start == Point(12, 0)


def test_an_outline_that_touches_itself_in_one_point_is_refused() -> None:
    text = "format: 1\ncavity: {shape: {polygon: [[0, 0], [50, 0], [50, 50], [25, 0], [0, 50]]}}\n"
    assert codes(text) == ["INP-039"]
