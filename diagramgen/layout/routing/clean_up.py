"""Checks finished routes against outlines, bodies, lugs and one another, and says what could not be kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Path, Point
from diagramgen.layout.routing.cost_map import outline_polygon
from diagramgen.layout.routing.model import Net, PadKeepout, Route, RoutingRegion

_EXEMPT = 4.0  # mm from its ends within which a lead may be near its own body and the wall
_SLACK = 0.05  # mm that a clearance may be short before it is reported
_TOUCH = 0.5  # mm over a body from which a lead passes over it
_ON = 0.3  # pitches between two leads from which they lie on each other
_LYING = 2.0  # pitches of length that they may do so
_BEHIND = 1.0  # mm in plan within which lugs of a part lie behind one another
_FANNED = 6.0  # mm from a lead's end within which others may be as near: leads fan out there


ROUNDED = 0.01
"""So much less than what is to be kept clear of a lug, mm, nothing is made of."""


def without_spikes(points: Sequence[Point], least: float = 0.02) -> list[Point]:
    """The corners without doubled ones and without those on a straight leg; the ends stay."""
    kept = [points[0]]
    for p in points[1:-1]:
        if p.distance(kept[-1]) > least and p.distance(points[-1]) > least:
            kept.append(p)
    kept.append(points[-1])
    slim = kept[:1]
    for before, here, after in zip(kept, kept[1:], kept[2:], strict=False):
        leg = max(before.distance(after), 1e-9)
        off = abs((after.x - before.x) * (here.y - before.y) - (after.y - before.y) * (here.x - before.x)) / leg
        onward = (here.x - before.x) * (after.x - here.x) + (here.y - before.y) * (after.y - here.y)
        if off > 1e-3 or onward < 0:
            slim.append(here)
    return [*slim, kept[-1]] if len(kept) > 1 else kept


def tidy_corners(points: Sequence[Point]) -> list[Point]:
    """The corners to 1/1000 mm without needless ones; the ends stay exact."""
    kept = without_spikes(points)
    return [kept[0], *(Point(round(p.x, 3), round(p.y, 3)) for p in kept[1:-1]), kept[-1]]


@dataclass(frozen=True)
class ClearanceIndex:
    """A region with the shapes that finished leads are held against."""

    region: RoutingRegion
    outline: Polygon
    bodies: tuple[Polygon, ...]


def clearance_index(region: RoutingRegion) -> ClearanceIndex:
    """Make the shapes of a region once for all of its leads."""
    outline = outline_polygon(region.outline)
    return ClearanceIndex(region, outline, tuple(outline_polygon(o.outline) for o in region.obstacles))


def checked_route(index: ClearanceIndex, net: Net, path: Path, faults: Sequence[str] = ()) -> Route:
    """Make the route of a net: its length (mm), the bodies it passes over and what it could not keep."""
    line = LineString(path.flat(0.05)) if path.length() > 0 else Spot(path.start)
    over = tuple(
        o.subject
        for o, shape in zip(index.region.obstacles, index.bodies, strict=True)
        if (o.passable or (o.subject in net.may_pass and not o.metal)) and shape.intersection(line).length > _TOUCH
    )
    near = (*_near_lugs(index.region, net, line), *_near_bodies(index, net, line), *_near_wall(index, net, line))
    found = (*faults, *near)
    return Route(net.subject, path, round(path.length(), 3), tuple(dict.fromkeys(over)), tuple(dict.fromkeys(found)))


def _ends(region: RoutingRegion, net: Net) -> tuple[set[Point], set[str]]:
    ends = [region.pins[net.start], region.pins[net.end]]
    return {t.at for t in ends}, {t.body for t in ends if t.body}


def _middle(places: set[Point], line: LineString | Spot) -> BaseGeometry:
    """A lead without its ends, which may be near their own bodies and the wall."""
    return line.difference(shapely.union_all([Spot(p).buffer(_EXEMPT) for p in sorted(places)]))


def _near_lugs(region: RoutingRegion, net: Net, line: LineString | Spot) -> list[str]:
    places, _ = _ends(region, net)
    found = []
    for pin in region.pins:
        if pin.at in places or pin.radius <= 0:
            continue
        apart = line.distance(Spot(pin.at))
        near = min(pin.at.distance(p) for p in places)
        if apart < min(pin.radius + net.width / 2, near / 2) - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {pin.subject}")
    return found


def pads_of(region: RoutingRegion) -> list[PadKeepout]:
    """List what is drawn where something is soldered: every lug with a keepout, and joints away from lugs."""
    return [PadKeepout(t.at, t.keepout, (i,)) for i, t in enumerate(region.pins) if t.keepout > 0] + list(region.joints)


def pads_overdrawn(region: RoutingRegion, routes: Sequence[Route]) -> int:
    """Count how often a lead is drawn over a pad that is not its own; lugs behind its own do not count."""
    lines = [LineString(r.path.flat(0.05)) if r.length > 0 else Spot(r.path.start) for r in routes]
    pads = pads_of(region)
    if not pads or not lines:
        return 0
    tree = shapely.STRtree(np.array([Spot(pad.at).buffer(pad.keepout) for pad in pads], dtype=object))
    rows, hits = tree.query(np.array(lines, dtype=object), predicate="intersects")
    pairs = [(int(row), pads[int(hit)]) for row, hit in zip(rows, hits, strict=True)]
    return sum(lines[row].distance(Spot(pad.at)) < pad.keepout + region.nets[row].extra_half_width - ROUNDED
               for row, pad in pairs if not is_own_pad(region, region.nets[row], pad))


def is_own_pad(region: RoutingRegion, net: Net, pad: PadKeepout) -> bool:
    """Tell whether a net may lie on a pad: it ends there, or on a lug in front of it or behind it."""
    body = region.pins[pad.own[0]].body if pad.own else ""
    ends = (region.pins[net.start], region.pins[net.end])
    return net.start in pad.own or net.end in pad.own or any(
        end.body == body and end.at.distance(pad.at) < _BEHIND for end in ends)


def _near_bodies(index: ClearanceIndex, net: Net, line: LineString | Spot) -> list[str]:
    """Foreign bodies crossed or come too near to; a part that the lead ends on is its own to lie against."""
    region = index.region
    places, bodies = _ends(region, net)
    middle = _middle(places, line)
    found = []
    for obstacle, shape in zip(region.obstacles, index.bodies, strict=True):
        passed = obstacle.passable or (obstacle.subject in net.may_pass and not obstacle.metal)
        if passed or obstacle.subject in bodies or shape.is_empty:
            continue
        close = any(shape.distance(Spot(p)) < region.clearance for p in places)
        part = middle if close else line
        if part.is_empty:
            continue
        apart = part.distance(shape)
        if part.intersection(shape).length > _SLACK:
            found.append(f"crosses {obstacle.subject}")
        elif apart < region.clearance - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {obstacle.subject}")
    return found


def _near_wall(index: ClearanceIndex, net: Net, line: LineString | Spot) -> list[str]:
    middle = _middle(_ends(index.region, net)[0], line)
    if middle.is_empty:
        return []
    if not index.outline.buffer(_SLACK).covers(middle):
        return ["leaves the cavity"]
    apart = middle.distance(index.outline.exterior)
    return [f"comes within {apart:.1f} mm of the wall"] if apart < index.region.clearance - _SLACK else []


def with_overlaps(region: RoutingRegion, routes: Sequence[Route]) -> list[Route]:
    """Add a fault where a lead lies on top of another for more than they need to cross."""
    lines = [LineString(r.path.flat(0.05)) if r.length > 0 else Spot(r.path.start) for r in routes]
    fat = [line.buffer(_ON * net.width, cap_style="flat") for line, net in zip(lines, region.nets, strict=True)]
    faults = [list(route.faults) for route in routes]
    for i, j in _lying(region, lines, fat):
        net, other = region.nets[i], region.nets[j]
        long = _shared(region, (net, other), fat[i], lines[j])
        long -= 4 * _ON * net.width * _meetings(lines[i], lines[j])
        if long > _LYING * net.width:
            faults[i].append(f"lies on {other.subject} for {long:.1f} mm: the gap is too narrow for both")
    return [replace(route, faults=tuple(found)) for route, found in zip(routes, faults, strict=True)]


def _lying(region: RoutingRegion, lines: Sequence[BaseGeometry], fat: Sequence[BaseGeometry]) -> list[tuple[int, int]]:
    """The pairs of leads, the later first, of which one may lie on the other for too long, ends counted."""
    first, second = shapely.STRtree(lines).query(fat, predicate="intersects")
    later = second < first
    first, second = first[later], second[later]
    wide = np.array(fat, dtype=object)[first]
    inside = shapely.length(shapely.intersection(np.array(lines, dtype=object)[second], wide))
    long = inside > _LYING * np.array([net.width for net in region.nets])[first]
    return sorted(zip(first[long].tolist(), second[long].tolist(), strict=True))


def _shared(region: RoutingRegion, pair: tuple[Net, Net], fat: BaseGeometry, line: BaseGeometry) -> float:
    """How much (mm) of a lead lies on the other, away from the ends of either."""
    ends = [region.pins[i].at for net in pair for i in (net.start, net.end)]
    inside = line.intersection(fat)
    return float(inside.difference(shapely.union_all([Spot(p).buffer(_FANNED) for p in ends])).length)


def _meetings(one: BaseGeometry, other: BaseGeometry) -> int:
    met = one.intersection(other)
    return sum(1 for g in getattr(met, "geoms", [met]) if g.geom_type == "Point" and not g.is_empty)


def concatenated(parts: Sequence[Sequence[Point]]) -> list[Point]:
    """Join corner lists end to end, shared ends once."""
    points: list[Point] = []
    for part in parts:
        points += [p for p in part if not points or p != points[-1]]
    return points
