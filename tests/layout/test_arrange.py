"""The plan: cavities, stalls and doors on one sheet, clear of one another."""

from __future__ import annotations

import math
from itertools import combinations
from types import SimpleNamespace

import pytest
import shapely
from bench import box, build, cavity, channel, flipped, modes, one_volume, outline, part, several, unmeasured

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.model import Layout
from diagramgen.layout.placement.arrange_cavities import Placement, arrange
from diagramgen.layout.placement.off_plan_stalls import SHEET
from diagramgen.layout.placement.place_parts import polygon
from diagramgen.layout.placement.rows import sort_of
from diagramgen.layout.plan import layout
from diagramgen.library.catalogue import shipped
from diagramgen.model.build import Build

BUILDS = [one_volume(), modes(), several(), flipped(several()), unmeasured(modes())]
NAMES = ["one volume", "modes", "several", "several, left", "unmeasured"]


def placement(made: Build) -> Placement:
    return arrange(made, Diagnostics())


@pytest.mark.parametrize("made", BUILDS, ids=NAMES)
def test_no_two_regions_lie_on_one_another(made: Build) -> None:
    floors = {n: polygon(r.outline) for n, r in placement(made).regions.items()}
    for (one, a), (other, b) in combinations(floors.items(), 2):
        assert a.intersection(b).area < 1.0, f"{one} and {other}"


@pytest.mark.parametrize("made", BUILDS, ids=NAMES)
def test_every_part_of_the_build_stands_in_one_region(made: Build) -> None:
    found = placement(made)
    assert list(found.parts) == list(made.parts)
    for p in found.parts.values():
        if found.regions[p.region].kind == "stall":
            assert polygon(found.regions[p.region].outline).buffer(0.1).contains(shapely.box(*p.box))


@pytest.mark.parametrize("made", [one_volume(), modes()], ids=["one volume", "modes"])
def test_a_usual_cavity_with_all_its_stalls_fits_a_landscape_sheet_at_full_size(made: Build) -> None:
    found: Layout = layout(made, Diagnostics())
    assert found.box.width <= SHEET[0]
    assert found.box.height <= SHEET[1]


@pytest.mark.parametrize("made", BUILDS[:4], ids=NAMES[:4])
def test_mouths_lie_on_the_wall_and_look_into_the_region(made: Build) -> None:
    found = placement(made)
    for (_, region), mouth in found.openings.items():
        floor = polygon(found.regions[region].outline)
        assert floor.exterior.distance(shapely.Point(mouth.centre)) < 0.1
        assert floor.buffer(0.05).contains(shapely.Point(mouth.centre.towards(mouth.inward, 1.0)))


def test_lugs_of_parts_in_a_stall_look_at_the_door() -> None:
    found = placement(one_volume())
    for name, channel_name in (("neck", "pickups"), ("output", "jack-hole"), ("strings", "bridge-hole")):
        p = found.parts[name]
        door = found.openings[channel_name, p.region]
        x = sum(math.cos(lug.away) for lug in p.lugs.values() if lug.away is not None)
        y = sum(math.sin(lug.away) for lug in p.lugs.values() if lug.away is not None)
        assert math.cos(math.atan2(y, x) - door.outward) > 0.9, name


def test_a_second_cavity_keeps_the_direction_it_really_has() -> None:
    found = placement(several())
    main, upper, bore = (found.regions[n].box.centre for n in ("controls", "upper", "bore"))
    assert upper.x < main.x
    assert upper.y < main.y
    assert bore.x > main.x


def test_a_left_handed_plan_puts_the_second_cavity_on_the_other_side() -> None:
    found = placement(flipped(several()))
    assert found.regions["upper"].box.centre.x > found.regions["controls"].box.centre.x
    assert found.regions["bore"].box.centre.x < found.regions["controls"].box.centre.x


