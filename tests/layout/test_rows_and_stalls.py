"""Parts outside every cavity: rows on the board, stalls beside a mouth; who stands beside whom and how far off."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from bench import leads, part

from diagramgen.kernel.geometry import Box, Point
from diagramgen.layout.boundary import Opening
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.off_plan_stalls import (
    SHEET,
    bearing,
    directions,
    fill_stall,
    parts_of_stall,
    place_stall,
)
from diagramgen.layout.placement.pack import _sheet_price
from diagramgen.layout.placement.rows import ROW_GAP, WIDEST, arrange_rows, facing

HALF = math.pi / 2


def rows(*symbols: tuple[str, str], lines: str = "") -> dict[str, PlacedPart]:
    return arrange_rows([part(name, symbol) for name, symbol in symbols], leads(lines), "board")


def look(p: PlacedPart) -> float:
    away = [lug.away for lug in p.lugs.values() if lug.away is not None]
    return math.atan2(sum(map(math.sin, away)), sum(map(math.cos, away)))


def test_parts_of_a_row_stand_a_lane_apart_about_the_middle() -> None:
    found = rows(("a", "pot-24"), ("b", "pot-24"), ("c", "pot-24"))
    boxes = [found[n].box for n in "abc"]
    for left, right in pairwise(boxes):
        assert right.left - left.right == pytest.approx(ROW_GAP, abs=1e-3)
        assert right.top == left.top
    assert boxes[0].left + boxes[-1].right == pytest.approx(0, abs=1e-3)


@pytest.mark.parametrize(("between", "lane"), [(0, 15), (4, 15), (5, 16), (9, 20)])
def test_rows_stand_further_apart_the_more_leads_leave_them(between: int, lane: float) -> None:
    lines = "a.ten -> b.ten, red\n" * 7 + "coil.finish -> a.ten, red\n" * between
    found = rows(("coil", "single-coil"), ("a", "pot-24"), ("b", "pot-24"), lines=lines)
    low = min(found[n].box.top for n in "ab")
    assert low - found["coil"].box.bottom == pytest.approx(lane, abs=1e-3)


def test_pickups_stand_above_controls_above_grounds_and_the_jack_to_the_right() -> None:
    found = rows(("earth", "ground-lug"), ("jack", "jack-mono-open"), ("pot", "pot-24"), ("coil", "single-coil"))
    coil, pot, earth, jack = (found[n].box for n in ("coil", "pot", "earth", "jack"))
    assert coil.bottom + ROW_GAP == pytest.approx(pot.top, abs=1e-3)
    assert pot.bottom + ROW_GAP == pytest.approx(earth.top, abs=1e-3)
    for box in (coil, pot, earth):
        assert box.left + box.right == pytest.approx(0, abs=1e-3)
        assert box.right + ROW_GAP <= jack.left + 1e-3
    assert max(coil.right, pot.right, earth.right) + ROW_GAP == pytest.approx(jack.left, abs=1e-3)
    assert jack.centre.y == pytest.approx((coil.top + earth.bottom) / 2, abs=1e-3)
    assert math.cos(look(found["jack"])) < -0.7
    assert look(found["coil"]) == pytest.approx(HALF)
    assert look(found["pot"]) == pytest.approx(HALF)
    assert look(found["earth"]) == pytest.approx(-HALF)


def test_two_jacks_stand_above_each_other() -> None:
    found = rows(("one", "jack-mono-open"), ("two", "jack-mono-open"))
    one, two = found["one"].box, found["two"].box
    assert two.top - one.bottom == pytest.approx(ROW_GAP, abs=1e-3)
    assert one.left == pytest.approx(two.left, abs=1e-3)
    assert one.top == pytest.approx(0, abs=1e-3)


def test_parts_that_share_many_leads_stand_beside_each_other() -> None:
    lines = "a.ten -> c.ten, red\n" * 3 + "b.ten -> d.ten, red\n" * 3
    found = rows(*((n, "pot-24") for n in "abcd"), lines=lines)
    at = {n: found[n].box.centre.x for n in "abcd"}
    lane = 24 + ROW_GAP
    assert abs(at["a"] - at["c"]) == pytest.approx(lane, abs=1e-3)
    assert abs(at["b"] - at["d"]) == pytest.approx(lane, abs=1e-3)


def test_a_control_stands_below_the_pickup_it_is_joined_to() -> None:
    lines = "one.finish -> b.ten, red\ntwo.finish -> a.ten, red"
    found = rows(("one", "single-coil"), ("two", "single-coil"), ("a", "pot-24"), ("b", "pot-24"), lines=lines)
    order = [found[n].box.centre.x for n in ("one", "two", "b", "a")]
    assert (order[0] < order[1]) == (order[2] < order[3])


def test_a_row_too_long_for_the_paper_is_broken_into_rows_of_one_length() -> None:
    names = "abcdefg"  # 24 mm and a lane each: 273 mm
    found = rows(*((n, "pot-24") for n in names))
    tops = sorted({round(found[n].box.top, 3) for n in names})
    assert [sum(round(found[n].box.top, 3) == top for n in names) for top in tops] == [4, 3]
    five = rows(*((n, "pot-24") for n in "abcde"))
    assert len({round(p.box.top, 3) for p in five.values()}) == 1
    assert max(p.box.right for p in five.values()) - min(p.box.left for p in five.values()) < WIDEST


@pytest.mark.parametrize("towards", [0.0, HALF, math.pi, -HALF])
@pytest.mark.parametrize("symbol", ["pot-24", "single-coil", "ground-lug", "jack-mono-open", "contact-transducer"])
def test_lugs_are_turned_to_look_where_they_shall(symbol: str, towards: float) -> None:
    found, turn = facing(part("x", symbol), "board", towards)
    assert abs(math.remainder(turn / HALF, 1.0)) < 1e-9
    assert math.cos(look(found) - towards) > 0.7


def door(outward: float, x: float = 0.0, y: float = 0.0) -> Opening:
    return Opening(Point(x, y), math.remainder(outward + math.pi, math.tau), 0.0)


def test_a_stall_stands_its_parts_side_by_side_above_its_door() -> None:
    content = fill_stall("stall x", [part("a", "single-coil"), part("b", "single-coil")], 4, 8.0, {})
    boxes = [shape.box for shape, _ in content.parts]
    at = [Box(b.left + t.e, b.top + t.f, b.right + t.e, b.bottom + t.f) for b, (_, t) in
          zip(boxes, content.parts, strict=True)]
    lane = 7.0 + 0.95 * 4
    assert [b.bottom for b in at] == pytest.approx([-lane, -lane], abs=1e-3)
    assert at[0].left == pytest.approx(2.5, abs=1e-3)
    assert at[1].left - at[0].right == pytest.approx(5, abs=1e-3)
    assert content.box == pytest.approx((0, -lane - 18 - 2.5, at[1].right + 2.5, 0), abs=1e-3)


def test_a_stall_is_as_wide_as_its_door_at_least_with_its_parts_in_the_middle() -> None:
    content = fill_stall("stall x", [part("a", "ground-lug")], 1, 30.0, {})
    assert content.box.width == 34
    ((shape, place),) = content.parts
    assert shape.box.centre.x + place.e == pytest.approx(17, abs=1e-3)
    lane = 7.0 + 0.95 * 2
    assert fill_stall("stall x", [part("a", "ground-lug")], 40, 4.0, {}).box.top == pytest.approx(
        content.box.top + lane - (7 + 0.95 * 14), abs=1e-3)


def order_of(goals: dict[str, list[float]], names: str = "abc") -> str:
    content = fill_stall("stall x", [part(n, "single-coil") for n in names], 4, 8.0, goals)
    return "".join(shape.part.name for shape, _ in content.parts)


def test_parts_of_a_stall_stand_in_the_order_of_where_their_leads_go() -> None:
    assert order_of({"a.start": [0.8], "b.start": [-0.4], "c.start": [0.1]}) == "bca"
    assert order_of({"a.start": [-1.0], "b.start": [0.4], "c.start": [0.1]}) == "acb"
    assert order_of({}) == "abc"
    # one far lead moves a part's mean, three near ones more crossings
    assert order_of({"a.finish": [0.0], "a.start": [0.1], "b.start": [-0.1, -0.1, -0.1, 1.4]}, "ab") == "ba"
    assert order_of({n + ".start": [-0.1 * k] for k, n in enumerate("abcdef")}, "abcdef") == "fedcba"


def test_a_stall_stands_over_its_mouth_and_its_throat_leads_down_to_it() -> None:
    content = fill_stall("stall x", [part("a", "single-coil")], 4, 8.0, {})
    for outward in (-HALF, 0.0, HALF, math.pi):
        mouth = door(outward, 50, 30)
        stall = place_stall(content, mouth, outward, 0.0, 5.0)
        middle = stall.box.centre
        assert mouth.centre.angle_to(middle) == pytest.approx(outward) or abs(
            math.remainder(mouth.centre.angle_to(middle) - outward, math.tau)) < 1e-6
        assert mouth.centre.distance(middle) == pytest.approx(5 + content.box.height / 2, abs=1e-3)
        ends = stall.throat[:2]
        assert ends[0].distance(ends[1]) == pytest.approx(8 + 3.2)
        assert Point((ends[0].x + ends[1].x) / 2, (ends[0].y + ends[1].y) / 2).distance(mouth.centre) < 1e-6
        near = stall.throat[2:]
        assert near[0].distance(near[1]) == pytest.approx(8 + 3.2 + 8)
        (p,) = parts_of_stall(stall).values()
        assert p.outside
        assert p.automatic
        assert math.cos(look(p) - outward) == pytest.approx(-1)  # its lugs look at the door


def test_a_stall_that_is_slid_keeps_the_door_within_its_near_edge() -> None:
    content = fill_stall("stall x", [part("a", "single-coil")], 4, 8.0, {})
    half = content.box.width / 2
    for slide in (-40.0, -10.0, 0.0, 10.0, 40.0):
        stall = place_stall(content, door(-HALF), -HALF, slide, 5.0)
        assert stall.box.centre.x == pytest.approx(slide, abs=1e-3)
        assert stall.box.bottom == pytest.approx(-5, abs=1e-3)
        near = sorted(p.x for p in stall.throat[2:])
        assert slide - half - 1e-6 <= near[0] < near[1] <= slide + half + 1e-6
        middle = (near[0] + near[1]) / 2
        assert abs(middle) <= max(0.0, abs(slide) - half + 9.7)


def test_stalls_lie_upright_the_direction_nearest_to_the_mouth_first() -> None:
    assert directions(door(0.0)) == [0.0]
    assert directions(door(math.radians(40))) == pytest.approx([0.0, HALF])
    assert directions(door(math.radians(50))) == pytest.approx([HALF, 0.0])
    assert directions(door(math.radians(20))) == [0.0]
    assert directions(door(math.radians(170))) == [pytest.approx(math.pi)]


def test_bearings_grow_from_left_to_right_with_the_stall_above_its_door() -> None:
    for outward in (-HALF, 0.0, HALF, math.pi):
        mouth = door(outward, 10, 20)
        inward = outward + math.pi
        right = outward + HALF
        places = [mouth.centre.towards(inward, 10).towards(right, step) for step in (-10, 0, 10, 20)]
        assert [bearing(mouth, outward, p) for p in places] == pytest.approx(
            [-math.pi / 4, 0, math.pi / 4, math.atan2(20, 10)])


def test_a_plan_costs_by_its_width_and_height_and_much_more_beyond_the_sheet() -> None:
    assert _sheet_price(Box(-20, 0, 180, 100)) == 0.25 * 300
    wide, high = SHEET
    assert _sheet_price(Box(0, 0, wide, high)) == 0.25 * (wide + high)
    assert _sheet_price(Box(5, 5, wide + 15, high + 8)) == pytest.approx(0.25 * (wide + high + 13) + 4 * (10 + 3))
