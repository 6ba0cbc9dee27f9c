"""Depth, thread, knob and opening: the bench's own sums (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace

from builders import build, cavity, codes, layout, only, part, place

from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.layout.fit import check_fit
from diagramgen.library.expressions import constant
from diagramgen.model.build import Build, Cavity, Part


def said(made: Build) -> Diagnostics:
    say = Diagnostics()
    check_fit(layout(made), say)
    return say


def one(p: Part, **space: object) -> Build:
    held: Cavity = cavity(**space)  # type: ignore[arg-type]
    return build([p], cavities=[held])


POT = part("volume", "pot", (62, 30))
DEEP = part("mode", "slider", (62, 30))


def test_a_thirty_millimetre_part_in_a_twenty_eight_millimetre_cavity_is_two_short() -> None:
    found = only(said(one(DEEP, depth=28.0)), "FIT-310")
    assert found.severity is Severity.ERROR
    assert "mode is 30 mm deep in a 28 mm cavity: 2 mm short, before solder and leads" in found.message


def test_what_the_cover_takes_away_counts() -> None:
    assert "FIT-310" not in codes(said(one(DEEP, depth=35.0)))
    found = only(said(one(DEEP, depth=31.0, cover=2.5)), "FIT-310")
    assert "31 mm cavity less 2.5 mm of cover: 1.5 mm short" in found.message


def test_room_for_solder_and_leads_is_three_to_five_millimetres() -> None:
    assert codes(said(one(DEEP, depth=35.0))) == []
    assert only(said(one(DEEP, depth=34.0)), "FIT-311").severity is Severity.NOTE
    short = only(said(one(DEEP, depth=32.0)), "FIT-311")
    assert short.severity is Severity.WARNING
    assert "2 mm left for solder and leads, 1 mm short of 3 mm" in short.message


def test_an_unmeasured_depth_is_said_and_not_judged() -> None:
    assert codes(said(one(DEEP, depth=None))) == ["FIT-309"]


def test_a_measured_dimension_of_the_part_on_the_bench_replaces_the_typical_one() -> None:
    assert "FIT-310" in codes(said(one(replace(DEEP, dimensions={"depth": 36.0}), depth=35.0)))


def test_thread_must_pass_wood_washers_and_nut() -> None:
    found = only(said(one(POT, wood=8.0)), "FIT-312")
    assert "Thread 9.5, wood 8, washers 1.2, nut 2.3: 2 mm short" in found.message
    assert codes(said(one(POT, wood=6.0))) == []


def test_wood_at_the_very_hole_wins_over_the_cavitys() -> None:
    assert codes(said(one(replace(POT, wood=5.0), wood=8.0))) == []
    assert "FIT-312" in codes(said(one(replace(POT, wood=8.0), wood=5.0)))


def test_too_long_a_thread_stands_off_as_a_note() -> None:
    mounting = replace(POT.symbol.mounting, thread=constant(19))
    long = replace(POT, symbol=replace(POT.symbol, mounting=mounting))
    found = only(said(one(long, wood=8.0)), "FIT-313")
    assert found.severity is Severity.NOTE
    assert "7.5 mm of thread stand above the nut" in found.message


def test_a_six_millimetre_knob_does_not_go_on_a_quarter_inch_shaft() -> None:
    found = only(said(one(replace(POT, knob_bore=6.0))), "FIT-314")
    assert "0.35 mm too tight" in found.message
    assert codes(said(one(replace(POT, knob_bore=6.35)))) == []
    assert "FIT-315" in codes(said(one(replace(POT, knob_bore=8.0))))


def test_an_eight_millimetre_hole_does_not_take_a_three_eighths_bushing() -> None:
    # 3/8 in is 9.525 mm (3/8-32 UNEF); small controls are fitted in 8 mm holes (common practice, no source).
    mounting = replace(POT.symbol.mounting, hole=constant(8))
    small = replace(POT, symbol=replace(POT.symbol, mounting=mounting))
    assert "1.53 mm short" in only(said(one(small)), "FIT-316").message


def test_an_opening_passes_a_pot_edgewise_or_not_at_all() -> None:
    # The pot is 24 wide, 29 with its lugs and 10 thick.
    field = {"outline": None, "depth": None}
    assert only(said(one(POT, opening=16.0, **field)), "FIT-319").severity is Severity.NOTE
    assert "1 mm short" in only(said(one(POT, opening=9.0, **field)), "FIT-318").message
    assert codes(said(one(POT, opening=30.0, **field))) == []


def test_thread_and_knob_are_reported_where_their_measure_was_written() -> None:
    places = {"at": place(3), "wood above": place(4), "knob bore": place(5)}
    written = replace(POT, wood=8.0, knob_bore=6.0, places=places)
    say = said(one(written))
    assert only(say, "FIT-312").place.line == 4
    assert only(say, "FIT-314").place.line == 5
