"""What a build file asks of single leads, measured on the laid leads: obeyed, or said at its line with a remedy.

The places, the bodies and the distances are worked out here from the numbers in the file and in the symbol files,
not taken from the layout.
"""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from diagramgen.analysis import Analysis, examine
from diagramgen.drawing.braids import tails
from diagramgen.drawing.diagram import joint_counts
from diagramgen.drawing.scene import Emphasis
from diagramgen.drawing.twists import twist_marks, twist_spots
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Problem
from diagramgen.kernel.geometry import Arc
from diagramgen.layout.model import LaidLead

WIDE, DEEP = 124.0, 74.0
POT = Point(62, 37).buffer(12, quad_segs=64)
"""The case of a 24 mm pot at 62 37, as its symbol file has it."""
APART = 5.0  # docs/problems.md, RTE-104
BESIDE = 7.0  # docs/problems.md, RTE-102
LANE = 1.9  # a drawn lead with its halo, mm (diagramgen/layout/global_routing/global_route.py)


def text(depth: float = 38.0, **marks: str) -> str:
    """Switches in the four corners, a pot in the middle, a second cavity behind two channels."""
    said = {tag: f", {mark}" if mark else "" for tag, mark in marks.items()}

    def line(tag: str, ends: str, colour: str) -> str:
        return f"  - {ends}, {colour}, tag {tag}{said.get(tag, '')}\n"

    return (
        "format: 1\ntitle: Hints\njob: H-1\nneck: left\ncavities:\n"
        f"  controls: {{shape: {{rounded: [{WIDE:g}, {DEEP:g}], corner: 12}}, depth: {depth:g}}}\n"
        "  upper: {shape: {rounded: [60, 74], corner: 6}, depth: 38, at: [160, 0]}\n"
        "channels:\n"
        "  straight: {in: controls, at: [124, 37], to: upper, far: [0, 37], diameter: 8, length: 36}\n"
        "  round: {in: controls, at: [62, 0], to: upper, far: [30, 0], diameter: 8, length: 130}\n"
        "  jack: {in: controls, at: [124, 60], diameter: 8, length: 40}\n"
        "parts:\n"
        "  pot: pot-24, in controls, at 62 37\n"
        "  nw: toggle-mini-dpdt-on-on, in controls, at 20 16\n"
        "  ne: toggle-mini-dpdt-on-on, in controls, at 104 16\n"
        "  sw: toggle-mini-dpdt-on-on, in controls, at 20 56\n"
        "  se: toggle-mini-dpdt-on-on, in controls, at 100 56\n"
        "  far: toggle-mini-dpdt-on-on, in upper, at 30 50\n"
        "  hung: capacitor-film, 22n, between pot.wiper and pot.case\n"
        "  output: jack-mono-open, through jack\n"
        "leads:\n"
        + line("W01", "nw.a common -> ne.a common", "red")
        + line("W02", "nw.b common -> ne.b common", "black")
        + line("W03", "sw.a common -> se.a common", "white")
        + line("W04", "sw.b common -> se.b common", "blue")
        + line("W05", "nw.a 1 -> se.b 1", "green")
        + line("W06", "ne.b 2 -> far.a common", "yellow")
        + line("W07", "nw.b 1 -> sw.b 1", "violet")
        + line("W08", "pot.case -> output.sleeve", "black")
        + line("W09", "pot.wiper -> output.tip", "white")
    )


@cache
def proof(depth: float = 38.0, **marks: str) -> Analysis:
    return examine(Path("hints.yaml"), data=text(depth, **marks).encode())


def lead(analysis: Analysis, tag: str) -> LaidLead:
    assert analysis.layout is not None, [p.text() for p in analysis.problems]
    return next(one for one in analysis.layout.leads if one.lead.tag == tag)


def line(analysis: Analysis, tag: str, region: str = "controls") -> BaseGeometry:
    """The lead as laid inside a cavity, in that cavity's own mm (this build is not turned over)."""
    assert analysis.layout is not None
    shift = analysis.layout.regions[region].shift
    paths = [s.path.flat(0.02) for s in lead(analysis, tag).spans if s.region == region and s.kind == "inside"]
    return shapely.union_all([LineString([(p.x - shift.x, p.y - shift.y) for p in path]) for path in paths])


