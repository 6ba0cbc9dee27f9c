"""Parts against parts, walls and posts: hand-computed millimetres."""

from __future__ import annotations

import math
import random
import re
from dataclasses import replace

import pytest
from builders import build, cavity, codes, layout, only, part, place, post

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Point, circle, polyline, rounded_box
from diagramgen.layout.fit import check_fit
from diagramgen.layout.fit.solids import overlap, polygon
from diagramgen.library.expressions import constant
from diagramgen.model.build import Build, Part


def said(made: Build, **roles: str) -> Diagnostics:
    say = Diagnostics()
    check_fit(layout(made), say, {k.replace("__", "."): v for k, v in roles.items()})
    return say


def test_two_pots_with_room_between_them_raise_nothing() -> None:
    assert codes(said(build([part("a", "pot", (30, 24)), part("b", "pot", (60, 24))]))) == []


def test_pots_twenty_millimetres_apart_are_four_short() -> None:
    found = only(said(build([part("a", "pot", (30, 24)), part("b", "pot", (50, 24))])), "FIT-302")
    assert found.severity is Severity.ERROR
    assert "b and a overlap: 4 mm short" in found.message


def test_bodies_half_a_millimetre_apart_are_warned_of_with_the_gap() -> None:
    found = only(said(build([part("a", "pot", (30, 24)), part("b", "pot", (54.5, 24))])), "FIT-303")
    assert found.severity is Severity.WARNING
    assert "0.5 mm between them" in found.message


def test_bodies_that_fill_different_depths_do_not_clash() -> None:
    # The pot's case ends 10 mm below the wood; a box from 12 to 30 mm may lie behind it.
    behind = part("b", "slider", (50, 24))
    drawing = behind.symbol.drawing
    deep = replace(drawing, body=tuple(replace(f, low=constant(12)) for f in drawing.body), lugs=())
    lifted = replace(behind, symbol=replace(behind.symbol, drawing=deep))
    assert "FIT-302" in codes(said(build([part("a", "pot", (36, 24)), behind])))
    assert codes(said(build([part("a", "pot", (36, 24)), lifted]))) == []


@pytest.mark.parametrize(("opened", "depth", "found"), [
    ("front", 45.0, []),       # the box stands on the far floor, from 15 to 45 mm: behind the pot's 10 mm
    ("front", 36.0, ["FIT-302"]),  # from 6 to 36 mm: into the pot
    ("front", None, ["FIT-309"]),  # nobody knows
    ("rear", 45.0, ["FIT-302"]),  # floor and mounting face are one
])
def test_a_part_on_the_floor_faces_the_controls_of_a_plate(opened: str, depth: float | None, found: list[str]) -> None:
    box = part("b", "slider", (40, 37))
    mounting = replace(box.symbol.mounting, side="floor")
    drawing = replace(box.symbol.drawing, lugs=())
    floor = replace(box, symbol=replace(box.symbol, mounting=mounting, drawing=drawing))
    space = cavity(opened=opened, depth=depth)
    assert codes(said(build([part("a", "pot", (40, 30), turned=math.pi), floor], cavities=[space]))) == found


def test_a_part_on_feet_on_the_floor_of_a_plates_space_has_room_beneath_it() -> None:
    def floor(name: str, low: float, high: float) -> Part:
        box = part(name, "slider", (40, 37))
        body = tuple(replace(f, low=constant(low), high=constant(high)) for f in box.symbol.drawing.body)
        drawing = replace(box.symbol.drawing, lugs=(), body=body)
        return replace(box, at=Point(40 if low else 41, 37), symbol=replace(
            box.symbol, mounting=replace(box.symbol.mounting, side="floor"), drawing=drawing))

    space = cavity(opened="front", depth=45.0)
    for low, found in ((12.0, []), (9.0, ["FIT-302"])):  # over one that is 10 mm high
        assert codes(said(build([floor("a", 0.0, 10.0), floor("b", low, 30.0)], cavities=[space]))) == found


def test_two_parts_on_one_spot_are_one_error_and_no_second() -> None:
    assert codes(said(build([part("a", "pot", (40, 24)), part("b", "pot", (40.2, 24))]))) == ["FIT-301"]


def test_a_clash_at_a_place_the_program_chose_is_a_warning() -> None:
    chosen = layout(build([part("a", "pot", (30, 24)), part("b", "pot")]))
    say = Diagnostics()
    check_fit(chosen, say)
    found = only(say, "FIT-302")
    assert found.severity is Severity.WARNING
    assert "at the place the program chose" in found.message


def test_a_misfit_is_reported_where_the_place_was_written() -> None:
    b = replace(part("b", "pot", (50, 24)), places={"at": place(17)})
    assert only(said(build([part("a", "pot", (30, 24)), b])), "FIT-302").place.line == 17


def test_a_body_through_the_wall_says_by_how_much() -> None:
    # Centre 9 mm from the left wall, radius 12: 3 mm reach through it.
    found = only(said(build([part("a", "pot", (9, 35))])), "FIT-304")
    assert "reaches through the wall of the cavity: 3 mm short" in found.message


def test_a_body_near_the_wall_is_a_warning_with_the_gap() -> None:
    found = only(said(build([part("a", "pot", (12.4, 35))])), "FIT-305")
    assert "0.4 mm from the wall" in found.message


