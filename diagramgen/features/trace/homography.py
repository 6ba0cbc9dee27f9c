"""From picture elements to millimetres in one plane: four points of known places, or one scale for a scan."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.kernel.geometry import Point, area, box_around

Numbers = NDArray[np.float64]
LEAST_SIDE = 20.0
"""Picture elements a side of the sheet must have to set a scale at all."""
FLAT = 0.02
"""A corner is no corner where the triangle at it has less than this share of its longest side's square."""


class BadCorners(ValueError):  # noqa: N818 - four points that are no sheet, in the technician's words
    """Four points that cannot be a sheet's corners; ``remedy`` says what to do."""

    def __init__(self, message: str, remedy: str):
        super().__init__(message)
        self.remedy = remedy


@dataclass(frozen=True)
class Plane:
    """How picture elements fall on the plane of the scale: a 3 x 3 matrix, row by row, to mm."""

    matrix: tuple[float, ...]
    known: tuple[tuple[Point, Point], ...] = ()
    """The points it was made from: (picture element, mm)."""
    doubt: float = 1.0
    """How far off the known points may lie in the picture (one standard deviation), picture elements."""
    bow: float = 0.0
    """What the sides of the sheet that were found are bent by, as a share of their length."""

    def array(self) -> Numbers:
        """The matrix."""
        return np.array(self.matrix, dtype=float).reshape(3, 3)

    def to_mm(self, points: Numbers) -> Numbers:
        """Rows of x, y in picture elements as rows of mm."""
        return through(self.array(), points)

    def to_picture(self, points: Numbers) -> Numbers:
        """Rows of mm as rows of picture elements."""
        return through(np.asarray(np.linalg.inv(self.array()), np.float64), points)

    def scaled(self, factor: float) -> Plane:
        """The same with every length in mm multiplied."""
        return Plane(tuple((np.diag([factor, factor, 1.0]) @ self.array()).ravel()), self.known, self.doubt, self.bow)

    def step(self, points: Numbers) -> float:
        """The largest size of a picture element at these places, mm."""
        at, across, down = (self.to_mm(points + np.array(d)) for d in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0)))
        return float(max(np.hypot(*(across - at).T).max(), np.hypot(*(down - at).T).max()))


def through(matrix: Numbers, points: Numbers) -> Numbers:
    """Points under a homography."""
    lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    result: Numbers = lifted[:, :2] / lifted[:, 2:]
    return result


def four_points(picture: Sequence[Point], mm: Sequence[Point]) -> Numbers:
    """The homography that takes four picture points to four places in mm, exactly."""
    rows, right = [], []
    for (x, y), (u, v) in zip(picture, mm, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows, dtype=float), np.array(right, dtype=float))
    result: Numbers = np.append(solved, 1.0).reshape(3, 3)
    return result


def from_corners(corners: Sequence[Point], width: float, height: float, doubt: float, bow: float = 0.0) -> Plane:
    """The plane of a sheet from its corners: upper left, upper right, lower right, lower left."""
    check_corners(corners)
    mm = (Point(0.0, 0.0), Point(width, 0.0), Point(width, height), Point(0.0, height))
    matrix = four_points(corners, mm)
    return Plane(tuple(matrix.ravel()), tuple(zip(corners, mm, strict=True)), doubt, bow)


def from_scale(mm_a_point: float, known: Sequence[Point] = (), doubt: float = 0.0) -> Plane:
    """The plane of a scan: every picture element has one size."""
    pairs = tuple((p, p.times(mm_a_point)) for p in known)
    return Plane((mm_a_point, 0.0, 0.0, 0.0, mm_a_point, 0.0, 0.0, 0.0, 1.0), pairs, doubt)


def check_corners(corners: Sequence[Point]) -> None:
    """Raise ``BadCorners`` unless the four go clockwise round a sheet."""
    wide = max(a.distance(b) for a, b in itertools.combinations(corners, 2))
    for a, b, c in itertools.combinations(corners, 3):
        longest = max(a.distance(b), b.distance(c), c.distance(a))
        if longest <= 0 or abs(area([a, b, c])) < FLAT * longest * longest:
            raise BadCorners("three of the four corners lie on one line, or two at one place",
                             "Give the four corners of the sheet itself.")
    if min(a.distance(b) for a, b in itertools.combinations(corners, 2)) < LEAST_SIDE:
        raise BadCorners(f"the sheet is less than {LEAST_SIDE:g} picture elements wide ({wide:.0f} at most)",
                         "Take the photograph nearer, or with more picture elements.")
    if not _convex_clockwise(corners):
        order = in_order(corners)
        words = " ".join(f"{p.x:g},{p.y:g}" for p in order)
        if not _convex_clockwise(order):
            raise BadCorners("one of the four corners lies inside the triangle of the others", "Read them off again.")
        raise BadCorners("the corners do not go round the sheet clockwise from the upper left",
                         f"Upper left, upper right, lower right, lower left: {words}.")


def in_order(corners: Sequence[Point]) -> list[Point]:
    """Corners clockwise as seen, from the one that looks upper left."""
    middle = Point(sum(p.x for p in corners) / len(corners), sum(p.y for p in corners) / len(corners))
    round_ = sorted(corners, key=lambda p: (middle.angle_to(p), p))
    box = box_around(round_)
    first = min(range(len(round_)), key=lambda i: (round_[i].x - box.left) + (round_[i].y - box.top))
    return [*round_[first:], *round_[:first]]


def _convex_clockwise(corners: Sequence[Point]) -> bool:
    return all(area([corners[i], corners[(i + 1) % 4], corners[(i + 2) % 4]]) > 0 for i in range(4))


def sides(corners: Sequence[Point]) -> tuple[float, float]:
    """Mean lengths of the sides across and down, picture elements."""
    a, b, c, d = corners
    return (a.distance(b) + d.distance(c)) / 2, (b.distance(c) + a.distance(d)) / 2
