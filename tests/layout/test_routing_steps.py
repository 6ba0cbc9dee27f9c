"""The steps of the lead router, one by one."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.astar import SearchCosts, chords_from, crossings_of, distances_to, find_route
from diagramgen.layout.routing.clean_up import concatenated, without_spikes
from diagramgen.layout.routing.fan_out import least_spread
from diagramgen.layout.routing.funnel import Spacing, TrackAssignment, funnel
from diagramgen.layout.routing.local_search import improve_locally
from diagramgen.layout.routing.mesh import Mesh, build_mesh
from diagramgen.layout.routing.priced_zones import LeadCosts, priced_zones_in
from diagramgen.layout.routing.topological_route import TopologicalRoute, chords_cross, crossing_pairs, empty_route


def mesh_of(*sites: tuple[float, float], zones: tuple[Polygon, ...] = ()) -> Mesh:
    return build_mesh(box(0, 0, 60, 40), zones, [Point(*s) for s in sites])


def area_of(mesh: Mesh) -> float:
    total = 0.0
    for a, b, c in mesh.corners:
        p, q, r = mesh.points[a], mesh.points[b], mesh.points[c]
        total += ((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x)) / 2
    return total


def lay(sketch: TopologicalRoute, lead: int, start: int, end: int, crossing: float = 8.0) -> None:
    even = [1.0] * len(sketch.mesh.corners)
    prices = SearchCosts(even, distances_to(sketch.mesh, end), crossing, 10.0, 1.0, even)
    course = find_route(sketch, start, end, prices, 10_000).crossings
    assert course is not None
    sketch.insert(lead, course)


places = st.tuples(st.floats(1, 59), st.floats(1, 39))


@given(st.lists(places, min_size=1, max_size=12))
def test_the_mesh_covers_the_floor_once(sites: list[tuple[float, float]]) -> None:
    zone = Polygon([(20, 10), (30, 10), (30, 20), (20, 20)])
    mesh = mesh_of(*sites, zones=(zone,))
    assert area_of(mesh) == pytest.approx(2400, abs=0.1)
    tagged = sum(1 for tag in mesh.tags if tag == (0,))
    assert tagged >= 2
    for triangle, sides in enumerate(mesh.neighbours):
        for side, other in enumerate(sides):
            if other >= 0:
                assert mesh.sides[triangle][side] in mesh.sides[other]
                assert triangle in mesh.neighbours[other]
    for site, corner in zip(sites, mesh.sites, strict=True):
        assert mesh.points[corner].distance(Point(*site)) < 0.01


def test_chords_cross_when_their_ends_alternate() -> None:
    assert chords_cross(0.5, 1.5, 1.2, 2.5)
    assert not chords_cross(0.5, 1.5, 1.6, 2.5)
    assert not chords_cross(0.0, 1.5, 0.0, 1.2)


def test_a_flat_crossing_costs_more_than_a_square_one() -> None:
    chords = [(1, 0.5, 1.5, 1.0, 0.0)]
    assert crossings_of(chords_from(chords, 1.2), 2.5, 0.0, 1.0, 1.0) == 1.0
    assert crossings_of(chords_from(chords, 1.2), 2.5, 1.0, 0.1, math.hypot(1.0, 0.1)) > 2.0
    assert crossings_of(chords_from(chords, 1.6), 2.5, 0.0, 1.0, 1.0) == 0.0
    assert chords_from(chords, 0.5) == chords_from(chords, 1.5) == []  # from an end of the other no crossing is forced
    assert crossings_of(chords_from(chords, 1.2), 1.5, 0.0, 1.0, 1.0) == 0.0


def test_a_search_goes_round_forbidden_ground_and_gives_up_when_enclosed() -> None:
    zone = Polygon([(25, -1), (35, -1), (35, 30), (25, 30)]).intersection(box(0, 0, 60, 40))
    mesh = mesh_of((10, 10), (50, 10), zones=(zone,))
    floor = [math.inf if tag else 1.0 for tag in mesh.tags]
    prices = SearchCosts(floor, distances_to(mesh, mesh.sites[1]), 5.0, 0.0, 1.0, [1.0] * len(floor))
    course = find_route(empty_route(mesh), mesh.sites[0], mesh.sites[1], prices, 1000).crossings
    assert course is not None
    assert all(not mesh.tags[t] for t in course.triangles)
    walls = SearchCosts([math.inf] * len(floor), prices.heuristic, 5.0, 0.0, 1.0, [1.0] * len(floor))
    assert find_route(empty_route(mesh), mesh.sites[0], mesh.sites[1], walls, 1000).crossings is None


def test_a_sketch_counts_forced_crossings_and_forgets_leads_taken_up() -> None:
    mesh = mesh_of((0, 20), (60, 20), (30, 0), (30, 40))
    sketch = empty_route(mesh)
    a, b, c, d = mesh.sites
    lay(sketch, 0, a, b)
    lay(sketch, 1, c, d)
    assert list(crossing_pairs(sketch)) == [(0, 1)]
    sketch.rip_up(0)
    assert crossing_pairs(sketch) == {}
    assert all(row[1] == 1 for rows in sketch.edge_order for row in rows)


def test_the_funnel_is_pulled_taut_round_the_nearer_ends() -> None:
    rights, lefts = [Point(3, 1), Point(6, -2)], [Point(3, 5), Point(6, -1)]
    corners = [p for _, p in funnel(Point(0, 0), Point(10, 0), rights, lefts)]
    assert corners == [Point(0, 0), Point(3, 1), Point(6, -1), Point(10, 0)]
    wide = funnel(Point(0, 0), Point(10, 0), [Point(5, -3)], [Point(5, 3)])
    assert [p for _, p in wide] == [Point(0, 0), Point(10, 0)]


def test_tracks_lie_a_pitch_apart_round_a_corner() -> None:
    zone = Polygon([(25, 0), (35, 0), (35, 20), (25, 20)])
    mesh = mesh_of((5, 5), (5, 10), (55, 5), (55, 10), zones=(zone,))
    sketch = empty_route(mesh)
    floor = [math.inf if tag else 1.0 for tag in mesh.tags]
    for lead in range(2):
        start, end = mesh.sites[lead], mesh.sites[lead + 2]
        prices = SearchCosts(floor, distances_to(mesh, end), 8.0, 10.0, 2.0, [1.0] * len(floor))
        course = find_route(sketch, start, end, prices, 1000).crossings
        assert course is not None
        sketch.insert(lead, course)
    tracks = TrackAssignment(sketch, Spacing([2.0, 2.0], [0.0] * len(mesh.points)))
    paths = tracks.relax([0, 1], 6)
    lowest = sorted(max(p.y for p in paths[lead]) for lead in paths)
    assert lowest[0] == pytest.approx(20, abs=0.01)
    assert lowest[1] > 21.5


def test_places_written_back_keep_the_order_of_the_leads() -> None:
    mesh = mesh_of((5, 5), (5, 10), (55, 5), (55, 10))
    sketch = empty_route(mesh)
    lay(sketch, 0, mesh.sites[0], mesh.sites[2])
    lay(sketch, 1, mesh.sites[1], mesh.sites[3])
    before = [[row[1] for row in rows] for rows in sketch.edge_order]
    tracks = TrackAssignment(sketch, Spacing([1.0, 1.0], [0.0] * len(mesh.points)))
    tracks.relax([0, 1], 2)
    tracks.write_back()
    assert [[row[1] for row in rows] for rows in sketch.edge_order] == before
    for rows in sketch.edge_order:
        assert all(a[0] < b[0] for a, b in pairwise(rows))


def test_straightening_removes_a_needless_corner_but_not_one_round_a_zone() -> None:
    zone = Polygon([(25, 0), (35, 0), (35, 20), (25, 20)])
    ground = priced_zones_in(box(0, 0, 60, 40), [zone])
    thread = LeadCosts(0, 1, 1.0, 8.0, (1e4,), (0.0,))
    free = {0: [Point(5, 30), Point(20, 33), Point(30, 28), Point(55, 30)]}
    assert improve_locally(free, {0: thread}, ground, 10)[0] == [Point(5, 30), Point(55, 30)]
    bent = {0: [Point(5, 5), Point(25, 20), Point(35, 20), Point(55, 5)]}
    assert improve_locally(bent, {0: thread}, ground, 10)[0] == bent[0]


def test_straightening_moves_a_lead_off_another() -> None:
    ground = priced_zones_in(box(0, 0, 60, 40), [])
    threads = {i: LeadCosts(2 * i, 2 * i + 1, 1.0, 8.0, (), ()) for i in range(2)}
    paths = {0: [Point(5, 20), Point(55, 20)], 1: [Point(2, 26), Point(20, 20.3), Point(40, 20.3), Point(58, 26)]}
    moved = improve_locally(paths, threads, ground, 10)
    low = np.min([p.y for p in moved[1]])
    assert low >= 20.9


@given(st.lists(st.floats(-3, 3), min_size=1, max_size=8).map(sorted), st.floats(0.05, 0.6))
def test_spaced_values_are_apart_and_keep_their_mean(values: list[float], step: float) -> None:
    found = least_spread(values, step)
    assert all(b - a >= step - 1e-9 for a, b in pairwise(found))
    assert sum(found) == pytest.approx(sum(values), abs=1e-6)


def test_needless_corners_are_left_out() -> None:
    points = [Point(0, 0), Point(0, 0.001), Point(5, 0), Point(10, 0), Point(10, 5)]
    assert without_spikes(points) == [Point(0, 0), Point(10, 0), Point(10, 5)]
    assert concatenated([[Point(0, 0)], [Point(0, 0), Point(1, 0)], [Point(1, 0)]]) == [Point(0, 0), Point(1, 0)]
