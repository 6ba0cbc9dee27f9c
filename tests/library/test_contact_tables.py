"""Closure tables of the shipped switches, held against what the trade knows of them (common practice, no source)."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from diagramgen.kernel.geometry import Point, Transform, mirrored, turned
from diagramgen.library.catalogue import shipped, shipped_files
from diagramgen.library.model import Symbol
from diagramgen.library.outline_size import shape_of

NAMES = sorted(shipped_files())
SWITCHES = [n for n in NAMES if shipped()[n].contacts]
ROTARIES = [n for n in NAMES if n.startswith("rotary-")]
TURNS = {"no turn": 0.0, "quarter": math.pi / 2, "half": math.pi, "odd": 0.7}


def closed(symbol: Symbol, position: str, table: int = 0) -> set[frozenset[str]]:
    (row,) = [r for r in symbol.contacts[table].rows if r.between is None and r.position == position]
    return {frozenset(group) for group in row.joins}


def group(*names: str) -> frozenset[str]:
    return frozenset(names)


def throws_closed(symbol: Symbol, position: str, view: Transform) -> dict[str, Point]:
    """Where, from its pole's common, the closed throw of each pole lies in a view."""
    lugs = shape_of(symbol).lugs
    found = {}
    for join in closed(symbol, position):
        (common,) = [n for n in join if "common" in n]
        (throw,) = join - {common}
        found[common] = view(lugs[throw].at).minus(view(lugs[common].at))
    return found


@pytest.mark.parametrize("name", SWITCHES)
def test_every_position_has_its_one_row_and_every_join_names_real_lugs(name: str) -> None:
    symbol = shipped()[name]
    lugs = set(symbol.lug_names())
    for table in symbol.contacts:
        control = symbol.control(table.control)
        assert control is not None
        assert [r.position for r in table.rows if r.between is None] == list(control.positions)
        for row in table.rows:
            for join in row.joins:
                assert set(join) <= lugs
                assert len(set(join)) == len(join)
            named = [n for join in row.joins for n in join]
            assert len(named) == len(set(named)), "groups that share a lug are one group"


@pytest.mark.parametrize("name", SWITCHES)
def test_between_rows_stand_between_neighbours(name: str) -> None:
    for table in shipped()[name].contacts:
        control = shipped()[name].control(table.control)
        assert control is not None
        neighbours = set(pairwise(control.positions))
        for row in table.rows:
            assert row.between is None or row.between in neighbours


@pytest.mark.parametrize("name", SWITCHES)
def test_positions_of_a_switch_differ_in_what_they_join(name: str) -> None:
    symbol = shipped()[name]
    for table in symbol.contacts:
        control = symbol.control(table.control)
        if control is None or control.kind == "plug":
            continue  # a plain jack joins nothing, whichever plug is in it
        rows = [frozenset(map(frozenset, r.joins)) for r in table.rows if r.between is None]
        assert len(set(rows)) == len(rows)


@pytest.mark.parametrize("name", [n for n in NAMES if n.startswith("toggle-mini-") and "momentary" not in n])
def test_mini_toggle_closes_the_lugs_on_the_side_away_from_its_bat(name: str) -> None:
    symbol = shipped()[name]
    assert symbol.controls[0].words[0] == "bat away from 1"
    lugs = shape_of(symbol).lugs
    assert all(lug.at.x < 0 for n, lug in lugs.items() if n.endswith("1"))
    for word, side in (("1", -1), ("2", 1)):
        # position 2 has the bat away from 2, over the 1 lugs on the LEFT: the RIGHT lugs close
        assert all(math.copysign(1, way.x) == side
                   for way in throws_closed(symbol, word, Transform()).values())


@pytest.mark.parametrize("name", ["slide-dpdt", "slide-dpdt-3"])
def test_slide_closes_the_lugs_at_its_knobs_own_end(name: str) -> None:
    symbol = shipped()[name]
    words = dict(zip(symbol.controls[0].positions, symbol.controls[0].words, strict=True))
    assert words["1"] == "knob toward 1"
    assert closed(symbol, "1") == {group("a common", "a 1"), group("b common", "b 1")}
    assert closed(symbol, "2") == {group("a common", "a 2"), group("b common", "b 2")}


@pytest.mark.parametrize("name", [n for n in NAMES if "on-off-on" in n or n == "slide-dpdt-3"])
def test_centre_off_switch_joins_nothing_in_the_middle(name: str) -> None:
    assert closed(shipped()[name], "off") == set()


@pytest.mark.parametrize("name", ["pot-24-push-pull", "pot-24-push-push"])
def test_knob_up_closes_the_row_nearest_the_pot(name: str) -> None:
    symbol = shipped()[name]
    assert closed(symbol, "up") == {group("a common", "a near"), group("b common", "b near")}
    assert closed(symbol, "down") == {group("a common", "a far"), group("b common", "b far")}


def test_push_pull_says_pushed_and_pulled_and_to_meter_first() -> None:
    symbol = shipped()["pot-24-push-pull"]
    pull = symbol.control("pull")
    assert pull is not None
    assert pull.positions == ("down", "up")
    assert pull.words == ("pushed", "pulled")
    assert "meter first" in symbol.contacts[0].check.lower()


