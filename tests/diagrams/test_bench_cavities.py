"""Bench pages of a cavity by itself: as large as 2:1, cut off at the mouths, saying what lies beyond."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagramgen.analysis import examine
from diagramgen.drawing.crop import beyond, cropped
from diagramgen.drawing.scene import Sheet, Text, walk
from diagramgen.features.diagrams import sheet as diagrams
from diagramgen.kernel.paper import PAPERS
from diagramgen.sheets.context import SheetContext, context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"


@cache
def subject(name: str) -> SheetContext:
    return context_of(examine(SAMPLES / f"{name}.yaml"))


@cache
def pages(name: str) -> list[Sheet]:
    return [make(1, 1) for make in diagrams.enlarged(subject(name), PAPERS["a4"])]


def words(sheet: Sheet) -> list[str]:
    return [mark.text for mark in walk(sheet) if isinstance(mark, Text)]


def test_the_controls_of_a_wide_plan_are_drawn_twice_as_large_as_they_are() -> None:
    """2:1 on one page (workshop practice); the whole plan of this sample gets no farther than 1.1:1."""
    whole, controls = pages("baritone")
    assert "1.1:1" in whole.title.casefold()
    assert controls.title.endswith("2:1")
    assert "CONTROLS ALONE" in controls.title.upper()


@pytest.mark.parametrize("name", ["left-handed", "holes-in-top", "three-singles-lever"])
def test_a_plan_that_is_large_enough_on_its_page_has_one(name: str) -> None:
    assert len(pages(name)) == 1


def test_every_lead_that_lies_in_the_cavity_is_named_there_and_no_other() -> None:
    inside = {one.lead.tag for one in subject("baritone").layout.leads if one.lead.is_wire
              and any(span.region == "controls" and span.kind == "inside" for span in one.spans)}
    tags = {word.split(" ")[0] for word in words(pages("baritone")[1]) if word[:1] == "W" and word[1:3].isdigit()}
    assert tags == inside


def test_each_mouth_says_to_which_parts_its_leads_go_on() -> None:
    """Worked out by hand from the lines of the file that name the channels."""
    said = {word for word in words(pages("baritone")[1]) if word.startswith("to ")}
    assert {"to strings", "to saddle", "to selector"} <= said
    layout = cropped(subject("baritone").layout, "controls")
    assert {part.region for part in layout.parts.values()} == {"controls"}
    assert all(span.region == "controls" for one in layout.leads for span in one.spans)
    for door in layout.ports:
        assert beyond(layout, door)
        assert not set(beyond(layout, door)) & {p.part.says for p in layout.parts.values()}


def test_no_word_of_a_cavity_alone_covers_another_or_hides_a_lug() -> None:
    """Nothing dearer than a lead beneath a label, as on every other drawing."""
    made = subject("baritone")
    alone = replace(made, layout=cropped(made.layout, "controls"))
    room = diagrams._bench_room(PAPERS["a3"].landscape(), True)
    look = diagrams.Look(name_height=3.5, small_height=2.5, mouths=True)
    box = alone.layout.box
    shift = diagrams._centred(type(box)(box.left * 2, box.top * 2, box.right * 2, box.bottom * 2), room)
    drawing, _ = diagrams.drawn(alone, 2.0, shift, look, room)
    assert max(one.covered for one in drawing.labels) < 120.0


def test_a_plan_made_very_small_names_parts_only_and_every_cavity_has_its_page() -> None:
    made = subject("two-pickups-toggle")
    wide = replace(made, layout=replace(made.layout, box=made.layout.box.grown(300.0)))
    sheets = [make(1, 1) for make in diagrams.enlarged(wide, PAPERS["a4"])]
    assert len(sheets) == 1 + sum(region.kind == "cavity" for region in made.layout.regions.values())
    assert not [word for word in words(sheets[0]) if word.startswith("W0")]
    assert [word for word in words(sheets[1]) if word.startswith("W0")]