def test_cavities_with_facing_mouths_are_joined_by_a_straight_strip() -> None:
    cavities = [cavity("controls", box(90, 60)), cavity("bore", box(30, 30, 15))]
    made = build([], "", cavities, [channel("way", (90, 30), to="bore", far=(0, 15))])
    (line,) = placement(made).strips.values()
    assert len(line) == 2
    assert 16 <= line[0].distance(line[1]) <= 24
    assert abs(line[0].y - line[1].y) < 1e-6


def test_the_true_shape_of_a_cavity_is_kept_on_the_plan() -> None:
    made = several()
    found = placement(made)
    for name, c in made.cavities.items():
        assert c.outline is not None
        assert abs(polygon(found.regions[name].outline).area - polygon(c.outline).area) < 0.01


def test_a_mouth_inside_the_floor_is_drawn_on_the_nearest_wall() -> None:
    made = build([part("neck", "single-coil", through="hole")], "", [cavity(outline=box(124, 74))],
                 [channel("hole", (7, 40))])
    assert placement(made).openings["hole", "controls"].centre.distance(Point(0, 40)) < 0.01


def test_a_part_outside_without_a_channel_is_said_and_placed() -> None:
    say = Diagnostics()
    found = arrange(build([part("neck", "single-coil")], "", [cavity(outline=box(124, 74))]), say)
    assert [p.code for p in say.sorted()] == ["FIT-203"]
    assert not polygon(found.regions["controls"].outline).intersects(shapely.box(*found.parts["neck"].box))


def test_a_part_through_a_channel_that_leads_to_another_cavity_is_said() -> None:
    cavities = [cavity(outline=box(124, 74)), cavity("other", box(40, 40))]
    made = build([part("neck", "single-coil", through="way")], "", cavities, [channel("way", (0, 30), to="other")])
    say = Diagnostics()
    assert arrange(made, say).parts["neck"].region not in made.cavities
    assert [p.code for p in say.sorted()] == ["FIT-204"]


def test_stalls_of_close_mouths_stand_beside_each_other() -> None:
    parts = [part(f"p{i}", "single-coil", through=f"h{i}") for i in range(3)]
    channels = [channel(f"h{i}", (0, 20 + 14 * i)) for i in range(3)]
    found = placement(build(parts, "", [cavity(outline=box(124, 74))], channels))
    floors = [polygon(found.regions[f"stall h{i}"].outline) for i in range(3)]
    assert not any(a.intersects(b) for a, b in combinations(floors, 2))
    assert all(f.distance(shapely.box(0, 0, 124, 74)) < 0.1 for f in floors)


def test_a_build_without_a_cavity_gets_one_board_and_nothing_on_it_overlaps() -> None:
    found = placement(unmeasured(modes()))
    assert [r.kind for r in found.regions.values()] == ["board"]
    for a, b in combinations(found.parts.values(), 2):
        assert not a.box.overlaps(b.box), f"{a.part.name} and {b.part.name}"


def test_holes_in_a_top_without_an_outline_get_a_rounded_floor_around_their_parts() -> None:
    made = build([part("volume", "pot-24", (0, 0)), part("tone", "pot-24", (60, 40))], "", [cavity()])
    found = placement(made)
    floor = polygon(found.regions["controls"].outline)
    assert all(floor.contains(shapely.box(*p.box)) for p in found.parts.values())


def test_nothing_at_all_is_still_a_plan() -> None:
    assert placement(build([], "", [cavity(outline=outline((0, 0), (50, 0), (50, 40)))])).regions
    assert placement(build([], "")).regions


@pytest.mark.parametrize(("symbol", "sort"), [("jack-mono-open", "jack"), ("pot-24", "control"),
                                              ("single-coil", "source"), ("capacitor-film", "ground")])
def test_parts_without_a_place_are_sorted_into_rows_by_what_they_are(symbol, sort):
    assert sort_of(SimpleNamespace(symbol=shipped()[symbol])) == sort