def corners(pattern: str, view: Transform) -> set[str]:
    """Which corners are closed in the middle of an on-on-on, with the bat's travel lying left to right."""
    lugs = shape_of(shipped()[f"toggle-mini-dpdt-on-on-on-{pattern}"]).lugs
    places = {n: view(lug.at) for n, lug in lugs.items()}
    joined = closed(shipped()[f"toggle-mini-dpdt-on-on-on-{pattern}"], "middle")
    throws = [n for join in joined for n in join if "common" not in n]
    return {("upper " if places[n].y < 0 else "lower ") + ("left" if places[n].x < 0 else "right")
            for n in throws}


def test_on_on_on_pattern_a_joins_upper_left_and_lower_right_in_the_middle() -> None:
    assert corners("a", Transform()) == {"upper left", "lower right"}


def test_on_on_on_pattern_b_joins_upper_right_and_lower_left_in_the_middle() -> None:
    assert corners("b", Transform()) == {"upper right", "lower left"}


@pytest.mark.parametrize("pattern", ["a", "b"])
def test_on_on_on_pattern_is_the_same_after_half_a_turn(pattern: str) -> None:
    assert corners(pattern, turned(math.pi)) == corners(pattern, Transform())


@pytest.mark.parametrize(("pattern", "other"), [("a", "b"), ("b", "a")])
def test_on_on_on_pattern_is_reversed_by_looking_from_the_players_side(pattern: str, other: str) -> None:
    assert corners(pattern, mirrored(0)) == corners(other, Transform())


def test_on_on_on_patterns_differ_in_the_middle_only() -> None:
    a, b = (shipped()[f"toggle-mini-dpdt-on-on-on-{p}"] for p in "ab")
    assert closed(a, "1") == closed(b, "1")
    assert closed(a, "2") == closed(b, "2")
    assert closed(a, "middle") != closed(b, "middle")


@pytest.mark.parametrize("turn", TURNS.values(), ids=list(TURNS))
@pytest.mark.parametrize("name", [n for n in NAMES if n.startswith(("toggle-mini-", "slide-"))])
def test_turning_a_part_leaves_its_contact_table_alone(name: str, turn: float) -> None:
    """The closed throw lies on the same side of its common, in the part's own sense, at every turn."""
    symbol = shipped()[name]
    for position in symbol.controls[0].positions:
        at_rest = throws_closed(symbol, position, Transform())
        placed = throws_closed(symbol, position, turned(turn))
        assert placed.keys() == at_rest.keys()
        for common, way in placed.items():
            assert turned(-turn)(way) == pytest.approx(at_rest[common])


def test_momentary_toggle_springs_back_to_its_first_position() -> None:
    symbol = shipped()["toggle-mini-spdt-momentary"]
    assert symbol.controls[0].momentary
    assert closed(symbol, symbol.controls[0].positions[0]) == {group("common", "throw 1")}


def test_push_button_is_open_until_held() -> None:
    symbol = shipped()["push-button-momentary"]
    assert symbol.controls[0].momentary
    assert closed(symbol, "out") == set()
    assert closed(symbol, "held") == {group("one", "other")}


@pytest.mark.parametrize("name", ROTARIES)
def test_rotary_joins_each_common_to_one_throw_of_its_own_pole(name: str) -> None:
    symbol = shipped()[name]
    commons = {n for n in symbol.lug_names() if "common" in n}
    for position in symbol.controls[0].positions:
        joins = closed(symbol, position)
        assert {n for j in joins for n in j if "common" in n} == commons
        for join in joins:
            (common,) = [n for n in join if "common" in n]
            (throw,) = join - {common}
            assert throw.split()[-1] == position
            assert common == "common" or throw.split()[0] == common.split()[0]


@pytest.mark.parametrize("name", ROTARIES)
def test_shorting_rotary_joins_both_neighbours_in_passing_and_the_other_kind_nothing(name: str) -> None:
    (table,) = shipped()[name].contacts
    shorting = name.endswith("-shorting")
    assert table.moving == ("make before break" if shorting else "break before make")
    resting = {r.position: r for r in table.rows if r.between is None}
    passing = [r for r in table.rows if r.between]
    assert len(passing) == len(resting) - 1
    for row in passing:
        assert row.between is not None
        before, after = (resting[p].joins for p in row.between)
        both = {frozenset(a) | frozenset(b) for a, b in zip(before, after, strict=True)}
        assert set(map(frozenset, row.joins)) == (both if shorting else set())


@pytest.mark.parametrize("name", [n for n in ROTARIES if not n.endswith("-shorting")])
def test_shorting_rotary_differs_from_the_plain_one_only_in_passing(name: str) -> None:
    plain, shorting = shipped()[name], shipped()[name + "-shorting"]
    assert plain.drawing == shorting.drawing
    assert plain.dimensions == shorting.dimensions
    for position in plain.controls[0].positions:
        assert closed(plain, position) == closed(shorting, position)


def test_blend_gangs_have_opposite_half_dead_laws_and_one_shaft() -> None:
    symbol = shipped()["pot-blend"]
    laws = {e.name: symbol.values[e.values["law"]].value for e in symbol.elements}
    assert laws == {"front": "reverse blend", "rear": "blend"}
    assert {e.by for e in symbol.elements} == {"turn"}
    assert symbol.controls[0].detent == "centre"


def test_concentric_pot_has_a_control_for_each_shaft() -> None:
    symbol = shipped()["pot-concentric"]
    assert {e.name: e.by for e in symbol.elements} == {"front": "front", "rear": "rear"}
    assert [c.name for c in symbol.controls] == ["front", "rear"]
