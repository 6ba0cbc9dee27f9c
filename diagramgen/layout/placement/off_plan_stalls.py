"""Stalls: the parts outside the cavity, each group beside the opening its leads come through.

A stall is drawn compact and not to scale, its lugs looking at the opening. Stalls keep clear of cavities,
of the strips between them, and of one another, and hold the whole plan on a landscape sheet if they can.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from diagramgen.kernel.geometry import Box, Point, Transform, box_around, moved, turned
from diagramgen.layout.boundary import Opening
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import place_part, rounded
from diagramgen.layout.placement.rows import facing
from diagramgen.model.build import Part

SHEET = (277.0, 160.0)
"""Floor for the plan on a landscape A4 sheet, mm."""
PART_GAP = 5.0
"""Between two parts of a stall, mm."""
SIDE_GAP = 2.5
"""From a part to the stall's side and far edge, mm."""
STALL_CLEARANCE = 2.0
"""Between a stall and whatever else stands on the plan, mm."""
THROAT_FLARE = 4.0
"""How much wider than its opening a stall's throat opens to each side, mm."""
DOWN = math.pi / 2


@dataclass(frozen=True)
class StallContents:
    """The parts of a stall about its opening: lugs look down at the near edge y = 0, the parts stand above it."""

    name: str
    parts: tuple[tuple[PlacedPart, Transform], ...]
    box: Box
    width: float
    """Width of the opening, mm."""


@dataclass(frozen=True)
class OffPlanStall:
    """A stall at its place: from its own coordinates to the plan, with its outline."""

    contents: StallContents
    place: Transform
    box: Box
    throat: tuple[Point, ...]

    @property
    def throat_box(self) -> Box:
        """The box around the throat between the stall and the wall."""
        return box_around(self.throat)

    def outline(self) -> Polygon:
        """The stall with its throat, down to the wall."""
        throat = shapely.MultiPoint(self.throat).convex_hull.buffer(0.01, join_style="mitre")
        whole = shapely.union(shapely.box(*self.box), throat)
        return whole if isinstance(whole, Polygon) else shapely.box(*self.box)


def fill_stall(
    name: str, parts: Sequence[Part], leads: int, width: float, goals: Mapping[str, list[float]]
) -> StallContents:
    """Stand the parts side by side, in the order in which their leads cross least on their way in.

    ``goals`` holds for each lug (``part.lug``) the bearings its leads take behind the opening.
    """
    throat = 7.0 + 0.95 * min(max(leads, 2), 14)
    faced = [facing(part, name, DOWN) for part in _ordered(name, parts, goals)]
    x, found = SIDE_GAP, []
    for shape, turn in faced:
        at = rounded(Point(x - shape.box.left, -throat - shape.box.bottom))
        found.append((shape, turned(turn).then(moved(at))))
        x += shape.box.width + PART_GAP
    right = max(x - PART_GAP + SIDE_GAP, width + 4.0)
    extra = (right - (x - PART_GAP + SIDE_GAP)) / 2
    if extra > 0:
        found = [(s, t.then(moved(Point(extra, 0.0)))) for s, t in found]
    high = max((s.box.height for s, _ in found), default=10.0)
    box = Box(0.0, -throat - high - SIDE_GAP, right, 0.0)
    return StallContents(name, tuple(found), box, width)


def _ordered(name: str, parts: Sequence[Part], goals: Mapping[str, list[float]]) -> Sequence[Part]:
    """The order with the fewest crossings; of equal ones the one nearest to the leads' mean bearings."""
    mean = {}
    for part in parts:
        own = [b for key, bs in goals.items() if key.split(".", 1)[0] == part.name for b in bs]
        mean[part.name] = sum(own) / len(own) if own else 0.0
    start = sorted(parts, key=lambda p: (round(mean[p.name], 3), p.name))
    if not 2 <= len(parts) <= 5:
        return start
    rows = {p.name: _row(facing(p, name, DOWN)[0], goals) for p in parts}
    orders = list(itertools.permutations(start))
    return orders[min(range(len(orders)), key=lambda n: (_inversions([rows[p.name] for p in orders[n]]), n))]


def _row(part: PlacedPart, goals: Mapping[str, list[float]]) -> list[float]:
    """Bearings of a part's leads, in the order of its lugs from left to right."""
    lugs = sorted(part.lugs.values(), key=lambda lug: (lug.at.x, -lug.at.y))
    return [b for lug in lugs for b in goals.get(lug.key, ())]


def _inversions(rows: Sequence[Sequence[float]]) -> int:
    flat = [b for row in rows for b in row]
    return sum(1 for a, b in itertools.combinations(flat, 2) if a > b + 1e-6)


def bearing(opening: Opening, direction: float, p: Point) -> float:
    """Direction from an opening to a place inside, growing from left to right with the stall above its opening."""
    own = turned(-direction - DOWN)(p.minus(opening.centre))
    return math.atan2(own.x, max(own.y, 0.5))


def directions(opening: Opening) -> list[float]:
    """Upright directions a stall may lie in, the one nearest the opening's normal first."""
    quarter = math.pi / 2
    upright = [math.remainder(i * quarter, math.tau) for i in range(4)]
    off = {d: abs(math.remainder(d - opening.outward, math.tau)) for d in upright}
    return sorted((d for d in upright if off[d] < math.radians(62)), key=lambda d: (round(off[d], 6), d))


def place_stall(contents: StallContents, opening: Opening, direction: float, slide: float, lift: float) -> OffPlanStall:
    """The stall, its middle ``slide`` mm along from the opening and its near edge ``lift`` mm off the wall."""
    frame = turned(direction + DOWN).then(moved(opening.centre))
    place = moved(Point(slide - contents.box.centre.x, -lift)).then(frame)
    body = box_around(rounded(place(p)) for p in contents.box.corners())
    half = contents.width / 2 + 1.6
    wide = min(half + THROAT_FLARE, contents.box.width / 2)
    wall = math.remainder(opening.outward + DOWN, math.tau)
    reach = contents.box.width / 2 - wide
    door = min(max(0.0, slide - reach), slide + reach)
    near = [frame(Point(door - wide, -lift - 0.1)), frame(Point(door + wide, -lift - 0.1))]
    ends = [opening.centre.towards(wall, half), opening.centre.towards(wall, -half)]
    return OffPlanStall(contents, place, body, (*ends, *near))


def parts_of_stall(stall: OffPlanStall) -> dict[str, PlacedPart]:
    """The stall's parts on the plan."""
    found = {}
    for shape, own in stall.contents.parts:
        place = own.then(stall.place)
        at = rounded(Point(place.e, place.f))
        a, b, c, d = (round(v, 9) + 0.0 for v in place[:4])
        place = Transform(a, b, c, d, at.x, at.y)
        found[shape.part.name] = place_part(
            shape.part, place, stall.contents.name, outside=True, automatic=True, shape=shape.shape
        )
    return found
