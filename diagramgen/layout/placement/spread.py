"""Spreads the cavities over the plan: each beside the one it is joined to, openings facing where they can."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Box, Point, moved
from diagramgen.layout.boundary import Opening
from diagramgen.layout.placement.cavity_sites import Site, real_direction
from diagramgen.layout.placement.free_floor import affine
from diagramgen.layout.placement.off_plan_stalls import SHEET
from diagramgen.layout.placement.place_parts import polygon, rounded
from diagramgen.layout.placement.strips import GAP, channel_strip
from diagramgen.model.build import Build, Channel

APART = 8.0
"""Least distance between two cavities on the plan, mm."""
REACH = 32.0
"""What stalls take on every side of the cavities, for judging how large the plan will be, mm."""

Shifts = dict[str, Point]
Strips = dict[str, tuple[Point, ...]]


@dataclass
class _Spreading:
    build: Build
    sites: Mapping[str, Site]
    widths: Mapping[str, float]
    shifts: Shifts
    strips: Strips

    def opening(self, channel: str, region: str) -> Opening:
        """An opening of a cavity that has its place."""
        return self.sites[region].openings[channel].moved(self.shifts[region])

    def box(self, region: str) -> Box:
        """The box of a cavity that has its place."""
        return _moved(self.sites[region].box, self.shifts[region])

    def blocks(self) -> list[BaseGeometry]:
        """Floor that is taken: cavities and strips."""
        found: list[BaseGeometry] = [
            polygon(self.sites[n].outline.mapped(moved(by))).buffer(-0.5) for n, by in self.shifts.items()
        ]
        return found + [LineString(line).buffer(self.widths[c] / 2) for c, line in self.strips.items()]

    def frame(self) -> Box:
        """The box around all cavities that have their place."""
        boxes = [self.box(n) for n in self.shifts]
        whole = boxes[0]
        for box in boxes[1:]:
            whole = whole.union(box)
        return whole


def spread(build: Build, sites: Mapping[str, Site], widths: Mapping[str, float]) -> tuple[Shifts, Strips]:
    """Cavity -> what is added to its own coordinates, and the middle line of every strip between two.

    The largest cavity stays where it is; the others follow along the channels that join them.
    """
    main = max(sites.values(), key=lambda s: (round(polygon(s.outline).area, 3), s.name))
    at = _Spreading(build, sites, widths, {main.name: Point(0.0, 0.0)}, {})
    joins = [c for c in build.channels.values() if c.cavity in sites and c.to in sites and c.cavity != c.to]
    while True:
        for c in joins:
            if c.name not in at.strips and c.cavity in at.shifts and c.to in at.shifts:
                one, other = at.opening(c.name, c.cavity), at.opening(c.name, c.to)
                at.strips[c.name] = channel_strip(one, other, widths[c.name], at.blocks())[0]
        if len(at.shifts) == len(sites):
            return at.shifts, at.strips
        ready = [c for c in joins if (c.cavity in at.shifts) != (c.to in at.shifts)]
        if ready:
            channel = min(ready, key=lambda c: (_order(at.shifts, c), c.name))
            old, new = (channel.cavity, channel.to)[:: 1 if channel.cavity in at.shifts else -1]
            at.shifts[new] = _beside(at, old, new, channel.name)
        else:
            new = min(n for n in sites if n not in at.shifts)
            at.shifts[new] = _apart(at, new)


def _order(shifts: Shifts, channel: Channel) -> int:
    return min(i for i, name in enumerate(shifts) if name in (channel.cavity, channel.to))


def _beside(at: _Spreading, old: str, new: str, channel: str) -> Point:
    """Where a cavity is put beside the one it is joined to: the shift with the least price."""
    there, width = at.sites[new], at.widths[channel]
    opening, here = at.opening(channel, old), at.box(old)
    real = real_direction(at.build, at.sites[old], there)
    wanted, weight = (opening.outward, 25.0) if real is None else (real, 60.0)
    blocks, frame, shape = at.blocks(), at.frame(), polygon(there.outline)
    taken = shapely.union_all(blocks)
    tries = []
    for n, shift in enumerate(_shifts(here, there, opening, channel)):
        box, far = _moved(there.box, shift), there.openings[channel].moved(shift)
        price = weight * (1 - math.cos(here.centre.angle_to(box.centre) - wanted))
        whole = frame.union(box).grown(REACH)
        price += 0.3 * (whole.width + whole.height)
        price += 2.0 * (max(0.0, whole.width - SHEET[0]) + max(0.0, whole.height - SHEET[1]))
        tries.append((round(price, 3), opening.centre.distance(far.centre), n, shift, far))
    best, chosen = math.inf, None
    for price, length, _, shift, far in sorted(tries, key=lambda t: (round(t[0] + t[1], 3), t[2])):
        if price + length >= best:
            break
        body = affine(shape, moved(shift))
        if body.distance(taken) < APART - 0.5:
            continue
        total = round(price + channel_strip(opening, far, width, [*blocks, body.buffer(-0.5)])[1], 3)
        if total < best:
            best, chosen = total, shift
    return chosen or _apart(at, new)


def _moved(box: Box, by: Point) -> Box:
    return Box(box.left + by.x, box.top + by.y, box.right + by.x, box.bottom + by.y)


def _shifts(here: Box, there: Site, opening: Opening, channel: str) -> list[Point]:
    """Shifts to try: opening before opening, and on each side with openings, middles or edges in line."""
    own = there.openings[channel].centre
    box = there.box
    side = opening.outward + math.pi / 2
    facing = [opening.centre.towards(opening.outward, gap).minus(own) for gap in (GAP, GAP - 4, GAP + 4, GAP + 10)]
    found = [f.towards(side, step) for step in (0, 6, -6, 12, -12, 18, -18, 26, -26, 36, -36) for f in facing]
    ys = [opening.centre.y - own.y, here.centre.y - box.centre.y, here.top - box.top, here.bottom - box.bottom]
    xs = [opening.centre.x - own.x, here.centre.x - box.centre.x, here.left - box.left, here.right - box.right]
    for gap in (GAP, 1.6 * GAP):
        for y in ys:
            found += [Point(here.right + gap - box.left, y), Point(here.left - gap - box.right, y)]
        for x in xs:
            found += [Point(x, here.top - gap - box.bottom), Point(x, here.bottom + gap - box.top)]
    return [rounded(p) for p in dict.fromkeys(found)]


def _apart(at: _Spreading, new: str) -> Point:
    """To the right of all others, for a cavity that no channel joins."""
    frame, box = at.frame(), at.sites[new].box
    return rounded(Point(frame.right + REACH + APART - box.left, frame.centre.y - box.centre.y))
