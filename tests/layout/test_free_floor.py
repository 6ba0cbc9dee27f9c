"""Free floor for what has no place: near where its leads go, clear of walls and parts, and none where there is none.

Measures of the parts are those of the shipped symbols: a pot takes 24 mm by 30.6 mm with its lugs, a capacitor 29.2 mm
by 6 mm with its legs, the tab of a foil patch lies 6 mm below its middle.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
import shapely
from bench import build, cavity, channel, lead, outline, part
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point, Transform, moved, turned
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.arrange_cavities import place_all
from diagramgen.layout.placement.free_floor import free_place, lead_goals, place_hanging
from diagramgen.layout.placement.place_parts import footprint, hulls, place_part

POT = part("pot", "pot-24")
CAP = part("cap", "capacitor-film", between=("a.one", "b.one"))
ROOM = box(0, 0, 120, 80)
HALF = math.pi / 2


def stands(symbol: str, floor: BaseGeometry, *taken: BaseGeometry, pulls: Sequence[tuple[str, Point]] = (),
           turn: float = 0.0) -> PlacedPart | None:
    what = part("x", symbol)
    place = free_place(what, "c", floor, taken, goals=pulls, turn=turn)
    return place_part(what, place, "c") if place else None


def spot(found: PlacedPart | None) -> Point:
    assert found is not None
    return Point(found.place.e, found.place.f)


def test_a_part_that_nothing_pulls_stands_in_the_middle() -> None:
    assert spot(stands("pot-24", ROOM)) == Point(60, 40)
    assert spot(stands("pot-24", box(-40, 100, 80, 180))) == Point(20, 140)
    assert spot(stands("pot-24", box(10, 20, 72, 75))).distance(Point(41, 47.5)) < 1.5


@pytest.mark.parametrize(("x", "y"), [(30, 30), (90, 30), (33, 57), (91, 61)])
@pytest.mark.parametrize("turn", [0.0, HALF, 2.5])
def test_a_part_stands_where_its_lug_is_at_its_goal(x: float, y: float, turn: float) -> None:
    found = stands("toggle-mini-dpdt-on-on", ROOM, pulls=[("a 1", Point(x, y))], turn=turn)
    assert found is not None
    assert found.lugs["a 1"].at.distance(Point(x, y)) < 1.6  # places are tried every 2 mm


def test_a_part_pulled_by_two_leads_stands_between_them() -> None:
    goals = [("wiper", Point(60, 5)), ("case", Point(60, 75))]
    assert spot(stands("pot-24", ROOM, pulls=goals)).x == 60
    near = stands("pot-24", ROOM, pulls=[("wiper", Point(20, 60)), ("case", Point(20, 60)), ("ten", Point(110, 60))])
    assert spot(near).x < 60


@pytest.mark.parametrize(("quarters", "floor"), [
    (2, box(0, 0, 40, 40)), (1, box(0, 0, 40, 40)), (0, box(0, 0, 40, 40)), (3, box(0, 0, 40, 40)),
])
def test_a_part_that_reaches_to_one_side_only_stands_by_the_far_wall_where_nothing_else_is_free(
    quarters: int, floor: BaseGeometry
) -> None:
    free = {2: box(0, 29, 40, 40), 1: box(29, 0, 40, 40), 0: box(0, 0, 40, 11), 3: box(0, 0, 11, 40)}[quarters]
    found = stands("foil-patch", floor, floor.difference(free), turn=quarters * HALF)
    assert found is not None
    assert free.buffer(-1.99).covers(footprint(found))


def test_a_part_keeps_two_millimetres_from_the_wall() -> None:
    def fits(left: float, top: float, right: float, bottom: float) -> bool:
        found = stands("pot-24", box(left, top, right, bottom))
        return found is not None and spot(found) == Point(0, 0)

    assert fits(-16, -16, 14.05, 20.65)
    assert not fits(-16, -16, 13.95, 20.65)
    assert not fits(-16, -16, 14.05, 20.55)
    assert fits(-14, -14, 14.05, 20.65)


def test_the_widest_lane_that_can_be_had_is_left_beside_other_parts() -> None:
    taken = box(0, 0, 10, 60)
    for width, lane in ((60, 9.0), (50, 9.0), (44, 5.0), (41, 2.0)):
        found = stands("pot-24", box(0, 0, width, 60), taken, pulls=[("case", Point(10, 30))])
        assert found is not None
        gap = footprint(found).distance(taken)
        assert lane <= gap <= lane + 2.0, width
    assert stands("pot-24", box(0, 0, 37, 60), taken) is None
    assert stands("pot-24", box(0, 0, 20, 20)) is None


def test_what_pulls_a_part_are_the_placed_ends_of_its_leads() -> None:
    lines = [lead(text, "W1") for text in ("x.one -> y.a, red", "y.b -> x.two, red", "y.a -> y.b, red",
                                           "x.one -> z.a, red", "x.one -> far.b, red", "x.one -> x.two, red")]
    lugs, gates = {"y.a": Point(1, 2), "y.b": Point(3, 4)}, {"far": Point(5, 6)}
    assert lead_goals("x", lines, lugs, gates) == [("one", Point(1, 2)), ("two", Point(3, 4)), ("one", Point(5, 6))]
    assert lead_goals("y", lines, lugs, gates) == [("a", Point(3, 4)), ("b", Point(1, 2))]


def hung(one: Point, other: Point, floor: BaseGeometry = ROOM, others: Sequence[PlacedPart] = (),
         extra: Sequence[BaseGeometry] = ()) -> PlacedPart:
    return place_part(CAP, place_hanging(CAP, "c", (one, other), floor, others, extra), "c")


@pytest.mark.parametrize("degrees", [0, 45, 90, 135, 180, 225, 270, 315, 30, 200])
def test_a_component_hangs_between_its_lugs_in_line_with_them(degrees: float) -> None:
    middle, way = Point(60, 40), math.radians(degrees)
    one, other = middle.towards(way, -20), middle.towards(way, 20)
    found = hung(one, other)
    first, second = found.lugs["one"].at, found.lugs["other"].at
    assert one.distance(first) + first.distance(second) + second.distance(other) == pytest.approx(40, abs=1e-3)
    assert first.distance(second) == pytest.approx(26, abs=1e-3)
    assert first.distance(one) > 1.9
    assert second.distance(other) > 1.9


def test_a_component_between_two_close_lugs_lies_beside_them() -> None:
    found = hung(Point(60, 40), Point(60, 40))
    legs = [lug.at.distance(Point(60, 40)) for lug in found.lugs.values()]
    assert sum(legs) < 30  # it is 26 mm long with its legs


def test_a_component_moves_off_lugs_and_bodies_and_stays_on_the_floor() -> None:
    one, other = Point(40, 40), Point(80, 40)
    pot = place_part(part("pot", "pot-24"), moved(Point(60, 40)), "c")
    away = hung(one, other, others=[pot])
    body = shapely.union_all(hulls(away))
    assert not body.intersects(shapely.union_all(hulls(pot)))
    assert min(body.distance(shapely.Point(lug.at)) for lug in pot.lugs.values()) > 2.6
    post = box(55, 30, 65, 50)
    assert not shapely.union_all(hulls(hung(one, other, extra=[post]))).intersects(post)
    floor = box(0, 0, 120, 41)
    assert floor.buffer(-0.9).covers(shapely.union_all(hulls(hung(one, other, floor))))


def test_where_no_floor_is_free_a_component_lies_over_bodies_but_not_over_lugs() -> None:
    floor = box(20, 20, 100, 60)
    extra = [box(0, 0, 120, 80)]
    lug = place_part(part("joint", "splice"), moved(Point(60, 40)), "c")
    found = hung(Point(40, 40), Point(80, 40), floor, [lug], extra)
    body = shapely.union_all(hulls(found))
    assert floor.covers(body)
    assert body.distance(shapely.Point(60, 40)) > 2.6


def test_a_component_hung_in_a_turned_room_is_the_component_turned() -> None:
    pot = place_part(part("pot", "pot-24"), moved(Point(50, 30)), "c")
    plain = hung(Point(40, 52), Point(70, 55), others=[pot])
    turn = turned(HALF)
    there = place_part(part("pot", "pot-24"), moved(Point(50, 30)).then(turn), "c")
    floor = box(-80, 0, 0, 120)
    quarter = hung(turn(Point(40, 52)), turn(Point(70, 55)), floor, [there])
    for name, lug in plain.lugs.items():
        assert turn(lug.at).distance(quarter.lugs[name].at) < 0.01


def test_a_part_of_one_lug_hangs_by_it() -> None:
    one = part("x", "splice", between=("a.one", "b.one"))
    place: Transform = place_hanging(one, "c", (Point(40, 40), Point(60, 40)), ROOM, [], [])
    assert Point(place.e, place.f).distance(Point(50, 40)) < 10.1


def test_a_part_without_a_place_leaves_eleven_millimetres_and_a_lane_before_a_mouth() -> None:
    parts = [part("pot", "pot-24", cavity="controls"), part("strings", "bridge-ground", through="hole")]
    made = build(parts, "strings.ground -> pot.case, black",
                 [cavity(outline=outline((0, 0), (124, 0), (124, 74), (0, 74)))], [channel("hole", (0, 37))])
    gap = footprint(place_all(made, Diagnostics())["pot"]).distance(shapely.Point(0, 37))
    assert 11 + 9 - 0.1 < gap < 11 + 9 + 2  # places are tried every 2 mm
