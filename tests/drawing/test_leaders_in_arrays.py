"""Leaders that cross and labels they strike, found in arrays, are those the geometry library finds one by one."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely

from diagramgen.drawing.labelling.leaders import Leaders
from diagramgen.drawing.labelling.place_labels import Candidate, candidate_boxes
from diagramgen.kernel.geometry import Point


def field(seed, grid):
    """Leaders and labels of few owners; on a coarse grid, so that many touch, lie in one line or have no length."""
    rng = random.Random(seed)

    def at():
        return (rng.randint(0, 6) * 1.0, rng.randint(0, 6) * 1.0) if grid else (rng.uniform(0, 6), rng.uniform(0, 6))

    ends = np.array([(at(), at()) for _ in range(70)])
    angles = np.array([rng.choice([0.0, -math.pi / 2, 0.3, 2.0]) for _ in range(60)])
    boxes = candidate_boxes([Candidate(Point(*at()), angle) for angle in angles], np.array([2.0, 1.0]))
    square = np.isin(angles, (0.0, -math.pi / 2))
    return (Leaders(ends, np.array([rng.randint(0, 8) for _ in ends])), boxes,
            np.array([rng.randint(0, 8) for _ in boxes]), square)


@pytest.mark.parametrize("grid", [True, False])
@pytest.mark.parametrize("seed", range(6))
def test_leaders_cross_as_the_library_says(seed, grid):
    leaders, *_ = field(seed, grid)
    lines, owner = leaders.lines, leaders.owner
    wanted = {(i, j) for i in range(len(lines)) for j in range(i + 1, len(lines))
              if owner[i] != owner[j] and shapely.intersects(lines[i], lines[j])}
    found = list(zip(*(side.tolist() for side in leaders.crossings()), strict=True))
    assert len(found) == len(set(found))
    assert set(found) == wanted
    assert wanted


@pytest.mark.parametrize("seed", range(6))
def test_leaders_strike_labels_as_the_library_says(seed):
    leaders, boxes, owner, square = field(seed, False)
    wanted = {(i, j) for i, line in enumerate(leaders.lines) for j, box in enumerate(boxes)
              if leaders.owner[i] != owner[j] and shapely.intersects(line, box)}
    assert set(zip(*(side.tolist() for side in leaders.hits(boxes, owner, square)), strict=True)) == wanted
    assert wanted


def test_lines_that_nearly_touch_are_told_apart_exactly():
    tip = np.nextafter(0.5, 1.0)
    ends = np.array([[[0.1, 0.1], [0.9, 0.9]], [[0.5, 0.5], [1.0, 0.0]], [[tip, 0.5], [1.0, 0.0]]])
    found = set(zip(*(side.tolist() for side in Leaders(ends, np.arange(3)).crossings()), strict=True))
    assert (0, 1) in found  # it begins on the first
    assert (0, 2) not in found  # one step of a float beside it
