"""Running dimensions of a field of holes: from the datum to the right along the lower edge, and upward at the left.

Running (superimposed) dimensioning with one origin as in ISO 129-1; figures that would stand too close are
moved apart and their lines bent to them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagramgen.drawing.scene import Mark, Role, Shape, Text
from diagramgen.geometry import Point, polyline
from diagramgen.sheets.holes import Field
from diagramgen.units import number

BELOW = 14.0
"""Room below a field for its dimensions, mm."""
BESIDE = 18.0
"""Room at its left, mm."""
PITCH = 3.4
HEIGHT = 2.0
SAME = 0.05
"""Middles nearer than this share one line, mm."""


def running(field: Field) -> list[Mark]:
    """Lines from every through hole's middle to the edges, with its distance from the datum."""
    through = [h for h in field.holes if h.through]
    box = field.box
    low, left = max(box.bottom, field.datum.y) + 3.0, min(box.left, field.datum.x) - 3.0
    marks: list[Mark] = []
    across = _levels([(h.at.x, h.at.y) for h in through], field.datum.x, field.datum.y)
    for (x, y), at in zip(across, spaced([x for x, _ in across], PITCH), strict=True):
        line = polyline([Point(x, y), Point(x, low), Point(at, low + 3.0)])
        marks.append(Shape((line,), Role.DIMENSION, "dimension:across"))
        marks.append(Text(number(x - field.datum.x, 2), Point(at + HEIGHT / 2, low + 3.6), HEIGHT, "end", -math.pi / 2,
                          role=Role.DIMENSION_TEXT, subject="dimension:across"))
    upward = _levels([(h.at.y, h.at.x) for h in through], field.datum.y, field.datum.x, far=True)
    for (y, x), at in zip(upward, spaced([y for y, _ in upward], PITCH), strict=True):
        line = polyline([Point(x, y), Point(left, y), Point(left - 3.0, at)])
        marks.append(Shape((line,), Role.DIMENSION, "dimension:up"))
        marks.append(Text(number(field.datum.y - y, 2), Point(left - 3.6, at + HEIGHT / 2), HEIGHT, "end",
                          role=Role.DIMENSION_TEXT, subject="dimension:up"))
    return marks


def _levels(
    places: Sequence[tuple[float, float]], zero: float, edge: float, far: bool = False
) -> list[tuple[float, float]]:
    """Each level once, with where its line begins: at the hole that is farthest from the edge; sorted."""
    found: dict[float, float] = {round(zero, 2): edge}
    exact: dict[float, float] = {round(zero, 2): zero}
    for level, start in places:
        near = next((k for k in found if abs(k - level) < SAME), round(level, 2))
        exact.setdefault(near, level)
        known = found.get(near)
        found[near] = start if known is None else (max(known, start) if far else min(known, start))
    return sorted((exact[k], v) for k, v in found.items())


def spaced(wanted: Sequence[float], gap: float) -> list[float]:
    """Places at least ``gap`` apart in the same order, as near to the wanted ones as their squares allow.

    Pool adjacent violators (Barlow and others, Statistical Inference under Order Restrictions, 1972).
    """
    pools: list[tuple[float, int]] = []
    for i, value in enumerate(wanted):
        mean, count = value - i * gap, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    return [value + i * gap for i, value in enumerate(flat)]
