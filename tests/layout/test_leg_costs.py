"""What a leg of a lead costs: length, ground, turns, other leads; all values worked out by hand.

The prices themselves (pitches a bend, mm a crossing) are the program's own; that they are summed as said is what is
held here.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from shapely.geometry import Polygon, box

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.local_search import (
    _LegTable,
    _OtherLegs,
    candidates,
    cheapest_chain,
    improve_locally,
    leg_costs,
)
from diagramgen.layout.routing.priced_zones import (
    FORBIDDEN,
    LeadCosts,
    LegFlags,
    PricedZones,
    bend_cost,
    leg_zone_costs,
    priced_zones_in,
    stub_bend_costs,
)

HALF = math.pi / 2
FRAME = box(0, 0, 60, 40)
BLOCK = box(20, 10, 30, 20)
SLIM = 10 - 0.01  # the block, a hair slimmer on both sides


def kinds(start: bool = False, end: bool = False, old: bool = False) -> LegFlags:
    return LegFlags(np.array([start]), np.array([end]), np.array([old]))


def legs(*ends: tuple[float, float, float, float]) -> tuple[np.ndarray, np.ndarray]:
    table = np.array(ends, dtype=float)
    return table[:, :2], table[:, 2:]


def thread(
    price: float = 1.0, own: float = 0.0, leaving: float | None = None, arriving: float | None = None
) -> LeadCosts:
    return LeadCosts(0, 1, 2.0, 8.0, (price,), (own,), leaving, arriving)


def ground_of(leg: tuple[float, float, float, float], lead: LeadCosts, kind: LegFlags) -> float:
    ground: PricedZones = priced_zones_in(FRAME, [BLOCK])
    return float(leg_zone_costs(*legs(leg), lead, ground, kind)[0])


def test_a_corner_costs_by_the_square_of_its_turn_and_a_hairpin_much_more() -> None:
    turns = np.array([0.0, HALF, -HALF, 3 * HALF, math.tau, math.pi / 4, math.pi])
    assert bend_cost(turns, 2.0) == pytest.approx([1.6, 4.0, 4.0, 4.0, 1.6, 2.2, 2 * (0.8 + 1.2 * 4) + 40])
    below, above = bend_cost(np.radians([94.0, 96.0]), 2.0)
    assert 39.9 < above - below < 40.5


def test_the_corners_at_the_stubs_of_a_lead_are_priced_at_its_first_and_last_leg_only() -> None:
    a, b = legs((0, 0, 10, 0))
    lead = thread(leaving=HALF, arriving=math.pi)
    assert stub_bend_costs(a, b, lead, kinds(start=True)) == pytest.approx([4.0])
    assert stub_bend_costs(a, b, lead, kinds(end=True)) == pytest.approx([51.2])
    assert stub_bend_costs(a, b, lead, kinds(start=True, end=True)) == pytest.approx([55.2])
    assert stub_bend_costs(a, b, lead, kinds()) == pytest.approx([0.0])
    assert stub_bend_costs(a, b, thread(), kinds(start=True, end=True)) == pytest.approx([0.0])
    down = legs((0, 0, 0, 10))
    assert stub_bend_costs(*down, lead, kinds(start=True)) == pytest.approx([1.6])  # straight on


def test_free_ground_costs_nothing_and_what_lies_off_the_floor_is_a_wall() -> None:
    assert ground_of((5, 5, 55, 5), thread(5), kinds()) == 0
    assert ground_of((0, 0, 60, 0), thread(5), kinds()) == 0  # along the edge of the floor
    assert ground_of((20, 0, 20, 40), thread(5), kinds()) == 0  # along the edge of the block
    assert ground_of((5, 5, 5, 41), thread(5), kinds()) == FORBIDDEN
    assert ground_of((10, 15, 40, 15), thread(1.0), kinds()) == 0  # a block that costs no more than the floor


def test_dear_ground_costs_by_the_mm_and_is_not_entered_anew_where_it_is_forbidden() -> None:
    assert ground_of((10, 15, 40, 15), thread(5), kinds()) == pytest.approx(SLIM * 4)
    assert ground_of((10, 15, 40, 15), thread(40), kinds(old=True)) == pytest.approx(SLIM * 39)
    assert ground_of((10, 15, 40, 15), thread(40), kinds()) == FORBIDDEN
    assert ground_of((10, 15, 40, 15), thread(9.9), kinds()) == pytest.approx(SLIM * 8.9)


def test_of_its_own_ground_a_lead_is_let_off_some_mm_on_its_first_and_last_leg() -> None:
    lead = thread(40, own=4)
    assert ground_of((10, 15, 40, 15), lead, kinds()) == pytest.approx(SLIM * 39)
    for kind in (kinds(start=True), kinds(end=True), kinds(start=True, end=True)):
        assert ground_of((10, 15, 40, 15), lead, kind) == pytest.approx((SLIM - 4) * 39 + 4 * 1.5)
    short = ground_of((28, 15, 40, 15), lead, kinds(start=True))  # 2 mm of the block, all let off
    assert short == pytest.approx(1.995 * 1.5)
    cheap = ground_of((10, 15, 40, 15), thread(2, own=4), kinds(start=True))
    assert cheap == pytest.approx(SLIM * 1.0)


def beside(*others: tuple[float, float, float, float], start: bool = False, end: bool = False, apart: float = 1.94
           ) -> float:
    """The price of the leg from 0 0 to 20 0 of a lead with a pitch of 2 mm among other legs."""
    count = len(others)
    a, b = legs(*others) if others else (np.zeros((0, 2)), np.zeros((0, 2)))
    there = _OtherLegs(a, b, np.full(count, apart), np.full(count, start), np.full(count, end))
    return float(leg_costs(*legs((0, 0, 20, 0)), there, thread(), kinds(start=start, end=end))[0])


def test_a_leg_by_itself_costs_its_length() -> None:
    assert beside() == pytest.approx(20)
    assert beside((0, 3, 20, 3)) == pytest.approx(20)
    assert beside((0, -2, 20, -2)) == pytest.approx(20)
    assert beside((21, -5, 21, 5)) == pytest.approx(20)
    assert beside((-0.5, -5, -0.5, 5)) == pytest.approx(20)


@pytest.mark.parametrize("turned", [False, True])
def test_a_crossing_is_paid_once_and_no_closeness_where_it_is_steep(turned: bool) -> None:
    for other in ((10.0, -10.0, 10.0, 10.0), (0.0, -10.0, 20.0, 10.0), (4.0, -6.0, 12.0, 1.5)):
        ends = (*other[2:], *other[:2]) if turned else other
        assert beside(ends) == pytest.approx(20 + 2 * 8)
    assert beside((10, -10, 10, 10), (5, -10, 5, 10)) == pytest.approx(20 + 4 * 8)
    assert beside((10, -10, 10, -2)) == pytest.approx(20)


def test_a_flat_crossing_pays_for_lying_close_too() -> None:
    wide, inner = 1.94, 0.97
    near = (20 - 3.4 * wide) + 1.5 * (20 * inner - 3.4 * inner)
    assert beside((0, -1, 20, 1)) == pytest.approx(20 + 16 + 2 * near)


@pytest.mark.parametrize("side", [1, -1])
def test_running_within_a_lane_of_another_lead_costs_by_the_mm_and_more_when_nearer(side: int) -> None:
    assert beside((0, side * 1.0, 20, side * 1.0)) == pytest.approx(20 + 2 * 20)
    assert beside((0, side * 0.5, 20, side * 0.5)) == pytest.approx(20 + 2 * 20 * 2.5)
    assert beside((5, side * 1.0, 15, side * 1.0)) == pytest.approx(20 + 2 * 10)
    assert beside((15, side * 1.0, 5, side * 1.0)) == pytest.approx(20 + 2 * 10)
    assert beside((-30, side * 1.0, 4, side * 1.0)) == pytest.approx(20 + 2 * 4)
    assert beside((16, side * 1.0, 50, side * 1.0)) == pytest.approx(20 + 2 * 4)
    slope = (0, side * 1.0, 20, side * 3.0)  # within 1.94 mm for 9.4 mm
    assert beside(slope) == pytest.approx(20 + 2 * 9.4)


def test_leads_that_leave_one_lug_may_lie_close_for_their_first_3_mm() -> None:
    assert beside((0, 1, 20, 1), start=True) == pytest.approx(20 + 2 * 17)
    assert beside((0, 1, 20, 1), end=True) == pytest.approx(20 + 2 * 17)
    assert beside((0, 1, 20, 1), start=True, end=True) == pytest.approx(20 + 2 * 14)
    assert beside((0, 1, 2, 1), start=True) == pytest.approx(20)


def test_places_beside_the_corners_of_a_lead_are_offered_layer_by_layer() -> None:
    path = [Point(0, 0), Point(20, 0), Point(20, 20)]
    places, layers, base = candidates(path, 2.0)
    assert layers.tolist() == [0, *[1] * 6, *[2] * 5, *[3] * 6, 4]
    assert [p for p, own in zip(places, base, strict=True) if own] == path
    for p, k in zip(places[1:7], (-3, -2, -1, 1, 2, 3), strict=True):
        assert p.distance(Point(0, 0)) == pytest.approx(3.2)
        assert math.atan2(p.y, p.x) == pytest.approx(0.35 * k)
    r = math.sqrt(0.5)
    for p, step in zip(places[8:12], (-2, -1, 1, 2), strict=True):  # across the bisector
        assert p.distance(Point(20 - step * r, step * r)) < 1e-9
    for p, k in zip(places[12:18], (-3, -2, -1, 1, 2, 3), strict=True):
        assert p.distance(Point(20, 20)) == pytest.approx(3.2)
        assert Point(20, 20).angle_to(p) == pytest.approx(-HALF + 0.35 * k)


def test_at_a_short_first_or_last_leg_no_places_are_offered() -> None:
    def layers(*path: Point) -> list[int]:
        return candidates(path, 2.0)[1].tolist()

    short = [0, *[1] * 5, 2]
    assert layers(Point(0, 0), Point(6, 0), Point(6, 6)) == short
    assert layers(Point(0, 0), Point(7, 0), Point(7, 6)) == [0, *[1] * 6, *[2] * 5, 3]
    assert layers(Point(0, 0), Point(6, 0), Point(6, 7)) == [0, *[1] * 5, *[2] * 6, 3]
    assert candidates([Point(0, 0), Point(10, 0), Point(-2, 0)], 2.0)[0][7] == Point(10, 0)


def test_the_cheapest_chain_of_legs_weighs_legs_and_turns() -> None:
    xy = np.array([(0, 0), (10, 0), (10, 4), (20, 0)], dtype=float)
    first, last = np.array([0, 0, 1, 2]), np.array([1, 2, 3, 3])
    slant = math.hypot(10, 4)
    plain = np.array([10, slant, 10, slant])
    assert cheapest_chain(xy, first, last, plain, 1.0) == ([0, 1, 3], pytest.approx(20.8))
    turn = 2 * math.atan2(4, 10) / HALF
    dear = plain + np.array([5, 0, 0, 0])
    assert cheapest_chain(xy, first, last, dear, 1.0) == ([0, 2, 3], pytest.approx(2 * slant + 0.8 + 1.2 * turn**2))
    late = plain + np.array([0, 0, 5, 0])
    assert cheapest_chain(xy, first, last, late, 1.0)[0] == [0, 2, 3]


def test_a_chain_avoids_a_sharp_corner_that_costs_more_than_a_detour() -> None:
    xy = np.array([(0, 0), (10, 0), (2, 1), (12, 6), (0, 2)], dtype=float)
    pairs = [(0, 1), (0, 2), (1, 2), (1, 3), (2, 4), (3, 4)]
    first, last = np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])
    costs = np.array([float(np.hypot(*(xy[b] - xy[a]))) for a, b in pairs])
    found, price = cheapest_chain(xy, first, last, costs, 1.0)
    angles = [math.atan2(*(xy[b] - xy[a])[::-1]) for a, b in itertools.pairwise(found)]
    turns = sum(float(bend_cost(np.array([b - a]), 1.0)[0]) for a, b in itertools.pairwise(angles))
    legs_of = sum(float(np.hypot(*(xy[b] - xy[a]))) for a, b in itertools.pairwise(found))
    assert price == pytest.approx(legs_of + turns)
    assert found == [0, 2, 4]


def test_a_lead_is_left_as_it_is_where_no_change_brings_anything() -> None:
    ground = priced_zones_in(FRAME, [])
    straight = {0: [Point(5, 5), Point(50, 30)]}
    assert improve_locally(straight, {0: LeadCosts(0, 1, 2.0, 8.0, (), ())}, ground, 5) == straight
    assert improve_locally({}, {}, ground, 5) == {}


def test_no_more_leads_are_straightened_than_tries_are_allowed() -> None:
    ground = priced_zones_in(FRAME, [])
    kinked = [Point(5, 0), Point(25, 8), Point(55, 0)]
    paths = {i: [Point(p.x, p.y + 10 * i + 2) for p in kinked] for i in range(3)}
    threads = {i: LeadCosts(2 * i, 2 * i + 1, 2.0, 8.0, (), ()) for i in range(3)}
    for tries in range(4):
        found = improve_locally(paths, threads, ground, tries)
        assert [len(found[i]) for i in range(3)] == [2 if i < tries else 3 for i in range(3)]
    assert all(len(path) == 3 for path in paths.values())  # what was given is not changed


def test_a_leads_way_round_a_block_is_kept_and_straightened_on_free_ground() -> None:
    ground = priced_zones_in(FRAME, [Polygon([(20, 0), (30, 0), (30, 20), (20, 20)])])
    lead = LeadCosts(0, 1, 2.0, 8.0, (1e4,), (0.0,))
    path = [Point(5, 5), Point(12, 16), Point(20, 20), Point(30, 20), Point(55, 5)]
    (found,) = improve_locally({0: path}, {0: lead}, ground, 9).values()
    assert found == [Point(5, 5), Point(20, 20), Point(30, 20), Point(55, 5)]


def test_long_legs_are_seen_wherever_they_pass_and_from_either_end() -> None:
    way = [Point(0, 0), Point(50, 1)]
    threads = {i: LeadCosts(2 * i, 2 * i + 1, 2.0, 8.0, (), ()) for i in range(2)}
    for path in (way, way[::-1]):
        legs_now = _LegTable({0: path, 1: [Point(40, -1), Point(45, -1)]}, threads)
        for x, y, count in ((2, 3, 1), (40, -1, 1), (49, 4, 1), (40, 6, 0), (55, 0, 0), (-5, 0, 0)):
            assert len(legs_now.others(1, threads[1], np.array([(x, y)], dtype=float)).a) == count, (x, y)
