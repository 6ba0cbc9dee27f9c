"""The inside of the cover: a mirrored outline to cut out, and the legend one needs in ten years."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import shapely
from sampled import proof_of

from diagramgen.drawing.scene import Group, Shape, Text, Viewport, walk
from diagramgen.features.cover.inscribed_text import Entry, halves, set_text, slots
from diagramgen.features.cover.sheet import HEIGHT, TILED_STAMP, cover_sheets, entries
from diagramgen.kernel.geometry import Box, Point, polyline, rounded_box
from diagramgen.kernel.paper import PAPERS, Paper
from diagramgen.sheets.context import context_of
from diagramgen.sheets.scale_marks import Correction

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
BUILDS = ["baritone", "bass-active", "one-volume", "two-pickups-toggle", "three-singles-lever", "no-cavity",
          "holes-in-top", "left-handed"]


@cache
def subject(name):
    return context_of(proof_of(name))


def sheets(made, paper="a4"):
    return [make(1, 1) for make in cover_sheets(made, PAPERS[paper])]


def cuts(made):
    return {m.subject.removeprefix("cut:"): m.path[0] for s in made for m in walk(s)
            if isinstance(m, Shape) and m.subject.startswith("cut:")}


def pieces(made):
    """Every piece of paper: its cut line and its texts, in its own mm."""
    for sheet in made:
        for view in sheet.marks:
            if isinstance(view, Viewport):
                (group,) = view.children
                assert isinstance(group, Group)
                line = next(m for m in group.children if isinstance(m, Shape) and m.subject.startswith("cut:"))
                texts = [m for m in group.children[2:] if isinstance(m, Text)]
                yield line.subject.removeprefix("cut:"), line.path[0], texts


def skewed(made):
    """The subject with an outline that is not its own mirror image: a corner cut off at the upper left."""
    layout = made.layout
    (region,) = [r for r in layout.regions.values() if r.kind == "cavity"]
    left, top, right, bottom = region.box
    outline = polyline([Point(left + 30, top), Point(right, top), Point(right, bottom), Point(left, bottom),
                        Point(left, top + 20)], closed=True)
    return replace(made, layout=replace(layout, regions={**layout.regions,
                                                         region.name: replace(region, outline=outline)})), region.name


def test_the_cut_line_is_the_mirror_image_of_the_cavity():
    made, name = skewed(subject("one-volume"))
    line = cuts(sheets(made))[name]
    corners = [(p.x - line.box().left, p.y - line.box().top) for p in line.flat()]
    box = made.layout.regions[name].outline.box()
    wanted = [(box.right - p.x, p.y - box.top) for p in made.layout.regions[name].outline.flat()]
    assert len(corners) == len(wanted)
    for corner, other in zip(corners, wanted, strict=True):
        assert corner == pytest.approx(other, abs=1e-6)


def test_every_cavity_with_a_cover_of_its_own_gets_one_and_a_plate_with_controls_none():
    assert set(cuts(sheets(subject("baritone")))) >= {"controls", "selector-bore", "battery-box"}
    assert "jack-pocket" not in cuts(sheets(subject("baritone")))
    for name in ("three-singles-lever", "no-cavity", "holes-in-top"):
        assert all(c.startswith("card-") for c in cuts(sheets(subject(name))))


@pytest.mark.parametrize("name", BUILDS)
def test_the_legend_is_lettered_in_capitals_of_2_5_mm_at_least_and_stays_inside_its_cut_line(name):
    for _, line, texts in pieces(sheets(subject(name))):
        inside = shapely.Polygon(line.flat(0.05))
        assert texts
        for text in texts:
            assert text.height >= 2.5
            assert inside.covers(shapely.box(*text.box())), text.text


@pytest.mark.parametrize("name", BUILDS)
def test_no_line_of_the_legend_lies_on_another(name):
    for _, _, texts in pieces(sheets(subject(name))):
        boxes = [t.box() for t in texts]
        for i, a in enumerate(boxes):
            assert not any(a.grown(-0.4).overlaps(b.grown(-0.4)) for b in boxes[:i]), texts[i].text


@pytest.mark.parametrize("name", BUILDS)
def test_the_cards_are_postcards_and_hold_the_whole_legend(name):
    made = sheets(subject(name))
    cards = [(line, texts) for piece, line, texts in pieces(made) if piece.startswith("card-")]
    assert cards
    for line, _ in cards:
        assert (line.box().width, line.box().height) == pytest.approx((148.0, 105.0))
    said = " ".join(t.text for _, texts in cards for t in texts)
    for entry in entries(subject(name)):
        for word in (entry.head + " " + entry.text).split():
            assert word in said


@pytest.mark.parametrize("name", BUILDS)
def test_every_lead_but_legs_and_bends_is_told_exactly_once_with_its_colour(name):
    layout = subject(name).layout
    told = sum(e.text.count(" to ") for e in entries(subject(name)) if "between" not in e.text)
    leads = [one.lead for one in layout.leads if one.lead.kind not in ("leg", "bend")]
    unknown = [lead for lead in leads if not any(e.part in layout.parts for e in (lead.start, lead.end))]
    assert told == len(leads) - len(unknown)


def test_it_names_job_values_controls_and_leaves_the_date_blank():
    text = " ".join(" ".join(f"{e.head} {e.text}" for e in entries(subject("bass-active"))).split())
    assert text.startswith("LL-1152 Bass, two singles, blend and buffer Closed ____")
    assert "Battery changed ____" in text
    assert "500 kΩ log" in text
    assert "47 nF, between Tone 0 and Tone case" in text
    assert "finish yel to Blend rear wiper" in text


def test_what_finds_no_room_on_a_small_cover_is_said_to_be_on_the_card():
    small = next(texts for piece, _, texts in pieces(sheets(subject("two-pickups-toggle"))) if piece == "controls")
    assert any(t.text.startswith("More: on the card") for t in small)


def test_the_cut_line_is_corrected_for_the_printer():
    plain = cuts(sheets(subject("one-volume")))["cavity"].box()
    made = cuts(sheets(replace(subject("one-volume"), correction=Correction(98.0, 99.0))))["cavity"].box()
    assert (made.width, made.height) == pytest.approx((plain.width / 0.98, plain.height / 0.99), abs=0.02)


def test_a_paragraph_longer_than_a_card_goes_on_to_the_next_and_loses_no_word():
    first, second = halves(Entry("volume leads:", "; ".join(f"lead {i} to lug {i}" for i in range(7))))
    assert first.head == "volume leads:"
    assert f"{first.text} {second.text}".split() == "; ".join(f"lead {i} to lug {i}" for i in range(7)).split()


def test_lines_go_round_what_is_taken_and_an_entry_is_never_cut():
    outline = rounded_box(Box(0, 0, 100, 40), 0)
    free = [Box(60, 10, 100, 40)]
    room = slots(outline, free, 2.5, 3.0)
    assert all(s.right <= 60 for s in room if s.y > 12)
    marks, count = set_text([Entry("one:", "word " * 20), Entry("two:", "word " * 400)], room, HEIGHT, ("More.",))
    assert count == 1
    assert marks[-1].text == "More."


def test_a_cover_larger_than_the_paper_comes_in_pieces_that_together_show_all_of_its_line():
    made = subject("baritone")
    paper = Paper("small", 120.0, 130.0)
    printed = [make(1, 1) for make in cover_sheets(made, paper)]
    tiles = [s for s in printed if s.title == f"{TILED_STAMP}, full size"]
    assert len(tiles) > 1
    windows = [next(m for m in s.marks if isinstance(m, Viewport)) for s in tiles]
    shown = {}
    for view in windows:
        (group,) = view.children
        line = next(m for m in group.children if isinstance(m, Shape) and m.subject.startswith("cut:"))
        seen = shapely.box(*(view.place.inverse()(Point(view.clip.left, view.clip.top))),
                           *(view.place.inverse()(Point(view.clip.right, view.clip.bottom))))
        outline = shapely.LineString(line.path[0].flat(0.1))
        shown.setdefault(line.subject, (outline, []))[1].append(seen)
    for outline, seen in shown.values():
        assert outline.difference(shapely.union_all(seen).buffer(0.01)).is_empty
    words = [m.text for s in tiles for m in walk(s) if isinstance(m, Text)]
    assert sum("larger than this paper" in text for text in words) == len(tiles)
