"""Cavities on the plan: each on its real side of the one it is joined to, clear of all others."""

from __future__ import annotations

import math

import pytest
from bench import build, cavity, channel, outline
from shapely.geometry import LineString

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Box, Path
from diagramgen.layout.placement.arrange_cavities import Placement, arrange
from diagramgen.layout.placement.place_parts import polygon
from diagramgen.model.build import Build


def block(width: float, height: float) -> Path:
    return outline((0, 0), (width, 0), (width, height), (0, height))


def plan_of(made: Build) -> Placement:
    return arrange(made, Diagnostics())


SIDES = {"right": (150.0, 0.0), "left": (-150.0, 0.0), "above": (0.0, -150.0), "below": (0.0, 150.0)}
MOUTHS = {"right": (90.0, 20.0), "left": (0.0, 20.0), "above": (30.0, 0.0), "below": (30.0, 60.0)}


def gap(main: Box, other: Box, side: str) -> float:
    return {"right": other.left - main.right, "left": main.left - other.right, "above": main.top - other.bottom,
            "below": other.top - main.bottom}[side]


@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("far", [(0.0, 15.0), (40.0, 15.0), (20.0, 0.0), (20.0, 30.0)])
def test_a_cavity_stands_on_its_real_side_whichever_way_its_own_mouth_looks(
    side: str, far: tuple[float, float]
) -> None:
    x, y = SIDES[side]
    cavities = [cavity("controls", block(90, 60), at=(0, 0)), cavity("other", block(40, 30), at=(x + 25, y + 15))]
    placement = plan_of(build([], "", cavities, [channel("way", MOUTHS[side], to="other", far=far)]))
    main, other = placement.regions["controls"].box, placement.regions["other"].box
    assert main == Box(0, 0, 90, 60)  # the largest stays where it is
    controls, beside = (polygon(placement.regions[name].outline) for name in ("controls", "other"))
    assert 8 <= controls.distance(beside) < 45
    way = main.centre.angle_to(other.centre)
    assert math.cos(way - math.atan2(y, x)) > 0.7
    strip = LineString(placement.strips["way"])
    for region in placement.regions.values():
        assert strip.intersection(polygon(region.outline).buffer(-0.5)).length < 1e-6


@pytest.mark.parametrize("side", SIDES)
def test_facing_mouths_are_put_before_each_other_at_the_usual_distance(side: str) -> None:
    opposite = {"right": (0.0, 15.0), "left": (40.0, 15.0), "above": (20.0, 30.0), "below": (20.0, 0.0)}
    cavities = [cavity("controls", block(90, 60)), cavity("other", block(40, 30))]
    placement = plan_of(build([], "", cavities, [channel("way", MOUTHS[side], to="other", far=opposite[side])]))
    boxes = placement.regions["controls"].box, placement.regions["other"].box
    assert 16 <= gap(*boxes, side) <= 24
    a, b = placement.strips["way"]
    assert min(abs(a.x - b.x), abs(a.y - b.y)) < 1e-6


def test_cavities_stand_clear_of_each_other_and_of_the_strips_of_others() -> None:
    cavities = [cavity("controls", block(90, 60)), *(cavity(n, block(40, 30)) for n in "abcd")]
    channels = [channel(n, (90.0, 12.0 + 12 * k), to=n, far=(0.0, 15.0), diameter=6) for k, n in enumerate("abcd")]
    placement = plan_of(build([], "", cavities, channels))
    floors = {n: polygon(r.outline) for n, r in placement.regions.items()}
    for one in "abcd":
        for other, floor in floors.items():
            assert one == other or floors[one].distance(floor) >= 7.5
            if other != one:
                assert LineString(placement.strips[one]).intersection(floor.buffer(-0.6)).length < 1e-6


def test_a_cavity_that_no_channel_joins_stands_to_the_right_of_all_others() -> None:
    cavities = [cavity("controls", block(90, 60)), cavity("lone", block(40, 30))]
    placement = plan_of(build([], "", cavities))
    main, lone = placement.regions["controls"].box, placement.regions["lone"].box
    assert lone.left == main.right + 40
    assert lone.centre.y == pytest.approx(main.centre.y)


def test_a_chain_of_cavities_is_followed_from_the_largest_on() -> None:
    cavities = [cavity("a", block(30, 30)), cavity("b", block(40, 30)), cavity("main", block(90, 60))]
    channels = [channel("first", (30.0, 15.0), cavity="a", to="b", far=(0.0, 15.0)),
                channel("second", (40.0, 15.0), cavity="b", to="main", far=(0.0, 30.0))]
    placement = plan_of(build([], "", cavities, channels))
    assert placement.regions["main"].box == Box(0, 0, 90, 60)
    assert placement.regions["a"].box.right + 16 <= placement.regions["b"].box.left + 0.01
    assert placement.regions["b"].box.right + 16 <= 0.01
    assert set(placement.strips) == {"first", "second"}
    near = placement.openings["first", "a"].centre
    assert placement.strips["first"][0] == near  # from the channel's own cavity to its far one
    assert placement.strips["first"][-1] == placement.openings["first", "b"].centre
