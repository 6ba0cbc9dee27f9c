"""The rim of a cavity in a picture: the dark region in brighter wood, and its edge to a part of a picture element."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from diagramgen.features.trace.codes import PHO_805, PHO_806, PHO_807
from diagramgen.features.trace.edge_profiles import edges, softened
from diagramgen.features.trace.homography import Numbers, Plane
from diagramgen.features.trace.open_picture import Light
from diagramgen.kernel.codes import Code
from diagramgen.kernel.geometry import Point

COARSE = 1100
"""Picture elements along the longer side when looking for the region."""
LEAST_AREA, MOST_AREA = 150.0, 250_000.0
"""mm2; less than a control needs, more than any instrument has."""
UNCLEAR = (0.12, 0.40)
"""Share of the outline without a clear edge from which it is said, and from which nothing is taken."""
Mask = NDArray[np.uint8]


class NoOutline(ValueError):  # noqa: N818 - nothing that may be taken for a cavity, in the technician's words
    """No outline; ``code`` and ``remedy`` go into the problem."""

    def __init__(self, code: Code, message: str, remedy: str | None = None):
        super().__init__(message)
        self.code, self.remedy = code, remedy


@dataclass(frozen=True)
class Rim:
    """The edge of a cavity in picture elements, clockwise as seen, and how well it was seen."""

    points: Numbers
    noise: float
    """Scatter of the edge along the outline, picture elements (one standard deviation)."""
    blur: float
    """Width of the edge from 10 to 90 % of the step in the light, picture elements."""
    unclear: float
    """Share of the outline where no edge was seen; it is drawn through from its neighbours."""
    others: tuple[Point, ...] = ()
    """A point inside each other dark region that may have been meant."""


def find_rim(light: Light, plane: Plane, inside: Point | None, known: Sequence[Numbers] = ()) -> Rim:
    """The rim of the cavity at ``inside``, or of the largest dark region; raises ``NoOutline``.

    ``known``: closed outlines in picture elements (the sheet, the card's marks) that are no cavity.
    """
    import cv2

    factor = max(light.shape) / COARSE if max(light.shape) > COARSE else 1.0
    size = (round(light.shape[1] / factor), round(light.shape[0] / factor))
    small = cv2.resize(light, size, interpolation=cv2.INTER_AREA)
    apart = np.zeros(small.shape, np.uint8)
    for outline in known:
        cv2.fillPoly(apart, [np.round((outline + 0.5) / factor - 0.5).astype(np.int32)], 1)
    apart = cv2.dilate(apart, np.ones((7, 7), np.uint8))
    mask, others = _region(_dark(small, apart), plane, factor, inside)
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    rough = max(found, key=cv2.contourArea).reshape(-1, 2).astype(float)
    rough = (rough + 0.5) * factor - 0.5
    return _refined(light, rough, factor, others)


def _dark(small: Light, apart: Mask) -> Mask:
    """What is dark against the wood, whichever way the light falls: 1 where it is.

    The brightness of the wood is taken as a smooth surface over the picture and fitted again with each cut.
    """
    import cv2

    level = np.log(np.maximum(cv2.GaussianBlur(small, (0, 0), 1.2), 1e-4)).astype(np.float64)
    high, wide = level.shape
    y, x = np.mgrid[0:high, 0:wide]
    x, y = x / wide - 0.5, y / high - 0.5
    terms = np.stack([np.ones_like(x), x, y, x * x, x * y, y * y], axis=-1)
    use = apart == 0
    surface = np.full(level.shape, float(np.median(level[use])))
    cut = 0.0
    for _ in range(4):
        flat = level - surface
        cut = _valley(flat[use])
        wood = use & (flat > cut) & (flat < cut + 2.5)
        if wood.sum() < 200:
            break
        some = np.flatnonzero(wood)[:: max(1, int(wood.sum()) // 20_000)]
        rows, right = terms.reshape(-1, 6)[some], level.reshape(-1)[some]
        for _ in range(2):
            weights, *_ = np.linalg.lstsq(rows, right, rcond=None)
            off = right - rows @ weights
            keep = np.abs(off) < max(2.5 * float(np.median(np.abs(off))), 0.05)
            rows, right = rows[keep], right[keep]
        surface = terms @ weights
    dark = (use & (level - surface < cut)).astype(np.uint8)
    return np.asarray(cv2.morphologyEx(dark, cv2.MORPH_OPEN, np.ones((5, 5), np.uint8)), np.uint8)


def _valley(values: Numbers) -> float:
    """The level that parts the values best into two (least squares within each, Otsu 1979)."""
    low, high = np.percentile(values, [0.5, 99.5])
    counts, borders = np.histogram(values, 256, (low, max(high, low + 1e-6)))
    middle = (borders[:-1] + borders[1:]) / 2
    below, total = np.cumsum(counts), counts.sum()
    mean_below, mean = np.cumsum(counts * middle), float((counts * middle).sum())
    above = np.maximum(total - below, 1)
    between = (mean * below - mean_below * total) ** 2 / (np.maximum(below, 1) * above.astype(float))
    best = np.flatnonzero(between >= between.max() * (1 - 1e-9))
    return float(middle[best].mean())


def _region(dark: Mask, plane: Plane, factor: float, inside: Point | None) -> tuple[Mask, tuple[Point, ...]]:
    """The region that is meant, its holes filled, and points inside the others of a cavity's size."""
    import cv2

    count, label, stats, _ = cv2.connectedComponentsWithStats(dark, connectivity=4)
    high, wide = dark.shape
    sound: list[tuple[float, int]] = []
    cut_off: list[tuple[float, int]] = []
    for i in range(1, count):
        left, top, w, h, points = (int(v) for v in stats[i])
        if points < 60:
            continue
        mm2 = points * _area_of_point(plane, (left + w / 2) * factor, (top + h / 2) * factor) * factor * factor
        if not LEAST_AREA <= mm2 <= MOST_AREA:
            continue
        touches = left <= 1 or top <= 1 or left + w >= wide - 1 or top + h >= high - 1
        (cut_off if touches else sound).append((mm2, i))
    if inside is not None:
        chosen = _at(label, inside, factor, [i for _, i in sound], [i for _, i in cut_off])
    elif sound:
        chosen = max(sound)[1]
    elif cut_off:
        raise NoOutline(PHO_806, "the dark region goes on beyond the edge of the picture")
    else:
        raise NoOutline(PHO_805, "no dark region of a cavity's size was found in brighter wood",
                        "Light the wood and leave the cavity in shadow, or draw the outline over it (--drawn).")
    size = next(mm2 for mm2, i in sound if i == chosen)
    others = tuple(_inner(label == i, factor) for mm2, i in sorted(sound, reverse=True)
                   if i != chosen and mm2 > 0.2 * size)
    # Posts, screws and parts left inside are islands: only the rim counts.
    mask = np.asarray(label == chosen, np.uint8)
    found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    filled: Any = cv2.drawContours(np.zeros_like(mask), found, -1, 1, cv2.FILLED)
    return np.asarray(filled, np.uint8), others[:4]


def _at(label: NDArray[np.int32], inside: Point, factor: float, sound: list[int], cut_off: list[int]) -> int:
    x, y = round(inside.x / factor), round(inside.y / factor)
    if not (0 <= x < label.shape[1] and 0 <= y < label.shape[0]):
        raise NoOutline(PHO_805, f"the point {inside.x:g},{inside.y:g} lies outside the picture",
                        "Give picture elements from the upper left, as an image viewer shows them.")
    chosen = int(label[y, x])
    if chosen in cut_off:
        raise NoOutline(PHO_806, "the dark region at that point goes on beyond the edge of the picture")
    if chosen not in sound:
        raise NoOutline(PHO_805, f"at {inside.x:g},{inside.y:g} there is no dark region of a cavity's size",
                        "Give a point on the dark floor, away from parts and wires.")
    return chosen


def _area_of_point(plane: Plane, x: float, y: float) -> float:
    a, b, c = plane.to_mm(np.array([[x, y], [x + 1, y], [x, y + 1]]))
    return float(abs((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])))


