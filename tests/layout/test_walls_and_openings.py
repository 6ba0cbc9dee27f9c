"""Walls walked by length, mouths on them, and the places of leads in a mouth; all values worked out by hand."""

from __future__ import annotations

import math

import pytest
from bench import box, outline

from diagramgen.kernel.geometry import Point
from diagramgen.layout.boundary import Opening, Wall

HALF = math.pi / 2
FLAT = Wall(outline((0, 0), (40, 0), (40, 20), (0, 20)))
NOTCHED = Wall(outline((0, 0), (20, 0), (20, 10), (30, 10), (30, 0), (50, 0), (50, 30), (0, 30)))
"""A notch from above between x = 20 and x = 30."""


def near(one: Point, x: float, y: float) -> bool:
    return one.distance(Point(x, y)) < 2e-4


@pytest.mark.parametrize(("along", "x", "y", "way"), [
    (0, 0, 0, 0), (10, 10, 0, 0), (40, 40, 0, 0), (50, 40, 10, HALF), (70, 30, 20, math.pi), (110, 0, 10, -HALF),
    (130, 10, 0, 0), (-10, 0, 10, -HALF), (-80, 40, 0, 0),
])  # fmt: skip
def test_a_wall_is_walked_clockwise_and_round_again(along: float, x: float, y: float, way: float) -> None:
    at, direction = FLAT.at(along)
    assert near(at, x, y)
    assert abs(math.remainder(direction - way, math.tau)) < 1e-9
    assert FLAT.length == 120


def test_a_wall_given_the_other_way_round_is_walked_clockwise_all_the_same() -> None:
    turned = Wall(outline((0, 20), (40, 20), (40, 0), (0, 0)))
    for x, y in ((15, 0), (40, 5), (22, 20), (0, 7)):
        at, way = turned.at(turned.nearest(Point(x, y)))
        same, direction = FLAT.at(FLAT.nearest(Point(x, y)))
        assert near(at, same.x, same.y)
        assert abs(math.remainder(way - direction, math.tau)) < 1e-9


@pytest.mark.parametrize(("x", "y", "along"), [
    (10, -3, 10), (50, -5, 40), (45, 10, 50), (38, 19, 62), (10, 26, 90), (-2, 15, 105), (-4, -4, 0), (12, 6, 12),
])  # fmt: skip
def test_the_nearest_place_of_a_wall(x: float, y: float, along: float) -> None:
    assert FLAT.nearest(Point(x, y)) == pytest.approx(along)


@pytest.mark.parametrize(("degrees", "along"), [(0, 50), (90, 90), (180, 110), (-90, 10), (45, 80), (-135, 0)])
def test_where_a_ray_from_inside_meets_the_wall(degrees: float, along: float) -> None:
    found = FLAT.hit(Point(10, 10), math.radians(degrees))
    assert found is not None
    assert math.remainder(found - along, 120) == pytest.approx(0, abs=1e-9)


def test_a_ray_is_followed_to_where_it_leaves_for_good() -> None:
    assert NOTCHED.hit(Point(10, 5), 0.0) == pytest.approx(20 + 10 + 10 + 10 + 20 + 5)  # past the notch, to x = 50
    assert NOTCHED.hit(Point(10, 20), 0.0) == pytest.approx(70 + 20)
    assert FLAT.hit(Point(60, 10), 0.0) is None


def test_a_mouth_lies_on_the_wall_and_looks_inwards() -> None:
    for x, y, centre, inward in ((-3, 10, (0, 10), 0.0), (20, -1, (20, 0), HALF), (43, 8, (40, 8), math.pi),
                                 (25, 21, (25, 20), -HALF)):
        mouth = FLAT.opening_near(Point(x, y), 8)
        assert near(mouth.centre, *centre)
        assert abs(math.remainder(mouth.inward - inward, math.tau)) < 1e-9
        assert abs(math.remainder(mouth.outward - inward - math.pi, math.tau)) < 1e-9
        assert near(FLAT.at(mouth.along)[0], *centre)


def test_a_mouth_in_a_corner_is_slid_until_all_of_it_lies_on_one_flat_stretch() -> None:
    slid = FLAT.opening_at(38, 8)  # from 34 to 42, round the corner at 40
    assert slid.along == pytest.approx(36)
    assert near(slid.centre, 36, 0)
    assert slid.inward == pytest.approx(HALF)
    beyond = FLAT.opening_at(43, 8)
    assert beyond.along == pytest.approx(44.5)  # the corner itself still walks along the first stretch
    assert beyond.inward == pytest.approx(math.pi)


def test_a_wide_mouth_is_slid_by_as_much_as_it_is_wide_at_most() -> None:
    small = Wall(outline((0, 0), (12, 0), (12, 12), (0, 12)))
    for along in range(0, 48, 3):
        found = small.opening_at(along, 10).along
        assert abs(math.remainder(found - along, 48)) <= 10
        assert 5 <= found % 12 <= 7


def test_a_mouth_is_left_where_the_wall_turns_little_and_looks_along_the_mean() -> None:
    rise = 40 * math.tan(math.radians(10))
    gentle = Wall(outline((0, 0), (40, 0), (80, rise), (80, 60), (0, 60)))
    mouth = gentle.opening_at(40, 10)
    assert mouth.along == 40
    assert math.degrees(mouth.inward) == pytest.approx(95)  # midway between 90 and 100


def test_leads_in_a_mouth_stand_along_the_wall_and_round_its_corner() -> None:
    mouth = FLAT.opening_at(50, 8)
    assert FLAT.points_at(mouth, [-3, 0, 4]) == [Point(40, 7), Point(40, 10), Point(40, 14)]
    assert FLAT.points_at(mouth, [13]) == [Point(37, 20)]
    assert FLAT.points_at(FLAT.opening_at(4, 6), [-7]) == [Point(0, 3)]


def test_a_mouth_of_a_moved_wall_keeps_its_direction() -> None:
    mouth = FLAT.opening_at(50, 8).moved(Point(3.00001, -4))
    assert mouth == Opening(Point(43, 6), mouth.inward, 50)
    assert mouth.inward == FLAT.opening_at(50, 8).inward


def test_a_round_wall_is_as_long_as_its_arcs() -> None:
    wall = Wall(box(40, 30, 10))
    assert wall.length == pytest.approx(2 * (20 + 10) + 2 * math.pi * 10, abs=0.1)
    mouth = wall.opening_near(Point(41, 15), 6)
    assert near(mouth.centre, 40, 15)
    assert abs(math.remainder(mouth.inward - math.pi, math.tau)) < 1e-6
