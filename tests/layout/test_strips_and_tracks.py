"""Strips between two cavities: short, few bends, clear of others, their tracks side by side round every bend.

The prices of bends and of floor taken are the program's own; lengths and places are worked out by hand.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from bench import box as rounded
from bench import build, cavity, channel, flipped, outline, part, several
from shapely.geometry import LineString, box

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Arc, Point, Transform
from diagramgen.layout.boundary import Opening
from diagramgen.layout.global_routing.global_route import home_regions
from diagramgen.layout.placement.arrange_cavities import arrange
from diagramgen.layout.placement.cavity_sites import Site, make_sites, real_direction
from diagramgen.layout.placement.place_parts import polygon
from diagramgen.layout.placement.strips import channel_strip, track_path
from diagramgen.model.build import Build

HALF = math.pi / 2


def mouth(x: float, y: float, outward: float) -> Opening:
    return Opening(Point(x, y), math.remainder(outward + math.pi, math.tau), 0.0)


RIGHT, UP, DOWN, LEFT = 0.0, -HALF, HALF, math.pi


def test_between_facing_mouths_a_strip_is_straight_and_costs_its_length() -> None:
    assert channel_strip(mouth(0, 0, RIGHT), mouth(20, 0, LEFT), 4, []) == ((Point(0, 0), Point(20, 0)), 20.0)
    line, price = channel_strip(mouth(0, 0, RIGHT), mouth(20, 4, LEFT), 4, [])
    assert line == (Point(0, 0), Point(20, 4))
    assert price == pytest.approx(math.hypot(20, 4), abs=1e-3)


def test_a_strip_round_a_corner_cuts_it_and_pays_for_its_bends() -> None:
    line, price = channel_strip(mouth(0, 0, RIGHT), mouth(30, 30, UP), 4, [])
    assert line == (Point(0, 0), Point(9, 0), Point(30, 21), Point(30, 30))
    assert price == pytest.approx(18 + 21 * math.sqrt(2) + 12 * HALF, abs=1e-3)
    other, same = channel_strip(mouth(30, 30, UP), mouth(0, 0, RIGHT), 4, [])
    assert other == line[::-1]
    assert same == price


def test_a_strip_between_mouths_that_do_not_face_each_other_leaves_both_square() -> None:
    line, _ = channel_strip(mouth(0, 0, RIGHT), mouth(40, 25, LEFT), 6, [])
    assert len(line) == 4
    assert line[0].angle_to(line[1]) == pytest.approx(0)
    assert line[-2].angle_to(line[-1]) == pytest.approx(0)
    assert line[0].distance(line[1]) >= 6 / 2 + 1
    back, _ = channel_strip(mouth(0, 0, RIGHT), mouth(0, 40, RIGHT), 6, [])
    assert back[0].angle_to(back[1]) == pytest.approx(0)
    assert back[-2].angle_to(back[-1]) == pytest.approx(math.pi)
    turns = [b.angle_to(c) - a.angle_to(b) for a, b, c in zip(back, back[1:], back[2:], strict=False)]
    assert all(abs(math.remainder(t, math.tau)) < math.radians(135) for t in turns)


def test_no_bend_stands_nearer_to_a_mouth_than_half_the_strip() -> None:
    for width in (4.0, 12.0, 30.0):
        line, _ = channel_strip(mouth(0, 0, RIGHT), mouth(60, 45, UP), width, [])
        assert min(a.distance(b) for a, b in pairwise(line)) >= width / 2 + 1


def test_a_strip_goes_round_what_stands_in_its_way() -> None:
    block = box(10, 6, 24, 22)
    line, price = channel_strip(mouth(0, 0, RIGHT), mouth(30, 30, UP), 4, [block])
    assert LineString(line).buffer(3, cap_style="flat").intersection(block).area <= 0.5
    assert line[0] == Point(0, 0)
    assert line[-1] == Point(30, 30)
    assert line == (Point(0, 0), Point(30, 0), Point(30, 30))
    assert price == pytest.approx(60 + 12 * HALF, abs=1e-3)
    beside = box(10, 3.1, 20, 20)
    assert channel_strip(mouth(0, 0, RIGHT), mouth(30, 0, LEFT), 4, [beside])[0] == (Point(0, 0), Point(30, 0))


def test_where_there_is_no_way_round_a_strip_takes_the_floor_and_pays_for_it() -> None:
    wall = box(10, -500, 15, 500)
    line, price = channel_strip(mouth(0, 0, RIGHT), mouth(30, 0, LEFT), 4, [wall])
    assert line == (Point(0, 0), Point(30, 0))
    assert price == pytest.approx(30 + 50 * 5 * 6, abs=1e-3)


def legs(points: list[Point]) -> list[LineString]:
    return [LineString([a, b]) for a, b in pairwise(points)]


@pytest.mark.parametrize("side", [1, -1])
def test_tracks_of_a_bent_strip_are_concentric(side: int) -> None:
    line = [Point(0, 0), Point(40, 0), Point(40, 40 * side)]
    found = {o: track_path(line, o, Point(0, o), Point(40 - o * side, 40 * side)) for o in (-4.0, -2.0, 0.0, 2.0, 4.0)}
    centres, radii = [], {}
    for offset, path in found.items():
        (arc,) = (p for p in path.pieces if isinstance(p, Arc))
        centres.append(arc.centre)
        radii[offset] = arc.centre.distance(arc.to)
        assert path.start == Point(0, offset)
        assert path.end == Point(40 - offset * side, 40 * side)
    for centre in centres:
        assert centre.distance(centres[0]) < 1e-3
    for offset, radius in radii.items():
        assert radius == pytest.approx(7 - offset * side, abs=1e-3)
    lines = [LineString(path.flat(0.005)) for path in found.values()]
    for a, b in pairwise(lines):
        assert a.distance(b) == pytest.approx(2, abs=0.02)
        assert a.hausdorff_distance(b) == pytest.approx(2, abs=0.9)


def test_tracks_keep_their_offset_on_every_leg_of_a_stepped_strip() -> None:
    line = [Point(0, 0), Point(30, 0), Point(30, 40), Point(70, 40)]
    path = LineString(track_path(line, 3.0, Point(0, 3), Point(70, 43)).flat(0.01))
    for x, y in ((5, 3), (27, 20), (27, 30), (60, 43)):  # to the right of the course on each leg
        assert path.distance(LineString([(x, y), (x, y + 1e-9)])) < 1e-3
    middle = LineString(line)
    assert path.hausdorff_distance(middle) < 6


def test_a_track_of_a_straight_strip_goes_from_slot_to_slot() -> None:
    path = track_path([Point(0, 0), Point(20, 0)], 2.0, Point(0, 2), Point(20, 2.5))
    assert path.flat() == (Point(0, 2), Point(20, 2.5))


def test_a_sharp_bend_is_never_tighter_than_a_millimetre_and_a_half() -> None:
    line = [Point(0, 0), Point(40, 0), Point(40, 40)]
    (arc,) = (p for p in track_path(line, 9.0, Point(0, 9), Point(31, 40)).pieces if isinstance(p, Arc))
    assert arc.centre.distance(arc.to) == pytest.approx(1.5, abs=1e-6)


def sites(made: Build) -> dict[str, Site]:
    return make_sites(made, home_regions(made), Diagnostics())


def test_the_direction_from_one_cavity_to_another_is_that_of_their_middles() -> None:
    made = several()
    at = sites(made)  # middles at 47.5 42.5, -72 -65 and 145 75
    for name, x, y in (("upper", -72 - 47.5, -65 - 42.5), ("bore", 145 - 47.5, 75 - 42.5)):
        way = real_direction(made, at["controls"], at[name])
        assert way is not None
        assert abs(math.remainder(way - math.atan2(y, x), math.tau)) < 1e-9
        left = real_direction(flipped(made), *(sites(flipped(made))[n] for n in ("controls", name)))
        assert left is not None
        assert abs(math.remainder(left - math.atan2(y, -x), math.tau)) < 1e-9
    assert real_direction(made, at["upper"], at["upper"]) is None
    plain = build([], "", [cavity("one", rounded(40, 30), at=(0, 0)), cavity("two", rounded(40, 30))])
    assert real_direction(plain, *sites(plain).values()) is None
    assert real_direction(plain, *reversed(sites(plain).values())) is None
    board = Site("board", None, Transform(), rounded(40, 30), {})
    assert real_direction(made, board, at["upper"]) is None
    assert real_direction(made, at["upper"], board) is None


def around(*points: tuple[float, float], mouths: tuple[tuple[float, float], ...] = ()) -> tuple[float, ...]:
    """The box of the floor drawn for pots at some places in a cavity without an outline."""
    parts = [part(f"p{i}", "pot-24", p) for i, p in enumerate(points)]
    channels = [channel(f"c{i}", p) for i, p in enumerate(mouths)]
    return tuple(sites(build(parts, "", [cavity()], channels))["controls"].box)


def test_a_cavity_without_an_outline_is_drawn_around_its_parts() -> None:
    pot = (-12.0, -12.0, 12.0, 17.0 + 1.0)
    one = around((0, 0))
    assert one[:3] == pytest.approx((pot[0] - 13, pot[1] - 13, pot[2] + 13))
    assert one[3] == pytest.approx(18.2 + 13, abs=1.3)
    two = around((0, 0), (60, 40))
    assert two == pytest.approx((one[0], one[1], one[2] + 60, one[3] + 40))
    assert around((0, 0), mouths=((300, 0),)) == pytest.approx(one)  # its mouths come to the wall drawn


def test_a_cavity_with_neither_outline_nor_parts_is_drawn_around_its_mouths() -> None:
    assert around(mouths=((10, 0), (70, 50))) == pytest.approx((10, 0, 70, 50))
    assert around(mouths=((10, 0), (70, 5))) == pytest.approx((-5, -15, 85, 20))
    assert around() == pytest.approx((0, 0, 60, 40))


@pytest.mark.parametrize(("hole", "diameter"), [(24, 8), (26, 8), (28, 11), (30, 8)])
def test_stalls_keep_two_millimetres_from_the_strips_between_cavities(hole: float, diameter: float) -> None:
    cavities = [cavity(outline=outline((0, 0), (90, 0), (90, 60), (0, 60)), at=(0, 0)),
                cavity("bore", outline((0, 0), (30, 0), (30, 30), (0, 30)), at=(120, -90))]
    ways = [channel("way", (90, 12), to="bore", far=(15, 30), diameter=diameter), channel("hole", (90, hole))]
    plan = arrange(build([part("jack", "jack-mono-open", through="hole")], "", cavities, ways), Diagnostics())
    strips = LineString(plan.strips["way"]).buffer(plan.widths["way"] / 2, cap_style="flat")
    stall = polygon(plan.regions["stall hole"].outline)
    assert stall.distance(strips) >= 2.0
    for name in ("controls", "bore"):
        assert polygon(plan.regions[name].outline).intersection(stall).area < 1.0
