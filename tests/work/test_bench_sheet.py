"""The work sheet: every joint once, in the order worked out, with its stops."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.drawing.scene import Text, walk, walk_placed
from diagramgen.features.testpage import sheet as testpage
from diagramgen.features.work import work_sheet as benchsheet
from diagramgen.features.work.work_sheet import work_sheets
from diagramgen.job.bench_steps import bench_groups, left_out_words
from diagramgen.job.ear_test import TOUCH
from diagramgen.job.stage_checks import MOST, stage_checks
from diagramgen.job.words import is_pickup
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.printing import compose
from diagramgen.sheets.sheet_kind import Request

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
BUILDS = ["one-volume", "two-pickups-toggle", "baritone", "no-cavity", "holes-in-top"]


@cache
def stops(name):
    return stage_checks(proof(name).build, proof(name).order)


@cache
def groups(name):
    found = proof(name)
    return bench_groups(found.layout, found.order, found.rows, stops(name))


@cache
def words(name):
    found = proof(name)
    makers = work_sheets(found.order, found.rows, stops(name), context_of(found), PAPERS["a4"])
    return [m.text for i, maker in enumerate(makers) for m in walk(maker(i + 1, len(makers))) if isinstance(m, Text)]


@pytest.mark.parametrize("name", BUILDS)
def test_every_step_but_the_stops_is_a_line_in_its_order(name):
    steps = [one.step for one in proof(name).order.steps if one.step.kind not in ("check", "cut")]
    lines = [line for group in groups(name) for line in group.lines
             if not line.where.startswith(("mm", "needs"))]
    lines = [line for line in lines if not line.do.startswith("kept")]
    assert len(lines) == len(steps)
    for step, line in zip(steps, lines, strict=True):
        assert line.subject in ("", f"lug:{step.lug}", f"part:{step.parts[0] if step.parts else ''}")


@pytest.mark.parametrize("name", BUILDS)
def test_every_wire_is_cut_once_and_every_wire_stands_at_each_of_its_joints(name):
    lines = [line for group in groups(name) for line in group.lines]
    cut = " ".join(f"; {line.what};" for line in lines
                   if line.where.startswith(("mm", "ends", "needs")))
    joints = [line.what for line in lines if line.do in ("solder", "join, sleeve")]
    for row in proof(name).rows:
        if row.kind in ("wire", "shielded", "bare"):
            assert cut.count(f"; {row.tag} ") == 1, row.tag
            assert any(f"{row.tag} " in what or f"{row.tag}," in what for what in joints), row.tag


def test_a_wire_into_a_bore_is_soldered_long_and_its_free_end_is_cut_later():
    lines = [line for group in groups("two-pickups-toggle") for line in group.lines]
    tip = next(i for i, line in enumerate(lines) if line.subject == "lug:output.tip")
    free = next(i for i, line in enumerate(lines) if line.do == "cut the free end")
    assert ", left long" in lines[tip].what
    assert tip < free
    assert "W12" in lines[free].what


def test_a_pickups_own_conductors_are_never_trimmed_to_what_is_needed():
    for name in BUILDS:
        build, rows = proof(name).build, {row.tag: row for row in proof(name).rows}
        own = [tag for tag, row in rows.items() if row.cut.owner and is_pickup(build, row.cut.owner)
               and not row.reused and row.kind in ("wire", "shielded", "bare")]
        lines = [line for group in groups(name) for line in group.lines]
        for tag in own:
            said = [line for line in lines if f" {tag} " in f" {line.what}" and line.where.startswith(("mm", "needs"))]
            assert [line.do for line in said] == ["strip, tin"], (name, tag)
            assert said[0].what.endswith("the rest coiled under a tie, unless it is to be cut")


def test_a_battery_is_spoken_of_only_where_there_is_one():
    for name, cell in (("two-pickups-toggle", False), ("bass-active", True)):
        build = proof(name).build
        assert any(e.kind == "cell" for p in build.parts.values() for e in p.symbol.elements) == cell
        lines = " ".join(c for row in benchsheet._before(build).rows for c in row.cells if isinstance(c, str))
        assert ("Battery out" in lines) == cell


def test_a_stop_at_which_nothing_can_be_metered_is_skipped():
    assert [g.stop is None for g in groups("two-pickups-toggle")] == [False, False, True, False, False]


@pytest.mark.parametrize("name", BUILDS)
def test_a_stop_lists_no_more_than_its_share_and_says_how_many_are_left_off(name):
    for stop in stops(name):
        assert len(stop.readings) <= MOST
        assert stop.more == 0 or any(f"and {stop.more} more" in text for text in words(name))


def test_a_switch_of_the_plug_is_set_only_where_the_jack_has_one():
    assert not any("plug in" in text for text in words("two-pickups-toggle") if text.startswith("STOP"))
    assert any("no plug in" in text for text in words("baritone") if text.startswith("STOP"))


def test_what_the_order_cannot_keep_is_said():
    found = proof("holes-in-top")
    said = left_out_words(found.build, found.order)
    assert "Soldering Strings comes after soldering Neck-volume 10" in " ".join(said)
    assert any(text.startswith("Soldering Strings comes after ") for text in words("holes-in-top"))
    assert any(text.startswith("Heated more than once, ") and "twice" in text for text in words("holes-in-top"))


def test_what_comes_late_is_said_with_how_to_shield_what_is_there():
    found = proof("baritone")
    (said,) = left_out_words(found.build, found.order)
    assert said.startswith("Soldering Transducer blend case comes after soldering Transducer blend 10, ")
    assert said.endswith(": clip a heat sink on what it could cook; wide tip, 4 seconds at most")


def test_the_finished_volume_reads_its_coil_beside_its_track():
    # Closed form: 6.2k beside 250k = 6.05k.
    assert any(text.startswith("6.05 kΩ (") for text in words("one-volume"))


def test_the_spool_given_parts_the_wire_into_its_lengths():
    made = compose(proof("baritone"), Request(sheets=("work",), spool=600.0))
    assert {"work-1.svg", "work.pdf"} <= set(made)
    assert b"from lengths of 600 mm" in made["work-1.svg"]


@pytest.mark.parametrize("paper", ["a4", "a5", "letter", "a3"])
@pytest.mark.parametrize("name", ["baritone", "two-pickups-toggle"])
def test_all_words_lie_within_the_frame(name, paper):
    found = proof(name)
    makers = work_sheets(found.order, found.rows, stops(name), context_of(found), PAPERS[paper])
    for i, maker in enumerate(makers):
        sheet = maker(i + 1, len(makers))
        for placed in walk_placed(sheet):
            if isinstance(placed.mark, Text):
                box = placed.mark.box()
                assert box.right <= sheet.width - 10.0 + 0.1, placed.mark.text
                assert box.bottom <= sheet.height - 10.0 + 0.1, placed.mark.text


@pytest.mark.parametrize("paper", ["a4", "a5", "letter", "a3"])
@pytest.mark.parametrize("name", ["baritone", "two-pickups-toggle", "bass-active"])
def test_the_test_page_keeps_its_frame_and_ends_with_the_touch_test(name, paper):
    found = proof(name)
    makers = testpage.test_sheets(found.chart, context_of(found), PAPERS[paper])
    said = []
    for i, maker in enumerate(makers):
        sheet = maker(i + 1, len(makers))
        for placed in walk_placed(sheet):
            if isinstance(placed.mark, Text):
                box = placed.mark.box()
                said.append(placed.mark.text)
                assert box.right <= sheet.width - 10.0 + 0.1, placed.mark.text
                assert box.bottom <= sheet.height - 10.0 + 0.1, placed.mark.text
    whole = " ".join(said)
    assert " ".join(TOUCH[:2]) in whole
    assert ("Battery current" in whole) == (name != "two-pickups-toggle")
    assert ("DC millivolts" in whole) == (name == "two-pickups-toggle")
    assert ("no ohm test here in any position" in whole) == (name != "two-pickups-toggle")
