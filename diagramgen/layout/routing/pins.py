"""Keeps round corners on the points that a lead has to pass: the corner is drawn out so that its arc meets them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely

from diagramgen.geometry import Point
from diagramgen.layout.routing.ground import Ground, Thread

_OUT = 1.6  # mm by which a corner is drawn out at most
_MISS = 0.3  # mm by which the arc may pass a point where there is no room to draw the corner out
_LEAST = 0.1  # mm, the smallest radius


@dataclass(frozen=True)
class Pinned:
    """A lead's corners, and the radius (mm) of each corner that has to keep it."""

    path: tuple[Point, ...]
    radii: Mapping[Point, float]


def pinned(path: Sequence[Point], points: Sequence[Point], bend: float, among: tuple[Thread, Ground]) -> Pinned:
    """The lead with its corners at ``points`` moved outwards by what their arcs of radius ``bend`` cut off."""
    found, radii = list(path), {}
    wanted = {Point(round(p.x, 3), round(p.y, 3)) for p in points}
    for i, here in enumerate(path[1:-1], start=1):
        if here not in wanted:
            continue
        before, after = found[i - 1], path[i + 1]
        into, out = before.angle_to(here), here.angle_to(after)
        half = abs(math.remainder(out - into, math.tau)) / 2
        cut = 1 / max(math.cos(half), 1e-3) - 1
        if cut < 1e-6:
            continue
        corner = here.towards(out + math.remainder(into + math.pi - out, math.tau) / 2 + math.pi, min(bend * cut, _OUT))
        if _as_free([before, corner, after], [before, here, after], among):
            found[i] = Point(round(corner.x, 3), round(corner.y, 3))
            radii[found[i]] = max(min(bend, _OUT / cut), _LEAST)
        else:
            radii[here] = max(min(bend, _MISS / cut), _LEAST)
    return Pinned(tuple(found), radii)


def _as_free(new: Sequence[Point], old: Sequence[Point], among: tuple[Thread, Ground]) -> bool:
    """Whether new legs lie on the floor and touch no dear ground that the old ones do not."""
    thread, ground = among
    line = shapely.LineString(new)
    if not ground.frame.covers(line):
        return False
    hit = set(ground.tree.query(line, predicate="intersects").tolist())
    hit -= set(ground.tree.query(shapely.LineString(old), predicate="intersects").tolist())
    return all(thread.zones[z] <= 1.0 for z in hit)
