"""Stages: the build grows in the order of soldering, each lead stands out once."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from sampled import proof_of as proof

from diagramgen.drawing.scene import Emphasis, Group, Role, Shape, Text, Viewport, walk
from diagramgen.features.work.stages_sheet import CROWDED, FEWEST, MOST, Stage, stage_sheets, stages_of
from diagramgen.job.order import GROUPS
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import context_of
from diagramgen.sheets.small_drawings import EDGE, HEADER, best_grid

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
BUILDS = ["bass-active", "one-volume", "two-pickups-toggle", "three-singles-lever", "no-cavity"]
DRAWN = (Role.LEAD_BODY, Role.LEG)


def sheets(name, paper="a4", stages=None):
    found = proof(name)
    chosen = stages_of(found.rows) if stages is None else stages
    return [m(1, 2) for m in stage_sheets(context_of(found), chosen, PAPERS[paper])]


def pictures(made):
    """Each picture as a map from a lead's tag to how strong it is drawn."""
    result = []
    for sheet in made:
        for view in sheet.marks:
            if isinstance(view, Viewport) and view.children[0].subject == "stage":
                shown = {}

                def visit(marks, seen):
                    for mark in marks:
                        if isinstance(mark, Group):
                            visit(mark.children, seen)
                        elif isinstance(mark, Shape) and mark.role in DRAWN and mark.subject.startswith("lead:"):
                            seen[mark.subject.removeprefix("lead:")] = mark.emphasis

                visit(view.children, shown)
                result.append(shown)
    return result


@pytest.mark.parametrize("name", BUILDS)
def test_each_lead_stands_out_once_and_is_faint_ever_after(name):
    found = pictures(sheets(name))
    every = {one.lead.tag for one in proof(name).layout.leads}
    strong = Counter(tag for shown in found for tag, how in shown.items() if how == Emphasis.STRONG)
    assert strong == dict.fromkeys(every, 1)
    for before, after in pairwise(found):
        assert set(before) < set(after)
        assert all(after[tag] == Emphasis.FAINT for tag in before)


@pytest.mark.parametrize("name", BUILDS)
def test_a_lead_that_is_not_yet_made_is_not_there(name):
    found = pictures(sheets(name))
    for shown, stage in zip(found, stages_of(proof(name).rows), strict=True):
        assert {t for t, how in shown.items() if how == Emphasis.STRONG} == set(stage.tags)
    assert set(found[0]) == set(stages_of(proof(name).rows)[0].tags)


@pytest.mark.parametrize("name", BUILDS)
def test_the_stages_keep_the_order_of_the_lead_list(name):
    rows = proof(name).rows
    assert [tag for stage in stages_of(rows) for tag in stage.tags] == [r.tag for r in rows]
    captions = [stage.caption.removesuffix(" (more)") for stage in stages_of(rows)]
    order = list(GROUPS.values())
    assert captions == sorted(captions, key=order.index)
    assert len(captions) <= MOST


def test_there_are_four_pictures_where_there_are_leads_enough_and_crowded_ones_are_parted():
    assert len(stages_of(proof("two-pickups-toggle").rows)) >= FEWEST
    for name in BUILDS:
        found = stages_of(proof(name).rows)
        assert len(found) == MOST or all(len(s.tags) <= CROWDED for s in found)


def test_any_ordered_leads_may_be_shown():
    tags = [one.lead.tag for one in proof("one-volume").layout.leads]
    wanted = [Stage("last first", tuple(tags[-2:])), Stage("then the rest", tuple(tags[:-2]))]
    found = pictures(sheets("one-volume", stages=wanted))
    assert [{t for t, how in shown.items() if how == Emphasis.STRONG} for shown in found] == [
        set(tags[-2:]), set(tags[:-2])]


def test_a_build_without_leads_has_no_stages():
    assert sheets("one-volume", stages=[]) == []


def test_a_component_is_there_from_the_stage_of_its_legs_on():
    made = sheets("three-singles-lever")
    views = [v for s in made for v in s.marks if isinstance(v, Viewport) and v.children[0].subject == "stage"]
    there = ["part:cap" in {g.subject for g in view.children[0].children if isinstance(g, Group)} for view in views]
    stages = stages_of(proof("three-singles-lever").rows)
    legs = {one.lead.tag for one in proof("three-singles-lever").layout.leads if one.lead.kind == "leg"}
    first = next(i for i, stage in enumerate(stages) if legs & set(stage.tags))
    assert there == [False] * first + [True] * (len(stages) - first)


@pytest.mark.parametrize("name", BUILDS)
def test_the_pages_are_one_or_two_and_every_picture_has_number_words_and_its_new_tags(name):
    made = sheets(name)
    assert 1 <= len(made) <= 2
    words = [m.text for s in made for m in walk(s) if isinstance(m, Text)]
    for i, stage in enumerate(stages_of(proof(name).rows)):
        title = f"{i + 1}  {stage.caption}"
        assert any(w == title or (w.endswith("…") and title.startswith(w[:-1])) for w in words)
    wires = [one.lead.tag for one in proof(name).layout.leads if one.lead.is_wire]
    for tag in wires:
        assert any(w.startswith(tag + " ") for w in words)


@pytest.mark.parametrize("name", BUILDS)
def test_no_lettering_is_below_1_8_mm(name):
    heights = [m.height for s in sheets(name) for m in walk(s) if isinstance(m, Text)]
    assert min(heights) >= 1.8 - 1e-9


@pytest.mark.parametrize("name", ["left-handed", "holes-in-top", "no-cavity"])
def test_a_cell_is_no_taller_than_its_picture_needs(name):
    subject = context_of(proof(name))
    for count in (1, 3, 6):
        grid = best_grid(subject, PAPERS["a4"], count)
        needed = HEADER + 2 * EDGE + grid.scale * subject.layout.box.height
        assert grid.window(0).height <= needed + 1e-6
        assert grid.window(count - 1).bottom <= grid.paper.height - 10


def test_two_pages_share_the_pictures_evenly():
    stages = [Stage(f"step {i}", ()) for i in range(5)]
    counts = [sum(isinstance(m, Viewport) for m in sheet.marks) for sheet in sheets("holes-in-top", stages=stages)]
    assert counts == [3, 2]
