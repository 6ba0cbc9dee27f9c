"""Leads as far as they are seen, followed over the pixels both ways until they are hidden; and the tags."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import find_objects, label
from scipy.spatial import ConvexHull, cKDTree
from trace_looks import (
    BACK,
    BLINK,
    FRAME,
    GOOD,
    LEADS_APART,
    LEG,
    SHORTEST,
    STEP,
    TAG_HIGH,
    TURN,
    Coarse,
    Floats,
    Picture,
    index_of,
)


@dataclass(frozen=True)
class Tag:
    """A tag as seen: middle, reading direction, half its length and half its height over all (units of the pen)."""

    at: Floats
    angle: float
    long: float
    high: float

    def off(self, place: Floats) -> Floats:
        """How far each place is from the tag's frame; 0 within it."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        x, y = np.moveaxis(place - self.at, -1, 0)
        return np.hypot(np.maximum(0.0, np.abs(c * x + s * y) - self.long),
                        np.maximum(0.0, np.abs(c * y - s * x) - self.high))


@dataclass
class Stretch:
    """A lead as far as it is seen."""

    code: str
    points: Floats
    likeness: float

    @property
    def length(self) -> float:
        return STEP * (len(self.points) - 1)

    def long_enough(self) -> bool:
        """Whether it is more than a chance likeness."""
        return self.length >= (1.0 if self.code in ("WH", LEG) else SHORTEST)

    def end(self, last: bool) -> tuple[Floats, float]:
        """Place and outward heading of one end; the heading is that of the last 0.9 mm."""
        way = self.points if last else self.points[::-1]
        back = way[max(0, len(way) - 7)]
        step = way[-1] - back
        return way[-1], math.atan2(step[1], step[0])


def runs(free: NDArray[np.bool_]) -> list[slice]:
    """Where an array is true without a break."""
    steps = np.flatnonzero(np.diff(np.concatenate([[False], free, [False]]).astype(int)))
    return [slice(int(a), int(b)) for a, b in zip(steps[::2], steps[1::2], strict=True)]


def _without_gaps(found: list[Stretch]) -> list[Stretch]:
    """White without the gaps between leads: a gap has its dark sides from its neighbours, nearer than leads lie."""
    solid = [one.points for one in found if one.code not in ("WH", LEG)]
    if not solid:
        return found
    tree = cKDTree(np.concatenate(solid))
    result = []
    for one in found:
        if one.code != "WH":
            result.append(one)
            continue
        alone = runs(tree.query(one.points)[0] > LEADS_APART)
        result += [part for run in alone if (part := Stretch("WH", one.points[run], one.likeness)).long_enough()]
    return result


def _whole(parts: list[Tag]) -> list[Tag]:
    """Tags put together again where a letter or a leader line cuts the white field."""
    result: list[Tag] = []
    for one in sorted(parts, key=lambda t: -t.long):
        for i, other in enumerate(result):
            c, s = math.cos(other.angle), math.sin(other.angle)
            x, y = c * (one.at - other.at)[0] + s * (one.at - other.at)[1], 0.0
            y = c * (one.at - other.at)[1] - s * (one.at - other.at)[0]
            lean = abs(math.remainder(one.angle - other.angle, math.pi))
            if abs(y) < 0.3 and lean < 0.1 and abs(x) < one.long + other.long + 0.35:
                low, top = min(-other.long, x - one.long), max(other.long, x + one.long)
                middle = other.at + (low + top) / 2 * np.array([c, s])
                result[i] = Tag(middle, other.angle, (top - low) / 2, other.high)
                break
        else:
            result.append(one)
    return result


def as_tag(points: Floats) -> Tag | None:
    """The tag whose white field these places are, or None where they are no such field."""
    if len(points) < 400 or min(np.ptp(points, axis=0)) < 1.0:
        return None
    corners = points[ConvexHull(points).vertices]
    best = None
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        angle = math.atan2(b[1] - a[1], b[0] - a[0])
        turned = corners @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        low, top = turned.min(axis=0), turned.max(axis=0)
        if best is None or (top - low).prod() < best[0]:
            best = ((top - low).prod(), angle, low, top)
    area, angle, low, top = best
    wide, high = top - low
    if wide < high:
        wide, high, angle, low, top = high, wide, angle + math.pi / 2, None, None
    hull = ConvexHull(points).volume
    if not (TAG_HIGH[0] < high < TAG_HIGH[1] and wide > 1.2 * high and hull > 0.88 * area):
        return None
    middle = points.min(axis=0) / 2 + points.max(axis=0) / 2
    return Tag(middle, angle, wide / 2 + FRAME, high / 2 + FRAME)


