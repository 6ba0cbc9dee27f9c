"""Rooms in which there is no good way: the best drawing there is, its faults named, with a counted effort."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely
from shapely.geometry import LineString, Polygon

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing import Effort, Net, Obstacle, Pin, Route, RoutingRegion
from diagramgen.layout.routing.cost_map import mesh_region
from diagramgen.layout.routing.router import RoutingResult, route_counted

SMALL = (Point(0, 0), Point(60, 0), Point(60, 44), Point(0, 44))
EFFORT = Effort(expansions=5_000, total=12_000, improvements=60)


def square(x: float, y: float, half: float) -> tuple[Point, ...]:
    return Point(x - half, y - half), Point(x + half, y - half), Point(x + half, y + half), Point(x - half, y + half)


def line_of(found: Route) -> LineString:
    return LineString(found.path.flat(0.05))


def bound(room: RoutingRegion, effort: Effort) -> int:
    """The most nodes that a room may cost by what the effort promises."""
    floor = mesh_region(room)
    if floor is None:
        return 0
    alone = 2 * len(floor.mesh.ends) + len(floor.mesh.corners)
    return effort.total + alone * sum(1 + len(run.waypoints) for run in room.nets)


def laid_whole(room: RoutingRegion, effort: Effort = EFFORT) -> RoutingResult:
    """The room laid; every lead is there, from its one lug to its other, for no more than was promised."""
    laid = route_counted(room, effort)
    assert [found.subject for found in laid.routes] == [run.subject for run in room.nets]
    for run, found in zip(room.nets, laid.routes, strict=True):
        assert found.path.start == room.pins[run.start].at
        assert found.path.end == room.pins[run.end].at
    assert laid.expanded <= bound(room, effort)
    return laid


def crowd(leads: int) -> RoutingRegion:
    lugs = tuple(Pin(f"lug:{i}", Point(5 + 8 * (i % 7), 5 + 8 * (i // 7)), radius=0.5) for i in range(35))
    pairs = list(combinations(range(35), 2))
    runs = tuple(Net(f"lead:{k}", *pairs[(k * 17) % len(pairs)]) for k in range(leads))
    return RoutingRegion(SMALL, (Obstacle("part:block", square(33, 20, 1.5)),), lugs, runs)


def test_two_hundred_leads_in_a_small_cavity_are_all_there_and_those_too_near_are_named() -> None:
    room = crowd(200)
    laid = laid_whole(room)
    assert laid.expanded > EFFORT.total / 2  # the bound is what ends it
    block, wall = Polygon(room.obstacles[0].outline), Polygon(room.outline).exterior
    for found in laid.routes:
        line = line_of(found)
        assert found.faults or (line.distance(block) >= room.clearance - 0.06)
        middle = line.difference(line.boundary.buffer(4.0))
        assert found.faults or middle.is_empty or middle.distance(wall) >= room.clearance - 0.06
    assert sum("lies on" in fault for found in laid.routes for fault in found.faults) > 10


def test_without_any_effort_left_leads_still_find_a_way_round_a_body() -> None:
    wall = Obstacle("part:wall", (Point(28, -1), Point(32, -1), Point(32, 30), Point(28, 30)))
    lugs = Pin("lug:a", Point(10, 10)), Pin("lug:b", Point(50, 10))
    (found,) = laid_whole(RoutingRegion(SMALL, (wall,), lugs, (Net("lead:1", 0, 1),)), Effort(total=0)).routes
    assert not found.faults
    assert line_of(found).distance(Polygon(wall.outline)) >= 1.44


def test_passes_end_when_no_lead_finds_a_better_way() -> None:
    lugs = Pin("a", Point(10, 22)), Pin("b", Point(50, 22)), Pin("c", Point(30, 2)), Pin(
        "d", Point(30, 42))
    room = RoutingRegion(SMALL, (), lugs, (Net("lead:1", 0, 1), Net("lead:2", 2, 3)))
    few, many = (laid_whole(room, Effort(passes=n)).expanded for n in (3, 50))
    assert few == many


def test_further_passes_are_made_while_leads_still_change() -> None:
    lugs = Pin("a", Point(10, 22)), Pin("b", Point(50, 22)), Pin("c", Point(30, 6)), Pin(
        "d", Point(30, 38))
    room = RoutingRegion(SMALL, (), lugs, (Net("lead:1", 0, 1), Net("lead:2", 2, 3)))  # two ways cross alike
    opened = [laid_whole(room, Effort(passes=n)).expanded for n in (1, 2, 3, 4)]
    assert opened == sorted(set(opened))


def walled_in() -> RoutingRegion:
    sides = [(14, 22, 1), (30, 22, 1), (22, 14, 0), (22, 30, 0)]
    walls = tuple(
        Obstacle(f"part:wall {i}", (Point(x - (1 if up else 9), y - (9 if up else 1)), Point(x + (1 if up else 9),
                 y - (9 if up else 1)), Point(x + (1 if up else 9), y + (9 if up else 1)),
                 Point(x - (1 if up else 9), y + (9 if up else 1))))
        for i, (x, y, up) in enumerate(sides)
    )  # fmt: skip
    lugs = Pin("lug:in", Point(22, 22)), Pin("lug:out", Point(50, 22)), Pin("lug:free", Point(50, 36))
    return RoutingRegion(SMALL, walls, lugs, (Net("lead:in", 0, 1), Net("lead:out", 1, 2)))


def test_a_walled_in_lug_is_joined_and_named_and_costs_no_long_search() -> None:
    room = walled_in()
    laid = laid_whole(room)
    floor = mesh_region(room)
    assert floor is not None
    assert "no way found, laid straight" in laid.routes[0].faults
    assert any(fault.startswith("crosses part:wall") for fault in laid.routes[0].faults)
    assert not laid.routes[1].faults
    assert laid.expanded <= 2 * len(floor.mesh.corners)


def test_points_that_leave_a_lead_without_a_way_are_let_go() -> None:
    room = walled_in()
    nets = Net("lead:1", 1, 2, waypoints=(Point(22, 20),)), Net("lead:2", 1, 2, waypoints=(Point(400, 9),))
    lost = replace(room, nets=nets)
    laid = route_counted(lost, EFFORT)
    assert laid.expanded <= 2 * bound(lost, EFFORT)  # laid once with the points and once without
    assert [found.path.end for found in laid.routes] == [room.pins[2].at] * 2
    assert not any("straight" in fault for found in laid.routes for fault in found.faults)


def test_leads_through_a_mouth_of_no_width_lie_on_each_other_and_say_so() -> None:
    lugs = [Pin(f"slot:{i}", Point(0, 22), 0.0, radius=0.0) for i in range(6)]
    lugs += [Pin(f"lug:{i}", Point(52, 6 + 6 * i)) for i in range(6)]
    laid = laid_whole(RoutingRegion(SMALL, (), tuple(lugs), tuple(Net(f"lead:{i}", i, 6 + i) for i in range(6))))
    for one, other in combinations(laid.routes, 2):
        assert line_of(one).distance(line_of(other)) < 0.01  # they begin at one place, and part from there
        assert line_of(one).intersection(line_of(other).buffer(0.3)).length < 25


@pytest.mark.parametrize(
    ("outline", "joined"),
    [
        ([(0, 0), (29, 0), (30, 22), (31, 0), (60, 0), (60, 44), (31, 44), (30, 22), (29, 44), (0, 44)], False),
        ([(0, 0), (60, 44), (60, 0), (0, 44)], False),  # crossed
        ([(0, 0), (60, 0), (60, 44), (30, 44), (30, 10), (30, 44), (0, 44)], True),  # a slit of no width is no wall
        ([(0, 0), (60, 0), (30, 0)], False),  # no area
        ([(0, 0), (60, 44)], False),
    ],
)
def test_an_outline_that_touches_itself_leaves_no_lead_out(outline: list[tuple[float, float]], joined: bool) -> None:
    lugs = Pin("lug:a", Point(10, 20)), Pin("lug:b", Point(50, 24)), Pin("lug:c", Point(12, 30))
    room = RoutingRegion(tuple(Point(*p) for p in outline), (), lugs, (Net("lead:1", 0, 1), Net("lead:2", 0, 2)))
    laid = laid_whole(room)
    floor = shapely.make_valid(Polygon(outline)) if len(outline) > 2 else Polygon()
    for found in laid.routes:
        assert found.faults or floor.buffer(0.05).covers(line_of(found))
    assert bool(laid.routes[0].faults) != joined


def test_parts_outside_of_the_cavity_keep_their_leads() -> None:
    away = Obstacle("part:far", square(120, 20, 8))
    lugs = (
        Pin("lug:far", Point(110, 20), math.pi, "part:far"),
        Pin("lug:farther", Point(130, 20), 0.0, "part:far"),
        Pin("lug:in", Point(20, 20)),
    )
    runs = Net("lead:1", 0, 2), Net("lead:2", 0, 1), Net("lead:3", 1, 2)
    for found in laid_whole(RoutingRegion(SMALL, (away,), lugs, runs)).routes:
        assert "leaves the cavity" in found.faults
