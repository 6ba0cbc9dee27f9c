"""Leads side by side: the fan at a lug, the shortest way through gaps, lanes on an edge, room left at its ends."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.astar import SearchCosts, distances_to, find_route
from diagramgen.layout.routing.fan_out import fan_out, least_spread
from diagramgen.layout.routing.funnel import Spacing, TrackAssignment, _meet, funnel
from diagramgen.layout.routing.mesh import build_mesh
from diagramgen.layout.routing.priced_zones import LeadCosts, priced_zones_in
from diagramgen.layout.routing.topological_route import TopologicalRoute, empty_route, point_on

FREE = priced_zones_in(box(0, 0, 60, 40), [])


def fan(
    *paths: list[Point], zones: tuple[Polygon, ...] = (), price: float = 40.0, own: float = 0.0
) -> list[list[Point]]:
    """Leads of 2 mm that share their first lug, fanned."""
    ground = priced_zones_in(box(0, 0, 60, 40), zones)
    prices, mine = (price,) * len(zones), (own,) * len(zones)
    threads = {i: LeadCosts(0, i + 1, 2.0, 8.0, prices, mine) for i in range(len(paths))}
    return list(fan_out(dict(enumerate(paths)), threads, ground).values())


def angle(path: list[Point], at: int = 0, to: int = 1) -> float:
    return path[at].angle_to(path[to])


def test_two_leads_that_leave_a_lug_together_are_spread_evenly_about_their_mean() -> None:
    lug = Point(10, 20)
    one, other = fan([lug, Point(50, 19)], [lug, Point(50, 21)])
    assert len(one) == len(other) == 3
    assert one[1].distance(lug) == pytest.approx(3.2)
    assert other[1].distance(lug) == pytest.approx(3.2)
    assert angle(one) == pytest.approx(-0.26)
    assert angle(other) == pytest.approx(0.26)
    assert one[2] == Point(50, 19)


def test_leads_that_arrive_at_a_lug_together_are_spread_before_it() -> None:
    lug = Point(50, 20)
    threads = {i: LeadCosts(i, 9, 2.0, 8.0, (), ()) for i in range(2)}
    found = fan_out({0: [Point(10, 19), lug], 1: [Point(10, 21), lug]}, threads, FREE)
    for path, turn in ((found[0], 0.26), (found[1], -0.26)):
        assert path[-1] == lug
        assert path[-2].distance(lug) == pytest.approx(3.2)
        assert abs(math.remainder(angle(path, -1, -2) - math.pi - turn, math.tau)) < 1e-9


def test_leads_of_one_lug_on_both_sides_of_the_half_turn_are_neighbours_too() -> None:
    lug = Point(50, 20)
    one, other = fan([lug, Point(10, 19.5)], [lug, Point(10, 20.5)])
    assert len(one) == len(other) == 3
    assert abs(math.remainder(angle(one) - angle(other), math.tau)) == pytest.approx(0.52)
    assert math.cos(angle(one)) < -0.9
    assert one[1].y < 20 < other[1].y


def test_many_leads_of_one_lug_share_the_full_turn() -> None:
    lug = Point(30, 20)
    count = 15
    paths = [[lug, lug.towards(0.01 * k, 25.0)] for k in range(count)]
    found = sorted(angle(path) % math.tau for path in fan(*paths))
    gaps = [b - a for a, b in pairwise([*found, found[0] + math.tau])]
    assert min(gaps) > math.tau / (count + 1) - 0.021  # those moved by less than 0.02 rad stay
    assert len({len(path) for path in fan(*paths)} - {2, 3}) == 0


def test_leads_apart_single_leads_and_short_legs_are_not_fanned() -> None:
    lug = Point(30, 20)
    star = [[lug, lug.towards(k * math.pi / 2, 15.0)] for k in range(4)]
    assert fan(*star) == star
    assert fan(star[0]) == [star[0]]
    ground = priced_zones_in(box(0, 0, 60, 40), [])
    threads = {i: LeadCosts(2 * i, 2 * i + 1, 2.0, 8.0, (), ()) for i in range(2)}
    apart = {0: [lug, Point(50, 20)], 1: [lug, Point(50, 20.5)]}  # two lugs in one place
    assert fan_out(apart, threads, ground) == apart
    short = fan([lug, lug.towards(0.0, 9.1)], [lug, lug.towards(0.05, 9.3)])
    assert [len(path) for path in short] == [2, 3]  # 3.2 mm of fan and three lanes: 9.2 mm


def test_a_lead_is_not_fanned_off_the_floor_nor_into_closed_ground_but_its_own() -> None:
    edge = Point(10, 0)
    assert [len(path) for path in fan([edge, Point(50, 0)], [edge, Point(50, 1)])] == [2, 3]
    lug = Point(10, 20)
    block = box(11, 20.2, 20, 22)
    pair = [lug, Point(50, 20)], [lug, Point(50, 20.1)]
    assert [len(path) for path in fan(*pair, zones=(block,))] == [3, 2]
    assert [len(path) for path in fan(*pair, zones=(block,), price=1.0)] == [3, 3]
    assert [len(path) for path in fan(*pair, zones=(block,), own=2.0)] == [3, 3]


def test_values_are_pooled_by_hand() -> None:
    assert least_spread([0.0, 1.0, 5.0], 1.0) == [0.0, 1.0, 5.0]
    assert least_spread([0.0, 0.0], 1.0) == [-0.5, 0.5]
    assert least_spread([0.0, 0.0, 0.0, 10.0], 2.0) == [-2.0, 0.0, 2.0, 10.0]
    assert least_spread([0.0, 3.0, 3.5, 3.5], 1.0) == pytest.approx([0.0, 7 / 3, 10 / 3, 13 / 3])
    assert least_spread([], 1.0) == []


def test_where_a_lead_meets_an_edge() -> None:
    assert _meet(Point(0, 0), Point(10, 0), Point(4, -2), Point(4, 6)) == pytest.approx(0.25)
    assert _meet(Point(0, 1), Point(10, 11), Point(0, 5), Point(8, 5)) == pytest.approx(0.5)
    assert _meet(Point(0, 0), Point(3, 4), Point(1, 0), Point(7, 8)) == pytest.approx(0.44)  # parallel: foot of the end
    assert _meet(Point(0, 0), Point(1, 0), Point(5, 5), Point(5, 5)) == 0.0


Gaps = list[tuple[float, float]]
gap = st.tuples(st.integers(-8, 8), st.integers(0, 5)).map(lambda g: (float(g[0]), float(g[0] + g[1])))


def shortest(gaps: Gaps, end: float) -> float:
    """The length of the shortest way from 0 0 through upright gaps 1 mm apart, by trying all that they see."""
    nodes = [(0, 0.0), *((k + 1, y) for k, g in enumerate(gaps) for y in g), (len(gaps) + 1, end)]
    best = {nodes[0]: 0.0}
    for node in nodes[1:]:
        costs = []
        for before, spent in best.items():
            if before[0] < node[0]:
                rise = (node[1] - before[1]) / (node[0] - before[0])
                there = [before[1] + rise * (k - before[0]) for k in range(before[0] + 1, node[0])]
                between = gaps[before[0] : node[0] - 1]
                if all(low - 1e-9 <= y <= high + 1e-9 for y, (low, high) in zip(there, between, strict=True)):
                    costs.append(spent + math.hypot(node[0] - before[0], node[1] - before[1]))
        best[node] = min(costs, default=math.inf)
    return best[nodes[-1]]


@settings(max_examples=150, deadline=None)
@given(st.lists(gap, max_size=8), st.integers(-8, 8).map(float))
def test_the_way_through_gaps_is_the_shortest_there_is(gaps: Gaps, end: float) -> None:
    rights = [Point(k + 1.0, low) for k, (low, _) in enumerate(gaps)]
    lefts = [Point(k + 1.0, high) for k, (_, high) in enumerate(gaps)]
    start, goal = Point(0, 0), Point(len(gaps) + 1.0, end)
    found = funnel(start, goal, rights, lefts)
    assert found[0] == (-1, start)
    assert found[-1] == (len(gaps), goal)
    assert [i for i, _ in found] == sorted({i for i, _ in found})
    for i, p in found[1:-1]:
        assert p in (rights[i], lefts[i])
    points = [p for _, p in found]
    assert sum(a.distance(b) for a, b in pairwise(points)) == pytest.approx(shortest(gaps, end), abs=1e-6)
    mirrored = funnel(start, Point(goal.x, -end), [Point(p.x, -p.y) for p in lefts], [Point(p.x, -p.y) for p in rights])
    length = sum(a[1].distance(b[1]) for a, b in pairwise(mirrored))
    assert length == pytest.approx(shortest(gaps, end), abs=1e-6)


def three_across() -> tuple[TopologicalRoute, int]:
    """Three leads from the left wall to the right one, and the upright edge midway that all of them cross."""
    sites = [Point(0, 12), Point(0, 20), Point(0, 28), Point(60, 12), Point(60, 20), Point(60, 28), Point(30, 0),
             Point(30, 40)]
    mesh = build_mesh(box(0, 0, 60, 40), (), sites)
    sketch = empty_route(mesh)
    even = [1.0] * len(mesh.corners)
    for lead in range(3):
        start, end = mesh.sites[lead], mesh.sites[lead + 3]
        costs = SearchCosts(even, distances_to(mesh, end), 8.0, 10.0, 1.0, even)
        course = find_route(sketch, start, end, costs, 9999).crossings
        assert course is not None
        sketch.insert(lead, course)
    low, high = sorted(mesh.sites[6:])
    edge = next(e for e, ends in enumerate(mesh.ends) if sorted(ends) == [low, high])
    assert [lead for _, lead, _ in sketch.edge_order[edge]] in ([0, 1, 2], [2, 1, 0])
    return sketch, edge


def on_edge(lanes: TrackAssignment, edge: int) -> dict[int, float]:
    """Lead -> how far down it crosses the upright edge, mm."""
    mesh, row = lanes.topology.mesh, lanes.topology.edge_order[edge]
    return {lead: point_on(mesh, edge, lanes.at[lead][step]).y for _, lead, step in row}


def test_wide_lanes_share_an_edge_evenly_between_what_is_kept_free_at_its_ends() -> None:
    sketch, edge = three_across()
    keep = [0.0] * len(sketch.mesh.points)
    keep[sketch.mesh.sites[6]] = 4.0
    keep[sketch.mesh.sites[7]] = 8.0
    lanes = TrackAssignment(sketch, Spacing([30.0] * 3, keep))
    lanes.relax([0, 1, 2], 4)
    found = on_edge(lanes, edge)
    assert [found[i] for i in range(3)] == pytest.approx([4, 18, 32], abs=1e-6)


def test_lanes_with_room_are_straight_and_no_nearer_than_a_pitch() -> None:
    sketch, edge = three_across()
    lanes = TrackAssignment(sketch, Spacing([2.0] * 3, [0.0] * len(sketch.mesh.points)))
    paths = lanes.relax([0, 1, 2], 2)
    assert [paths[i] for i in range(3)] == [[Point(0, y), Point(60, y)] for y in (12, 20, 28)]
    wide = TrackAssignment(sketch, Spacing([12.0, 12.0, 12.0], [0.0] * len(sketch.mesh.points)))
    wide.relax([0, 1, 2], 6)
    found = on_edge(wide, edge)
    assert found[1] - found[0] > 11.5  # a few rounds do not come to the end of it
    assert found[2] - found[1] > 11.5
    mixed = TrackAssignment(sketch, Spacing([4.0, 24.0, 8.0], [0.0] * len(sketch.mesh.points)))
    mixed.relax([0, 1, 2], 6)
    found = on_edge(mixed, edge)
    assert found[1] - found[0] == pytest.approx(14, abs=0.5)  # half of either lead's own room
    assert found[2] - found[1] == pytest.approx(16, abs=0.5)


def test_a_lead_between_two_that_leave_less_than_two_lanes_lies_midway() -> None:
    sketch, edge = three_across()
    lanes = TrackAssignment(sketch, Spacing([4.0] * 3, [0.0] * len(sketch.mesh.points)))
    lanes.pack()
    steps = {lead: step for _, lead, step in sketch.edge_order[edge]}
    order = [lead for _, lead, _ in sketch.edge_order[edge]]
    lanes.at[order[0]][steps[order[0]]], lanes.at[order[2]][steps[order[2]]] = 0.4, 0.44
    assert lanes._limits(1, steps[1]) == pytest.approx((0.42, 0.42))
    lanes.at[order[2]][steps[order[2]]] = 0.8
    assert lanes._limits(1, steps[1]) == pytest.approx((0.5, 0.7))  # 4 of 40 mm from either


def test_no_more_than_nine_tenths_of_an_edge_are_kept_free() -> None:
    sketch, edge = three_across()
    lanes = TrackAssignment(sketch, Spacing([0.5] * 3, [100.0] * len(sketch.mesh.points)))
    lanes.relax([0, 1, 2], 3)
    for y in on_edge(lanes, edge).values():
        assert 18 - 1e-6 <= y <= 22 + 1e-6


def test_leads_across_a_slanting_edge_lie_further_apart_on_it() -> None:
    sites = [Point(0, 4), Point(0, 8), Point(60, 32), Point(60, 36), Point(30, 0), Point(30, 40)]
    mesh = build_mesh(box(0, 0, 60, 40), (), sites)
    sketch = empty_route(mesh)
    even = [1.0] * len(mesh.corners)
    for lead in range(2):
        end = mesh.sites[lead + 2]
        prices = SearchCosts(even, distances_to(mesh, end), 8.0, 10.0, 1.0, even)
        course = find_route(sketch, mesh.sites[lead], end, prices, 9999).crossings
        assert course is not None
        sketch.insert(lead, course)
    thin = TrackAssignment(sketch, Spacing([0.5, 0.5], [0.0] * len(mesh.points)))
    assert thin.relax([0, 1], 4) == {0: [Point(0, 4), Point(60, 32)], 1: [Point(0, 8), Point(60, 36)]}
    thin.write_back()
    edge = next(e for e, ends in enumerate(mesh.ends) if sorted(ends) == sorted(mesh.sites[4:]))
    lanes = TrackAssignment(sketch, Spacing([10.0, 10.0], [0.0] * len(mesh.points)))
    lanes.pack()
    slant = 60 / math.hypot(60, 28)
    assert lanes.gaps[edge] == pytest.approx([10 / slant / 40], rel=1e-3)
    steps = {lead: step for _, lead, step in sketch.edge_order[edge]}
    assert lanes._slant(0, steps[0], edge) == pytest.approx(slant, rel=1e-3)
    lanes.places[0][steps[0]], lanes.places[0][steps[0] + 2] = Point(29, 0), Point(31, 40)
    assert lanes._slant(0, steps[0], edge) == 0.3  # along the edge, but never as if it lay on it
    lanes.vectors[edge] = (24.0, 32.0, 40.0)
    lanes.places[0][steps[0]], lanes.places[0][steps[0] + 2] = Point(0, 0), Point(32, -24)
    assert lanes._slant(0, steps[0], edge) == pytest.approx(1.0)  # square to a slanting edge
    lanes.places[0][steps[0] + 2] = Point(0, 0)
    assert lanes._slant(0, steps[0], edge) == 1.0  # no direction to tell by


def test_two_leads_of_one_lug_part_slowly() -> None:
    mesh = build_mesh(box(0, 0, 60, 40), (), [Point(0, 20), Point(60, 12), Point(60, 28), Point(20, 0), Point(20, 40)])
    sketch = empty_route(mesh)
    even = [1.0] * len(mesh.corners)
    for lead, end in ((0, mesh.sites[1]), (1, mesh.sites[2])):
        prices = SearchCosts(even, distances_to(mesh, end), 8.0, 10.0, 1.0, even)
        course = find_route(sketch, mesh.sites[0], end, prices, 9999).crossings
        assert course is not None
        sketch.insert(lead, course)
    lanes = TrackAssignment(sketch, Spacing([30.0, 30.0], [0.0] * len(mesh.points)))
    for step in range(len(sketch.crossings[0].edges)):
        away = mesh.points[mesh.sites[0]].distance(lanes.places[0][step + 1])
        assert lanes._pitch(0, 1, step) == pytest.approx(min(30.0, 0.45 * away))
        assert away < 60


def test_places_written_back_rise_and_stay_on_the_edge_even_where_leads_have_met() -> None:
    for place in (0.5, 0.0, 1.0):
        sketch, edge = three_across()
        lanes = TrackAssignment(sketch, Spacing([1.0] * 3, [0.0] * len(sketch.mesh.points)))
        order = [lead for _, lead, _ in sketch.edge_order[edge]]
        for _, lead, step in sketch.edge_order[edge]:
            lanes.at[lead][step] = place
        lanes.write_back()
        row = sketch.edge_order[edge]
        assert [lead for _, lead, _ in row] == order
        assert all(a[0] < b[0] for a, b in pairwise(row))
        assert all(0 < t < 1 and abs(t - place) < 2e-3 for t, _, _ in row)
        for _, lead, step in row:
            assert sketch.crossings[lead].at[step] == lanes.at[lead][step]
