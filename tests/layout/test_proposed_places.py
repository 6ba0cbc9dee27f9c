"""Places nobody measured: all parts together, turned as they need, clear of one another; what is missing is said."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import pytest
import shapely

from diagramgen.analysis import Analysis, examine
from diagramgen.features.interview.answered import build_text
from diagramgen.features.interview.answers import CAVITY, EACH, ONE, TWO, Answers, Cavity
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.layout.model import Layout, PlacedPart
from diagramgen.layout.placement.clearance import TIGHT, pieces_of
from diagramgen.layout.placement.place_parts import polygon

DUALS, SINGLES, THREE = ("dual-coil",) * 2, ("single-coil",) * 2, ("single-coil",) * 3


def proved(text: str) -> Analysis:
    return examine(Path("job.yaml"), data=text.encode())


def asked(size: tuple[float, float], pickups: tuple[str, ...], volumes: str, tones: str, selector: str = "",
          **more: object) -> str:
    """The build of an interview that gave the cavity and nothing else of measures."""
    cavity = Cavity(*size, 12.0, 38.0, 4.0)
    return build_text(Answers(cavity=cavity, pickups=pickups, volumes=volumes, tones=tones, selector=selector,
                              **more))  # type: ignore[arg-type]


def of_places(analysis: Analysis) -> list[Problem]:
    """Warnings and errors of place and fit; where the leads of parts outside come in was not asked."""
    return [p for p in analysis.problems if p.severity is not Severity.NOTE and p.code[:5] in ("FIT-2", "FIT-3")
            and p.code != "FIT-203"]


def laid(analysis: Analysis) -> Layout:
    assert analysis.layout is not None
    return analysis.layout


def standing(layout: Layout, cavity: str = "controls") -> list[PlacedPart]:
    return [p for p in layout.parts.values() if p.region == cavity and p.part.between is None]


def bodies(part: PlacedPart) -> shapely.Geometry:
    return shapely.union_all([shapely.MultiPoint(b).convex_hull for b in pieces_of(part).bodies])


def least_gap(layout: Layout) -> float:
    pairs = itertools.combinations([bodies(p) for p in standing(layout)], 2)
    return min((a.distance(b) for a, b in pairs), default=math.inf)


FOUR_POTS = asked((110, 70), DUALS, EACH, EACH, "toggle-short")


def test_four_pots_and_a_toggle_stand_clear_in_110_by_70_mm() -> None:
    proof = proved(FOUR_POTS)
    assert of_places(proof) == []
    layout = laid(proof)
    assert layout.to_scale
    assert least_gap(layout) > 5
    room = polygon(layout.regions["controls"].outline)
    assert all(room.buffer(-1).contains(bodies(p)) for p in standing(layout))
    assert sum(p.code == "FIT-201" for p in proof.problems) == 5


@pytest.mark.parametrize("text", [
    asked((95, 60), DUALS, ONE, ONE, "toggle-short", jack_in=CAVITY),
    asked((95, 60), DUALS, EACH, EACH, "toggle-short"),
    asked((95, 60), THREE, ONE, TWO, "lever-open-5"),
    asked((170, 40), SINGLES, ONE, ONE, "lever-open-3"),
    asked((110, 70), DUALS, EACH, EACH, "toggle-short", hand="left"),
])
def test_common_first_jobs_are_placed_without_a_warning_of_place_or_fit(text: str) -> None:
    proof = proved(text)
    assert of_places(proof) == []
    assert least_gap(laid(proof)) >= TIGHT.body - 0.1


def test_the_same_build_gets_the_same_places() -> None:
    first, second = (laid(proved(FOUR_POTS)) for _ in range(2))
    assert [p.place for p in first.parts.values()] == [p.place for p in second.parts.values()]


def test_a_lever_lies_along_the_cavity_where_it_can() -> None:
    for size in ((110, 70), (70, 110)):
        box = laid(proved(asked(size, THREE, ONE, ONE, "lever-open-5"))).parts["selector"].box
        assert (box.width > box.height) == (size[0] > size[1])


@pytest.mark.parametrize("hand", ["right", "left"])
def test_a_proposed_place_written_into_the_file_gives_the_same_plan(hand: str) -> None:
    text = asked((95, 60), DUALS, ONE, ONE, "toggle-short", hand=hand)
    before = proved(text)
    for problem in before.problems:
        if problem.code == "FIT-201":
            found = re.search(r"place of (\S+) in 'controls' was chosen by the program: (at .*)", problem.message)
            assert found
            text = re.sub(rf"(?m)^(  {found[1]}: .*, in controls)", rf"\1, {found[2]}", text)
    after = proved(text)
    assert not [p for p in after.problems if p.code in ("FIT-201", "FIT-202")]
    assert of_places(after) == []
    for one in standing(laid(before)):
        other = laid(after).parts[one.part.name]
        assert max(abs(a - b) for a, b in zip(one.place, other.place, strict=True)) < 0.01


ROOM = """
format: 1
title: T
cavity: {shape: {rounded: [%s], corner: 6}, depth: 38%s}
parts:
  volume: pot-24, 500k log%s
  tone: pot-24, 500k log%s
  pickup: single-coil
