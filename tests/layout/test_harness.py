"""Leads over the plan: through the right doors, from lug to lug, none missing."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path as File

import pytest
import shapely
from bench import (
    box,
    build,
    cavity,
    channel,
    flipped,
    lead,
    modes,
    one_volume,
    part,
    several,
    unmeasured,
)

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point
from diagramgen.layout.global_routing.global_route import PITCH
from diagramgen.layout.model import LaidLead, Layout
from diagramgen.layout.plan import layout
from diagramgen.model.build import Build

BUILDS = {
    "one volume": one_volume(),
    "modes": modes(),
    "several": several(),
    "several, left": flipped(several()),
    "unmeasured": unmeasured(modes()),
}


@cache
def laid_out(name: str) -> Layout:
    return layout(BUILDS[name], Diagnostics())


def by_tag(made: Layout, tag: str) -> LaidLead:
    return next(lead for lead in made.leads if lead.lead.tag == tag)


@pytest.mark.parametrize("name", BUILDS)
def test_every_lead_runs_from_its_first_lug_to_its_last_without_a_gap(name: str) -> None:
    made = laid_out(name)
    assert [laid.lead.tag for laid in made.leads][: len(made.build.leads)] == [w.tag for w in made.build.leads]
    for laid in made.leads:
        for end, at in ((laid.lead.start, laid.path.start), (laid.lead.end, laid.path.end)):
            lug = made.parts[end.part].lugs[end.lug] if end.known else None
            # A lug bent over comes down on the rim of the case, not on the spot where leads are soldered.
            if lug is not None and not (laid.lead.kind == "bend" and lug.kind == "spot"):
                assert lug.at.distance(at) < 1e-6, laid.lead.tag
        for a, b in pairwise(laid.spans):
            assert a.path.end.distance(b.path.start) < 1e-3, laid.lead.tag


@pytest.mark.parametrize("name", BUILDS)
def test_usual_builds_are_laid_without_a_straight_way_out(name: str) -> None:
    for laid in laid_out(name).leads:
        assert not any("straight" in fault for fault in laid.faults), (laid.lead.tag, laid.faults)


@pytest.mark.parametrize("name", ["one volume", "modes", "several", "several, left"])
def test_leads_lie_side_by_side_in_a_door(name: str) -> None:
    for door in laid_out(name).ports:
        for a, b in combinations(door.slots.values(), 2):
            assert a.distance(b) > 0.9 * PITCH


@pytest.mark.parametrize("name", ["one volume", "modes", "several", "several, left"])
def test_leads_do_not_cross_in_a_stall_of_pickups(name: str) -> None:
    made = laid_out(name)
    for region in (r for r in made.regions.values() if r.kind == "stall"):
        lines = [
            shapely.LineString(span.path.flat())
            for laid in made.leads for span in laid.spans if span.region == region.name
        ]
        for a, b in combinations(lines, 2):
            assert not a.crosses(b), region.name


def test_a_lead_from_a_stall_passes_its_door_at_one_point_of_the_wall() -> None:
    made = laid_out("one volume")
    first = by_tag(made, "W01")
    slots = [d.slots["W01"] for d in made.ports if "W01" in d.slots]
    assert len(slots) == 2
    assert slots[0] == slots[1] == first.spans[0].path.end == first.spans[1].path.start
    assert [s.kind for s in first.spans] == ["outside", "inside"]


def test_a_lead_through_two_channels_counts_their_true_lengths() -> None:
    jack = by_tag(laid_out("several"), "W07")  # from the toggle through the controls to the jack
    assert [s.region for s in jack.spans if s.kind == "inside"] == ["upper", "controls", "bore"]
    assert [s.true_length for s in jack.spans if s.kind == "channel"] == [180, 25]
    for span in jack.spans:
        if span.kind == "inside":
            assert span.true_length == pytest.approx(span.path.length(), abs=0.05)


def test_lanes_of_a_strip_never_cross() -> None:
    spans = [s for laid in laid_out("several").leads for s in laid.spans if s.kind == "channel"]
    lines = [shapely.LineString(s.path.flat()) for s in spans]
    assert len(lines) >= 6
    for a, b in combinations(lines, 2):
        assert a.distance(b) > 1.0


def test_without_a_cavity_no_length_is_claimed() -> None:
    made = laid_out("unmeasured")
    assert not made.to_scale
    lengths = [s.true_length for laid in made.leads if laid.lead.is_wire for s in laid.spans]
    assert set(lengths) == {None}


def test_a_lead_that_no_channel_helps_along_is_drawn_through_the_walls_said_and_has_no_length() -> None:
    parts = [part("volume", "pot-24", (40, 20)), part("tone", "pot-24", (20, 20), cavity="other")]
    cavities = [cavity(outline=box(80, 60)), cavity("other", box(50, 50))]
    say = Diagnostics()
    made = layout(build(parts, "volume.ten -> tone.ten, white", cavities), say)
    (laid,) = made.leads
    assert [p.code for p in say.sorted()] == ["RTE-110"]
    assert laid.path.end == made.parts["tone"].lugs["ten"].at
    assert [s.kind for s in laid.spans] == ["inside", "channel", "inside"]
    assert laid.spans[1].true_length is None
    assert made.channels == {}


def test_channels_named_in_the_file_are_passed_in_that_order() -> None:
    parts = [part("volume", "pot-24", (40, 20)), part("tone", "pot-24", (25, 20), cavity="other")]
    cavities = [cavity(outline=box(80, 60)), cavity("other", box(50, 50))]
    ways = [channel("short", (80, 20), to="other", far=(0, 20), length=20),
            channel("long", (80, 45), to="other", far=(0, 40), length=90)]
    made = build(parts, "volume.ten -> tone.ten, white\nvolume.zero -> tone.zero, black", cavities, ways)
    forced = replace(made.leads[1], channels=("long",))
    found = layout(replace(made, leads=(made.leads[0], forced)), Diagnostics())
    assert [s.true_length for s in found.leads[0].spans if s.kind == "channel"] == [20]
    assert [s.true_length for s in found.leads[1].spans if s.kind == "channel"] == [90]


def test_a_parked_end_is_a_short_stub_behind_the_door() -> None:
    parked = by_tag(laid_out("modes"), "W09")
    assert [s.kind for s in parked.spans] == ["outside", "inside"]
    assert 8 <= parked.spans[1].path.length() <= 25


def test_an_unknown_end_is_a_short_stub() -> None:
    assert 8 <= by_tag(laid_out("modes"), "W21").spans[-1].path.length() <= 25


def test_a_component_has_two_legs_named_after_it() -> None:
    made = laid_out("modes")
    legs = [laid for laid in made.leads if laid.lead.kind == "leg"]
    assert [(str(laid.lead.start), str(laid.lead.end)) for laid in legs] == [
        ("cap.one", "tone.wiper"), ("cap.other", "tone.case")]
    assert [laid.lead.tag for laid in legs] == ["cap leg 1", "cap leg 2"]


def test_a_lug_bent_to_its_case_is_one_straight_piece() -> None:
    bend = by_tag(laid_out("modes"), "W16")
    assert len(bend.spans) == 1
    assert len(bend.spans[0].path.pieces) == 1


def led_past(made: Build, past: Point) -> float:
    """How near the ninth lead of the build comes to a place."""
    inside = next(s for s in layout(made, Diagnostics()).leads[8].spans if s.kind == "inside")
    return min(p.distance(past) for p in inside.path.flat())


def test_a_lead_is_led_past_the_place_the_file_names_in_either_hand() -> None:
    made = one_volume()
    forced = replace(made.leads[8], via=(Point(20.0, 62.0),))
    via = replace(made, leads=(*made.leads[:8], forced, *made.leads[9:]))
    assert led_past(made, Point(20.0, 62.0)) > 12
    assert led_past(via, Point(20.0, 62.0)) < 5  # the round corner cuts the place itself
    assert led_past(flipped(via), Point(104.0, 62.0)) < 5


def test_a_lead_with_no_known_end_is_not_lost() -> None:
    made = one_volume()
    odd = lead("unknown -> unknown, red", "W99")
    found = layout(replace(made, leads=(*made.leads, odd)), Diagnostics())
    assert by_tag(found, "W99").spans


def test_a_build_without_leads_or_parts_has_a_layout() -> None:
    assert layout(build([], "", [cavity(outline=box(50, 40))]), Diagnostics()).box.width >= 50


def digest(made: Build) -> str:
    found = layout(made, Diagnostics())
    text = repr([(laid.lead.tag, laid.spans) for laid in found.leads]) + repr(list(found.parts.items()))
    return hashlib.sha256(text.encode()).hexdigest()


def test_the_layout_does_not_depend_on_the_hash_order() -> None:
    code = "import sys; sys.path.insert(0, sys.argv[1]); from test_harness import digest; " \
           "from bench import several; print(digest(several()))"
    here = str(File(__file__).parent)
    found = {
        subprocess.run([sys.executable, "-c", code, here], capture_output=True, text=True, check=True,
                       env={**os.environ, "PYTHONHASHSEED": seed,
                            "PYTHONPATH": os.pathsep.join([*sys.path, here])}).stdout
        for seed in ("1", "2")
    }
    assert len(found) == 1
