"""Lugs lie where the part's dimensions put them.

Which lug stands left, and how decks and gangs lie, is common practice, no source.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from diagramgen.kernel.geometry import Point, mirrored, turned
from diagramgen.library.catalogue import shipped, shipped_files
from diagramgen.library.model import LugPattern, Symbol
from diagramgen.library.outline_size import shape_of

NAMES = sorted(shipped_files())
POTS = ["pot-16", "pot-24", "pot-24-no-load", "pot-24-push-pull", "pot-24-push-push"]
PATTERNS = [(n, i) for n in NAMES for i in range(len(shipped()[n].drawing.lugs))]


def place(symbol: Symbol, lug: str) -> Point:
    return shape_of(symbol).lugs[lug].at


def sizes(symbol: Symbol) -> dict[str, float]:
    return {n: d.value for n, d in symbol.dimensions.items()}


@pytest.mark.parametrize(("name", "index"), PATTERNS)
def test_measured_pitch_of_every_pattern_equals_its_dimension(name: str, index: int) -> None:
    symbol = shipped()[name]
    pattern = symbol.drawing.lugs[index]
    lugs = shape_of(symbol).lugs
    given = sizes(symbol)
    if pattern.form == "arc":
        _arc(symbol, pattern)
        return
    pitch, row_pitch = (s.value(given) for s in pattern.pitch)
    for row in pattern.names:
        for (i, a), (j, b) in pairwise((i, n) for i, n in enumerate(row) if n):
            assert lugs[a].at.distance(lugs[b].at) == pytest.approx(abs(pitch) * (j - i))
    for upper, lower in pairwise(pattern.names):
        for a, b in zip(upper, lower, strict=False):
            if a and b and len(upper) == len(lower):
                assert lugs[a].at.distance(lugs[b].at) == pytest.approx(abs(row_pitch))
                assert lugs[b].depth - lugs[a].depth == pytest.approx(pattern.depth_pitch.value(given))


def _arc(symbol: Symbol, pattern: LugPattern) -> None:
    lugs, given = shape_of(symbol).lugs, sizes(symbol)
    centre = Point(*(s.value(given) for s in pattern.at))
    radius = pattern.radius.value(given)
    chord = 2 * radius * abs(math.sin(pattern.step / 2))
    (row,) = pattern.names
    for name in filter(None, row):
        assert lugs[name].at.distance(centre) == pytest.approx(radius)
    for a, b in pairwise(row):
        if a and b:
            assert lugs[a].at.distance(lugs[b].at) == pytest.approx(chord)


@pytest.mark.parametrize("name", POTS)
def test_pot_on_the_solder_side_with_lugs_down_has_ten_left_and_zero_right(name: str) -> None:
    symbol = shipped()[name]
    ten, wiper, zero = (place(symbol, n) for n in ("ten", "wiper", "zero"))
    assert ten.x < 0 < zero.x
    assert wiper.x == pytest.approx(0)
    assert ten.y == wiper.y == zero.y > 0


@pytest.mark.parametrize("name", ["pot-blend", "pot-concentric"])
@pytest.mark.parametrize("gang", ["front", "rear"])
def test_each_gang_of_a_double_pot_has_ten_left(name: str, gang: str) -> None:
    symbol = shipped()[name]
    assert place(symbol, f"{gang} ten").x < place(symbol, f"{gang} zero").x


@pytest.mark.parametrize("name", POTS)
def test_pot_seen_from_the_players_side_has_ten_right(name: str) -> None:
    symbol = shipped()[name]
    view = mirrored(0)
    assert view(place(symbol, "ten")).x > view(place(symbol, "zero")).x


def test_pot_turned_half_round_keeps_its_sense() -> None:
    symbol = shipped()["pot-24"]

    def sense(of: list[Point]) -> float:
        a, b, c = of
        return math.copysign(1, (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x))

    three = [place(symbol, "ten"), Point(0, 0), place(symbol, "zero")]
    half = turned(math.pi)
    assert sense([half(p) for p in three]) == sense(three)
    assert sense([mirrored(0)(p) for p in three]) == -sense(three)


def test_16_mm_pot_has_the_published_pitch_and_overall_width() -> None:
    # KiCad footprint library 6.0.11, Potentiometer_THT (CC-BY-SA 4.0 with exception): terminals 5 mm apart, 10 mm over
    # all, body circles of 16 to 17.14 mm.
    symbol = shipped()["pot-16"]
    assert symbol.dimensions["lug-pitch"].value == 5.0
    assert place(symbol, "zero").x - place(symbol, "ten").x == pytest.approx(10.0)
    assert 16.0 <= symbol.dimensions["body"].value <= 17.14


def test_24_mm_pot_pitch_is_within_the_makers_span() -> None:
    # 7.5 to 7.9 mm by maker (typical, from memory).
    symbol = shipped()["pot-24"]
    assert 7.5 <= place(symbol, "ten").distance(place(symbol, "wiper")) <= 7.9


@pytest.mark.parametrize("name", ["pot-24-push-pull", "pot-24-push-push"])
def test_switch_lugs_of_a_push_pull_stand_in_two_columns_three_deep(name: str) -> None:
    lugs = shape_of(shipped()[name]).lugs
    for pole in "ab":
        near, common, far = (lugs[f"{pole} {row}"] for row in ("near", "common", "far"))
        assert near.at == common.at == far.at
        assert near.depth < common.depth < far.depth
    assert lugs["a near"].at.x < lugs["b near"].at.x
    assert lugs["zero"].depth < lugs["a near"].depth


def test_push_pull_is_26_to_32_mm_deep_and_a_plain_pot_about_10() -> None:
    # Common practice, no source.
    assert 26 <= shape_of(shipped()["pot-24-push-pull"]).depth <= 32
    assert shape_of(shipped()["pot-24"]).depth == pytest.approx(10, abs=1)


@pytest.mark.parametrize("name", ["pot-blend", "pot-concentric"])
def test_rear_gang_lies_straight_behind_the_front_gang(name: str) -> None:
    lugs = shape_of(shipped()[name]).lugs
    for end in ("zero", "wiper", "ten"):
        assert lugs[f"front {end}"].at == lugs[f"rear {end}"].at
        assert lugs[f"front {end}"].depth < lugs[f"rear {end}"].depth


@pytest.mark.parametrize("name", [n for n in NAMES if n.startswith("rotary-")])
def test_rotary_throws_run_anticlockwise_on_the_solder_side(name: str) -> None:
    symbol = shipped()[name]
    for row in [p.names[0] for p in symbol.drawing.lugs]:
        throws = [n for n in row if "common" not in n]
        for a, b in pairwise(throws):
            if a.split()[0] == b.split()[0]:
                step = math.remainder(math.atan2(*reversed(place(symbol, b)))
                                      - math.atan2(*reversed(place(symbol, a))), math.tau)
                assert step == pytest.approx(-math.radians(30))


@pytest.mark.parametrize("name", [n for n in NAMES if n.startswith("rotary-") and "decks" not in n])
def test_one_deck_rotary_has_twelve_contacts_with_the_commons_inside(name: str) -> None:
    lugs = shape_of(shipped()[name]).lugs
    reach = {n: lug.at.distance(Point(0, 0)) for n, lug in lugs.items()}
    throws = [r for n, r in reach.items() if "common" not in n]
    assert len(throws) == 12
    assert max(r for n, r in reach.items() if "common" in n) < min(throws)


def test_two_deck_rotary_carries_two_poles_a_deck_and_is_deeper_than_one_deck() -> None:
    shape = shape_of(shipped()["rotary-4x5-two-decks"])
    depths = {pole: {lug.depth for n, lug in shape.lugs.items() if n[0] == pole} for pole in "abcd"}
    assert depths["a"] == depths["b"]
    assert depths["c"] == depths["d"]
    assert max(depths["a"]) < min(depths["c"])
    assert shape.depth > shape_of(shipped()["rotary-2x6"]).depth + 8


def test_measures_of_the_real_part_move_its_lugs() -> None:
    symbol = shipped()["pot-24"]
    shape = shape_of(symbol, {"lug-pitch": 7.5, "lug-reach": 16.0})
    assert shape.lugs["zero"].at == pytest.approx((7.5, 16.0))
    assert shape.lugs["ten"].at == pytest.approx((-7.5, 16.0))


def test_lug_tongue_points_the_way_a_lead_leaves() -> None:
    lug = shape_of(shipped()["pot-24"]).lugs["zero"]
    assert lug.away == pytest.approx(math.pi / 2)
    assert lug.tongue is not None
    box = lug.tongue.box()
    assert box.bottom - lug.at.y < lug.at.y - box.top
