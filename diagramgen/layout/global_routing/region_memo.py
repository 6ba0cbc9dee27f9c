"""Leads that the file wants apart from others or twisted with them: laid once, then again with their partners known.

What is kept is measured on the laid leads, so that the same figures choose between two tries and are said.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import LineString
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Point
from diagramgen.layout.global_routing.constraints import Constraints
from diagramgen.layout.memo import Memo
from diagramgen.layout.routing import Net, PenaltyZone, Route, RoutingRegion, route
from diagramgen.layout.routing.clean_up import pads_overdrawn
from diagramgen.layout.routing.cost_map import outline_polygon
from diagramgen.layout.routing.mesh import polygons_of

APART = 5.0
"""Distance (mm) that a lead keeps from one it is to be apart from (common practice, no source)."""
NEAR_ENDS = 8.0
"""Round ends that are no further apart than that, leads come as near as their ends are, mm."""
LOOSE_ENDS = 15.0
"""At each end of a twisted pair the leads part for their lugs within so much, mm."""
_BESIDE = 1.7  # pitches within which a lead lies beside its partner
_TRIES = 3
_SHUN, _FOLLOW, _STAY = 8.0, 4.0, 1.6  # prices of a mm near a shunned lead, off the partner, off the own old way


MEMO_SIZE = 64
"""Regions kept to be drawn again: several states of the largest build."""
RegionRouter = Callable[[RoutingRegion, Mapping[str, Constraints]], tuple[Route, ...]]
"""How the leads of a region are routed."""


@dataclass(frozen=True)
class Pair:
    """Two nets of a region of which the second is the partner of the first."""

    mine: int
    theirs: int
    twisted: bool


def route_with_partners(region: RoutingRegion, constraints: Mapping[str, Constraints]) -> tuple[Route, ...]:
    """Route a region; where leads are to be apart or twisted, the best of at most three tries."""
    return _routed(region, pairs_of(region.nets, constraints))


def _routed(region: RoutingRegion, pairs: Sequence[Pair]) -> tuple[Route, ...]:
    """The region's routes; laid again more strictly where a lead would be drawn over a lug that is not its own."""
    first = _best_of(region, pairs)
    astray = pads_overdrawn(region, first)
    if not astray:
        return first
    stricter = _best_of(replace(region, strict=True), pairs)
    return stricter if pads_overdrawn(region, stricter) < astray else first


def _best_of(region: RoutingRegion, pairs: Sequence[Pair]) -> tuple[Route, ...]:
    best = route(region)
    lack = _shortfall(region, pairs, best)
    latest = best
    for _ in range(_TRIES - 1 if pairs else 0):
        if lack <= 0.05:
            break
        latest = route(_with_penalties(region, pairs, latest))
        found = _shortfall(region, pairs, latest)
        if found < lack - 0.05:
            best, lack = latest, found
    return best


class RegionMemo:
    """Routes regions and keeps the routes: the same region with the same pairs gets the very same routes again.

    Nothing but equality decides, so that what is drawn anew is what would be drawn from nothing. What the leads are
    called does not count: no route depends on it, and where one lead is gone all behind it are called otherwise.
    """

    def __init__(self, most: int = MEMO_SIZE):
        self._most = most
        self._laid: dict[tuple[RoutingRegion, tuple[Pair, ...]], tuple[Route, ...]] = {}
        self.reused = 0
        self.placements = Memo()
        """What was placed before."""

    def __call__(self, region: RoutingRegion, constraints: Mapping[str, Constraints]) -> tuple[Route, ...]:
        """The region's routes."""
        called = _placeholders(region)
        key = (_renamed(region, called), tuple(pairs_of(region.nets, constraints)))
        found = self._laid.pop(key, None)
        if found is None:
            found = _routed(*key)
        else:
            self.reused += 1
        self._laid[key] = found  # the latest last: what was not asked for longest goes first
        while len(self._laid) > self._most:
            del self._laid[next(iter(self._laid))]
        names = {word: name for name, word in called.items()}
        return tuple(_named(one, names) for one in found)


_PLACEHOLDER = re.compile("\x00[0-9]+\x00")


def _placeholders(region: RoutingRegion) -> dict[str, str]:
    """A word that is no name for each lead of a region, and for each place called after one: no lug of a part."""
    names = dict.fromkeys([*(net.subject for net in region.nets), *(t.subject for t in region.pins if not t.body)])
    return {name: f"\x00{i}\x00" for i, name in enumerate(names)}


