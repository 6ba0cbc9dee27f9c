"""Stalls: the parts outside the cavity, each group beside the mouth its leads come through.

A stall is drawn compact and not to scale, its lugs looking at the door. Stalls keep clear of cavities,
of the strips between them, and of one another, and hold the whole plan on a landscape sheet if they can.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.prepared import PreparedGeometry, prep

from diagramgen.build.model import Part
from diagramgen.geometry import Box, Point, Transform, box_around, moved, turned
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.place import placed, rounded
from diagramgen.layout.rows import facing
from diagramgen.layout.walls import Mouth

SHEET = (277.0, 160.0)
"""Floor for the plan on a landscape A4 sheet, mm."""
BETWEEN = 5.0
"""Between two parts of a stall, mm."""
SIDE = 2.5
"""From a part to the stall's side and far edge, mm."""
CLEAR = 2.0
"""Between a stall and whatever else stands on the plan, mm."""
DOWN = math.pi / 2


@dataclass(frozen=True)
class Content:
    """A stall about its own door: lugs look down at the near edge y = 0, the parts stand above it."""

    name: str
    parts: tuple[tuple[PlacedPart, Transform], ...]
    box: Box
    width: float
    """Width of the door, mm."""


@dataclass(frozen=True)
class Stall:
    """A stall at its place: from its own coordinates to the plan, with its outline."""

    content: Content
    place: Transform
    box: Box
    throat: tuple[Point, ...]

    @property
    def door(self) -> Box:
        """The box around the throat between the stall and the wall."""
        return box_around(self.throat)

    def outline(self) -> Polygon:
        """The stall with its throat, down to the wall."""
        throat = shapely.MultiPoint(self.throat).convex_hull.buffer(0.01, join_style="mitre")
        whole = shapely.union(shapely.box(*self.box), throat)
        return whole if isinstance(whole, Polygon) else shapely.box(*self.box)


def fill(name: str, parts: Sequence[Part], leads: int, width: float, goals: Mapping[str, float]) -> Content:
    """Stand the parts side by side, in the order that fits where their leads go (``goals``, mm along)."""
    ordered = sorted(parts, key=lambda p: (round(goals.get(p.name, 0.0), 3), p.name))
    lane = 7.0 + 0.95 * min(max(leads, 2), 14)
    x, found = SIDE, []
    for part in ordered:
        shape, turn = facing(part, name, DOWN)
        at = rounded(Point(x - shape.box.left, -lane - shape.box.bottom))
        found.append((shape, turned(turn).then(moved(at))))
        x += shape.box.width + BETWEEN
    right = max(x - BETWEEN + SIDE, width + 4.0)
    extra = (right - (x - BETWEEN + SIDE)) / 2
    if extra > 0:
        found = [(s, t.then(moved(Point(extra, 0.0)))) for s, t in found]
    high = max((s.box.height for s, _ in found), default=10.0)
    box = Box(0.0, -lane - high - SIDE, right, 0.0)
    return Content(name, tuple(found), box, width)


def along_door(mouth: Mouth, direction: float, p: Point) -> float:
    """How far a place lies along a stall's near edge, seen with the stall above its door."""
    return turned(-direction - DOWN)(p.minus(mouth.centre)).x


def directions(mouth: Mouth) -> list[float]:
    """Upright directions a stall may lie in, the one nearest the mouth's normal first."""
    quarter = math.pi / 2
    upright = [math.remainder(i * quarter, math.tau) for i in range(4)]
    off = {d: abs(math.remainder(d - mouth.outward, math.tau)) for d in upright}
    return sorted((d for d in upright if off[d] < math.radians(62)), key=lambda d: (round(off[d], 6), d))


def stand(content: Content, mouth: Mouth, direction: float, slide: float, lift: float) -> Stall:
    """The stall, its middle ``slide`` mm along from the mouth and its near edge ``lift`` mm off the wall."""
    frame = turned(direction + DOWN).then(moved(mouth.centre))
    place = moved(Point(slide - content.box.centre.x, -lift)).then(frame)
    body = box_around(rounded(place(p)) for p in content.box.corners())
    half = content.width / 2 + 1.2
    wall = math.remainder(mouth.outward + DOWN, math.tau)
    reach = content.box.width / 2 - half
    door = min(max(0.0, slide - reach), slide + reach)
    near = [frame(Point(door - half, -lift - 0.1)), frame(Point(door + half, -lift - 0.1))]
    ends = [mouth.centre.towards(wall, half), mouth.centre.towards(wall, -half)]
    return Stall(content, place, body, (*ends, *near))


