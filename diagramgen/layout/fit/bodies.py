"""Part against part: bodies, lugs, the space a leaf or plug needs, and lugs near foreign metal."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping

from shapely.geometry import Point as Spot

from diagramgen.geometry import Point
from diagramgen.layout.fit.limits import METAL_GAP, ROUNDING, SAME_SPOT, TOUCH
from diagramgen.layout.fit.solids import Fitted, Solid, misfit, overlap, where
from diagramgen.layout.model import PlacedLug
from diagramgen.problems import Collector
from diagramgen.units import number

_MOVE = "Move one of the two, turn it, or take a smaller part."
_GROUND = "ground"


def check_bodies(parts: tuple[Fitted, ...], roles: Mapping[str, str], say: Collector) -> None:
    """Every pair in one cavity: same spot, overlap, touch, foreign lugs, keep-clear zones.

    ``roles`` (lug key -> ground | hot | other) lets ground lugs lie near metal; without it all lugs count.
    """
    for a, b in itertools.combinations(parts, 2):
        if a.region.name != b.region.name:
            continue
        if _same_spot(a, b, say):
            continue
        overlapping = _pair(a, b, say)
        for one, other in ((a, b), (b, a)):
            if not overlapping:
                _foreign_lugs(one, other, roles, say)
            _keep_clear(one, other, say)


def _same_spot(a: Fitted, b: Fitted, say: Collector) -> bool:
    apart = a.placed.place(Point(0, 0)).distance(b.placed.place(Point(0, 0)))
    if apart >= SAME_SPOT or not (a.solids and b.solids):
        return False
    misfit(say, "P301", (a, b), f"{b.name} stands on the spot of {a.name}",
           "Give each its own place; a part that is two on one shaft is one symbol.")
    return True


def _pair(a: Fitted, b: Fitted, say: Collector) -> bool:
    """Whether two bodies overlap; a gap that is too small is said too."""
    pairs = [(s, t) for s in a.solids for t in b.solids if s.meets_depth(t)]
    worst = max((overlap(s.shape, t.shape) for s, t in pairs), default=0.0)
    if worst > ROUNDING:
        misfit(say, "P302", (a, b), f"{b.name} and {a.name} overlap: {number(worst)} mm short", _MOVE)
        return True
    gap = min((float(s.shape.distance(t.shape)) for s, t in pairs), default=math.inf)
    if gap < TOUCH:
        say.warning("P303", where(b.placed),
                    f"{b.name} and {a.name} all but touch: {number(gap)} mm between them",
                    f"Measure both on the bench; {number(TOUCH)} mm is the least that is sure to be free.")
    return False


def _foreign_lugs(owner: Fitted, other: Fitted, roles: Mapping[str, str], say: Collector) -> None:
    """Lugs of ``owner`` inside the body of ``other``, or too near to its metal."""
    gaps = [(_gap(owner, lug, solid), lug) for lug in owner.lugs() for solid in other.solids]
    inside = [(gap, lug) for gap, lug in gaps if gap < 0]
    if inside:
        gap, lug = min(inside, key=lambda found: found[0])
        misfit(say, "P307", (other, owner),
               f"the lug {lug.key} lies inside the body of {other.name}: {number(-gap)} mm short", _MOVE)
        return
    if not other.metal:
        return
    near = [(gap, lug) for gap, lug in gaps
            if gap < METAL_GAP and lug.kind != "spot" and roles.get(lug.key) != _GROUND]
    if near:
        gap, lug = min(near, key=lambda found: found[0])
        hot = "the hot lug" if roles.get(lug.key) == "hot" else "the lug"
        say.warning("P330", where(owner.placed),
                    f"{hot} {lug.key} is {number(gap)} mm from the metal of {other.name}",
                    f"Keep {number(METAL_GAP)} mm, bend the lug away, or sleeve it.")


def _gap(owner: Fitted, lug: PlacedLug, solid: Solid) -> float:
    """Distance of a lug from a body in plan and depth, mm; negative by how deep it lies inside in plan."""
    depth, spot = owner.depth_of(lug), Spot(lug.at)
    plan = float(solid.shape.distance(spot))
    beside = max(solid.low - depth, depth - solid.high, 0.0)
    within = solid.low < depth < solid.high
    if plan == 0.0 and within:
        return -max(float(solid.shape.exterior.distance(spot)), ROUNDING)
    return math.hypot(plan, beside)


def _keep_clear(owner: Fitted, other: Fitted, say: Collector) -> None:
    """What stands in the way of a leaf that swings or a plug that is pushed in."""
    for zone in owner.keep_clear:
        worst = max((overlap(zone.shape, s.shape) for s in other.solids if zone.meets_depth(s)), default=0.0)
        if worst > ROUNDING:
            misfit(say, "P308", (owner, other),
                   f"{other.name} stands {number(worst)} mm in the space that {owner.name} needs to move",
                   "Turn or move one of the two; an open jack's leaf moves 3 to 4 mm as the plug goes in.")
            return
        for lug in other.lugs():
            if zone.shape.contains(Spot(lug.at)) and zone.low < other.depth_of(lug) < zone.high:
                misfit(say, "P308", (owner, other),
                       f"the lug {lug.key} stands in the space that {owner.name} needs to move",
                       "Turn or move one of the two, or bend the lug away.")
                return
