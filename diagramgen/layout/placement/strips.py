"""Strips: how a channel between two cavities is drawn on the plan, straight where the openings face each other.

A strip is no true way: the channel's real length stands in the file. It has to be short, clear of the
other regions, and to keep its leads in one order from opening to opening.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Path, Point, rounded_polyline
from diagramgen.layout.boundary import Opening
from diagramgen.layout.placement.place_parts import rounded

GAP = 20.0
"""Distance between two cavities that are joined by a channel, mm on the plan."""
STEM = 7.0
"""How far a bent strip leaves an opening before it turns, mm."""


def channel_strip(
    one: Opening, other: Opening, width: float, blocks: Sequence[BaseGeometry]
) -> tuple[tuple[Point, ...], float]:
    """The middle line of a strip ``width`` mm wide from opening to opening, and how poor it is.

    Few bends, short, clear of ``blocks``; the price is its length in mm with more for bends and for floor
    taken from others.
    """
    tries = [(round(_bare_cost(t, width), 3), n, t) for n, t in enumerate(_tries(one, other, width))]
    best, chosen = math.inf, tries[0][2]
    for bare, _, line in sorted(tries, key=lambda t: t[:2]):
        if bare >= best:
            break
        price = round(bare + _taken(line, width, blocks), 3)
        if price < best:
            best, chosen = price, line
    return chosen, best


def _bare_cost(line: Sequence[Point], width: float) -> float:
    total = sum(a.distance(b) for a, b in pairwise(line))
    for a, b, c in zip(line, line[1:], line[2:], strict=False):
        turn = abs(math.remainder(b.angle_to(c) - a.angle_to(b), math.tau))
        total += 12 * turn + (400 if turn > math.radians(135) else 0)
        if min(a.distance(b), b.distance(c)) < width / 2 + 1:
            total += 30 * math.tan(min(turn, 2.6) / 2)
    return total


def _taken(line: Sequence[Point], width: float, blocks: Sequence[BaseGeometry]) -> float:
    body = LineString(line).buffer(width / 2 + 1, cap_style="flat")
    inside = [shapely.area(shapely.intersection(body, block)) for block in blocks if block.intersects(body)]
    return float(sum(50 * floor for floor in inside if floor > 0.5))


def _tries(one: Opening, other: Opening, width: float) -> list[tuple[Point, ...]]:
    a, b = one.centre, other.centre
    found: list[tuple[Point, ...]] = []
    if abs(math.remainder(a.angle_to(b) - one.outward, math.tau)) < math.radians(20) and abs(
        math.remainder(b.angle_to(a) - other.outward, math.tau)
    ) < math.radians(20):
        found.append((a, b))
    for stem in (STEM + width / 2, GAP / 2, GAP, 2 * GAP):
        p, q = a.towards(one.outward, stem), b.towards(other.outward, stem)
        mid = Point((p.x + q.x) / 2, (p.y + q.y) / 2)
        for bends in (
            (),
            (Point(p.x, q.y),),
            (Point(q.x, p.y),),
            (Point(mid.x, p.y), Point(mid.x, q.y)),
            (Point(p.x, mid.y), Point(q.x, mid.y)),
        ):
            found.append(_clean((a, p, *bends, q, b)))
    return found


def _clean(points: Sequence[Point]) -> tuple[Point, ...]:
    """Without doubled points and points on a straight line."""
    kept = [rounded(points[0])]
    for p in points[1:]:
        if rounded(p).distance(kept[-1]) > 0.01:
            kept.append(rounded(p))
    i = 1
    while i < len(kept) - 1:
        turn = math.remainder(kept[i].angle_to(kept[i + 1]) - kept[i - 1].angle_to(kept[i]), math.tau)
        if abs(turn) < 1e-4:
            del kept[i]
        else:
            i += 1
    return tuple(kept)


def track_path(line: Sequence[Point], offset: float, start: Point, end: Point, radius: float = 3.0) -> Path:
    """One lead's track: the middle line moved ``offset`` mm to the right of its course, from pin to pin.

    Corners are concentric, so that tracks stay side by side in the bends too.
    """
    points = [start]
    for before, here, after in zip(line, line[1:], line[2:], strict=False):
        into, out = before.angle_to(here), here.angle_to(after)
        turn = math.remainder(out - into, math.tau)
        middle = into + turn / 2 + math.pi / 2
        points.append(rounded(here.towards(middle, offset / max(math.cos(turn / 2), 0.2))))
    points.append(end)
    if len(points) == 2:
        return rounded_polyline(points, radius)
    first = math.remainder(line[1].angle_to(line[2]) - line[0].angle_to(line[1]), math.tau)
    inner = -offset if first > 0 else offset
    return rounded_polyline(points, max(1.5, radius + inner + 4.0))