def _inner(mask: NDArray[np.bool_], factor: float) -> Point:
    """The point of a region that lies deepest inside."""
    import cv2

    deep = cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 3)
    y, x = np.unravel_index(int(np.argmax(deep)), deep.shape)
    return Point(float(round(x * factor)), float(round(y * factor)))


def _refined(light: Light, rough: Numbers, factor: float, others: tuple[Point, ...]) -> Rim:
    """The edge across the rough outline, twice: first within the coarse picture's doubt, then closely."""
    points = even(smooth(rough, 3), 2.0)
    reach = max(3.0 * factor, 6.0)
    # In three turns the points move by less than the reach each.
    soft = softened(light, points, 4 * reach)
    for turn in range(3):
        points = even(points, 1.5)
        normal = normals(points, 3)
        found = edges(soft, points, normal, reach, 3)
        if turn == 0 and 1 - found.clear.mean() > UNCLEAR[1]:
            raise NoOutline(PHO_807, f"{100 * (1 - found.clear.mean()):.0f} % of the rim shows no clear edge",
                            "Take a sharper picture with the cavity in shadow, or draw the outline over it (--drawn).")
        offset = _filled(found.offset, found.clear)
        calm = _median(offset, 5)
        points = points + normal * calm[:, None]
        width = float(np.median(found.width[found.clear])) if found.clear.any() else 2 * reach
        reach = min(max(1.6 * width + 2.0, 6.0), max(3.0 * factor, 6.0) + 6)
    noise = 1.4826 * float(np.median(np.abs(offset - _median(offset, 5))))
    return Rim(points, noise, width, float(1 - found.clear.mean()), others)


