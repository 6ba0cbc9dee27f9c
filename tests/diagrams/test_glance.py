"""The bench page at a glance: what sounds where comes from the proof, ends and counts from the parts."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.drawing.scene import Shape, Text, walk
from diagramgen.features.diagrams.sheet import enlarged, mirrored
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.glance import _lines, glance

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def bench(name):
    return enlarged(context_of(proof(name)), PAPERS["a4"])[0](1, 1)


def texts(sheet):
    return [mark for mark in walk(sheet) if isinstance(mark, Text)]


def test_each_position_of_a_toggle_names_the_coils_that_sound():
    (block,) = glance(proof("two-pickups-toggle").chart).blocks
    assert dict(block.rows) == {
        "up": "neck, both coils in series",
        "middle": "neck and bridge in parallel, both coils of each in series",
        "down": "bridge, both coils in series",
    }


def test_the_bench_page_says_them_all():
    said = " ".join(t.text for t in texts(bench("two-pickups-toggle")))
    assert "up: neck, both coils in series" in said
    assert "down: bridge, both coils in series" in said
    assert "All metal a hand touches is grounded." in said


def test_a_build_without_strings_does_not_promise_that_all_metal_is_grounded():
    chart = proof("two-pickups-toggle").chart
    build = chart.build
    parts = {name: part for name, part in build.parts.items() if "string" not in part.symbol.kind}
    leads = tuple(one for one in build.leads if {one.start.part, one.end.part} <= {*parts, ""})
    assert len(parts) < len(build.parts)
    said = glance(replace(chart, build=replace(build, parts=parts, leads=leads)))
    assert not said.strings
    told = " ".join(line for line, *_ in _lines(said, 200.0))
    assert "The strings are not in the file: their ground was not judged." in told
    assert "All metal a hand touches is grounded." not in told


def test_a_pull_that_leaves_the_coils_alone_says_what_it_changes():
    blocks = {b.name: b for b in glance(proof("baritone").chart).blocks}
    assert blocks["volume"].says == "Pushed: treble bleed on. Pulled: off. Same coils."
    assert not blocks["selector"].says


def test_a_frame_whose_lead_is_taken_off_has_no_ground():
    build = proof("two-pickups-toggle").build
    leads = tuple(one for one in build.leads if "selector.frame" not in (str(one.start), str(one.end)))
    chart = replace(proof("two-pickups-toggle").chart, build=replace(build, leads=leads))
    assert glance(chart).no_ground == ("selector (frame)",)
    assert not glance(proof("two-pickups-toggle").chart).no_ground


@pytest.mark.parametrize("view", [lambda s: s, mirrored], ids=["solder side", "player's side"])
def test_the_end_of_the_lever_that_says_neck_lies_toward_the_neck(view):
    subject = view(context_of(proof("three-singles-lever")))
    sheet = enlarged(subject, PAPERS["a4"])[0](1, 1)
    (neck,) = [t for t in texts(sheet) if t.text == "toward neck"]
    (bridge,) = [t for t in texts(sheet) if t.text == "toward bridge"]
    # The neck of this build lies at the left of the solder side, at the right of the player's.
    assert (neck.at.x < bridge.at.x) == (not subject.layout.mirrored)


def test_the_case_of_a_pot_bears_the_number_of_wires_soldered_to_it():
    subject = context_of(proof("one-volume"))
    ends = [str(e) for one in subject.layout.leads for e in (one.lead.start, one.lead.end)].count("volume.case")
    (said,) = [t.text for t in texts(bench("one-volume")) if t.subject == "lug:volume.case"]
    assert said == f"×{ends}"


def test_ten_stands_at_the_head_of_the_arrow_and_zero_at_its_tail():
    marks = list(walk(bench("one-volume")))
    head = next(m for m in marks if isinstance(m, Shape) and m.subject == "part:volume" and m.role.value == "arrow")
    tip = head.path[0].start
    ten, zero = (next(m.at for m in marks if isinstance(m, Text) and m.text == word and m.subject == "part:volume")
                 for word in ("10", "0"))
    assert ten.distance(tip) < zero.distance(tip)