leads:
  - pickup.finish -> volume.ten
  - volume.ten -> tone.wiper, blue
"""


def test_a_turn_that_the_file_gives_is_kept() -> None:
    layout = laid(proved(ROOM % ("100, 60", "", ", turned 30", "")))
    place = layout.parts["volume"].place
    assert math.degrees(math.atan2(place.b, place.a)) == pytest.approx(30)


def test_posts_and_measured_parts_are_kept_clear() -> None:
    proof = proved(ROOM % ("100, 60", ", posts: [{at: [50, 30], diameter: 12}]", ", at 22 30", ""))
    assert of_places(proof) == []
    layout = laid(proof)
    volume, tone = layout.parts["volume"], layout.parts["tone"]
    assert (volume.place.e, volume.place.f) == (22, 30)
    assert not volume.automatic
    assert tone.automatic
    assert bodies(tone).distance(shapely.Point(50, 30)) > 6


def test_a_cavity_with_a_bay_is_used_and_its_wall_kept() -> None:
    shape = "{mm: M 0 0 H 100 V 34 H 40 V 90 H 0 Z}"
    text = (ROOM % ("100, 60", "", "", "")).replace("{rounded: [100, 60], corner: 6}", shape)
    proof = proved(text)
    assert of_places(proof) == []
    room = polygon(laid(proof).regions[next(iter(laid(proof).regions))].outline)
    assert room.area < 100 * 90 * 0.7
    for part in laid(proof).parts.values():
        if part.part.name in ("volume", "tone"):
            assert room.buffer(-1).contains(bodies(part))


def test_no_other_body_stands_where_the_iron_comes_to_a_lug() -> None:
    parts = standing(laid(proved(asked((95, 60), THREE, ONE, TWO, "lever-open-5"))))
    for one, other in itertools.permutations(parts, 2):
        for reach in pieces_of(one).soldering_zones(TIGHT.iron):
            assert not shapely.MultiPoint(reach).convex_hull.buffer(-0.05).intersects(bodies(other))


NARROW = (100.0, 45.0)


def test_what_does_not_fit_is_said_with_the_millimetres_and_is_not_drawn_over_others() -> None:
    proof = proved(asked(NARROW, DUALS, EACH, EACH, "toggle-short"))
    [said] = of_places(proof)
    assert said.code == "FIT-202"
    would = r"(\d+) mm too narrow \((\S+) x 45 mm would do\), or (\d+) mm too low \(100 x (\S+) mm would do\)"
    found = re.search(would, said.message)
    assert found, said.message
    assert float(found[2]) == 100 + int(found[1])
    assert float(found[4]) == 45 + int(found[3])
    layout = laid(proof)
    assert not layout.to_scale
    assert least_gap(layout) > 5
    assert all(row.length is None for row in proof.rows if row.kind == "wire")
    for size in ((float(found[2]), 45.0), (100.0, float(found[4]))):  # and what is said to do does
        assert of_places(proved(asked(size, DUALS, EACH, EACH, "toggle-short"))) == []


def test_what_is_left_out_of_a_full_cavity_is_what_the_others_fit_without() -> None:
    proof = proved(asked(NARROW, DUALS, EACH, EACH, "toggle-short"))
    assert "for bridge-tone beside the others" in of_places(proof)[0].message
    assert of_places(proved(asked(NARROW, DUALS, EACH, ONE, "toggle-short"))) == []


def test_a_cavity_too_small_both_ways_is_said_to_be_so() -> None:
    proof = proved(ROOM % ("25, 25", "", "", ""))
    [said] = of_places(proof)
    found = re.search(r"(\d+) mm too narrow and too low \((\S+) x (\S+) mm would do\)", said.message)
    assert found, said.message
    assert float(found[2]) == float(found[3]) == 25 + int(found[1])
    assert of_places(proved(ROOM % (f"{found[2]}, {found[3]}", "", "", ""))) == []


def test_why_leads_of_such_a_cavity_have_no_length_is_said() -> None:
    proof = proved(asked(NARROW, DUALS, EACH, EACH, "toggle-short"))
    inside = [row for row in proof.rows if (row.start, row.end) == ("neck-volume.ten", "neck-tone.wiper")]
    assert [row.cut.reason for row in inside] == ["not all parts find a place in controls"]


def test_parts_the_user_put_through_one_another_are_an_error_with_the_millimetres() -> None:
    proof = proved(ROOM % ("100, 60", "", ", at 30 30", ", at 40 30"))
    errors = [p for p in of_places(proof) if p.severity is Severity.ERROR]
    assert [(p.code, p.message) for p in errors] == [("FIT-302", "tone and volume overlap: 14 mm short")]
