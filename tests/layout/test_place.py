"""Placement: what is mirrored, what is turned, and what never is."""

from __future__ import annotations

import math
from dataclasses import replace

from bench import SYMBOLS, box, build, cavity, channel, flipped, one_volume, part
from hypothesis import given
from hypothesis import strategies as st

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.arrange_cavities import place_all
from diagramgen.layout.placement.place_parts import footprint, seen
from diagramgen.library.outline_size import shape_of
from diagramgen.model.build import Build

DEGREES = st.floats(-360, 360, allow_nan=False)
X, Y = st.floats(20, 100), st.floats(20, 50)


def with_pot(x: float, y: float, turned: float) -> Build:
    return build([part("volume", "pot-24", (x, y), turned)], "", [cavity(outline=box(124, 74))])


def pot(made: Build) -> PlacedPart:
    return place_all(made, Diagnostics())["volume"]


def sense(p: PlacedPart) -> float:
    """Which way round the shaft the lugs ten, wiper, zero follow: the sign of the turn from ten to zero."""
    centre = p.place(Point(0, 0))
    a, b = p.lugs["ten"].at.minus(centre), p.lugs["zero"].at.minus(centre)
    return a.x * b.y - a.y * b.x


@given(X, Y, DEGREES)
def test_a_left_handed_plan_moves_a_pot_but_keeps_the_sense_of_its_lugs(x: float, y: float, turned: float) -> None:
    made = with_pot(x, y, turned)
    right, left = pot(made), pot(flipped(made))
    assert sense(right) * sense(left) > 0
    assert left.place(Point(0, 0)).distance(Point(124 - round(x, 4), round(y, 4))) < 2e-4
    assert not left.place.mirrors


@given(X, Y, DEGREES)
def test_mirroring_the_file_and_flipping_the_plan_is_no_change(x: float, y: float, turned: float) -> None:
    plain = pot(with_pot(x, y, turned))
    twice = pot(flipped(with_pot(124 - x, y, -turned)))
    for name, lug in plain.lugs.items():
        assert lug.at.distance(twice.lugs[name].at) < 5e-4
        if lug.away is not None:
            other = twice.lugs[name].away
            assert other is not None
            assert abs(math.remainder(lug.away - other, math.tau)) < 1e-9


@given(X, Y, DEGREES)
def test_lugs_keep_their_true_distances_however_the_part_is_turned(x: float, y: float, turned: float) -> None:
    placed = pot(with_pot(x, y, turned))
    lugs = shape_of(SYMBOLS["pot-24"]).lugs
    names = list(lugs)
    for a in names:
        for b in names:
            assert abs(placed.lugs[a].at.distance(placed.lugs[b].at) - lugs[a].at.distance(lugs[b].at)) < 3e-4


def test_lugs_down_and_not_turned_the_ten_end_is_left_in_both_hands() -> None:
    made = with_pot(62, 30, 0)
    for p in (pot(made), pot(flipped(made))):
        assert p.lugs["ten"].at.x < p.lugs["wiper"].at.x < p.lugs["zero"].at.x
        assert p.lugs["wiper"].at.y > p.place(Point(0, 0)).y


def test_a_part_turned_by_a_quarter_clockwise_has_its_lugs_left() -> None:
    p = pot(with_pot(62, 37, 90))
    assert p.lugs["wiper"].at.distance(Point(62 - 17, 37)) < 1e-3
    assert p.lugs["wiper"].away is not None
    assert abs(math.remainder(p.lugs["wiper"].away - math.pi, math.tau)) < 1e-9


def test_an_outline_that_is_not_symmetric_is_mirrored_with_the_hand() -> None:
    made = one_volume()
    right, left = place_all(made, Diagnostics()), place_all(flipped(made), Diagnostics())
    for name in ("volume", "tone", "selector"):
        a, b = right[name].place(Point(0, 0)), left[name].place(Point(0, 0))
        assert b.distance(Point(124 - a.x, a.y)) < 1e-3


def test_a_cavity_without_an_outline_is_mirrored_about_the_places_given_in_it() -> None:
    parts = [part("one", "pot-24", (10, 10)), part("two", "pot-24", (70, 30), turned=30),
             part("three", "pot-24", (5, 5), cavity="other")]
    ways = [channel("way", (100, 20), to="other", far=(300, 9)),
            channel("back", (-80, 9), cavity="other", to="controls"),
            channel("here", (-90, 9), cavity="other", to="controls", far=(130, 9))]
    right = build(parts, "", [cavity(), cavity("other", box(60, 50))], ways)
    view = seen(flipped(right), right.cavities["controls"])  # from 10, the first pot, to 130, the last mouth
    for x, y in ((10, 10), (70, 30), (130, 9)):
        assert view(Point(x, y)).distance(Point(140 - x, y)) < 1e-9
    assert seen(right, right.cavities["controls"])(Point(10, 10)) == Point(10, 10)


def test_a_component_between_two_lugs_is_placed_near_them_and_off_every_lug() -> None:
    parts = place_all(one_volume(), Diagnostics())
    cap = parts["tone-cap"]
    goals = [parts["tone"].lugs["wiper"].at, parts["tone"].lugs["case"].at]
    ends = [lug.at for lug in cap.lugs.values()]
    assert sum(a.distance(b) for a, b in zip(ends, goals, strict=True)) < 45
    foreign = [lug.at for p in parts.values() if p is not cap for lug in p.lugs.values()]
    outline = [q for z in cap.body for q in z.outline.flat()]
    assert min(p.distance(q) for p in foreign for q in outline) > 1.6


def test_a_part_without_a_place_is_put_on_free_floor_and_said() -> None:
    made = one_volume()
    parts = dict(made.parts) | {"tone": replace(made.parts["tone"], at=None)}
    say = Diagnostics()
    found = place_all(replace(made, parts=parts), say)
    assert [p.code for p in say.sorted()] == ["FIT-201"]
    assert found["tone"].automatic
    others = [p for p in found.values() if p.region == "controls" and p is not found["tone"]]
    assert not any(footprint(found["tone"]).intersects(footprint(p)) for p in others)


def test_a_part_for_which_no_floor_is_left_is_placed_all_the_same_and_said() -> None:
    parts = [part("volume", "pot-24", (20, 20)), part("tone", "pot-24", cavity="controls")]
    say = Diagnostics()
    found = place_all(build(parts, "", [cavity(outline=box(42, 44))]), say)
    assert "tone" in found
    assert [p.code for p in say.sorted()] == ["FIT-202"]
