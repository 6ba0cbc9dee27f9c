"""Lugs bent over to their own case: where the metal comes down, and whether it is long enough to get there.

A lug turns about its root at the body and comes down on the nearest free rim of the case beside it, not on the spot
where leads are soldered: that may lie across the whole part.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely
from shapely.ops import nearest_points

from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.kernel.geometry import Point, Transform
from diagramgen.kernel.units import number
from diagramgen.layout.codes import RTE_108
from diagramgen.layout.model import PlacedLug, PlacedPart
from diagramgen.layout.placement.place_parts import place_part, polygon, rounded
from diagramgen.library.model import Zone
from diagramgen.model.build import Lead

ON_RIM = 0.9
"""How far inside the rim of a case the joint of a bent lug lies, mm: half the band that is drawn round it."""
SAME_DEPTH = 0.05
"""A spot belongs to the body whose face lies at its depth, to within this, mm."""
SHORT_LUG = 5.0
"""Length of a lug for which the symbol gives no tongue, mm (typical, from memory)."""
BETWEEN = 0.3
"""More of a higher body than this under a bent lug is in its way, mm."""


@dataclass(frozen=True)
class Reach:
    """What a lug has to span and how long it is, mm; ``between`` where a body stands in the way."""

    lug: PlacedLug
    far: float
    long: float
    between: bool

    @property
    def works(self) -> bool:
        """Whether the lug gets there."""
        return self.far <= self.long and not self.between


def landing(part: PlacedPart, lug: PlacedLug, spot: PlacedLug) -> Point:
    """Where a bent lug meets the case that bears ``spot``; the spot itself where no such body is drawn."""
    case = _case(part, spot)
    if case is None:
        return spot.at
    face = shapely.difference(polygon(case.outline), _above(part, case.high))
    inner = face.buffer(-ON_RIM * part.place.scale)
    if inner.is_empty:
        return spot.at
    return rounded(Point(*nearest_points(shapely.Point(_root(lug)), inner)[1].coords[0]))


def ends_of_bend(part: PlacedPart, lead: Lead) -> tuple[Point, Point]:
    """Where a bent lug is drawn from and to, in the direction of its lead."""
    one, other = part.lugs[lead.start.lug], part.lugs[lead.end.lug]
    if (one.kind == "spot") == (other.kind == "spot"):
        return one.at, other.at
    return (landing(part, other, one), other.at) if one.kind == "spot" else (one.at, landing(part, one, other))


def check_bend(lead: Lead, part: PlacedPart, say: Diagnostics) -> None:
    """Say where a lug is to be bent over to a place it does not reach, judged by the part's own measures."""
    true = place_part(part.part, Transform(), part.region)
    one, other = true.lugs.get(lead.start.lug), true.lugs.get(lead.end.lug)
    if one is None or other is None or (one.kind == "spot" and other.kind == "spot"):
        return
    found = [_reach(true, lug, to) for lug, to in ((one, other), (other, one)) if lug.kind != "spot"]
    best = min(found, key=lambda r: (not r.works, r.between, r.far - r.long))
    if best.works:
        return
    to = other if best.lug is one else one
    why = ("the part's own body stands between" if best.between
           else f"{to.key} is {number(round(best.far, 1))} mm away")
    say.add(
        RTE_108, lead.place,
        f"lead {lead.tag}: {best.lug.key} cannot be bent over to {to.key}: a lug of {number(round(best.long, 1))} mm "
        f"does not reach, {why}",
    )


def _reach(part: PlacedPart, lug: PlacedLug, to: PlacedLug) -> Reach:
    root = _root(lug)
    case = _case(part, to) if to.kind == "spot" else None
    at = landing(part, lug, to) if case is not None else to.at
    low, high = (case.low, case.high) if case is not None else (to.depth, to.depth)
    drop = max(low - lug.depth, lug.depth - high, 0.0)
    taken = 0.0 if to.kind == "spot" else to.hole / 2
    plan = max(root.distance(at) - (ON_RIM if case is not None else taken), 0.0)
    line = shapely.LineString([root, at])
    blocked = line.intersection(_above(part, max(lug.depth, high))).length > BETWEEN
    return Reach(lug, math.hypot(plan, drop), _length(lug), blocked)


def _root(lug: PlacedLug) -> Point:
    """Where a lug leaves the body: the near end of its tongue, else the lug itself."""
    if lug.tongue is None or lug.away is None:
        return lug.at
    back = max(math.cos(lug.away) * (lug.at.x - p.x) + math.sin(lug.away) * (lug.at.y - p.y)
               for p in lug.tongue.flat())
    return lug.at.towards(lug.away, -back)


def _length(lug: PlacedLug) -> float:
    """From the root of a lug to its tip, mm."""
    if lug.tongue is None or lug.away is None:
        return SHORT_LUG
    along = [math.cos(lug.away) * p.x + math.sin(lug.away) * p.y for p in lug.tongue.flat()]
    return max(along) - min(along)


def _case(part: PlacedPart, spot: PlacedLug) -> Zone | None:
    """The body on whose face a spot lies."""
    here = shapely.Point(spot.at)
    return next((z for z in part.body if abs(z.high - spot.depth) < SAME_DEPTH and polygon(z.outline).covers(here)),
                None)


def _above(part: PlacedPart, depth: float) -> shapely.Geometry:
    """The floor taken by the part's bodies that stand out further than ``depth``."""
    return shapely.union_all([polygon(z.outline) for z in part.body if z.high > depth + SAME_DEPTH])
