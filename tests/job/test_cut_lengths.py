"""Cut lengths against sums done by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from builders import build, cavity, channel, codes, hinged, layout, lead, only, part, span

from diagramgen.job.lengths import CutLength, check_lengths, cut_length
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point, polyline
from diagramgen.kernel.units import awg_diameter
from diagramgen.layout.model import LaidLead, Layout, Span
from diagramgen.model.build import Build, Lead

VOLUME, TONE = part("volume", "pot", (30, 30)), part("tone", "pot", (80, 30))
MODE = part("mode", "slider", (100, 30))
NECK = part("neck", "coil", cavity="", through="neck", cable_length=200.0)
OUTPUT = part("output", "jack", cavity="", through="jack")
PARTS = [VOLUME, TONE, MODE, NECK, OUTPUT]
CHANNELS = [channel("neck", 8, 90), channel("jack", 9, 40), channel("toggle", 8, None)]


def laid(one: Lead, *spans: Span, **changes: object) -> tuple[LaidLead, Layout]:
    made: Build = replace(build(PARTS, [one], channels=CHANNELS), **changes)  # type: ignore[arg-type]
    found = LaidLead(one, spans or (span("main", 50.0),), ())
    return found, layout(made, [found])


def cut(one: Lead, *spans: Span, **changes: object) -> CutLength:
    return cut_length(*laid(one, *spans, **changes))


def said(one: Lead, *spans: Span, **changes: object) -> Diagnostics:
    say = Diagnostics()
    check_lengths(laid(one, *spans, **changes)[1], say)
    return say


def test_route_joints_and_slack_are_rounded_up_to_five() -> None:
    # 50 as laid, eyelet 6 at both ends, one depth, 20 slack: 82, cut 85.
    found = cut(lead("W01", "volume.wiper -> tone.ten"))
    assert [(s.name, s.mm) for s in found.shares] == [
        ("route", 50), ("joint", 6), ("joint", 6), ("slack", 20), ("rounding", 3)]
    assert found.total == 85
    assert found.need == 62


def test_the_shares_add_up_to_the_total() -> None:
    for route in (0.4, 33.3, 61.98, 100.0):
        found = cut(lead("W01", "volume.wiper -> mode.a"), span("main", route))
        assert sum(s.mm for s in found.shares) == pytest.approx(found.total or 0)
        assert (found.total or 0) % 5 == 0


def test_twisted_wires_take_the_length_of_their_helix_whichever_of_them_says_so() -> None:
    # By hand: 200 mm, 1.4 mm wires, a turn in 12 mm: sqrt(12^2 + (pi 1.4)^2) / 12 = 1.0650, 13.0 mm more.
    one, other = lead("W01", "volume.wiper -> tone.ten"), replace(lead("W02", "volume.ten -> tone.wiper"),
                                                                  twisted_with="W01")
    made: Build = replace(build(PARTS, [one, other], channels=CHANNELS), wire_diameter=1.4)
    plan = [LaidLead(w, (span("main", 200.0),), ()) for w in (one, other)]
    for each in plan:
        assert cut_length(each, layout(made, plan)).share("twist") == pytest.approx(13.0, abs=0.05)


def test_a_sum_that_is_a_whole_five_is_not_rounded_up() -> None:
    assert cut(lead("W01", "volume.wiper -> tone.ten"), span("main", 48.0)).total == 80


def test_a_lead_rises_from_each_lug_to_the_level_it_runs_at() -> None:
    # Wiper at 4 mm, switch lug at 18: the lead runs at 18 and rises 14 at the pot.
    found = cut(lead("W01", "volume.wiper -> mode.a"))
    assert [(s.mm, s.says) for s in found.shares if s.name == "rise"] == [(14.0, "at Volume wiper")]


def test_a_body_passed_over_raises_the_run() -> None:
    # Over the tone's 10 mm case between lugs at 4 mm: 6 mm at each end.
    over = Span("main", "inside", polyline((Point(30, 30), Point(100, 30))), 70.0, ("tone",))
    assert cut(lead("W01", "volume.wiper -> volume.zero"), over).share("rise") == 12
    beside = Span("main", "inside", polyline((Point(30, 60), Point(100, 60))), 70.0, ("tone",))
    assert cut(lead("W01", "volume.wiper -> volume.zero"), beside).share("rise") == 0


def test_between_two_lugs_of_one_part_a_lead_rises_by_their_difference_of_depth_alone() -> None:
    # By hand: eyelet at 4 mm, case at 10, the own 10 mm body between them: 6 mm in all, at the eyelet; 25 as laid,
    # strips 6 and 8, slack 20: 65, cut 65.
    way = polyline((Point(30, 30), Point(30, 36)))
    found = cut(lead("W01", "volume.wiper -> volume.case"), Span("main", "inside", way, 25.0, ("volume",)))
    assert [(s.mm, s.says) for s in found.shares if s.name == "rise"] == [(6.0, "at Volume wiper")]
    assert found.total == 65


def test_joints_differ_by_kind_of_lug() -> None:
    # Common practice, no source: eyelet 6, spot 8.
    found = cut(lead("W01", "volume.wiper -> tone.case"))
    assert found.share("joint") == 14
    assert found.strips == ("strip 6", "strip 8")


def test_cloth_is_pushed_and_adds_no_strip() -> None:
    found = cut(lead("W01", "volume.wiper -> tone.ten", cloth=True))
    assert found.strips == ("push 6", "push 6")
    assert found.share("joint") == 0


def test_bare_wire_is_not_stripped_but_its_joints_take_length() -> None:
    found = cut(lead("W01", "volume.case -> tone.case", "bare"))
    assert found.strips == ("bare", "bare")
    assert found.share("joint") == 16


def test_a_bus_is_cut_once_for_all_its_stretches() -> None:
    first = lead("W01", "volume.case -> tone.case", "bare", bus="bus 1")
    second = lead("W02", "tone.case -> mode.a", "bare", bus="bus 1")
    made = build(PARTS, [first, second])
    both = [LaidLead(first, (span("main", 40.0),), ()), LaidLead(second, (span("main", 30.0),), ())]
    whole, rest = (cut_length(x, layout(made, both)) for x in both)
    # Case at 10 mm, switch lug at 18: the second stretch rises 8 mm at the case; 6 at the eyelet.
    assert whole.need == 40 + 30 + 8 + 8 + 6
    assert whole.total == 115
    assert (rest.total, rest.reason, rest.cut_with) == (None, "one wire with W01", "W01")


def test_a_channel_adds_its_own_length() -> None:
    found = cut(lead("W01", "volume.wiper -> output.tip", channels=("jack",)),
                span("main", 30.0), span("stall", 40.0, "outside"))
    # 30 + 40 + 6 + 6 + 20 = 102.
    assert found.share("channel") == 40
    assert found.total == 105


def test_a_channel_without_a_length_leaves_no_total_and_is_said_once() -> None:
    one = lead("W01", "volume.wiper -> output.tip", channels=("toggle",))
    spans = (span("main", 30.0), span("stall", None, "outside"))
    found = cut(one, *spans)
    assert found.total is None
    assert found.reason == "no length is given for channel toggle"
    assert found.shares == ()
    assert only(said(one, *spans), "LEN-303").severity is Severity.NOTE


def test_in_a_cavity_nobody_measured_nothing_has_a_length() -> None:
    board = cavity(outline=None, depth=None)
    found = cut(lead("W01", "volume.wiper -> tone.ten"), span("main", None), cavities={"main": board})
    assert found.total is None
    assert found.reason == "cavity main was not measured"


def test_ends_that_are_unknown_or_parked_have_no_length() -> None:
    assert cut(lead("W01", "volume.wiper -> unknown")).reason == "one end is not known yet"
    assert cut(lead("W01", "neck.start -> parked")).reason.startswith("one end is parked")


@pytest.mark.parametrize("kind", ["leg", "bend", "bridge", "sleeved"])
def test_no_wire_is_cut_for_joints_that_are_no_lead(kind: str) -> None:
    found = cut(lead("W01", "volume.zero -> volume.case", kind))
    assert (found.total, found.reason) == (None, "no wire is cut")


def test_a_lead_that_leaves_a_hinged_plate_is_longer_and_one_that_stays_is_not() -> None:
    # 100 to 150 mm more (common practice, no source).
    plated = {"main": cavity(plate=hinged("left"))}
    out = cut(lead("W01", "volume.wiper -> output.tip"), span("main", 30.0), span("stall", 40.0, "outside"),
              cavities=plated)
    assert 100 <= out.share("hinge") <= 150
    assert cut(lead("W01", "volume.wiper -> tone.ten"), cavities=plated).share("hinge") == 0
    lifted = {"main": cavity(plate=hinged(""))}
    assert cut(lead("W01", "volume.wiper -> output.tip"), cavities=lifted).share("hinge") == 0


def test_a_pickups_inner_conductor_is_stripped_four_and_not_at_its_own_end() -> None:
    found = cut(lead("W01", "neck.finish -> volume.ten", cable="neck"),
                span("stall", 90.0, "outside"), span("main", 30.0))
    assert found.owner == "neck"
    assert found.strips == ("", "strip 4")
    assert found.share("joint") == 4


def test_a_cable_that_does_not_reach_is_warned_of_with_the_missing_millimetres() -> None:
    one = lead("W01", "neck.finish -> volume.ten", cable="neck")
    far = (span("stall", 90.0, "outside"), span("main", 120.0))
    # 90 + 120 + 4 = 214 against 200.
    found = only(said(one, *far), "LEN-302")
    assert found.severity is Severity.WARNING
    assert "14 mm short" in found.message
    assert codes(said(one, span("stall", 90.0, "outside"), span("main", 100.0))) == []


def test_a_length_in_the_file_is_used_and_an_error_where_it_does_not_reach() -> None:
    long, short = (lead("W01", "volume.wiper -> tone.ten", length=mm) for mm in (150.0, 55.0))
    assert cut(long).total == 150
    assert codes(said(long)) == []
    found = only(said(short), "LEN-301")
    assert found.severity is Severity.ERROR
    assert "given 55 mm, but needs 62 mm: 7 mm short" in found.message
    assert cut(replace(long, length=300.0), span("main", None)).total == 300


def test_wire_diameters_are_those_of_the_standard() -> None:
    # d = 0.127 mm x 92^((36 - n) / 39): ASTM B258, read second hand; GNU units 2.22 gives the same figures.
    published = {20: 0.81182, 22: 0.6438, 24: 0.51056, 26: 0.40489, 28: 0.32109, 30: 0.25464}
    for gauge, mm in published.items():
        assert awg_diameter(gauge) == pytest.approx(mm, abs=1e-5)


def test_a_part_on_the_opposite_floor_of_a_plate_cavity_counts_its_depth_from_there() -> None:
    # Switch lug 18 mm above the floor of a 38 mm rout lies 20 mm below the plate; the pot's wiper at 4.
    floor = replace(MODE, symbol=replace(MODE.symbol, mounting=replace(MODE.symbol.mounting, side="floor")))
    routed = cavity(opened="front")
    one = lead("W01", "volume.wiper -> mode.a")
    made = build([VOLUME, floor], [one], cavities=[routed])
    found = LaidLead(one, (span("main", 50.0),), ())
    assert cut_length(found, layout(made, [found])).share("rise") == 16


def test_measured_holes_without_a_cavity_give_lengths() -> None:
    board = cavity(outline=None, depth=None)
    found = cut(lead("W01", "volume.wiper -> tone.ten"), span("main", 50.0), cavities={"main": board})
    assert found.total == 85
