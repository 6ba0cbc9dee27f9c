"""Faults of leads, of labels on lugs and of contrast, planted in drawings of three samples: each is found, no other."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from sampled import proof_of

from diagramgen.drawing import style
from diagramgen.drawing.audit import audit
from diagramgen.drawing.labelling.place_labels import label_marks
from diagramgen.drawing.lightness import contrast
from diagramgen.drawing.scene import Group, Role, Shape, Text
from diagramgen.features.diagrams.sheet import LABEL_ROOM, full_size_drawing
from diagramgen.kernel.geometry import Point, polyline
from diagramgen.sheets.context import context_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
NAMES = ("one-volume", "left-handed", "three-singles-lever")
SEEDS = range(10)


@cache
def composed(name):
    return full_size_drawing(context_of(proof_of(name)))


def found(drawing, layout):
    return audit(drawing, layout, layout.box.grown(LABEL_ROOM))


def rerouted(layout, laid, points):
    """The layout with one lead laid another way; its labels stay where they were."""
    span = replace(laid.spans[0], path=polyline(points))
    return replace(layout, leads=tuple(replace(one, spans=(span,)) if one is laid else one for one in layout.leads))


def only_about(findings, subject):
    return all(subject in finding.subjects for finding in findings)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_lead_moved_over_a_foreign_lug_is_found(name, seed):
    drawing, layout = composed(name)
    dice = random.Random(seed)
    laid = dice.choice([one for one in layout.leads if one.lead.start.known and one.lead.end.known])
    own = [laid.path.start, laid.path.end]
    lug = dice.choice([g for part in layout.parts.values() for g in part.lugs.values()
                       if g.kind != "spot" and all(g.at.distance(p) > 3.0 for p in own)])
    findings = found(drawing, rerouted(layout, laid, [own[0], lug.at, own[1]]))
    subject = f"lead:{laid.lead.tag}"
    assert ("DRW-103", (subject, f"lug:{lug.key}")) in [(f.code.id, f.subjects) for f in findings]
    assert only_about(findings, subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_label_moved_onto_a_lead_it_does_not_name_is_found(name, seed):
    drawing, layout = composed(name)
    dice = random.Random(seed)
    laid = dice.choice([one for one in layout.leads if one.path.length() > 15])
    way = laid.path.flat(0.1)
    subject = f"lead:{laid.lead.tag}"
    labels = list(drawing.labels)
    at = dice.choice([i for i, one in enumerate(labels) if one.label.may_cover != subject])
    labels[at] = replace(labels[at], candidate=replace(labels[at].candidate, at=dice.choice(way[1:-1] or way)))
    findings = found(replace(drawing, labels=tuple(labels)), layout)
    assert ("DRW-102", (labels[at].label.subject, subject)) in [(f.code.id, f.subjects) for f in findings]
    assert only_about(findings, labels[at].label.subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_lead_that_ends_beside_its_lug_is_found(name, seed):
    """Less than the width of the lead is enough: 0.3 mm. A lug bent over may come down anywhere on the rim."""
    drawing, layout = composed(name)
    dice = random.Random(seed)
    laid = dice.choice([one for one in layout.leads
                        if one.lead.start.known and one.lead.end.known and one.lead.kind != "bend"])
    *way, end = laid.path.flat(0.02)
    findings = found(drawing, rerouted(layout, laid, [*way, end.towards(dice.uniform(0, 6.28), 0.3)]))
    subject = f"lead:{laid.lead.tag}"
    assert ("DRW-104", (subject,)) in [(f.code.id, f.subjects) for f in findings]
    assert only_about(findings, subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_lead_that_leaves_its_cavity_through_the_wall_is_found(name, seed):
    drawing, layout = composed(name)
    dice = random.Random(seed)
    inside = [one for one in layout.leads if one.spans[0].kind == "inside" and one.spans[0].region in layout.regions]
    laid = dice.choice(inside)
    box = layout.regions[laid.spans[0].region].outline.box()
    beyond = dice.choice([Point(box.left - 4, laid.path.start.y), Point(box.right + 4, laid.path.start.y)])
    findings = found(drawing, rerouted(layout, laid, [laid.path.start, beyond, laid.path.end]))
    subject = f"lead:{laid.lead.tag}"
    assert ("DRW-105", (subject,)) in [(f.code.id, f.subjects) for f in findings]
    assert only_about(findings, subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_lead_laid_on_another_is_found(name, seed):
    drawing, layout = composed(name)
    dice = random.Random(seed)
    long = [one for one in layout.leads if one.path.length() > 40 and one.lead.start.known and one.lead.end.known
            and not one.lead.twisted_with]
    laid, other = dice.sample(long, 2)
    way = other.path.flat(0.1)
    findings = found(drawing, rerouted(layout, laid, [laid.path.start, *way, laid.path.end]))
    subject = f"lead:{laid.lead.tag}"
    pair = {subject, f"lead:{other.lead.tag}"}
    assert any(f.code.id == "DRW-109" and set(f.subjects) == pair for f in findings)
    assert only_about(findings, subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_label_moved_onto_a_lug_it_does_not_name_is_found(name, seed):
    drawing, layout = composed(name)
    dice = random.Random(seed)
    labels = list(drawing.labels)
    at = dice.randrange(len(labels))
    subject = labels[at].label.subject
    lugs = [g for part in layout.parts.values() for g in part.lugs.values()]
    own = [g.at for g in lugs if f"lug:{g.key}" == subject]
    lug = dice.choice([g for g in lugs if all(g.at.distance(p) > 3.0 for p in own)])
    labels[at] = replace(labels[at], candidate=replace(labels[at].candidate, at=lug.at))
    findings = found(replace(drawing, labels=tuple(labels)), layout)
    assert ("DRW-110", (subject, f"lug:{lug.key}")) in [(f.code.id, f.subjects) for f in findings]
    assert only_about(findings, subject)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_word_in_pale_ink_is_the_only_finding(name, seed):
    drawing, layout = composed(name)
    words = [i for i, mark in enumerate(drawing.marks) if isinstance(mark, Text)]
    at = random.Random(seed).choice(words)
    marks = list(drawing.marks)
    marks[at] = replace(marks[at], colour="#b8b8b8")
    findings = found(replace(drawing, marks=tuple(marks)), layout)
    assert [(f.code.id, f.subjects) for f in findings] == [("DRW-111", (marks[at].subject,))]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_words_on_a_dark_area_are_found(name, seed):
    """The area hides what was beneath it, leads as well: nothing is said of what was painted before it."""
    drawing, layout = composed(name)
    one = random.Random(seed).choice(drawing.labels)
    text = label_marks(one)[-1]
    first = next(i for i, mark in enumerate(drawing.marks) if mark == text)
    box = text.box().grown(0.2)
    dark = Shape((polyline(list(box.corners()), closed=True),), Role.SOLID)
    marks = (*drawing.marks[:first], dark, *drawing.marks[first:])
    findings = found(replace(drawing, marks=marks), layout)
    assert {"DRW-111"} == {f.code.id for f in findings}
    assert any(f.subjects == (text.subject,) for f in findings)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("seed", SEEDS)
def test_a_pale_edge_of_one_colour_is_found_on_every_lead_of_that_colour_and_nowhere_else(name, seed, monkeypatch):
    drawing, layout = composed(name)
    worn = {f"lead:{one.lead.tag}": one.lead.colour.code.partition("/")[0] for one in layout.leads
            if one.lead.colour and one.lead.kind in ("wire", "shielded", "sleeved")}
    colour = random.Random(seed).choice(sorted(set(worn.values())))
    monkeypatch.setitem(style.SHADES, colour, replace(style.SHADES[colour], edge="#c9c9c9"))
    style.style_of.cache_clear()
    try:
        findings = found(drawing, layout)
    finally:
        monkeypatch.undo()
        style.style_of.cache_clear()
    told = sorted((f.code.id, *f.subjects) for f in findings)
    assert told == sorted(("DRW-112", s) for s, c in worn.items() if c == colour)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_lead_without_its_white_band_on_a_dark_area_is_found(seed):
    drawing, layout = composed("one-volume")
    groups = [i for i, m in enumerate(drawing.marks) if isinstance(m, Group) and m.subject.startswith("lead:")
              and any(one.role == Role.LEAD_EDGE for one in m.children)]
    at = random.Random(seed).choice(groups)
    group = drawing.marks[at]
    bare = replace(group, children=tuple(m for m in group.children if m.role != Role.LEAD_HALO))
    dark = Shape((polyline(list(layout.box.corners()), closed=True),), Role.SOLID)
    findings = found(replace(drawing, marks=(dark, bare)), layout)
    assert [(f.code.id, f.subjects) for f in findings] == [("DRW-112", (group.subject,))]


@pytest.mark.parametrize(("a", "b", "ratio"), [("#000000", "#ffffff", 21.0), ("#767676", "#ffffff", 4.5422),
                                               ("#ff0000", "#0000ff", 2.1494)])
def test_contrast_is_that_of_wcag(a, b, ratio):
    assert contrast(a, b) == pytest.approx(ratio, abs=5e-4)
