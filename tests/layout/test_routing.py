"""The lead router as a whole: what holds for every room."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot

from diagramgen.kernel.geometry import Arc, Point
from diagramgen.layout.routing import Effort, Net, Obstacle, Pin, Route, RoutingRegion, route

CAVITY = (Point(0, 0), Point(90, 0), Point(90, 30), Point(60, 36), Point(60, 60), Point(0, 60))


def square(x: float, y: float, half: float) -> tuple[Point, ...]:
    return (Point(x - half, y - half), Point(x + half, y - half), Point(x + half, y + half), Point(x - half, y + half))


def disc(x: float, y: float, radius: float) -> tuple[Point, ...]:
    return tuple(Point(x, y).towards(math.tau * k / 48, radius) for k in range(48))


def room_with(*lugs: Pin, runs: tuple[Net, ...], bodies: tuple[Obstacle, ...] = ()) -> RoutingRegion:
    return RoutingRegion(CAVITY, bodies, lugs, runs)


def line_of(laid: Route) -> LineString:
    return LineString(laid.path.flat(0.05))


def crossings(a: Route, b: Route) -> int:
    met = line_of(a).intersection(line_of(b))
    return sum(1 for g in getattr(met, "geoms", [met]) if not g.is_empty and g.geom_type == "Point")


@st.composite
def rooms(draw: st.DrawFn) -> RoutingRegion:
    """Lugs anywhere on the floor but not on top of each other or of the two bodies."""
    bodies = (Obstacle("part:pot", disc(30, 30, 9)), Obstacle("part:switch", square(72, 14, 5), draw(st.booleans())))
    spots = [(x, y) for x in range(6, 88, 8) for y in range(6, 56, 8)]
    free = Polygon(CAVITY).buffer(-3).difference(Spot(30, 30).buffer(13)).difference(Polygon(square(72, 14, 9)))
    spots = [s for s in spots if free.covers(Spot(s))]
    picked = draw(st.lists(st.sampled_from(spots), min_size=4, max_size=9, unique=True))
    ways = st.one_of(st.none(), st.sampled_from([0.0, 1.2, math.pi / 2, math.pi, -1.0]))
    lugs = tuple(Pin(f"lug:{i}", Point(*at), draw(ways)) for i, at in enumerate(picked))
    ends = st.integers(0, len(lugs) - 1)
    pairs = draw(st.lists(st.tuples(ends, ends).filter(lambda p: p[0] != p[1]), min_size=1, max_size=8, unique=True))
    return RoutingRegion(CAVITY, bodies, lugs, tuple(Net(f"lead:{i}", a, b) for i, (a, b) in enumerate(pairs)))


@settings(max_examples=25, deadline=None)
@given(rooms())
def test_every_lead_ends_on_its_lugs_and_stays_on_the_floor(room: RoutingRegion) -> None:
    laid = route(room)
    assert [r.subject for r in laid] == [r.subject for r in room.nets]
    inner = Polygon(room.outline).buffer(-room.clearance + 0.05, join_style="mitre")
    pot = Polygon(room.obstacles[0].outline).buffer(room.clearance - 0.06)
    for run, found in zip(room.nets, laid, strict=True):
        assert found.path.start == room.pins[run.start].at
        assert found.path.end == room.pins[run.end].at
        assert found.length == pytest.approx(found.path.length(), abs=2e-3)
        if not found.faults:
            assert inner.covers(line_of(found))
            assert not pot.intersects(line_of(found))


@settings(max_examples=6, deadline=None)
@given(rooms())
def test_the_same_room_gives_the_same_leads(room: RoutingRegion) -> None:
    assert route(room) == route(room)


@settings(max_examples=8, deadline=None)
@given(rooms())
def test_the_order_of_bodies_does_not_decide_what_is_legal(room: RoutingRegion) -> None:
    turned = replace(room, obstacles=room.obstacles[::-1])
    pot = Polygon(room.obstacles[0].outline).buffer(room.clearance - 0.06)
    for found in route(turned):
        assert found.faults or not pot.intersects(line_of(found))


def test_a_lead_with_a_free_way_is_one_straight_leg() -> None:
    room = room_with(Pin("a", Point(10, 10)), Pin("b", Point(50, 50)), runs=(Net("lead:1", 0, 1),))
    (found,) = route(room)
    assert len(found.path.pieces) == 1
    assert not found.faults


def test_a_lead_leaves_its_lug_along_the_lug() -> None:
    lugs = Pin("a", Point(20, 20), away=-math.pi / 2), Pin("b", Point(20, 50), away=math.pi / 2)
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),)))
    first, last = found.path.pieces[0].to, found.path.flat(0.05)[-2]
    assert line_of(found).length > 38
    assert lugs[0].at.angle_to(first) == pytest.approx(-math.pi / 2, abs=1e-6)
    assert lugs[1].at.angle_to(last) == pytest.approx(math.pi / 2, abs=1e-6)


def test_leads_keep_clear_of_foreign_lugs() -> None:
    lugs = [Pin("a", Point(10, 30)), Pin("b", Point(50, 30)), Pin("c", Point(30, 30.5))]
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),)))
    assert line_of(found).distance(Spot(30, 30.5)) >= 1.2 + 0.95 - 0.05
    assert not found.faults


def test_leads_of_one_bundle_lie_a_lane_apart() -> None:
    lugs = [Pin(f"a{i}", Point(6, 8 + 6 * i)) for i in range(4)]
    lugs += [Pin(f"b{i}", Point(54, 8 + 6 * i)) for i in range(4)]
    wall = Obstacle("part:wall", (Point(28, -5), Point(32, -5), Point(32, 40), Point(28, 40)))
    laid = route(room_with(*lugs, runs=tuple(Net(f"lead:{i}", i, 4 + i) for i in range(4)), bodies=(wall,)))
    for i, one in enumerate(laid):
        assert not one.faults
        for other in laid[i + 1 :]:
            assert crossings(one, other) == 0
            assert line_of(one).distance(line_of(other)) > 1.7


def test_leads_that_need_not_cross_do_not() -> None:
    lugs = [Pin("a", Point(8, 30)), Pin("b", Point(52, 30))]
    lugs += [Pin("c", Point(30, 12)), Pin("d", Point(30, 22))]
    laid = route(room_with(*lugs, runs=(Net("lead:1", 0, 1), Net("lead:2", 2, 3))))
    assert crossings(*laid) == 0


def test_corners_are_round() -> None:
    lugs = Pin("a", Point(10, 10)), Pin("b", Point(80, 20))
    wall = Obstacle("part:wall", square(45, 12, 11))
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=(wall,)))
    assert any(isinstance(p, Arc) for p in found.path.pieces)
    flat = found.path.flat(0.02)
    angles = [a.angle_to(b) for a, b in pairwise(flat)]
    turns = [abs(math.remainder(b - a, math.tau)) for a, b in pairwise(angles)]
    assert max(turns) < math.radians(30)


def test_a_walled_in_lug_is_reported_and_still_joined() -> None:
    ring = Polygon(square(30, 30, 12)).difference(Polygon(square(30, 30, 9)))
    half = Polygon(square(20, 30, 10))
    parts = [ring.intersection(half), ring.difference(half)]
    bodies = tuple(
        Obstacle(f"part:{i}", tuple(Point(*p) for p in shape.exterior.coords[:-1])) for i, shape in enumerate(parts)
    )
    lugs = Pin("a", Point(30, 30)), Pin("b", Point(80, 15))
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=bodies))
    assert "no way found, laid straight" in found.faults
    assert found.path.end == Point(80, 15)


def test_a_gap_narrower_than_the_clearance_is_used_but_named() -> None:
    left = Obstacle("part:left", (Point(-1, 28), Point(29, 28), Point(29, 32), Point(-1, 32)))
    right = Obstacle("part:right", (Point(31, 28), Point(91, 28), Point(91, 32), Point(31, 32)))
    lugs = Pin("a", Point(20, 10)), Pin("b", Point(40, 50))
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=(left, right)))
    assert any("part:left" in fault or "part:right" in fault for fault in found.faults)
    assert not any(line_of(found).crosses(Polygon(o.outline)) for o in (left, right))


def test_passable_bodies_are_passed_over_only_when_that_is_much_shorter() -> None:
    lugs = Pin("a", Point(8, 30)), Pin("b", Point(52, 30))
    low = Obstacle("part:low", (Point(28, 2), Point(32, 2), Point(32, 58), Point(28, 58)), passable=True)
    (over,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=(low,)))
    assert over.over == ("part:low",)
    small = Obstacle("part:small", square(30, 29, 3), passable=True)
    (around,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=(small,)))
    assert around.over == ()


def test_a_spot_on_a_case_is_reached_over_its_own_body_only() -> None:
    pots = Obstacle("part:one", disc(20, 30, 10)), Obstacle("part:two", disc(46, 30, 10))
    lugs = Pin("spot", Point(15, 30), body="part:one"), Pin("far", Point(75, 20))
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1),), bodies=pots))
    assert not found.faults
    assert line_of(found).distance(Polygon(pots[1].outline)) >= 1.4


def test_points_to_pass_are_passed() -> None:
    lugs = Pin("a", Point(10, 10)), Pin("b", Point(50, 10))
    (found,) = route(room_with(*lugs, runs=(Net("lead:1", 0, 1, waypoints=(Point(30, 40),)),)))
    assert line_of(found).distance(Spot(30, 40)) < 2.6


def test_lugs_behind_one_another_and_a_room_without_floor() -> None:
    lugs = Pin("a", Point(20, 20)), Pin("b", Point(20, 20)), Pin("c", Point(40, 20))
    laid = route(room_with(*lugs, runs=(Net("lead:1", 0, 1), Net("lead:2", 0, 2), Net("lead:3", 1, 2))))
    assert laid[0].length == 0
    assert laid[1].path.end == laid[2].path.end == Point(40, 20)
    tiny = RoutingRegion(square(10, 10, 1), (), lugs, (Net("lead:1", 0, 2),))
    assert route(tiny)[0].faults[0] == "no way found, laid straight"
    assert route(RoutingRegion((), (), (), ())) == ()


def test_two_hundred_leads_in_a_small_cavity_end_with_a_counted_effort() -> None:
    lugs = tuple(Pin(f"l{i}", Point(6 + 7 * (i % 7), 6 + 8 * (i // 7)), radius=0.5) for i in range(35))
    runs = tuple(Net(f"lead:{i}", i % 35, (i * 11 + 3 + i // 35) % 35) for i in range(200))
    small = RoutingRegion(CAVITY, (), lugs, runs)
    laid = route(small, Effort(expansions=150, passes=1, improvements=10))
    assert len(laid) == 200
    for run, found in zip(runs, laid, strict=True):
        assert found.path.end == lugs[run.end].at