def settle(
    contents: Sequence[Content], mouths: Sequence[Mouth], blocks: Sequence[BaseGeometry], frame: Box
) -> list[Stall]:
    """A place for every stall: near its mouth, clear of ``blocks`` and of the others, the plan compact."""
    fixed = prep(shapely.union_all([b.buffer(CLEAR - 0.6) for b in blocks])) if blocks else None
    tries = [_tries(c, m, fixed) for c, m in zip(contents, mouths, strict=True)]
    order = sorted(range(len(tries)), key=lambda i: (len(tries[i]), i))
    chosen: dict[int, int] = {}
    for i in order:
        chosen[i] = _best(i, tries, chosen, frame)
    for _ in range(6):
        before = dict(chosen)
        for i in range(len(tries)):
            chosen[i] = _best(i, tries, {k: v for k, v in chosen.items() if k != i}, frame)
        if chosen == before:
            break
    return [tries[i][chosen[i]][1] for i in range(len(tries))]


def _tries(content: Content, mouth: Mouth, fixed: PreparedGeometry[BaseGeometry] | None) -> list[tuple[float, Stall]]:
    """Places that keep clear of everything fixed, each with its price in mm; a far one where none does."""
    half = content.box.width / 2 + content.width / 2
    slides = [0.0] + [s * 2.5 * i for i in range(1, int(half / 2.5) + 10) for s in (1, -1)]
    found = []
    for n, direction in enumerate(directions(mouth)):
        for lift, slide in itertools.product((1.2, 5.0, 9.0, 14.0, 20.0, 28.0, 38.0), slides):
            beyond = max(0.0, abs(slide) - content.box.width / 2 + content.width / 2 + 2)
            if beyond > lift * 1.5 + 2:
                continue
            stall = stand(content, mouth, direction, slide, lift)
            if fixed is not None and fixed.intersects(shapely.box(*stall.box)):
                continue
            price = 0.5 * abs(slide) + 1.2 * lift + 2.0 * beyond + 14.0 * n
            found.append((price, stall))
    if not found:
        found = [(0.0, stand(content, mouth, directions(mouth)[0], 0.0, 45.0))]
    return found


def _best(i: int, tries: Sequence[Sequence[tuple[float, Stall]]], chosen: Mapping[int, int], frame: Box) -> int:
    others = [tries[k][v][1] for k, v in sorted(chosen.items())]
    around = frame
    for other in others:
        around = around.union(other.box)
    best, where = math.inf, 0
    for n, (price, stall) in enumerate(tries[i]):
        if price >= best:
            continue
        whole = around.union(stall.box)
        cost = price + 0.25 * (whole.width + whole.height)
        cost += 4.0 * (max(0.0, whole.width - SHEET[0]) + max(0.0, whole.height - SHEET[1]))
        for other in others:
            cost += _clash(stall, other)
            if cost >= best:
                break
        if round(cost, 4) < best:
            best, where = round(cost, 4), n
    return where


def _clash(one: Stall, other: Stall) -> float:
    """Price of two stalls that stand on one another, or one in front of the other's door."""
    total = 0.0
    for g in (one.box, one.door):
        for h in (other.box, other.door):
            wide = min(g.right, h.right) - max(g.left, h.left) + CLEAR
            high = min(g.bottom, h.bottom) - max(g.top, h.top) + CLEAR
            if wide > 0 and high > 0:
                total += 500 + wide * high
    return total


def stand_parts(stall: Stall) -> dict[str, PlacedPart]:
    """The stall's parts on the plan."""
    found = {}
    for shape, own in stall.content.parts:
        place = own.then(stall.place)
        at = rounded(Point(place.e, place.f))
        a, b, c, d = (round(v, 9) + 0.0 for v in place[:4])
        place = Transform(a, b, c, d, at.x, at.y)
        found[shape.part.name] = placed(
            shape.part, place, stall.content.name, outside=True, automatic=True, shape=shape.shape
        )
    return found