def _renamed(region: RoutingRegion, called: Mapping[str, str]) -> RoutingRegion:
    pins = tuple(t if t.body else replace(t, subject=called[t.subject]) for t in region.pins)
    return replace(region, pins=pins, nets=tuple(replace(r, subject=called[r.subject]) for r in region.nets))


def _named(found: Route, names: Mapping[str, str]) -> Route:
    """A route with the names of its region in place of the words that stood for them."""
    faults = tuple(_PLACEHOLDER.sub(lambda word: names[word[0]], fault) for fault in found.faults)
    return replace(found, subject=names[found.subject], faults=faults)


def pairs_of(nets: Sequence[Net], constraints: Mapping[str, Constraints]) -> list[Pair]:
    """The pairs of nets with a constraint between them, each once."""
    found: dict[tuple[frozenset[int], bool], Pair] = {}
    for i, net in enumerate(nets):
        wish = constraints.get(net.subject, Constraints())
        for j, other in enumerate(nets):
            for twisted, tags in ((True, (wish.twisted,)), (False, wish.apart)):
                if i != j and other.subject in tags:
                    found.setdefault((frozenset((i, j)), twisted), Pair(i, j, twisted))
    return list(found.values())


def _shortfall(region: RoutingRegion, pairs: Sequence[Pair], routes: Sequence[Route]) -> float:
    """How many mm are missing to what the pairs want, in all."""
    total = 0.0
    for pair in pairs:
        mine, theirs = line_of(routes[pair.mine]), line_of(routes[pair.theirs])
        if pair.twisted:
            total += length_apart(mine, theirs, beside_distance(region.nets[pair.mine], region.nets[pair.theirs]))
        else:
            total += 10.0 * max(0.0, APART - closest(region, pair, mine, theirs)[0])
    return total


def line_of(found: Route) -> BaseGeometry:
    """A route as a line, or as a point where it has no length."""
    points = found.path.flat(0.05)
    return LineString(points) if found.length > 0 else Spot(points[0])


def beside_distance(one: Net, other: Net) -> float:
    """Distance (mm) within which one lead lies beside the other."""
    return _BESIDE * (one.width + other.width) / 2


def length_apart(mine: BaseGeometry, theirs: BaseGeometry, near: float) -> float:
    """How much (mm) of the shorter of two twisted leads lies apart from the other, beyond its two loose ends."""
    short, long = sorted((mine, theirs), key=lambda line: line.length)
    return max(0.0, float(short.difference(long.buffer(near)).length) - 2 * LOOSE_ENDS)


def closest(region: RoutingRegion, pair: Pair, mine: BaseGeometry, theirs: BaseGeometry) -> tuple[float, Point | None]:
    """The smallest distance (mm) of two leads, and where; round ends that are as near themselves it is not counted."""
    rest = mine.difference(close_ends(region, pair))
    if rest.is_empty:
        return math.inf, None
    there = shapely.shortest_line(rest, theirs).coords[0]
    return float(rest.distance(theirs)), Point(*there)


def close_ends(region: RoutingRegion, pair: Pair) -> BaseGeometry:
    """The floor round those ends of two leads that are nearer to each other than the leads shall be."""
    a, b = region.nets[pair.mine], region.nets[pair.theirs]
    own = [region.pins[i].at for i in (a.start, a.end)]
    other = [region.pins[i].at for i in (b.start, b.end)]
    near = [(p, q) for p in own for q in other if p.distance(q) < APART]
    return shapely.union_all([Spot(p).buffer(NEAR_ENDS) for pq in near for p in pq])


def _with_penalties(region: RoutingRegion, pairs: Sequence[Pair], routes: Sequence[Route]) -> RoutingRegion:
    floor = outline_polygon(region.outline)
    more: dict[int, list[PenaltyZone]] = {}
    for pair in pairs:
        theirs = line_of(routes[pair.theirs])
        wide = beside_distance(region.nets[pair.mine], region.nets[pair.theirs])
        if pair.twisted:
            more.setdefault(pair.mine, []).extend(_penalties(floor.difference(theirs.buffer(wide)), _FOLLOW))
        else:
            more.setdefault(pair.mine, []).extend(_penalties(theirs.buffer(APART + 0.3), _SHUN))
        more.setdefault(pair.theirs, []).extend(_penalties(floor.difference(theirs.buffer(1.2 * wide)), _STAY))
    nets = [replace(net, penalties=(*net.penalties, *more.get(i, ()))) for i, net in enumerate(region.nets)]
    return replace(region, nets=tuple(nets))


def _penalties(shape: BaseGeometry, price: float) -> list[PenaltyZone]:
    return [PenaltyZone(piece, price) for piece in polygons_of(shape)]
