"""Faults planted in a composed drawing are found by the audit, and nothing else is reported."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from diagramgen.analysis import examine
from diagramgen.drawing.audit import audit
from diagramgen.features.diagrams.sheet import LABEL_ROOM, full_size_drawing
from diagramgen.kernel.codes import registry
from diagramgen.kernel.geometry import Point
from diagramgen.sheets.context import context_of

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "one-volume.yaml"


@cache
def composed():
    drawing, layout = full_size_drawing(context_of(examine(SAMPLE)))
    return drawing, layout, layout.box.grown(LABEL_ROOM)


def found(labels):
    drawing, layout, frame = composed()
    return audit(replace(drawing, labels=tuple(labels)), layout, frame)


def test_the_whole_drawing_has_no_finding():
    assert found(composed()[0].labels) == ()


@pytest.mark.parametrize("seed", range(10))
def test_a_tag_dropped_at_one_end_is_the_only_finding(seed):
    labels = list(composed()[0].labels)
    tags = [one for one in labels if one.label.key.startswith("tag:")]
    gone = random.Random(seed).choice(tags)
    labels.remove(gone)
    assert [(f.code.id, f.subjects) for f in found(labels)] == [("DRW-106", (gone.label.subject,))]


@pytest.mark.parametrize("seed", range(10))
def test_shrunk_lettering_is_the_only_finding(seed):
    labels = list(composed()[0].labels)
    at = random.Random(seed).randrange(len(labels))
    label = labels[at].label
    lines = tuple(replace(line, height=1.5) for line in label.lines)
    labels[at] = replace(labels[at], label=replace(label, lines=lines))
    assert [(f.code.id, f.subjects) for f in found(labels)] == [("DRW-107", (label.subject,))]


@pytest.mark.parametrize("seed", range(10))
def test_a_label_pushed_out_of_the_frame_is_the_only_finding(seed):
    labels = list(composed()[0].labels)
    frame = composed()[2]
    at = random.Random(seed).randrange(len(labels))
    moved = replace(labels[at].candidate, at=Point(frame.right + 50.0, frame.bottom + 50.0))
    labels[at] = replace(labels[at], candidate=moved)
    assert [(f.code.id, f.subjects) for f in found(labels)] == [("DRW-108", (labels[at].label.subject,))]


@pytest.mark.parametrize("seed", range(10))
def test_a_label_moved_over_another_is_found(seed):
    """It may hide a lead there as well: that too is then true."""
    labels = list(composed()[0].labels)
    a, b = random.Random(seed).sample(range(len(labels)), 2)
    labels[a] = replace(labels[a], candidate=labels[b].candidate)
    both = {labels[a].label.subject, labels[b].label.subject}
    findings = found(labels)
    assert any(f.code.id == "DRW-101" and set(f.subjects) == both for f in findings)
    assert all(both & set(f.subjects) for f in findings)


def test_every_kind_of_finding_says_what_to_do():
    codes = [code for code in registry().codes if code.id.startswith("DRW-")]
    assert [code.id for code in codes] == [f"DRW-{i}" for i in range(101, 114)]
    assert all(len(code.advice) > 15 for code in codes)
