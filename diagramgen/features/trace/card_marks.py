"""The printed card: four ringed marks at known places, and how they are found in a picture.

A mark is rings about one middle, black and white by turns, so that nothing of wood or grain is taken for one; the
one at the upper left has a ring more, so that the card may lie any way round.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from diagramgen.features.trace.homography import Numbers
from diagramgen.features.trace.open_picture import Light
from diagramgen.kernel.geometry import Point

ACROSS, DOWN = 160.0, 100.0
"""mm between the middles of the marks as drawn."""
FIRST = (6.0, 4.6, 3.2, 1.6)
"""Radii of the mark at the upper left, mm, from the outside in: black, white, black, white."""
OTHERS = (6.0, 4.0, 2.0)
"""Radii of the other three: black, white, black."""
ALIKE = 1.7
"""Times the size of another mark that a mark in the same picture may have."""
DOUBT = 0.15
"""How far a middle found may be off, picture elements."""


@dataclass(frozen=True)
class Marks:
    """Middles found, from the one with a ring more, clockwise as seen, and the outline of the whole."""

    middles: tuple[Point, Point, Point, Point]
    round_them: Numbers


def radii() -> tuple[tuple[Point, tuple[float, ...]], ...]:
    """Every mark of the card: its middle from the first one's, and its radii."""
    places = (Point(0.0, 0.0), Point(ACROSS, 0.0), Point(ACROSS, DOWN), Point(0.0, DOWN))
    return tuple((place, FIRST if i == 0 else OTHERS) for i, place in enumerate(places))


def find_marks(light: Light) -> Marks | None:
    """The four marks; None where not exactly one of the first kind and three of the other are there."""
    import cv2

    soft = cv2.GaussianBlur(light, (0, 0), 0.6)
    code = np.asarray(np.clip(255 * np.sqrt(np.clip(soft, 0, 1)), 0, 255), np.uint8)
    for share in (30, 15, 60):
        block = max(31, max(code.shape) // share | 1)
        mask = cv2.adaptiveThreshold(code, 255, cv2.ADAPTIVE_THRESH_MEAN_C, cv2.THRESH_BINARY_INV, block, 12)
        found = _nested(mask)
        # The edges of the card itself are nested too: marks are of one size, as far as a leaning camera lets them.
        sets = [(m, [r for r in found if r[1] == 3 and ALIKE > r[2] / m[2] > 1 / ALIKE]) for m in found if m[1] == 4]
        sets = [(m, rest) for m, rest in sets if len(rest) == 3]
        if len(sets) == 1:
            first, rest = sets[0]
            return _ordered(_middle(soft, *first), [_middle(soft, *m) for m in rest], first[2])
    return None


def _nested(mask: NDArray[np.uint8]) -> list[tuple[Numbers, int, float]]:
    """Round contours with two or more round contours inside about the same middle: (middle, how many, radius)."""
    import cv2

    contours, tree = cv2.findContours(mask, cv2.RETR_TREE, cv2.CHAIN_APPROX_NONE)
    if tree is None:
        return []
    result = []
    for i, contour in enumerate(contours):
        size = _round(contour)
        if size is None or (tree[0][i][3] >= 0 and _round(contours[tree[0][i][3]]) is not None \
                and _near(contours[tree[0][i][3]], contour, size)):
            continue
        depth, at = 1, i
        while True:
            child, inner = tree[0][at][2], -1
            while child >= 0:
                if len(contours[child]) >= 6 and _round(contours[child]) is not None \
                        and _near(contours[child], contour, size):
                    inner = int(child)
                child = tree[0][child][0]
            if inner < 0:
                break
            depth, at = depth + 1, inner
        if depth >= 3:
            result.append((contour.reshape(-1, 2).mean(axis=0).astype(float), depth, size))
    return result


def _round(contour: NDArray[np.int32]) -> float | None:
    """The mean radius of a contour that is an ellipse as a leaning camera sees a circle; None where it is not."""
    import cv2

    if len(contour) < 6:
        return None
    own = float(cv2.contourArea(contour))
    (_, (a, b), _) = cv2.fitEllipse(contour)
    if min(a, b) < 2 or max(a, b) > 2.2 * min(a, b) or not 0.75 < (own + len(contour) / 2) / (np.pi * a * b / 4) < 1.35:
        return None
    return float(a + b) / 4


def _near(a: NDArray[np.int32], b: NDArray[np.int32], size: float) -> bool:
    return float(np.hypot(*(a.reshape(-1, 2).mean(axis=0) - b.reshape(-1, 2).mean(axis=0)))) < 0.25 * size + 0.7


def _middle(soft: Light, near: Numbers, _depth: int, size: float) -> Point:
    """The middle of the black disc, from its outer edge to a part of a picture element."""
    import cv2

    from diagramgen.features.trace.edge_profiles import edges

    middle = near
    for _ in range(3):
        turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
        out = np.column_stack([np.cos(turn), np.sin(turn)])
        found = edges(soft, middle + 1.02 * size * out, out, 0.28 * size + 1.0, 3)
        if found.clear.mean() < 0.5:
            break
        rim = (middle + out * (1.02 * size + found.offset)[:, None])[found.clear]
        (x, y), _axes, _angle = cv2.fitEllipse(rim.astype(np.float32).reshape(-1, 1, 2))
        middle = np.array([x, y], dtype=float)
    return Point(float(middle[0]), float(middle[1]))


def _ordered(first: Point, rest: Sequence[Point], size: float) -> Marks:
    all_four = [first, *rest]
    middle = Point(sum(p.x for p in all_four) / 4, sum(p.y for p in all_four) / 4)
    begin = middle.angle_to(first)
    a, b, c, d = sorted(all_four, key=lambda p: (middle.angle_to(p) - begin) % (2 * np.pi) if p != first else -1.0)
    grown = np.array([middle.towards(middle.angle_to(p), middle.distance(p) + 1.8 * size) for p in (a, b, c, d)])
    return Marks((a, b, c, d), grown)
