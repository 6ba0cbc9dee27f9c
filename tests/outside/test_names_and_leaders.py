"""Names and leaders on every good sample as composed: no two names read as one, no leader strikes a word through.

Twice the capital height between two names is our own figure: a word space is about a third of it, no standard gives
one for names of different parts on one line.
"""

from __future__ import annotations

import itertools

import pytest
import shapely
from printed_samples import NAMES, printed

from diagramgen.drawing.labelling.place_labels import frame_of


def drawings(name):
    made = printed(name)
    for full_size in (True, False):
        if made.to_scale or not full_size:
            yield made.tagged(full_size)


def on_one_line(one, other):
    """How far apart in mm two upright frames stand beside one another; None where they are not on one line."""
    (left, top, right, bottom), (x0, y0, x1, y1) = one.bounds, other.bounds
    return max(x0 - right, left - x1) if min(bottom, y1) > max(top, y0) else None


@pytest.mark.parametrize("name", NAMES)
def test_names_of_two_parts_never_stand_on_one_line_as_if_they_were_one(name):
    for _, drawing in drawings(name):
        names = [one for one in drawing.labels if one.label.key.startswith("name:") and abs(one.candidate.angle) < 0.01]
        assert len(names) > 1
        for one, other in itertools.combinations(names, 2):
            gap = on_one_line(frame_of(one), frame_of(other))
            wanted = 2 * min(one.label.lines[0].height, other.label.lines[0].height)
            assert gap is None or gap >= wanted - 0.01, (one.label.lines[0].text, other.label.lines[0].text)


@pytest.mark.parametrize("name", NAMES)
def test_no_leader_strikes_through_a_name_or_a_tag(name):
    for _, drawing in drawings(name):
        words = [(one.label, frame_of(one)) for one in drawing.labels
                 if one.label.pill or one.label.key.startswith("name:")]
        for placed in drawing.labels:
            if placed.candidate.leader is None:
                continue
            line = shapely.LineString([placed.candidate.at, placed.candidate.leader])
            struck = [label.lines[0].text for label, frame in words if label != placed.label and line.crosses(frame)]
            assert not struck, (placed.label.lines[0].text, struck)
