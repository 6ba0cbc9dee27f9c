"""Points, paths, outlines and transforms in millimetres; x right, y down, as seen on the page.

Angles are radians; a positive angle turns clockwise as seen (from x towards y).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple


class Point(NamedTuple):
    """A place in millimetres."""

    x: float
    y: float

    def plus(self, other: Point) -> Point:
        """Vector sum."""
        return Point(self.x + other.x, self.y + other.y)

    def minus(self, other: Point) -> Point:
        """Vector from ``other`` to here."""
        return Point(self.x - other.x, self.y - other.y)

    def times(self, factor: float) -> Point:
        """Scaled about the origin."""
        return Point(self.x * factor, self.y * factor)

    def distance(self, other: Point) -> float:
        """Distance in mm."""
        return math.hypot(self.x - other.x, self.y - other.y)

    def towards(self, angle: float, length: float) -> Point:
        """The point ``length`` mm away in the direction ``angle``."""
        return Point(self.x + length * math.cos(angle), self.y + length * math.sin(angle))

    def angle_to(self, other: Point) -> float:
        """Direction from here to ``other`` in radians."""
        return math.atan2(other.y - self.y, other.x - self.x)


class Box(NamedTuple):
    """An upright rectangle."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Width in mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height in mm."""
        return self.bottom - self.top

    @property
    def centre(self) -> Point:
        """The middle."""
        return Point((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    def grown(self, by: float) -> Box:
        """The box with ``by`` mm added on every side."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def union(self, other: Box) -> Box:
        """The smallest box around both."""
        return Box(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )

    def overlaps(self, other: Box) -> bool:
        """Whether the insides meet; touching edges do not count."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def contains(self, p: Point) -> bool:
        """Whether the point lies inside or on the edge."""
        return self.left <= p.x <= self.right and self.top <= p.y <= self.bottom

    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners clockwise as seen, from the upper left."""
        return (
            Point(self.left, self.top),
            Point(self.right, self.top),
            Point(self.right, self.bottom),
            Point(self.left, self.bottom),
        )


def box_around(points: Iterable[Point]) -> Box:
    """The smallest upright box around the points; raises ``ValueError`` when there are none."""
    kept = list(points)
    if not kept:
        raise ValueError("no points to put a box around")
    xs, ys = [p.x for p in kept], [p.y for p in kept]
    return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class Line:
    """A straight piece of a path, up to ``to``."""

    to: Point


@dataclass(frozen=True)
class Arc:
    """A circular piece of a path about ``centre``; ``sweep`` in radians, positive clockwise as seen."""

    to: Point
    centre: Point
    sweep: float


@dataclass(frozen=True)
class Curve:
    """A cubic Bezier piece with control points ``first`` and ``second``."""

    first: Point
    second: Point
    to: Point


Piece = Line | Arc | Curve


@dataclass(frozen=True)
class Path:
    """A connected run of pieces; ``closed`` joins the end to the start."""

    start: Point
    pieces: tuple[Piece, ...]
    closed: bool = False

    @property
    def end(self) -> Point:
        """Where the last piece ends."""
        return self.pieces[-1].to if self.pieces else self.start

    def length(self) -> float:
        """Length in mm (curves by flattening to 0.01 mm)."""
        total, at = 0.0, self.start
        for piece in self.pieces:
            if isinstance(piece, Line):
                total += at.distance(piece.to)
            elif isinstance(piece, Arc):
                total += abs(piece.sweep) * at.distance(piece.centre)
            else:
                points = list(_flatten_piece(at, piece, 0.01))
                total += sum(a.distance(b) for a, b in zip([at, *points], points, strict=False))
            at = piece.to
        return total + (at.distance(self.start) if self.closed else 0.0)

    def flat(self, tolerance: float = 0.05) -> tuple[Point, ...]:
        """The path as a polyline no farther than ``tolerance`` mm from the true one."""
        points, at = [self.start], self.start
        for piece in self.pieces:
            points.extend(_flatten_piece(at, piece, tolerance))
            at = piece.to
        return tuple(points)

    def mapped(self, place: Transform) -> Path:
        """The path moved by a transform; arcs stay arcs where it keeps circles round, else they become curves."""
        if not place.keeps_circles and any(isinstance(p, Arc) for p in self.pieces):
            return self._without_arcs().mapped(place)
        turn = -1.0 if place.mirrors else 1.0

        def moved(piece: Piece) -> Piece:
            if isinstance(piece, Line):
                return Line(place(piece.to))
            if isinstance(piece, Arc):
                return Arc(place(piece.to), place(piece.centre), piece.sweep * turn)
            return Curve(place(piece.first), place(piece.second), place(piece.to))

        return Path(place(self.start), tuple(moved(p) for p in self.pieces), self.closed)

    def _without_arcs(self) -> Path:
        """Arcs as cubic pieces of at most a quarter turn, true to 0.03 % of the radius."""
        pieces: list[Piece] = []
        at = self.start
        for piece in self.pieces:
            pieces += _arc_curves(at, piece) if isinstance(piece, Arc) else [piece]
            at = piece.to
        return Path(self.start, tuple(pieces), self.closed)

    def reversed(self) -> Path:
        """The same path walked from its end."""
        starts = [self.start, *(p.to for p in self.pieces)]
        pieces: list[Piece] = []
        for at, piece in reversed(list(zip(starts, self.pieces, strict=False))):
            if isinstance(piece, Line):
                pieces.append(Line(at))
            elif isinstance(piece, Arc):
                pieces.append(Arc(at, piece.centre, -piece.sweep))
            else:
                pieces.append(Curve(piece.second, piece.first, at))
        return Path(self.end, tuple(pieces), self.closed)

    def box(self) -> Box:
        """The box around the path."""
        return box_around(self.flat())


def _arc_curves(start: Point, arc: Arc) -> list[Piece]:
    count = max(1, math.ceil(abs(arc.sweep) / (math.pi / 2) - 1e-9))
    radius, first, step = arc.centre.distance(start), arc.centre.angle_to(start), arc.sweep / count
    reach = 4 / 3 * math.tan(step / 4)
    curves: list[Piece] = []
    a, c = start, arc.centre
    for i in range(1, count + 1):
        b = arc.to if i == count else c.towards(first + step * i, radius)
        curves.append(Curve(Point(a.x - reach * (a.y - c.y), a.y + reach * (a.x - c.x)),
                            Point(b.x + reach * (b.y - c.y), b.y - reach * (b.x - c.x)), b))
        a = b
    return curves


def _flatten_piece(at: Point, piece: Piece, tolerance: float) -> Iterator[Point]:
    if isinstance(piece, Line):
        yield piece.to
        return
    if isinstance(piece, Arc):
        radius = at.distance(piece.centre)
        step = 2 * math.acos(max(0.0, 1 - tolerance / radius)) if radius > tolerance else math.pi / 2
        count = max(1, math.ceil(abs(piece.sweep) / step))
        first = piece.centre.angle_to(at)
        for i in range(1, count):
            yield piece.centre.towards(first + piece.sweep * i / count, radius)
        yield piece.to
        return
    spread = at.distance(piece.first) + piece.first.distance(piece.second) + piece.second.distance(piece.to)
    count = max(2, min(200, math.ceil(math.sqrt(spread / max(tolerance, 1e-6)))))
    for i in range(1, count + 1):
        t = i / count
        u = 1 - t
        a, b, c, d = u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t
        yield Point(
            a * at.x + b * piece.first.x + c * piece.second.x + d * piece.to.x,
            a * at.y + b * piece.first.y + c * piece.second.y + d * piece.to.y,
        )


def polyline(points: Sequence[Point], closed: bool = False) -> Path:
    """A path of straight lines through the points."""
    return Path(points[0], tuple(Line(p) for p in points[1:]), closed)


def circle(centre: Point, radius: float) -> Path:
    """A closed circle as two half arcs, clockwise as seen."""
    right, left = Point(centre.x + radius, centre.y), Point(centre.x - radius, centre.y)
    return Path(right, (Arc(left, centre, math.pi), Arc(right, centre, math.pi)), True)


def rounded_box(box: Box, radius: float) -> Path:
    """A rectangle with round corners, clockwise as seen; radius 0 gives square corners."""
    r = min(radius, box.width / 2, box.height / 2)
    if r <= 0:
        return polyline(box.corners(), closed=True)
    left, top, right, bottom = box
    quarter = math.pi / 2
    return Path(
        Point(left + r, top),
        (
            Line(Point(right - r, top)),
            Arc(Point(right, top + r), Point(right - r, top + r), quarter),
            Line(Point(right, bottom - r)),
            Arc(Point(right - r, bottom), Point(right - r, bottom - r), quarter),
            Line(Point(left + r, bottom)),
            Arc(Point(left, bottom - r), Point(left + r, bottom - r), quarter),
            Line(Point(left, top + r)),
            Arc(Point(left + r, top), Point(left + r, top + r), quarter),
        ),
        True,
    )


def rounded_polyline(points: Sequence[Point], radius: float) -> Path:
    """A polyline whose corners are replaced by tangent arcs of at most ``radius`` mm.

    Where a leg is too short for the radius the arc is made smaller, never left out, so that no
    corner stays sharp.
    """
    kept = [p for i, p in enumerate(points) if i == 0 or p.distance(points[i - 1]) > 1e-9]
    if len(kept) < 2:
        return Path(kept[0], (Line(kept[0]),))
    pieces: list[Piece] = []
    for before, here, after in zip(kept, kept[1:], kept[2:], strict=False):
        turn = math.remainder(here.angle_to(after) - before.angle_to(here), math.tau)
        if abs(turn) < 1e-6 or abs(abs(turn) - math.pi) < 1e-6:
            pieces.append(Line(here))
            continue
        tangent = math.tan(abs(turn) / 2)
        reach = min(radius * tangent, before.distance(here) / 2, here.distance(after) / 2)
        r = reach / tangent
        begin = here.towards(here.angle_to(before), reach)
        finish = here.towards(here.angle_to(after), reach)
        side = math.copysign(math.pi / 2, turn)
        centre = begin.towards(before.angle_to(here) + side, r)
        pieces += [Line(begin), Arc(finish, centre, turn)]
    pieces.append(Line(kept[-1]))
    return Path(kept[0], tuple(pieces))


class Transform(NamedTuple):
    """A placing in the plane: x' = a x + c y + e, y' = b x + d y + f.

    All but the correction of a printer keep shapes (one scale in both directions).
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __call__(self, p: Point) -> Point:
        """Move a point."""
        return Point(self.a * p.x + self.c * p.y + self.e, self.b * p.x + self.d * p.y + self.f)

    def then(self, after: Transform) -> Transform:
        """This transform followed by ``after``."""
        return Transform(
            after.a * self.a + after.c * self.b,
            after.b * self.a + after.d * self.b,
            after.a * self.c + after.c * self.d,
            after.b * self.c + after.d * self.d,
            after.a * self.e + after.c * self.f + after.e,
            after.b * self.e + after.d * self.f + after.f,
        )

    def inverse(self) -> Transform:
        """The transform that undoes this one."""
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Transform(a, b, c, d, -(a * self.e + c * self.f), -(b * self.e + d * self.f))

    def direction(self, angle: float) -> float:
        """An angle as it points after the transform."""
        x, y = math.cos(angle), math.sin(angle)
        return math.atan2(self.b * x + self.d * y, self.a * x + self.c * y)

    @property
    def keeps_circles(self) -> bool:
        """Whether both directions have one scale and stay square to each other."""
        near = 1e-9 * (abs(self.a) + abs(self.b) + abs(self.c) + abs(self.d))
        first, second = (self.d, -self.c) if not self.mirrors else (-self.d, self.c)
        return abs(self.a - first) <= near and abs(self.b - second) <= near

    @property
    def mirrors(self) -> bool:
        """Whether turning sense is reversed."""
        return self.a * self.d - self.b * self.c < 0

    @property
    def scale(self) -> float:
        """How much lengths grow."""
        return math.sqrt(abs(self.a * self.d - self.b * self.c))


def moved(by: Point) -> Transform:
    """A shift."""
    return Transform(e=by.x, f=by.y)


def turned(angle: float) -> Transform:
    """A turn about the origin, clockwise as seen for a positive angle."""
    return Transform(math.cos(angle), math.sin(angle), -math.sin(angle), math.cos(angle))


def scaled(factor: float) -> Transform:
    """A uniform scale about the origin."""
    return Transform(a=factor, d=factor)


def mirrored(about_x: float) -> Transform:
    """A left-right mirror about the vertical line x = ``about_x``."""
    return Transform(a=-1.0, e=2 * about_x)


def area(outline: Sequence[Point]) -> float:
    """Signed area of a polygon in mm2; positive when it runs clockwise as seen."""
    return (
        sum(
            a.x * b.y - b.x * a.y
            for a, b in zip(outline, [*outline[1:], outline[0]], strict=True)
        )
        / 2
    )


def along(points: Sequence[Point], distance: float) -> tuple[Point, float]:
    """The point ``distance`` mm along a polyline and the direction there."""
    left = distance
    for a, b in pairwise(points):
        leg = a.distance(b)
        if leg > 0 and left <= leg:
            t = left / leg
            return Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)), a.angle_to(b)
        left -= leg
    return points[-1], points[-2].angle_to(points[-1])


def flatten_all(paths: Iterable[Path], tolerance: float = 0.05) -> list[tuple[Point, ...]]:
    """Each path as a polyline."""
    return [p.flat(tolerance) for p in paths]


PointMap = Callable[[Point], Point]