PLAIN = 0.85
"""Least likeness of a place at which a lead is plainly there, 0 to 1."""


class Follower(Picture):
    """Finds the stretches of leads in a picture."""

    tags: Sequence[Tag] = ()
    """Set before the stretches are looked for."""

    def stretches(self, box: tuple[float, float, float, float]) -> list[Stretch]:
        """Every stretch of a lead that is seen within a box (left, top, right, bottom; units of the pen)."""
        found = [one for code in self.looks for one in self._of_colour(code, box)]
        return self._without_doubles([part for one in _without_gaps(found) for part in self._beside_tags(one)])

    def _beside_tags(self, one: Stretch) -> list[Stretch]:
        """A stretch without what was taken for it within a tag."""
        free = np.logical_and.reduce([tag.off(one.points) > 0 for tag in self.tags] or [np.ones(len(one.points), bool)])
        parts = [Stretch(one.code, one.points[run], one.likeness) for run in runs(free)]
        return [part for part in parts if part.long_enough()]

    def _tags(self, box: tuple[float, float, float, float]) -> list[Tag]:
        """Every tag: a white field of a tag's size, closed by its frame, with letters in it."""
        coarse = Coarse(self, box, 1)
        white = self.looks["WH"][0][coarse.part] > 0.5
        numbers, _ = label(white)
        cell = coarse.step / self.scale
        result = []
        for number, where in enumerate(find_objects(numbers), start=1):
            rows, cols = where
            size = math.hypot(rows.stop - rows.start, cols.stop - cols.start) * cell
            if not 3.0 < size < 22.0:
                continue
            y, x = np.nonzero(numbers[where] == number)
            tag = as_tag(np.stack([x, y], axis=-1) * cell)
            if tag is not None:
                at = coarse.place(0, 0) + np.array([cols.start, rows.start]) * cell
                result.append(Tag(tag.at + at, tag.angle, tag.long, tag.high))
        return [self._stretched(tag) for tag in _whole(result)]

    def _stretched(self, tag: Tag) -> Tag:
        """The tag as far as both lines of its frame go on."""
        c, s = math.cos(tag.angle), math.sin(tag.angle)
        reach = [tag.long, tag.long]
        for k, sign in enumerate((-1, 1)):
            while reach[k] < tag.long + 9.0:
                rims = np.array([[sign * (reach[k] + 0.15), high * (tag.high + rim)] for high in (-1, 1)
                                 for rim in (-0.16, -0.08, 0.0)])
                seen = self.rgb(tag.at + rims @ np.array([[c, s], [-s, c]])).max(axis=-1)
                dark = seen.reshape(2, 3).min(axis=1) < 150
                if not dark.all():
                    break
                reach[k] += 0.15
        shift = (reach[1] - reach[0]) / 2
        return Tag(tag.at + shift * np.array([c, s]), tag.angle, (reach[0] + reach[1]) / 2, tag.high)

    def _framed(self, tag: Tag, code: str) -> bool:
        """Whether a tag's frame has the edge colour of this lead."""
        c, s = math.cos(tag.angle), math.sin(tag.angle)
        along = np.linspace(-tag.long + 0.9, tag.long - 0.9, 25)
        best = 0.0
        for rim in np.arange(-0.15, 0.16, 0.05):
            high = tag.high - 0.08 + rim
            both = np.concatenate([np.stack([along, np.full(25, k * high)], axis=-1) for k in (-1, 1)])
            seen = index_of(self.rgb(tag.at + both @ np.array([[c, s], [-s, c]])))
            best = max(best, float(self.looks[code][1][seen].mean()))
        return best > 0.3

    def _of_colour(self, code: str, box: tuple[float, float, float, float]) -> list[Stretch]:
        coarse = Coarse(self, box)
        result = []
        for row, col in coarse.candidates(code):
            if coarse.used[row, col]:
                continue
            seed = self._seed(code, coarse.place(row, col))
            if seed is None:
                coarse.used[max(0, row - 1) : row + 2, max(0, col - 1) : col + 2] = True
                continue
            one = self._both_ways(code, *seed)
            coarse.mark(one.points)
            coarse.used[row, col] = True
            if one.long_enough():
                result.append(one)
        return result

    def _seed(self, code: str, at: Floats) -> tuple[Floats, float] | None:
        """The middle and heading of the lead at a place, where one is plainly there."""
        angles, lateral = (g.ravel() for g in np.meshgrid(
            np.arange(0, math.pi, math.pi / 24), np.arange(-0.32, 0.33, 0.04), indexing="ij"))
        ahead = np.stack([np.cos(angles), np.sin(angles)], axis=-1)
        middles = at + lateral[:, None] * np.stack([-ahead[:, 1], ahead[:, 0]], axis=-1)
        like, left = -0.02 * np.abs(lateral), np.arange(len(angles))
        along = (0.0, -0.3, 0.3, -0.15, 0.15)
        for looked, far in enumerate(along, 1):
            # Only what may still come to be plainly there is looked at on.
            like[left] += self.likeness(code, middles[left] + far * ahead[left], angles[left]) / len(along)
            left = left[like[left] + 1 - looked / len(along) >= PLAIN]
            if not len(left):
                return None
        best = left[np.argmax(like[left])]
        return middles[best], float(angles[best])

    def _both_ways(self, code: str, at: Floats, heading: float) -> Stretch:
        ahead, first = self._follow(code, at, heading)
        behind, second = self._follow(code, at, heading + math.pi)
        points = np.array([*behind[::-1], at, *ahead])
        likes = [*first, *second]
        return Stretch(code, points, float(np.mean(likes)) if likes else 0.0)

    def _follow(self, code: str, at: Floats, heading: float) -> tuple[list[Floats], list[float]]:
        """Step by step along the lead until it is hidden."""
        turn, side = np.meshgrid(np.radians(np.linspace(-TURN, TURN, 7)), np.linspace(-0.06, 0.06, 3), indexing="ij")
        dear = 0.04 * np.abs(turn) / math.radians(TURN) + 0.02 * np.abs(side) / 0.06
        points: list[Floats] = []
        likes: list[float] = []
        headings = [heading]
        missed = 0
        for _ in range(6000):
            way = heading + turn
            step = np.stack([STEP * np.cos(way) - side * np.sin(way), STEP * np.sin(way) + side * np.cos(way)], axis=-1)
            like = self.likeness(code, at + step, way)
            pick = np.unravel_index(int(np.argmax(like - dear)), like.shape)
            if like[pick] >= GOOD:
                at, heading, missed = at + step[pick], float(way[pick]), 0
            else:
                missed += 1
                if missed > BLINK:
                    break
                at = at + STEP * np.array([math.cos(heading), math.sin(heading)])
            points.append(at)
            likes.append(float(like[pick]))
            headings.append(heading)
            if abs(headings[-1] - headings[max(0, len(headings) - BACK[0])]) > math.radians(BACK[1]):
                return points[: -BACK[0] // 2], likes[: -BACK[0] // 2]
        if missed:
            points, likes = points[: -min(missed, BLINK)], likes[: -min(missed, BLINK)]
        return points, likes

    def _without_doubles(self, found: list[Stretch]) -> list[Stretch]:
        """Of stretches on one place the likelier stays, then the longer; the other keeps what is its own."""
        taken: set[tuple[int, int]] = set()
        kept: list[Stretch] = []
        for one in sorted(found, key=lambda s: (-round(s.likeness, 1), -len(s.points), s.code)):
            cells = [(round(x / 0.25), round(y / 0.25)) for x, y in one.points]
            free = np.array([cell not in taken for cell in cells])
            for run in runs(free):
                part = Stretch(one.code, one.points[run], one.likeness)
                if part.long_enough():
                    kept.append(part)
                    taken.update((x + i, y + j) for x, y in cells[run] for i in (-1, 0, 1) for j in (-1, 0, 1))
        return kept
