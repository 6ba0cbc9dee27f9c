"""The diagram from the player's side: geometry mirrored, words readable, parts the same."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.drawing.braids import SHORT
from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.hinges import hinge_side
from diagramgen.drawing.scene import Role, Shape, Sheet, Text, walk
from diagramgen.drawing.view import from_the_player
from diagramgen.features.diagrams.sheet import mirrored, player
from diagramgen.kernel.geometry import Arc
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def both(name):
    """The layout and the same from the player's side."""
    layout = proof(name).layout
    return layout, from_the_player(layout)


def lugs(layout):
    return {lug.key: lug for part in layout.parts.values() for lug in part.lugs.values()}


def test_all_distances_between_lugs_are_kept():
    for name in ("three-singles-lever", "two-pickups-toggle"):
        plain, turned = (lugs(one) for one in both(name))
        for a, b in combinations(plain, 2):
            assert turned[a].at.distance(turned[b].at) == pytest.approx(plain[a].at.distance(plain[b].at), abs=1e-9)


def test_left_and_right_change_places_and_height_stays():
    plain, turned = both("three-singles-lever")
    middle = plain.box.centre.x
    for key, lug in lugs(plain).items():
        assert lugs(turned)[key].at.x == pytest.approx(2 * middle - lug.at.x)
        assert lugs(turned)[key].at.y == pytest.approx(lug.at.y)


def test_with_lugs_down_the_ten_end_is_left_on_the_solder_side_and_right_from_the_player():
    """Common practice, no source: back of pot, lugs down, the end of knob 10 stands left."""
    plain, turned = both("one-volume")
    for layout, sign in ((plain, -1), (turned, 1)):
        row = layout.parts["volume"].lugs
        assert math.copysign(1, row["ten"].at.x - row["zero"].at.x) == sign


def turning_sense(layout):
    marks = draw(layout, {}, Look(), layout.box.grown(20)).marks
    arcs = [m for m in walk(Sheet(1, 1, "", marks)) if isinstance(m, Shape) and m.role == Role.BODY_DETAIL
            and m.subject == "part:volume" and isinstance(m.path[0].pieces[0], Arc)]
    return arcs[-1].path[0].pieces[0].sweep


def test_the_turning_arrow_is_clockwise_for_the_player_and_anticlockwise_on_the_solder_side():
    plain, turned = both("one-volume")
    assert turning_sense(plain) < 0 < turning_sense(turned)


def painted(layout):
    """Tags of leads from the lowest to the one on top."""
    marks = draw(layout, {}, Look(tags=False), layout.box.grown(20)).marks
    found = [m.subject for m in walk(Sheet(1, 1, "", marks)) if isinstance(m, Shape) and m.role == Role.LEAD_BODY]
    return [s for s in found if s.startswith("lead:")]


def test_what_lay_above_lies_beneath_from_the_other_side_but_short_leads_are_never_hidden():
    plain, turned = both("two-pickups-toggle")
    over, back = painted(plain), painted(turned)
    short = {f"lead:{one.lead.tag}" for one in plain.leads if one.path.length() <= SHORT} & set(over)
    assert [s for s in back if s not in short] == [s for s in over if s not in short][::-1]
    assert 0 < len(short) < len(over)
    assert set(over[-len(short):]) == set(back[-len(short):]) == short


def test_twice_turned_over_is_the_same_drawing():
    plain, turned = both("three-singles-lever")
    again = from_the_player(turned)
    assert again.mirrored is False
    for key, lug in lugs(plain).items():
        assert lugs(again)[key].at.distance(lug.at) < 1e-9


def test_the_hinge_of_a_plate_changes_side_where_it_is_left_or_right():
    plain, _ = both("three-singles-lever")
    region = next(iter(r for r in plain.regions.values() if r.kind == "cavity"))
    for hinge, seen_as in (("left", "right"), ("right", "left"), ("top", "top"), ("bottom", "bottom")):
        cavity = replace(region.cavity, plate=replace(region.cavity.plate, hinge=hinge))
        regions = {**plain.regions, region.name: replace(region, cavity=cavity)}
        turned = from_the_player(replace(plain, regions=regions))
        assert hinge_side(turned.regions[region.name]) == seen_as


def test_the_neck_points_the_other_way():
    subject = context_of(proof("one-volume"))
    assert math.cos(subject.neck) == pytest.approx(-1)
    assert math.cos(mirrored(subject).neck) == pytest.approx(1)


def test_words_are_never_mirrored_nor_upside_down_and_name_the_view():
    subject = context_of(proof("two-pickups-toggle"))
    sheet = player(subject, PAPERS["a4"])[0](1, 1)
    texts = [m for m in walk(sheet) if isinstance(m, Text)]
    for text in texts:
        assert -math.pi / 2 - 1e-6 <= math.remainder(text.angle, math.tau) < math.pi / 2 + 1e-6
    words = {t.text for t in texts}
    assert "PLAYER'S SIDE, SEEN THROUGH THE WOOD, FULL SIZE" in words
    assert {"neck-volume", "bridge-volume", "selector"} <= words


def test_a_build_that_was_not_measured_is_seen_from_the_player_s_side_too_but_not_to_scale():
    subject = context_of(proof("no-cavity"))
    sheet = player(subject, PAPERS["letter"])[0](1, 1)
    words = " ".join(m.text for m in walk(sheet) if isinstance(m, Text))
    assert "PLAYER'S SIDE, PLACED AUTOMATICALLY" in words
    assert "NOT TO SCALE" in words
