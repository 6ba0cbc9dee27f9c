"""A white sheet in a picture: four straight sides between bright paper and darker wood, and their corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagramgen.features.trace.edge_profiles import edges, sample, softened
from diagramgen.features.trace.homography import Numbers, in_order, sides
from diagramgen.features.trace.open_picture import Light
from diagramgen.kernel.geometry import Point

COARSE = 900
LEAST_SHARE = 0.005
"""Share of the picture a sheet must fill."""
FULL = 0.93
"""Share of its four-sided outline a region must fill to be a sheet: no more is lost by a finger or a shadow."""


@dataclass(frozen=True)
class Found:
    """Corners clockwise from the one that looks upper left, their doubt in picture elements, how the sides are bent."""

    corners: tuple[Point, Point, Point, Point]
    doubt: float
    bow: float


def find_sheet(light: Light) -> Found | None:
    """The largest bright four-sided region with straight sides; None where there is none."""
    import cv2

    factor = max(1.0, max(light.shape) / COARSE)
    size = (round(light.shape[1] / factor), round(light.shape[0] / factor))
    small = cv2.GaussianBlur(cv2.resize(light, size, interpolation=cv2.INTER_AREA), (0, 0), 1.0)
    best: tuple[float, Numbers] | None = None
    for share in (0.35, 0.45, 0.55, 0.65, 0.75, 0.85):
        level = share * float(np.percentile(small, 99.5))
        mask = np.asarray(small > level, np.uint8)
        contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        for contour in contours:
            own = float(cv2.contourArea(contour))
            if own < LEAST_SHARE * small.size or (best is not None and own <= best[0] * 1.02):
                continue
            four = cv2.approxPolyDP(contour, 0.03 * cv2.arcLength(contour, True), True).reshape(-1, 2)
            if len(four) != 4 or own < FULL * abs(cv2.contourArea(four)) or not cv2.isContourConvex(four):
                continue
            if four.min() <= 1 or (four >= np.array(size) - 2).any():
                continue
            best = (own, (four.astype(float) + 0.5) * factor - 0.5)
    return None if best is None else _refined(light, best[1], factor)


def _refined(light: Light, four: Numbers, factor: float) -> Found | None:
    """The corners where lines along the sides meet."""
    soft = softened(light, four.astype(float), 6 * factor + 30)
    corners = [Point(float(x), float(y)) for x, y in four]
    corners = in_order(corners)
    doubt, bow = 0.0, 0.0
    for reach in (3 * factor + 5, 7.0):
        lines = []
        doubt = bow = 0.0
        for i in range(4):
            line = _side(soft, corners[i], corners[(i + 1) % 4], reach)
            if line is None:
                return None
            lines.append(line[:2])
            doubt, bow = max(doubt, line[2]), max(bow, line[3])
        corners = [_meet(lines[i - 1], lines[i]) for i in range(4)]
    a, b, c, d = corners
    return Found((a, b, c, d), doubt, bow)


def _side(light: Light, a: Point, b: Point, reach: float) -> tuple[Numbers, Numbers, float, float] | None:
    """A point on the side and its direction, its doubt at the corners, and its bend as a share of its length."""
    start, way = np.array(a), np.array(b) - np.array(a)
    long = float(np.hypot(*way))
    if long < 20:
        return None
    unit = way / long
    shares = np.linspace(0.06, 0.94, max(20, int(long / 3)))
    points = start + shares[:, None] * way
    # Clockwise as seen the paper lies to the right of the way: dark before, bright behind.
    into = np.array([-unit[1], unit[0]])
    found = edges(light, points, np.tile(into, (len(points), 1)), reach, 3, round_=False)
    if found.clear.mean() < 0.6:
        return None
    t, off = shares[found.clear] * long, found.offset[found.clear]
    for _ in range(3):
        line = np.polynomial.polynomial.polyfit(t, off, 1)
        rest = off - np.polynomial.polynomial.polyval(t, line)
        keep = np.abs(rest) <= max(3 * 1.4826 * float(np.median(np.abs(rest))), 0.15)
        t, off = t[keep], off[keep]
    spread = float(np.std(off - np.polynomial.polynomial.polyval(t, line)))
    bend = np.polynomial.polynomial.polyfit(t / long - 0.5, off, 2)[2]
    begin = start + into * line[0]
    end = start + way + into * (line[0] + line[1] * long)
    width = float(np.median(found.width[found.clear]))
    # Paper burnt out to plain white looks larger than it is.
    burnt = float(np.mean(sample(light, points + into * (reach * 0.8)) > 0.97))
    doubt = 2.5 * spread / np.sqrt(max(len(t) / 4, 1.0)) + (0.03 + 0.1 * burnt) * width
    return begin, (end - begin) / np.hypot(*(end - begin)), doubt, float(abs(bend) / 4 / long)


def _meet(first: tuple[Numbers, Numbers], second: tuple[Numbers, Numbers]) -> Point:
    (p, u), (q, v) = first, second
    s = np.linalg.solve(np.column_stack([u, -v]), q - p)
    x, y = p + s[0] * u
    return Point(float(x), float(y))


def upright_size(corners: tuple[Point, Point, Point, Point], short: float, long: float) -> tuple[float, float]:
    """Width and height of a sheet as it lies in the picture, from which sides look longer."""
    across, down = sides(corners)
    return (long, short) if across > down else (short, long)
