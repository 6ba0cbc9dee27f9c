"""A region's wall: where a channel opens in it, and where the leads that pass lie side by side."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from diagramgen.kernel.geometry import Path, Point, area
from diagramgen.layout.placement.place_parts import rounded


@dataclass(frozen=True)
class Opening:
    """A channel's opening, ``along`` mm from the wall's first point; ``inward`` is the inner normal (rad)."""

    centre: Point
    inward: float
    along: float

    @property
    def outward(self) -> float:
        """Direction out of the region, radians."""
        return math.remainder(self.inward + math.pi, math.tau)

    def moved(self, by: Point) -> Opening:
        """The opening on a shifted wall."""
        return Opening(rounded(self.centre.plus(by)), self.inward, self.along)


class Wall:
    """A closed outline walked by length, clockwise as seen."""

    def __init__(self, outline: Path):
        points = list(dict.fromkeys(outline.flat(0.02)))
        if area(points) < 0:
            points.reverse()
        self.points = [*points, points[0]]
        self.ends = [0.0]
        for a, b in pairwise(self.points):
            self.ends.append(self.ends[-1] + a.distance(b))

    @property
    def length(self) -> float:
        """Length round the wall, mm."""
        return self.ends[-1]

    def at(self, along: float) -> tuple[Point, float]:
        """The point there and the direction of walking (clockwise as seen)."""
        left = along % self.length
        for i, (a, b) in enumerate(pairwise(self.points)):
            if left <= self.ends[i + 1]:
                t = (left - self.ends[i]) / max(a.distance(b), 1e-12)
                return Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)), a.angle_to(b)
        return self.points[0], self.points[0].angle_to(self.points[1])

    def nearest(self, p: Point) -> float:
        """How far along the wall its point nearest to ``p`` lies."""
        best, where = math.inf, 0.0
        for i, (a, b) in enumerate(pairwise(self.points)):
            leg = a.distance(b)
            if leg < 1e-12:
                continue
            t = ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / (leg * leg)
            t = min(1.0, max(0.0, t))
            gap = p.distance(Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)))
            if gap < best - 1e-9:
                best, where = gap, self.ends[i] + t * leg
        return where

    def hit(self, start: Point, direction: float) -> float | None:
        """How far along the wall a ray from inside leaves the region for good; None where it misses."""
        dx, dy = math.cos(direction), math.sin(direction)
        best, where = -1.0, None
        for i, (a, b) in enumerate(pairwise(self.points)):
            ex, ey = b.x - a.x, b.y - a.y
            det = dx * ey - dy * ex
            if abs(det) < 1e-12:
                continue
            far = ((a.x - start.x) * ey - (a.y - start.y) * ex) / det
            t = ((a.x - start.x) * dy - (a.y - start.y) * dx) / det
            if 0 <= t <= 1 and far > best:
                best, where = far, self.ends[i] + t * math.hypot(ex, ey)
        return where

    def opening_near(self, p: Point, width: float) -> Opening:
        """The opening nearest to ``p``, slid by at most its width (mm) so that it lies on a flat stretch."""
        return self.opening_at(self.nearest(p), width)

    def opening_at(self, along: float, width: float) -> Opening:
        """The opening at a place along the wall, slid where the wall turns within its width."""
        steps = [0.0] + [s * i * 0.5 for i in range(1, int(2 * width) + 1) for s in (1, -1)]
        best = min(steps, key=lambda s: (round(self._turn(along + s, width), 2), abs(s)))
        if self._turn(along, width) - self._turn(along + best, width) < math.radians(12):
            best = 0.0
        centre, direction = self.at(along + best)
        first, last = self.at(along + best - width / 2)[0], self.at(along + best + width / 2)[0]
        if first.distance(last) > 1e-6:
            direction = first.angle_to(last)
        return Opening(rounded(centre), math.remainder(direction + math.pi / 2, math.tau), (along + best) % self.length)

    def _turn(self, along: float, width: float) -> float:
        low, high = self.at(along - width / 2)[1], self.at(along + width / 2)[1]
        return abs(math.remainder(high - low, math.tau))

    def points_at(self, opening: Opening, offsets: Sequence[float]) -> list[Point]:
        """Points on the wall at the given distances (mm) from the opening's middle, clockwise positive."""
        return [rounded(self.at(opening.along + o)[0]) for o in offsets]