def said(analysis: Analysis, code: str, tag: str, remedy: bool = True) -> Problem:
    """The one problem of a code that names a lead; it points to the lead's line and says what to do."""
    all_of_it = [p for p in analysis.problems if p.code == code and tag in p.message]
    assert len(all_of_it) == 1, [p.text() for p in analysis.problems if p.severity is not Severity.NOTE]
    problem = all_of_it[0]
    lines = [i for i, row in enumerate(analysis.texts[problem.place.file], 1) if f"tag {tag}" in row]
    assert [problem.place.line] == lines
    assert problem.place.column > 0
    assert bool(problem.remedy) == remedy
    return problem


def unsaid(analysis: Analysis, *codes: str) -> None:
    """Nothing is said of hints: not these codes, and nothing worse than a note about how leads are laid."""
    codes = codes or ("RTE-102", "RTE-103", "RTE-104", "RTE-105", "RTE-106", "RTE-107")
    wrong = [p.text() for p in analysis.problems if p.code in codes]
    assert not wrong


def near_wall(path: BaseGeometry) -> float:
    """How much of a lead lies in the floor beside the wall, mm; the wall is the rounded rectangle of the file."""
    wall = Polygon([(12, 12), (WIDE - 12, 12), (WIDE - 12, DEEP - 12), (12, DEEP - 12)]).buffer(12, quad_segs=64)
    return float(path.intersection(wall.exterior.buffer(BESIDE + 0.1)).length)


def test_the_plain_file_asks_nothing_and_nothing_is_said_of_how_its_leads_are_laid() -> None:
    found = proof()
    unsaid(found, *(f"W{n}" for n in range(100, 120)))
    assert lead(found, "W05").path.length() > 0


@pytest.mark.parametrize("at", [(40, 64), (86, 12), (60, 60.5)])
def test_a_lead_passes_the_place_written_in_the_coordinates_of_its_cavity(at: tuple[float, float]) -> None:
    found = proof(W03=f"via {at[0]} {at[1]}")
    unsaid(found)
    assert line(found, "W03").distance(Point(at)) <= 0.5
    assert line(proof(), "W03").distance(Point(at)) > 0.5  # it would not have come there by itself


def test_two_places_are_passed_in_the_order_of_the_file() -> None:
    there = proof(W03="via 48 64, via 80 66")
    back = proof(W03="via 80 66, via 48 64")
    for found in (there, back):
        unsaid(found)
        assert max(line(found, "W03").distance(Point(at)) for at in ((48, 64), (80, 66))) <= 0.5
    assert line(back, "W03").length > line(there, "W03").length + 2 * 32 - 5  # there, back and there again


def test_a_lead_goes_through_the_channel_that_is_named_and_by_itself_through_the_shorter_one() -> None:
    plain, asked = proof(), proof(W06="via round")
    for found, channel, length in ((plain, "straight", 36.0), (asked, "round", 130.0)):
        (passed,) = [s for s in lead(found, "W06").spans if s.kind == "channel"]
        assert found.layout is not None
        assert [d.channel for d in found.layout.ports if "W06" in d.slots] == [channel] * 2
        assert passed.true_length == length
    mouth = Point(62, 0)
    assert line(asked, "W06").distance(mouth) < 4.0 < line(plain, "W06").distance(mouth)
    (row,) = [r for r in asked.rows if r.tag == "W06"]
    assert row.cut.share("channel") == 130.0  # and is cut for it
    unsaid(asked, "RTE-110", "RTE-111")


@pytest.mark.parametrize("tag", ["W01", "W05"])
def test_a_lead_along_the_wall_lies_there_for_most_of_its_way(tag: str) -> None:
    asked, plain = line(proof(**{tag: "along wall"}), tag), line(proof(), tag)
    unsaid(proof(**{tag: "along wall"}))
    assert near_wall(asked) > 0.6 * asked.length
    assert near_wall(asked) > near_wall(plain) + 20


def test_a_lead_along_the_wall_that_a_place_keeps_in_the_middle_is_said() -> None:
    problem = said(proof(W01="along wall, via 40 37, via 84 37"), "RTE-102", "W01")
    assert "via" in problem.remedy
    assert "along the wall for" in problem.message


def test_a_lead_is_laid_over_the_body_it_names() -> None:
    found, plain = proof(W07="over pot"), proof()
    unsaid(found)
    assert line(found, "W07").intersection(POT).length > 3
    assert line(plain, "W07").distance(POT) > 1.0
    assert any("pot" in s.over for s in lead(found, "W07").spans)