def test_lugs_behind_the_wall_are_found_even_where_the_body_fits() -> None:
    # Body 12 mm radius at y = 60 in a 74 mm cavity fits; the eyelets at y = 77 do not.
    found = only(said(build([part("a", "pot", (60, 60))])), "FIT-304")
    assert "the lug a." in found.message
    assert "3 mm short" in found.message


def test_a_post_in_the_way_counts_its_radius() -> None:
    # Post of 10 mm at 15 mm from the shaft: 12 + 5 - 15 = 2 mm.
    made = build([part("a", "pot", (40, 30))], cavities=[cavity(posts=(post(40, 15, 10),))])
    assert "2 mm short" in only(said(made), "FIT-306").message


def test_a_lug_inside_a_foreign_body_is_an_error() -> None:
    # The pot's wiper at (40, 41), 4 mm below the wood, lies inside the slider's box (34..46 x 35..55).
    made = build([part("a", "pot", (40, 24)), part("b", "slider", (40, 47))])
    assert "FIT-307" in codes(said(made))


def test_a_lug_near_foreign_metal_is_warned_of_unless_it_is_ground() -> None:
    made = build([part("upper", "pot", (40, 14)), part("lower", "pot", (40, 44))])
    # upper's eyelets: y = 31; lower's case begins at y = 32: 1 mm, at one depth.
    found = only(said(made), "FIT-330")
    assert "1 mm from the metal of lower" in found.message
    assert codes(said(made, upper__wiper="ground")) == []
    assert "the hot lug upper.wiper" in only(said(made, upper__wiper="hot"), "FIT-330").message


def test_the_leaf_of_a_jack_needs_its_space() -> None:
    jack = part("out", "jack", (40, 35))
    near = build([jack, part("a", "slider", (61, 35))])  # zone ends at x = 57, the box begins at 55
    assert "FIT-308" in codes(said(near))
    far = build([jack, part("a", "slider", (66, 35))])
    assert codes(said(far)) == []


def test_parts_that_hang_by_their_legs_are_not_bodies_in_the_way() -> None:
    cap = part("c", "cap", between=("a.wiper", "a.case"))
    assert codes(said(build([part("a", "pot", (62, 37)), cap]))) == []


def test_nothing_is_judged_in_plan_without_an_outline() -> None:
    board = cavity(outline=None, depth=None)
    made = build([part("a", "pot", (30, 24)), part("b", "pot", (31, 24))], cavities=[board])
    assert codes(said(made)) == []


def test_a_lug_near_a_shielded_wall_is_warned_of() -> None:
    foil = part("foil", "shield-foil", (60, 37))
    # Eyelets 17 mm below the shaft: 1 mm and 7 mm from the wall at 74 mm.
    near, clear = part("b", "pot", (40, 56)), part("b", "pot", (40, 50))
    assert "1 mm from the wall, which is shielded" in only(said(build([near, foil])), "FIT-331").message
    assert codes(said(build([clear, foil]))) == []
    assert codes(said(build([near]))) == []


def scattered(seed: int) -> Build:
    """Six parts thrown into a cavity with a post: most of them clash."""
    draw = random.Random(seed)
    parts = [part(f"p{i}", draw.choice(("pot", "slider")), (draw.uniform(5, 119), draw.uniform(5, 69)),
                  turned=draw.uniform(0, math.tau)) for i in range(6)]
    space = cavity(posts=(post(draw.uniform(20, 100), draw.uniform(20, 60), 8),))
    return build(parts, cavities=[space])


def findings(made: Build) -> list[tuple[str, str]]:
    """Codes and sentences; the outer lugs of a pot are told apart by no one, since they change sides."""
    return sorted((p.code, re.sub(r"\.(ten|zero) ", ".end ", p.message)) for p in said(made))


@pytest.mark.parametrize("seed", range(40))
def test_a_left_handed_build_finds_the_same_as_its_right_handed_twin(seed: int) -> None:
    made = scattered(seed)
    found = findings(made)
    assert found
    assert findings(replace(made, flipped=True)) == found


@pytest.mark.parametrize("seed", range(20))
def test_measures_from_the_players_side_find_the_same_as_measures_from_the_solder_side(seed: int) -> None:
    made = scattered(seed)
    parts = [replace(p, at=p.at and Point(124 - p.at.x, p.at.y), turned=-p.turned)
             for p in made.parts.values()]
    space = made.cavities["main"]
    (one,) = space.posts
    other = replace(space, posts=(post(124 - one.at.x, one.at.y, one.diameter),))
    assert findings(build(parts, cavities=[other], flipped=True)) == findings(made)


def test_the_distance_two_outlines_overlap_is_exact_for_discs_and_boxes() -> None:
    disc = polygon(circle(Point(0, 0), 10))
    assert overlap(disc, polygon(circle(Point(17, 0), 10))) == pytest.approx(3, abs=0.03)
    box = polygon(rounded_box(Box(0, 0, 10, 20), 0))
    assert overlap(box, polygon(rounded_box(Box(8, 2, 30, 30), 0))) == pytest.approx(2)
    assert overlap(box, polygon(rounded_box(Box(10, 0, 30, 30), 0))) == 0
    triangle = polygon(polyline((Point(0, 0), Point(10, 0), Point(0, 10)), closed=True))
    corner = polygon(rounded_box(Box(4, 4, 20, 20), 0))
    assert overlap(triangle, corner) == pytest.approx(2 / math.sqrt(2))
