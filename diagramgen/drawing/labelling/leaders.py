"""Which leaders strike which labels and which cross one another, for many at once.

Decided as by exact arithmetic: what rounding leaves open is asked of the geometry library pair by pair.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

Indices = NDArray[np.int_]
Floats = NDArray[np.float64]
DOUBT = 4e-16
"""Rounding of a turn as a share of its two products: (3 + 16 e) e with e = 2 ** -53, and a little (Shewchuk, 1997)."""


class Leaders:
    """Straight leaders, each of one label."""

    def __init__(self, ends: Floats, owner: Indices):
        self.ends = ends
        """Leader, end, axis."""
        self.owner = owner
        self.lines = np.asarray(shapely.linestrings(ends), dtype=object)

    def crossings(self) -> tuple[Indices, Indices]:
        """Each pair of leaders of different labels that meet, once."""
        one, other = shapely.STRtree(self.lines).query(self.lines)
        once = (one < other) & (self.owner[one] != self.owner[other])
        one, other = one[once], other[once]
        ends = self.ends.reshape(-1, 4)
        a, b = ends[one], ends[other]
        astride, beside = _astride(a, b)
        astride_too, beside_too = _astride(b, a)
        meet = astride & astride_too
        open_yet = np.flatnonzero(~(meet | beside | beside_too))
        meet[open_yet] = shapely.intersects(self.lines[one[open_yet]], self.lines[other[open_yet]])
        return one[meet], other[meet]

    def hits(self, boxes: NDArray[np.object_], owner: Indices, square: NDArray[np.bool_]) -> tuple[Indices, Indices]:
        """List leader and box of another label for each pair that meets.

        ``square``: boxes that are their own bounds.
        """
        line, box = shapely.STRtree(boxes).query(self.lines)
        foreign = self.owner[line] != owner[box]
        line, box = line[foreign], box[foreign]
        bounds = shapely.bounds(boxes)
        first, last = np.zeros(len(line)), np.ones(len(line))
        for axis in (0, 1):
            low, high = _within(self.ends[:, :, axis], line, bounds[:, axis][box], bounds[:, axis + 2][box])
            np.maximum(first, low, out=first)
            np.minimum(last, high, out=last)
        struck = first <= last
        near = np.flatnonzero(~square[box])
        shapely.prepare(boxes[~square])
        struck[near] = shapely.intersects(boxes[box[near]], self.lines[line[near]])
        return line[struck], box[struck]


def _within(ends: Floats, line: Indices, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """From where to where along each line, as shares of it, it is between two bounds on one axis."""
    way = ends[:, 1] - ends[:, 0]
    still = way == 0.0
    start, along, still = ends[line, 0], np.where(still, 1.0, way)[line], still[line]
    one, other = (low - start) / along, (high - start) / along
    # A line that stands still on one axis is within the bounds there all along: its bounds met those of the box.
    return np.where(still, 0.0, np.minimum(one, other)), np.where(still, 1.0, np.maximum(one, other))


def _astride(line: Floats, other: Floats) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Where the ends of another line lie surely on both sides of a line, and where surely both on one side."""
    one, two = _side(line, other[:, 0], other[:, 1]), _side(line, other[:, 2], other[:, 3])
    return one * two < 0, one * two > 0


def _side(line: Floats, x: Floats, y: Floats) -> NDArray[np.int8]:
    """On which side of a line a point lies, 1 or -1; 0 where rounding leaves it open."""
    left = (line[:, 0] - x) * (line[:, 3] - y)
    right = (line[:, 1] - y) * (line[:, 2] - x)
    turn = left - right
    sure = np.abs(turn) > DOUBT * (np.abs(left) + np.abs(right))
    return (np.sign(turn) * sure).astype(np.int8)