def even(points: Numbers, step: float) -> Numbers:
    """A closed run of points anew, about ``step`` apart."""
    closed = np.vstack([points, points[:1]])
    way = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    stops = np.linspace(0.0, way[-1], max(24, round(way[-1] / step)), endpoint=False)
    return np.column_stack([np.interp(stops, way, closed[:, 0]), np.interp(stops, way, closed[:, 1])])


def smooth(points: Numbers, half: int) -> Numbers:
    """Each point as the mean of its neighbours."""
    padded = np.pad(points, ((half, half), (0, 0)), mode="wrap")
    result: Numbers = np.mean([padded[i : i + len(points)] for i in range(2 * half + 1)], axis=0)
    return result


def normals(points: Numbers, half: int) -> Numbers:
    """Unit vectors outward at each point of a closed run."""
    along = np.roll(points, -half, axis=0) - np.roll(points, half, axis=0)
    x, y = points.T
    clockwise = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) > 0
    out = np.column_stack([along[:, 1], -along[:, 0]]) * (1 if clockwise else -1)
    result: Numbers = out / np.maximum(np.hypot(*out.T), 1e-9)[:, None]
    return result


def _filled(offset: Numbers, clear: NDArray[np.bool_]) -> Numbers:
    """Offsets where no edge was seen, drawn through from their neighbours."""
    if clear.all() or not clear.any():
        return offset if clear.all() else np.zeros_like(offset)
    at = np.flatnonzero(clear)
    n = len(offset)
    return np.interp(np.arange(n), np.concatenate([at - n, at, at + n]), np.tile(offset[at], 3))


def _median(values: Numbers, width: int) -> Numbers:
    half = width // 2
    padded = np.pad(values, half, mode="wrap")
    result: Numbers = np.median(np.stack([padded[i : i + len(values)] for i in range(width)]), axis=0)
    return result
