"""The floor that leads are laid on: where they begin, what ground is closed or dear to which of them."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon, box

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing import Net, Obstacle, PenaltyZone, Pin, RoutingRegion
from diagramgen.layout.routing.cost_map import (
    BODY,
    LUG,
    OVER,
    PENALTY,
    RING,
    MeshedRegion,
    Zone,
    crossing_factors,
    exit_point,
    is_open,
    mesh_region,
    outline_polygon,
    triangle_costs,
    zone_costs,
)

OUTLINE = (Point(0, 0), Point(60, 0), Point(60, 40), Point(0, 40))
FRAME = box(1.52, 1.52, 58.48, 38.48)
REACH = 0.95 * (1.2 + 0.95)
"""From a lug of 1.2 mm to where a lead of 1.9 mm turns away from it."""


def block(left: float, top: float, right: float, bottom: float, name: str = "part:x", **what: bool) -> Obstacle:
    return Obstacle(name, (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom)), **what)


def room(*terminals: Pin, bodies: tuple[Obstacle, ...] = (), runs: tuple[Net, ...] = (Net("lead:1", 0, 1),),
         before: float = 0.0) -> RoutingRegion:
    return RoutingRegion(OUTLINE, bodies, terminals, runs, turn_clearance=before)


def floor_of(made: RoutingRegion) -> MeshedRegion:
    found = mesh_region(made)
    assert found is not None
    return found


def beginning(terminal: Pin, *bodies: Obstacle, half: float = 0.95) -> Point:
    """Where the leads of a lug begin among bodies."""
    zones = [Zone(BODY, outline_polygon(o.outline), i) for i, o in enumerate(bodies)]
    return exit_point(terminal, half, FRAME, room(terminal, bodies=bodies), zones)


def near(p: Point, x: float, y: float) -> bool:
    return p.distance(Point(x, y)) < 1e-6


def test_a_lead_begins_at_its_lug_or_a_little_along_it() -> None:
    assert beginning(Pin("a", Point(20, 20))) == Point(20, 20)
    assert near(beginning(Pin("a", Point(20, 20), 0.0)), 20 + REACH, 20)
    assert near(beginning(Pin("a", Point(20, 20), math.pi / 2)), 20, 20 + REACH)
    assert near(beginning(Pin("a", Point(20, 20), 0.0, radius=5.0)), 23, 20)  # 3 mm at most
    assert near(beginning(Pin("a", Point(20, 20), 0.0), half=0.0), 20 + 0.95 * 1.2, 20)


def test_a_lead_begins_nearer_to_its_lug_where_a_foreign_body_is_near() -> None:
    lug = Pin("a", Point(20, 20), 0.0, "part:own")
    assert near(beginning(lug, block(23.6, 15, 30, 25)), 20 + REACH, 20)
    assert near(beginning(lug, block(23.4, 15, 30, 25)), 20 + 0.75 * REACH, 20)
    assert near(beginning(lug, block(22.9, 15, 30, 25)), 20 + 0.5 * REACH, 20)
    assert near(beginning(lug, block(23.4, 15, 30, 25, "part:own")), 20 + REACH, 20)


def test_where_all_of_its_stub_is_too_near_a_body_a_lead_begins_behind_it() -> None:
    lug = Pin("a", Point(20, 20), 0.0, "part:own")
    assert near(beginning(lug, block(22, 15, 24.6, 25)), 20 + REACH + 3.0, 20)  # by half a millimetre a step
    assert near(beginning(lug, block(20.5, 15, 22.0, 25)), 20 + REACH, 20)  # free of the body, if not clear of it
    assert beginning(lug, block(20.5, 15, 50, 25)) == Point(20, 20)  # nowhere within reach


def test_a_lug_that_looks_off_the_floor_is_left_where_it_stands() -> None:
    at = Point(55, 20)
    assert near(beginning(Pin("a", Point(57, 20), 0.0)), 57 + 0.5 * REACH, 20)
    assert beginning(Pin("a", Point(58.2, 20), 0.0)) == Point(58.2, 20)
    assert near(beginning(Pin("a", at, 0.0)), 55 + REACH, 20)


def test_a_lead_from_the_wall_begins_at_the_edge_of_the_floor() -> None:
    slot = Pin("slot", Point(0, 20), 0.0, radius=0.0)
    assert near(beginning(slot, half=0.0), 1.52, 20)
    corner = Pin("slot", Point(0, 20), math.radians(60), radius=0.0)
    assert near(beginning(corner, half=0.0), 1.52, 20 + 1.52 * math.tan(math.radians(60)))
    assert near(beginning(slot, block(1, 15, 4, 25), half=0.0), 4.5, 20)  # a body before the mouth
    outward = Pin("slot", Point(0, 20), math.pi, radius=0.0)
    found = beginning(outward, half=0.0)
    assert FRAME.covers(Spot(found))
    assert found.distance(Point(1.52, 20)) < 0.06


def test_a_lug_that_stands_outside_begins_at_the_nearest_floor() -> None:
    found = beginning(Pin("a", Point(-20, 10)))
    assert FRAME.covers(Spot(found))
    assert found.distance(Point(1.52, 10)) < 0.06


def of_kind(floor: MeshedRegion, kind: str) -> list[Zone]:
    return [z for z in floor.zones if z.kind == kind]


def test_a_body_is_closed_with_its_clearance_around_it() -> None:
    a, b = Pin("a", Point(5, 20)), Pin("b", Point(55, 20))
    made = floor_of(room(a, b, bodies=(block(25, 15, 35, 25),)))
    (body,), (ring,) = of_kind(made, BODY), of_kind(made, RING)
    assert body.shape.covers(box(25, 15, 35, 25))
    assert box(24.6, 14.6, 35.4, 25.4).covers(body.shape)
    for x, y in ((30, 15 - 1.5), (25 - 1.5, 20), (35 + 1.5, 20), (30, 25 + 1.5), (36, 26)):
        assert ring.shape.covers(Spot(x, y))
    assert box(25 - 1.9, 15 - 1.9, 35 + 1.9, 25 + 1.9).covers(ring.shape)
    low = floor_of(room(a, b, bodies=(block(25, 15, 35, 25, passable=True),)))
    assert [z.kind for z in low.zones if z.kind != LUG] == [OVER]
    away = floor_of(room(a, b, bodies=(block(125, 15, 135, 25),)))
    assert [z.kind for z in away.zones if z.kind != LUG] == []


def test_ground_round_lugs_ends_midway_to_the_next_lug() -> None:
    made = floor_of(room(Pin("a", Point(20, 20)), Pin("b", Point(23, 20)), Pin("c", Point(50, 30))))
    a, b, c = (z.shape for z in of_kind(made, LUG))
    assert a.intersection(b).area < 1e-9
    assert a.exterior.distance(Spot(20, 20)) == pytest.approx(1.5)
    assert c.exterior.distance(Spot(50, 30)) == pytest.approx(1.2 + 0.95)


def test_ground_round_a_lug_reaches_to_where_its_leads_turn() -> None:
    lug = Pin("a", Point(20, 20), 0.0)
    (plain,) = (z.shape for z in of_kind(floor_of(room(lug, Pin("b", Point(50, 20)))), LUG) if z.owner == 0)
    assert plain.covers(Spot(20 + REACH, 20))
    (wide,) = (z.shape for z in of_kind(floor_of(room(lug, Pin("b", Point(50, 20)), before=1.2)), LUG)
               if z.owner == 0)
    assert wide.buffer(0.02).covers(Spot(20 + REACH + 1.1, 20))
    assert not wide.covers(Spot(20 + REACH + 1.3, 20))
    assert not plain.covers(Spot(20 + REACH + 0.9, 20))


def test_between_neighbouring_lugs_of_one_part_the_ground_is_theirs() -> None:
    def rows(gap: float, other: str = "part:x", away: float | None = 1.5) -> int:
        lugs = Pin("a", Point(20, 20), 1.5, "part:x"), Pin("b", Point(20 + gap, 20), away, other)
        return sum(len(z.pins) == 2 for z in of_kind(floor_of(room(*lugs)), LUG))

    assert [rows(gap) for gap in (1.4, 1.6, 5.0, 8.1, 8.3)] == [0, 1, 1, 1, 0]
    assert rows(5.0, other="part:y") == 0
    assert rows(5.0, away=None) == 0


def prices_at(made: RoutingRegion, run: int, *places: tuple[float, float]) -> list[float]:
    """The price of a mm for a lead in the triangles over some places."""
    floor = floor_of(made)
    prices = triangle_costs(made, floor, made.nets[run])
    shapes = [Polygon([floor.mesh.points[c] for c in cs]) for cs in floor.mesh.corners]
    return [next(p for p, s in zip(prices, shapes, strict=True) if s.covers(Spot(x, y))) for x, y in places]


def test_ground_is_priced_by_whose_it_is() -> None:
    lugs = [Pin("a", Point(10, 20), 0.0), Pin("b", Point(50, 20)), Pin("c", Point(30, 32), 0.0)]
    bodies = (block(27, 5, 33, 11), block(40, 5, 46, 11, "part:low", passable=True))
    made = room(*lugs, bodies=bodies)
    free, closed, ring, low, own, foreign = prices_at(
        made, 0, (20, 20.3), (30, 8), (30, 12.2), (43, 8.2), (10.6, 20.3), (30.5, 32.3))
    assert free == 1.0
    assert closed == math.inf
    assert free < low < own < ring < foreign < closed
    other = replace(made, nets=(Net("lead:1", 2, 1),))
    assert prices_at(other, 0, (30.5, 32.3), (10.6, 20.3)) == [own, foreign]
    past = replace(made, nets=(Net("lead:1", 0, 1, may_pass=("part:x",)),))
    assert prices_at(past, 0, (30, 8), (30, 12.2)) == [1.0, 1.0]
    metal = replace(past, obstacles=(replace(bodies[0], metal=True), bodies[1]))
    assert prices_at(metal, 0, (30, 8)) == [math.inf]


def test_a_lead_from_a_spot_on_its_own_body_gets_off_it_by_the_near_side() -> None:
    lugs = Pin("a", Point(27, 20), body="part:x"), Pin("b", Point(55, 20)), Pin("c", Point(5, 5))
    made = room(*lugs, bodies=(block(25, 10, 45, 30),), runs=(Net("lead:1", 0, 1), Net("lead:2", 2, 1)))
    floor = floor_of(made)
    mine, theirs = (triangle_costs(made, floor, run) for run in made.nets)
    body = floor.zones.index(of_kind(floor, BODY)[0])
    inside = [t for t, tag in enumerate(floor.mesh.tags) if body in tag]
    out = 2.3 + 1.5 + 3.0  # to the blunt edge, its clearance and a little more
    far = [floor.centroids[t].distance(Point(27, 20)) > out for t in inside]
    assert any(far)
    assert not all(far)
    assert [mine[t] == math.inf for t in inside] == far
    assert {theirs[t] for t in inside} == {math.inf}


def test_dear_ground_is_dear_to_its_own_lead_only() -> None:
    ground = PenaltyZone(box(25, 10, 35, 30), 5.0)
    lugs = Pin("a", Point(10, 20)), Pin("b", Point(50, 20))
    made = room(*lugs, runs=(Net("lead:1", 0, 1, penalties=(ground,)), Net("lead:2", 0, 1)))
    assert prices_at(made, 0, (30, 20.2)) == [5.0]
    assert prices_at(made, 1, (30, 20.2)) == [1.0]
    floor = floor_of(made)
    (zone,) = of_kind(floor, PENALTY)
    index = floor.zones.index(zone)
    assert [zone_costs(made, floor, run)[0][index] for run in made.nets] == [5.0, 1.0]
    tiny = replace(made, nets=(Net("lead:1", 0, 1, penalties=(PenaltyZone(box(25, 10, 25.9, 11), 5.0),)),))
    assert of_kind(floor_of(tiny), PENALTY) == []


def test_what_a_lead_is_let_off_at_its_ends() -> None:
    lugs = Pin("a", Point(27, 20), body="part:x"), Pin("b", Point(55, 20), 0.0), Pin("c", Point(5, 5))
    made = room(*lugs, bodies=(block(25, 10, 45, 30),), runs=(Net("lead:1", 0, 1), Net("lead:2", 2, 1)))
    floor = floor_of(made)
    prices, free = zone_costs(made, floor, made.nets[0])
    by_kind = {(z.kind, z.owner): (p, f) for z, p, f in zip(floor.zones, prices, free, strict=True)}
    assert by_kind[BODY, 0] == (1e4, pytest.approx(2.3 + 1.5 + 3.0, abs=0.05))
    assert by_kind[RING, 0][1] == pytest.approx(2.0 + 1.6 + 1.5 + 3.0, abs=0.1)
    assert by_kind[LUG, 0] == (1.0, 0.0)  # a spot that any direction leads to
    assert by_kind[LUG, 1][1] == 0.5
    assert zone_costs(made, floor, made.nets[1])[1][floor.zones.index(of_kind(floor, BODY)[0])] == 0.0


def test_a_crossing_before_a_mouth_costs_twice() -> None:
    lugs = Pin("slot", Point(0, 20), 0.0, radius=0.0), Pin("b", Point(50, 20), 0.0)
    made = room(*lugs, bodies=(block(20, 5, 22, 7),))
    floor = floor_of(made)
    found = crossing_factors(made, floor)
    assert set(found) == {1.0, 2.0}
    for price, centre in zip(found, floor.centroids, strict=True):
        assert (price == 2.0) == (centre.distance(Point(0, 20)) < 10)
    assert set(crossing_factors(replace(made, pins=(replace(lugs[0], away=None), lugs[1])), floor)) == {1.0}


def test_a_place_to_pass_is_open_unless_a_closed_body_stands_there() -> None:
    made = room(Pin("a", Point(5, 20)), Pin("b", Point(55, 20)), bodies=(block(25, 10, 35, 30),))
    zones = floor_of(made).zones
    run = made.nets[0]
    assert not is_open(made, zones, run, Point(30, 20))
    assert is_open(made, zones, run, Point(24, 20))  # within its clearance
    assert is_open(made, zones, replace(run, may_pass=("part:x",)), Point(30, 20))
    through = replace(made, nets=(replace(run, waypoints=(Point(30, 20), Point(20, 8), Point(1, 1))),))
    assert list(floor_of(through).waypoints) == [Point(20, 8)]  # not in the body, not off the floor


def test_an_outline_that_crosses_itself_is_its_larger_piece() -> None:
    bow = [Point(0, 0), Point(10, 0), Point(10, 10), Point(14, 10), Point(14, 6), Point(0, 6)]
    assert outline_polygon(bow).area == pytest.approx(60)
    assert outline_polygon(bow[:2]).is_empty
    assert outline_polygon([Point(0, 0), Point(5, 0), Point(10, 0)]).is_empty
    narrow = (Point(0, 0), Point(3, 0), Point(3, 3))
    assert mesh_region(replace(room(Pin("a", Point(1, 1))), outline=narrow)) is None