def test_a_body_without_free_height_is_not_passed_over_and_what_is_free_is_said() -> None:
    found = proof(12.0, W03="over pot")  # the pot's case reaches 10 mm down
    problem = said(found, "RTE-103", "W03")
    assert "mm are free above pot" in problem.message
    assert line(found, "W03").distance(POT) > 1.0


def test_a_lead_is_laid_under_what_hangs_in_its_legs_and_not_under_what_sits_on_the_wood() -> None:
    found = proof(W03="under hung")
    unsaid(found)
    assert found.layout is not None
    shift = found.layout.regions["controls"].shift
    body = shapely.union_all([Polygon([(p.x - shift.x, p.y - shift.y) for p in zone.outline.flat(0.1)])
                              for zone in found.layout.parts["hung"].body])
    assert line(found, "W03").intersection(body).length > 1
    assert not any("hung" in s.over for s in lead(found, "W03").spans)  # beneath it nothing rises
    problem = said(proof(W03="under pot"), "RTE-103", "W03")
    assert "no room beneath" in problem.message


def test_leads_apart_keep_five_millimetres_but_where_their_lugs_are_nearer() -> None:
    apart, plain = proof(W05="apart from W03"), proof()
    unsaid(apart, "RTE-102", "RTE-103", "RTE-105", "RTE-106", "RTE-107")
    near = [line(one, "W05").distance(line(one, "W03")) for one in (apart, plain)]
    said_so = [p for p in apart.problems if p.code == "RTE-104"]
    assert (near[0] < APART - 0.05) == bool(said_so)
    assert near[0] > near[1] + 1.0  # they cross where nothing is asked
    problem = said(proof(W03="apart from W04"), "RTE-104", "W03")
    assert problem.severity is Severity.NOTE  # the two lugs of one switch are 4.8 mm apart
    assert "4.8 mm" in problem.message


def test_leads_that_come_too_near_are_said_with_the_distance_and_the_lug() -> None:
    found = proof(W05="apart from W07, via 8 40")
    problem = said(found, "RTE-104", "W05")
    near = line(found, "W05").distance(line(found, "W07"))
    assert f"{near:.1f} mm of lead W07 near " in problem.message


def beside(analysis: Analysis, tag: str, other: str, within: float = 2 * LANE) -> float:
    """How much of a lead lies in the lane next to another's, mm."""
    return float(line(analysis, tag).intersection(line(analysis, other).buffer(within)).length)


def test_twisted_leads_lie_side_by_side_bear_the_mark_and_are_cut_for_their_turns() -> None:
    found, plain = proof(W02="twisted with W01"), proof()
    unsaid(found)
    assert beside(found, "W02", "W01") > line(found, "W01").length - 30
    assert found.layout is not None
    assert plain.layout is not None
    spots = list(twist_spots(found.layout))
    assert len(spots) >= 2
    for _, at, partner, _ in spots:
        assert at.distance(partner) <= 2 * LANE
    assert {m.subject for m in twist_marks(found.layout, lambda _: Emphasis.NORMAL)} == {"twist:W01"}
    assert not twist_marks(plain.layout, lambda _: Emphasis.NORMAL)
    assert beside(plain, "W02", "W01") < 30
    for tag in ("W01", "W02"):
        (row,) = [r for r in found.rows if r.tag == tag]
        assert row.cut.share("twist") > 1.0


@pytest.mark.parametrize("pair", [("W06", "W05"), ("W03", "W01"), ("W09", "W07")])
def test_leads_that_cannot_lie_beside_each_other_are_said_not_to_be_twisted(pair: tuple[str, str]) -> None:
    found = proof(**{pair[0]: f"twisted with {pair[1]}"})
    problem = said(found, "RTE-105", pair[0])
    assert pair[1] in problem.message
    assert beside(found, *pair) < line(found, pair[0]).length - 30 or beside(found, *pair) < 12


def test_the_braid_of_a_shielded_lead_is_joined_where_the_file_says() -> None:
    found = proof(W09="shielded, shield to pot.case")
    assert found.layout is not None
    (drawn,) = [(end, way.end) for one, end, way in tails(found.layout) if one.lead.tag == "W09"]
    assert str(drawn[0]) == "pot.case"
    shift = found.layout.regions["controls"].shift
    assert Point(drawn[1].x - shift.x, drawn[1].y - shift.y).distance(Point(62, 31)) < 0.1  # a quarter of 24 mm above
    assert joint_counts(found.layout)["pot.case"] == joint_counts(proof().layout)["pot.case"] + 1
    (row,) = [r for r in found.rows if r.tag == "W09"]
    assert row.shield_says


