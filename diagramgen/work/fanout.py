"""In which order a cable's conductors are spread before their pads, so that none crosses another or a pad."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from diagramgen.geometry import Point

AWAY = 12.0
"""Where the jacket ends before the pads, mm (common practice, no source)."""
CLEAR = 1.0
"""Distance a straight conductor keeps from another's pad, mm: half an inner conductor and half a small pad."""
SIDES = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, -1.0), "bottom": (0.0, 1.0)}


@dataclass(frozen=True)
class Spread:
    """Where a cable comes in, as drawn, and its conductors' order there."""

    side: str
    """left | right | top | bottom of the pads."""
    order: tuple[str, ...]
    """Conductors from top to bottom (from left or right), else from left to right."""


def spread(pads: Mapping[str, Point], towards: Point | None = None) -> Spread | None:
    """The side and order that let every conductor run straight from the jacket to its pad, clear of all others.

    ``pads``: conductor -> centre of its pad, mm; conductors may share one. ``towards``: where the cable comes from:
    the side nearest to it that works is taken. None where no side works.
    """
    if not pads:
        return None
    for side in _sides(pads, towards):
        start = jacket_end(pads, side)
        if not any(blocked(start, pads, name) for name in pads):
            return Spread(side, _ordered(start, pads, side))
    return None


def _sides(pads: Mapping[str, Point], towards: Point | None) -> list[str]:
    centre = _centre(pads)
    if towards is None or math.dist(towards, centre) < 1e-6:
        return list(SIDES)
    way = (towards.x - centre.x, towards.y - centre.y)
    return sorted(SIDES, key=lambda s: -round(SIDES[s][0] * way[0] + SIDES[s][1] * way[1], 6))


def _centre(pads: Mapping[str, Point]) -> Point:
    xs, ys = [p.x for p in pads.values()], [p.y for p in pads.values()]
    return Point((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)


def jacket_end(pads: Mapping[str, Point], side: str) -> Point:
    """The point from which the conductors spread, ``AWAY`` mm beside the pads."""
    centre, (x, y) = _centre(pads), SIDES[side]
    wide = max(abs(p.x - centre.x) for p in pads.values())
    tall = max(abs(p.y - centre.y) for p in pads.values())
    return Point(centre.x + x * (wide + AWAY), centre.y + y * (tall + AWAY))


def blocked(start: Point, pads: Mapping[str, Point], name: str) -> bool:
    """Whether a straight conductor to its pad passes over the pad of another."""
    goal = pads[name]
    return any(math.dist(p, goal) > 1e-6 and _distance(p, start, goal) < CLEAR for p in pads.values())


def _distance(p: Point, a: Point, b: Point) -> float:
    """Distance of a point from a stretch, mm."""
    length = math.dist(a, b) ** 2
    t = 0.0 if length == 0 else ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / length
    t = min(1.0, max(0.0, t))
    return math.hypot(p.x - a.x - t * (b.x - a.x), p.y - a.y - t * (b.y - a.y))


def _ordered(start: Point, pads: Mapping[str, Point], side: str) -> tuple[str, ...]:
    """By slope as seen from the jacket's end: straight stretches from one point cross nowhere else."""
    x, y = SIDES[side]

    def slope(name: str) -> float:
        dx, dy = pads[name].x - start.x, pads[name].y - start.y
        along, across = (-dx * x, dy) if x else (-dy * y, dx)
        return round(across / along, 9)

    names: Sequence[str] = list(pads)
    return tuple(sorted(names, key=lambda n: (slope(n), names.index(n))))
