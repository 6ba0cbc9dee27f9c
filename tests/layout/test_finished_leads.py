"""Finished leads: round corners, corners drawn out to a point to pass, and what is said where something is not kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from diagramgen.kernel.geometry import Arc, Line, Path, Point, polyline
from diagramgen.layout.routing import Net, Obstacle, Pin, RoutingRegion
from diagramgen.layout.routing.clean_up import (
    checked_route,
    clearance_index,
    concatenated,
    tidy_corners,
    with_overlaps,
    without_spikes,
)
from diagramgen.layout.routing.corners import round_corners
from diagramgen.layout.routing.priced_zones import LeadCosts, priced_zones_in
from diagramgen.layout.routing.router import corners_on_waypoints

FRAME = box(0, 0, 60, 40)
SQUARE = [Point(10, 20), Point(30, 20), Point(30, 38)]
GENTLE = [Point(10, 20), Point(30, 20), Point(46, 36)]  # turns by 45 degrees


def thread(*prices: float) -> LeadCosts:
    return LeadCosts(0, 1, 2.0, 8.0, prices, (0.0,) * len(prices))


def bent(path: list[Point], *more: list[Point], bend: float = 2.5, zones: Sequence[Polygon] = (), price: float = 40.0,
         frame: Polygon = FRAME, fixed: dict[Point, float] | None = None) -> Path:
    """The first of some leads with round corners."""
    paths = dict(enumerate([path, *more]))
    threads = {i: thread(*(price,) * len(zones)) for i in paths}
    fix = {i: (fixed or {}) if i == 0 else {} for i in paths}
    return round_corners(paths, dict.fromkeys(paths, bend), threads, priced_zones_in(frame, zones), fix)[0]


def radii(path: Path) -> list[float]:
    found, at = [], path.start
    for piece in path.pieces:
        if isinstance(piece, Arc):
            assert at.distance(piece.centre) == pytest.approx(piece.to.distance(piece.centre))
            found.append(at.distance(piece.centre))
        at = piece.to
    return found


def test_a_square_corner_gets_the_bend_asked_for_and_a_gentle_one_a_wider_one() -> None:
    assert radii(bent(SQUARE)) == pytest.approx([2.5])
    assert radii(bent(SQUARE, bend=6.0)) == pytest.approx([6.0])
    assert radii(bent(GENTLE)) == pytest.approx([2.4 * 2.5])
    assert radii(bent([Point(10, 20), Point(30, 20), Point(38.7, 36)])) == pytest.approx([2.5])  # 61 degrees
    found = bent(SQUARE)
    assert found.start == SQUARE[0]
    assert found.end == SQUARE[-1]
    assert LineString(found.flat()).distance(Spot(30, 20)) == pytest.approx(2.5 * (math.sqrt(2) - 1), abs=0.03)


def test_a_wide_bend_is_given_up_where_it_comes_near_another_lead() -> None:
    beside = [Point(15, 21.8), Point(27, 21.8), Point(36, 30.8)]  # 1.9 mm from a bend of 6 mm
    assert radii(bent(GENTLE, beside)) == pytest.approx([4.0])
    nearer = [Point(15, 21.5), Point(28, 21.5), Point(36, 29.5)]
    assert radii(bent(GENTLE, nearer)) == pytest.approx([2.5])
    assert radii(bent(GENTLE, [Point(10, 5), Point(50, 5)])) == pytest.approx([6.0])
    tight = [Point(24, 21.8), Point(34, 25.8)]
    assert radii(bent(SQUARE, tight)) == pytest.approx([2.5])  # the bend asked for is kept whatever lies there


def test_an_arc_does_not_cut_into_a_body_nor_off_the_floor() -> None:
    corner = box(24, 22, 28.5, 30)
    found = bent(SQUARE, bend=8.0, zones=(corner,))
    assert radii(found)[0] < 8.0
    assert not LineString(found.flat(0.01)).intersects(corner.buffer(-0.05))
    assert radii(bent(SQUARE, bend=8.0, zones=(corner,), price=1.0)) == pytest.approx([8.0])
    hole = FRAME.difference(corner)
    assert isinstance(hole, Polygon)
    assert radii(bent(SQUARE, bend=8.0, frame=hole))[0] == pytest.approx(radii(found)[0])
    crossed = box(26, 15, 28, 30)  # what the lead crosses anyhow does not make its bend smaller
    assert radii(bent(SQUARE, bend=8.0, zones=(crossed,))) == pytest.approx([8.0])


def test_a_lead_off_the_floor_is_bent_as_any_other() -> None:
    assert radii(bent([Point(-20, -10), Point(-5, -10), Point(-5, 30)])) == pytest.approx([2.5])


def test_a_corner_that_has_to_keep_its_radius_keeps_it() -> None:
    assert radii(bent(GENTLE, fixed={GENTLE[1]: 1.25})) == pytest.approx([1.25])


def test_two_bends_that_meet_leave_no_line_without_length_between_them() -> None:
    zigzag = [Point(10, 10), Point(14, 10), Point(14, 14), Point(18, 14)]
    found = bent(zigzag, bend=2.0)
    kinds = [type(piece) for piece in found.pieces]
    assert kinds == [Line, Arc, Arc, Line]
    assert radii(found) == pytest.approx([2, 2])
    apart = bent(zigzag, bend=1.5)
    assert [type(piece) for piece in apart.pieces] == [Line, Arc, Line, Arc, Line]
    straight = bent([Point(10, 10), Point(30, 10)])
    assert straight.pieces == (Line(Point(30, 10)),)


def test_a_corner_on_a_point_to_pass_is_drawn_out_so_that_its_arc_meets_it() -> None:
    point = Point(30, 20)
    ground = priced_zones_in(FRAME, [])
    pin = corners_on_waypoints(SQUARE, [point], 2.5, (thread(), ground))
    out = 2.5 * (math.sqrt(2) - 1)
    assert pin.path[1].distance(Point(30 + out * math.sqrt(0.5), 20 - out * math.sqrt(0.5))) < 1e-3
    assert pin.radii == {pin.path[1]: 2.5}
    (arc,) = (p for p in bent(list(pin.path), fixed=dict(pin.radii)).pieces if isinstance(p, Arc))
    assert point.distance(arc.centre) == pytest.approx(2.5, abs=0.2)  # the legs lean a little


@pytest.mark.parametrize("turned", [False, True])
def test_a_corner_is_drawn_out_by_so_much_at_most_and_its_radius_made_smaller(turned: bool) -> None:
    path = SQUARE[::-1] if turned else SQUARE
    pin = corners_on_waypoints(path, [Point(30, 20)], 5.0, (thread(), priced_zones_in(FRAME, [])))
    assert pin.path[1].distance(Point(30, 20)) == pytest.approx(1.6, abs=2e-3)
    assert pin.path[1].x > 31.1
    assert list(pin.radii.values()) == pytest.approx([1.6 / (math.sqrt(2) - 1)])


def test_where_there_is_no_room_to_draw_it_out_the_arc_passes_a_point_closely() -> None:
    ground = priced_zones_in(box(0, 20, 30, 40), [])
    pin = corners_on_waypoints(SQUARE, [Point(30, 20)], 5.0, (thread(), ground))
    assert pin.path == tuple(SQUARE)
    assert pin.radii == {Point(30, 20): pytest.approx(0.3 / (math.sqrt(2) - 1))}
    body = box(30.2, 10, 40, 19.8)
    held = corners_on_waypoints(SQUARE, [Point(30, 20)], 5.0, (thread(40.0), priced_zones_in(FRAME, [body])))
    assert held.path == tuple(SQUARE)
    free = corners_on_waypoints(SQUARE, [Point(30, 20)], 5.0, (thread(1.0), priced_zones_in(FRAME, [body])))
    assert free.path != tuple(SQUARE)
    there_and_back = [Point(10, 20), Point(30, 20), Point(10, 20.2)]
    sharp = corners_on_waypoints(there_and_back, [Point(30, 20)], 5.0, (thread(), ground))
    assert sharp.radii == {Point(30, 20): 0.1}


def test_other_corners_and_points_on_a_straight_leg_stay_as_they_are() -> None:
    ground = priced_zones_in(FRAME, [])
    assert corners_on_waypoints(SQUARE, [Point(20, 20)], 2.5, (thread(), ground)).path == tuple(SQUARE)
    line = [Point(10, 20), Point(20, 20), Point(50, 20)]
    pin = corners_on_waypoints(line, [Point(20, 20)], 2.5, (thread(), ground))
    assert pin.path == tuple(line)
    assert pin.radii == {}


OUTLINE = (Point(0, 0), Point(60, 0), Point(60, 40), Point(0, 40))
A, B = Pin("lug:a", Point(5, 20)), Pin("lug:b", Point(55, 20), body="part:own")


def room(*more: Pin, bodies: Sequence[Obstacle] = (), past: tuple[str, ...] = (), width: float = 1.9) -> RoutingRegion:
    return RoutingRegion(OUTLINE, tuple(bodies), (A, B, *more), (Net("lead:1", 0, 1, width=width, may_pass=past),))


def block(left: float, top: float, right: float, bottom: float, name: str = "part:x", **what: bool) -> Obstacle:
    return Obstacle(name, (Point(left, top), Point(right, top), Point(right, bottom), Point(left, bottom)), **what)


def said(made: RoutingRegion, *points: tuple[float, float]) -> tuple[str, ...]:
    path = polyline([Point(*p) for p in points] or [A.at, B.at])
    return checked_route(clearance_index(made), made.nets[0], path).faults


def test_a_foreign_lug_is_named_from_where_solder_and_half_the_lead_are_not_clear() -> None:
    for gap, faults in ((2.2, ()), (2.12, ()), (2.04, ("comes within 2.0 mm of lug:c",)),
                        (-1.0, ("comes within 1.0 mm of lug:c",))):
        assert said(room(Pin("lug:c", Point(30, 20 + gap)))) == faults
    assert said(room(Pin("lug:c", Point(30, 22.6)), width=3.0)) == ("comes within 2.6 mm of lug:c",)
    assert said(room(Pin("lug:c", Point(30, 22.6), radius=2.0))) == ("comes within 2.6 mm of lug:c",)
    assert said(room(Pin("slot", Point(30, 20), radius=0.0))) == ()


def test_a_lug_beside_the_leads_own_one_is_passed_midway() -> None:
    assert said(room(Pin("lug:c", Point(7, 18.4)))) == ()  # 2.6 mm from lug a: 1.3 mm midway
    assert said(room(Pin("lug:c", Point(6, 21)))) == ()  # 1.4 mm from lug a, 1 from the lead
    assert said(room(Pin("lug:c", Point(8, 21)))) == ("comes within 1.0 mm of lug:c",)  # 3.2 mm: 1.5
    assert said(room(Pin("lug:c", A.at))) == ()


def test_bodies_crossed_touched_and_passed_over() -> None:
    assert said(room(bodies=[block(25, 10, 35, 30)])) == ("crosses part:x",)
    assert said(room(bodies=[block(25, 21, 35, 30)])) == ("comes within 1.0 mm of part:x",)
    assert said(room(bodies=[block(25, 21.46, 35, 30)])) == ()
    assert said(room(bodies=[block(25, 21.44, 35, 30)])) == ("comes within 1.4 mm of part:x",)
    assert said(room(bodies=[block(25, 10, 35, 30, "part:own")])) == ()
    assert said(room(bodies=[block(25, 10, 35, 30, passable=True)])) == ()
    assert said(room(bodies=[block(25, 10, 35, 30)], past=("part:x",))) == ()
    assert said(room(bodies=[block(25, 10, 35, 30, metal=True)], past=("part:x",))) == ("crosses part:x",)


def test_near_a_leads_end_a_body_may_be_as_near_as_the_end_itself() -> None:
    assert said(room(bodies=[block(4, 21, 7.5, 30)])) == ()  # lug a stands 1 mm from it
    assert said(room(bodies=[block(4, 21, 9.1, 30)])) == ("comes within 1.0 mm of part:x",)
    assert said(room(bodies=[block(7, 21, 8, 30)])) == ("comes within 1.0 mm of part:x",)


def test_bodies_passed_over_are_listed_once_and_from_half_a_millimetre() -> None:
    def over(*bodies: Obstacle, past: tuple[str, ...] = ()) -> tuple[str, ...]:
        made = room(bodies=bodies, past=past)
        return checked_route(clearance_index(made), made.nets[0], polyline([A.at, B.at])).over

    assert over(block(25, 10, 35, 30, passable=True)) == ("part:x",)
    assert over(block(25, 10, 25.4, 30, passable=True)) == ()
    assert over(block(25, 10, 25.6, 30, passable=True)) == ("part:x",)
    assert over(block(10, 10, 15, 30, passable=True), block(25, 10, 35, 30, passable=True)) == ("part:x",)
    assert over(block(25, 10, 35, 30), past=("part:x",)) == ("part:x",)
    assert over(block(25, 10, 35, 30, metal=True), past=("part:x",)) == ()
    assert over(block(25, 10, 35, 30)) == ()


def test_the_wall_is_named_but_not_at_the_ends_of_a_lead() -> None:
    assert said(room(), (5, 20), (30, 1), (55, 20)) == ("comes within 1.0 mm of the wall",)
    assert said(room(), (5, 20), (30, 1.46), (55, 20)) == ()
    assert said(room(), (5, 20), (30, -1), (55, 20)) == ("leaves the cavity",)
    ends = Pin("lug:a", Point(0.5, 20)), Pin("lug:b", Point(0.5, 30))
    made = RoutingRegion(OUTLINE, (), ends, (Net("lead:1", 0, 1),))
    assert said(made, (0.5, 20), (4, 22), (4, 28), (0.5, 30)) == ()
    assert said(made, (0.5, 20), (0.5, 30)) == ("comes within 0.5 mm of the wall",)
    near = replace(made, pins=(ends[0], replace(ends[1], at=Point(0.5, 27.9))))
    assert said(near, (0.5, 20), (0.5, 27.9)) == ()  # what lies within 4 mm of an end is not judged


def test_the_length_of_a_route_is_that_of_its_path_and_a_lead_without_length_is_a_place() -> None:
    path = bent(SQUARE, bend=4.0)
    made = RoutingRegion(OUTLINE, (), (Pin("a", SQUARE[0]), Pin("b", SQUARE[-1])), (Net("lead:1", 0, 1),))
    length = checked_route(clearance_index(made), made.nets[0], path).length
    assert length == pytest.approx(20 + 18 - 8 + math.tau, abs=1e-3)
    none = checked_route(clearance_index(made), made.nets[0], Path(SQUARE[0], (Line(SQUARE[0]),)), ("told before",))
    assert none.length == 0
    assert none.faults == ("told before",)


def lying(*ways: list[tuple[float, float]], widths: tuple[float, ...] = ()) -> list[tuple[str, ...]]:
    """What is said of leads that lie on one another."""
    lugs = tuple(Pin(f"{i}{k}", Point(*way[k])) for i, way in enumerate(ways) for k in (0, -1))
    wide = widths or (2.0,) * len(ways)
    runs = tuple(Net(f"lead:{i}", 2 * i, 2 * i + 1, width=w) for i, w in enumerate(wide))
    made = RoutingRegion(OUTLINE, (), lugs, runs)
    routes = [checked_route(clearance_index(made), run, polyline([Point(*p) for p in way])) for run, way in
              zip(runs, ways, strict=True)]
    return [tuple(f for f in r.faults if "lies on" in f) for r in with_overlaps(made, routes)]


def test_leads_that_lie_on_each_other_are_named_at_the_later_one() -> None:
    base = [(5.0, 20.0), (55.0, 20.0)]
    on = [(15.0, 5.0), (15.0, 20.0), (45.0, 20.0), (45.0, 5.0)]
    first, second = lying(base, on)
    assert first == ()
    assert len(second) == 1
    assert second[0].startswith("lies on lead:0 for 3")  # 30 mm
    near = [(15.0, 5.0), (15.0, 20.5), (45.0, 20.5), (45.0, 5.0)]
    assert lying(base, near)[1] != ()
    apart = [(15.0, 5.0), (15.0, 19.3), (45.0, 19.3), (45.0, 5.0)]
    assert lying(base, apart) == [(), ()]
    assert lying(base, [(30.0, 5.0), (30.0, 35.0)]) == [(), ()]  # a crossing
    short = [(28.0, 5.0), (28.0, 19.8), (30.6, 19.8), (30.6, 5.0)]
    assert lying(base, short) == [(), ()]
    long = [(28.0, 5.0), (28.0, 19.8), (31.2, 19.8), (31.2, 5.0)]
    assert lying(base, long)[1] != ()


def test_near_the_ends_of_either_lead_they_may_lie_close() -> None:
    base = [(5.0, 20.0), (55.0, 20.0)]
    assert lying(base, [(5.0, 20.0), (14.2, 20.0), (14.2, 5.0)]) == [(), ()]  # 6 mm and not 4 more
    assert lying(base, [(5.0, 20.0), (16.0, 20.0), (16.0, 5.0)])[1] != ()
    assert lying(base, [(30.0, 20.0), (39.2, 20.0), (39.2, 5.0)]) == [(), ()]


def test_needless_corners_go_and_turns_back_stay() -> None:
    back = [Point(0, 0), Point(10, 0), Point(4, 0), Point(4, 8)]
    assert without_spikes(back) == back
    assert without_spikes([Point(0, 0), Point(5, 0.0005), Point(10, 0)]) == [Point(0, 0), Point(10, 0)]
    assert without_spikes([Point(0, 0), Point(5, 0.01), Point(10, 0)]) == [Point(0, 0), Point(5, 0.01), Point(10, 0)]
    near = [Point(0, 0), Point(5, 5), Point(5.01, 5.01), Point(9.99, 0.01), Point(10, 0)]
    assert without_spikes(near) == [Point(0, 0), Point(5, 5), Point(10, 0)]
    assert without_spikes([Point(1, 1), Point(1, 1)]) == [Point(1, 1), Point(1, 1)]
    rough = [Point(0.00004, 0), Point(5.00004, 5.00006), Point(10.00004, 0)]
    assert tidy_corners(rough) == [rough[0], Point(5.0, 5.0), rough[2]]
    assert tidy_corners([Point(0, 0), Point(5.0006, 5), Point(10, 0)])[1] == Point(5.001, 5)
    line = [Point(0, 0), Point(1, 0), Point(2, 0)]
    assert concatenated([line[:2], line[1:], []]) == line