SHIELDED, CLOTH = 3.0, 2.1
"""Outer diameters, mm: single shielded conductor and cloth-covered 22 AWG (both typical, from memory)."""
NEAR_LUG = 12.0  # how a lead leaves its lug is for the lug to say: bends are measured farther in, mm


def bends(laid: LaidLead) -> list[float]:
    """Radii of the bends whose both ends lie well away from the lugs, mm."""
    found, gone = [], 0.0
    for span in laid.spans:
        at = span.path.start
        for piece in span.path.pieces:
            radius = piece.centre.distance(piece.to) if isinstance(piece, Arc) else math.inf
            long = abs(piece.sweep) * radius if isinstance(piece, Arc) else at.distance(piece.to)
            if isinstance(piece, Arc) and gone > NEAR_LUG and gone + long < laid.path.length() - NEAR_LUG:
                found.append(radius)
            gone, at = gone + long, piece.to
    return found


@pytest.mark.parametrize("tag", ["W03", "W05"])
def test_a_shielded_lead_is_bent_no_tighter_than_three_times_what_it_measures_with_its_braid(tag: str) -> None:
    """Braided or jacketed: three times the outer diameter (common practice, no source)."""
    found = bends(lead(proof(**{tag: "shielded"}), tag))
    assert found
    assert min(found) >= 3 * SHIELDED - 0.01


@pytest.mark.parametrize(("mark", "across"), [("shielded", SHIELDED), ("cloth", CLOTH), ("od 4.2mm", 4.2), ("", LANE)])
def test_leads_in_a_channel_lie_as_far_apart_as_they_are_thick(mark: str, across: float) -> None:
    layout = proof(W08=mark, W09=mark).layout
    assert layout is not None
    for door in (d for d in layout.ports if d.channel == "jack"):
        assert door.slots["W08"].distance(door.slots["W09"]) == pytest.approx(across, abs=0.01)


@pytest.mark.parametrize(
    ("marks", "code", "words"),
    [
        ({"W03": "via 200 200"}, "RTE-106", "outside of every cavity"),
        ({"W03": "via 1 40"}, "RTE-106", "the wall is 1.0 mm from it"),
        ({"W03": "over far"}, "RTE-103", "does not pass upper"),
        ({"W03": "over pot, under pot"}, "RTE-107", "'under pot'"),
        ({"W02": "twisted with W01, apart from W01"}, "RTE-107", "'apart from W01'"),
        ({"W02": "twisted with W01", "W01": "apart from W02"}, "RTE-107", "'apart from W02'"),
        ({"W01": "length 10"}, "LEN-301", "short, before slack"),
        ({"W02": "twisted with W01, length 100"}, "LEN-301", "needs 1"),
    ],
)
def test_what_contradicts_itself_or_the_room_is_said_and_the_lead_is_laid(
    marks: dict[str, str], code: str, words: str
) -> None:
    found = proof(**marks)
    tag = list(marks)[-1]
    assert words in said(found, code, tag).message
    path = lead(found, tag).path
    plain = lead(proof(), tag).path
    assert (path.start, path.end) == (plain.start, plain.end)  # from its one lug to its other all the same


def test_a_place_inside_a_body_is_met_over_it_where_the_height_allows_and_said_where_it_does_not() -> None:
    high, low = proof(W03="via 62 37"), proof(12.0, W03="via 62 37")
    unsaid(high)
    assert line(high, "W03").distance(Point(62, 37)) <= 0.5
    assert any("pot" in s.over for s in lead(high, "W03").spans)
    assert "pot stands there" in said(low, "RTE-106", "W03").message


@pytest.mark.parametrize(
    ("mark", "code", "remedy"),
    [
        ("over pto", "INP-301", "'pot'"),
        ("under fare", "INP-301", "'far'"),
        ("via rund", "INP-306", "'round'"),
        ("apart from W77", "INP-327", "W07"),
        ("twisted with W70", "INP-327", "W07"),
        ("twisted with W03", "INP-327", "other lead"),
        ("shielded, shield to pot.cse", "INP-302", "'case'"),
    ],
)
def test_names_that_do_not_exist_are_said_with_the_nearest_that_does(mark: str, code: str, remedy: str) -> None:
    problems = [p for p in proof(W03=mark).problems if p.severity is Severity.ERROR and p.code.startswith("INP-")]
    assert [p.code for p in problems] == [code]
    assert "tag W03" in problems[0].excerpt
    assert remedy in problems[0].remedy
