"""From a region to its mesh and costs: which zones are free floor, bodies, clearances, keepouts of lugs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.mesh import Mesh, build_mesh, polygons_of
from diagramgen.layout.routing.model import Net, Pin, RoutingRegion

BODY, RING, OVER, LUG, WIDE, JOINT, PENALTY = "body", "ring", "over", "lug", "wide", "joint", "penalty"

_SLIP = 0.02  # mm more than the clearance, for rounding in what follows
_BLUNT = 0.3  # mm by which bodies are made larger and plainer inside their clearance
_COARSE = 0.12  # mm by which outlines may be simplified
_STUB = 3.0  # mm a lead keeps to the direction of its lug at most
_REACH = 12.0  # mm within which a lead must have got clear of the wall
_OWN_LUG_FREE = 0.5  # mm within its own lug's circle that a lead may lie beside its stub
_ROW = (1.5, 8.2)  # mm between neighbouring lugs of a row: less is one behind the other, more leaves room
_PAST = 0.9  # mm from the next lug that the zone drawn for a lug leaves free for that one's own leads
_SPARE = 0.06  # mm more than what is drawn that a strict region keeps
_LINK = 0.3  # mm to each side of the line between them
_OPENING_REACH = 10.0  # mm round a pin within which a crossing lies in the opening
_OPENING_FACTOR = 2.0
_OWN_RADIUS = 3.0  # mm beyond the edge of its own body that a lead from a spot on it is let off

_FLOOR, _OVER, _OWN_BODY, _OWN_RING, _TIGHT, _FOREIGN_LUG, _OWN_LUG, _OWN_NEAR = (
    1.0,
    1.6,
    2.5,
    2.5,
    40.0,
    60.0,
    12.0,
    4.0,
)


@dataclass(frozen=True)
class Zone:
    """A zone with a cost: its kind, outline (mm) and the obstacle, pins or net it belongs to."""

    kind: str
    shape: Polygon
    owner: int
    pins: tuple[int, ...] = ()
    cost: float = 1.0


@dataclass(frozen=True)
class MeshedRegion:
    """A region with its mesh.

    ``frame`` is the outline less the clearance, ``exits`` the mesh corner at which the leads of each pin begin,
    ``waypoints`` the mesh corner of each place to pass, ``centroids`` the middle of each triangle (mm).
    """

    frame: Polygon
    mesh: Mesh
    zones: tuple[Zone, ...]
    exits: tuple[int, ...]
    waypoints: dict[Point, int]
    centroids: tuple[Point, ...]


def outline_polygon(outline: Sequence[Point]) -> Polygon:
    """An outline as a valid polygon: the largest piece when it crosses itself, empty when it has no area."""
    if len(outline) < 3:
        return Polygon()
    pieces = polygons_of(shapely.make_valid(Polygon(outline)))
    return max(pieces, key=lambda p: p.area) if pieces else Polygon()


def mesh_region(region: RoutingRegion) -> MeshedRegion | None:
    """Mesh a region; ``None`` when the clearance leaves no floor at all."""
    frames = polygons_of(outline_polygon(region.outline).buffer(-region.clearance - _SLIP, join_style="mitre"))
    if not frames:
        return None
    frame = max(frames, key=lambda p: p.area)
    zones = _body_zones(region, frame)
    bodies = [z for z in zones if z.kind == BODY]
    half = _half_widths(region)
    exits = [exit_point(t, half[i], frame, region, bodies) for i, t in enumerate(region.pins)]
    zones += _lug_zones(region, frame, exits)
    zones += _drawn_zones(region, frame) if region.strict else ()
    zones += _penalty_zones(region, frame)
    wanted = ((net, p) for net in region.nets for p in net.waypoints)
    stops = sorted({p for net, p in wanted if frame.covers(Spot(p)) and is_open(region, bodies, net, p)})
    mesh = build_mesh(frame, [z.shape for z in zones], [*exits, *stops])
    count = len(exits)
    return MeshedRegion(
        frame,
        mesh,
        tuple(zones),
        mesh.sites[:count],
        dict(zip(stops, mesh.sites[count:], strict=True)),
        tuple(
            Point(sum(mesh.points[c].x for c in cs) / 3, sum(mesh.points[c].y for c in cs) / 3) for cs in mesh.corners
        ),
    )


def _edge_ahead(at: Point, away: float, frame: Polygon) -> Point | None:
    """Where a stub from the wall comes to the edge of the floor: further in, others would pass behind its end."""
    if frame.covers(Spot(at)):
        return None
    ahead = LineString([at, at.towards(away, _REACH)]).intersection(frame)
    if ahead.is_empty:
        return None
    edge = nearest_points(ahead, Spot(at))[0]
    return Point(edge.x, edge.y)


def is_open(region: RoutingRegion, zones: Sequence[Zone], net: Net, p: Point) -> bool:
    """Whether no body that is closed to the lead stands on a place."""
    return not any(z.kind == BODY and not _past(region, z, net) and z.shape.covers(Spot(p)) for z in zones)


def _past(region: RoutingRegion, zone: Zone, net: Net) -> bool:
    obstacle = region.obstacles[zone.owner]
    return obstacle.subject in net.may_pass and not obstacle.metal


def _penalty_zones(region: RoutingRegion, frame: Polygon) -> list[Zone]:
    return [
        Zone(PENALTY, p, i, (), dear.cost)
        for i, net in enumerate(region.nets)
        for dear in net.penalties
        for p in polygons_of(dear.shape.intersection(frame))
        if p.area > 1.0
    ]


def _half_widths(region: RoutingRegion) -> list[float]:
    """Half the usual pitch of the region's leads, for each pin (mm)."""
    widths = sorted(net.width for net in region.nets) or [0.0]
    usual = widths[len(widths) // 2] / 2
    return [usual if t.radius > 0 else 0.0 for t in region.pins]


def _body_zones(region: RoutingRegion, frame: Polygon) -> list[Zone]:
    zones: list[Zone] = []
    for i, obstacle in enumerate(region.obstacles):
        raw = outline_polygon(obstacle.outline)
        if raw.is_empty:
            continue
        if obstacle.passable:
            shapes = [(OVER, raw.simplify(_COARSE))]
        else:
            grown = raw.buffer(region.clearance + _SLIP + _COARSE, quad_segs=4).simplify(_COARSE)
            shapes = [(RING, grown), (BODY, raw.buffer(_BLUNT).simplify(_BLUNT))]
        for kind, shape in shapes:
            zones += [Zone(kind, p, i) for p in polygons_of(shape) if p.intersects(frame)]
    return zones


def _lug_zones(region: RoutingRegion, frame: Polygon, starts: Sequence[Point]) -> list[Zone]:
    """Keep-off ground round each lug and the stub its leads share, slimmer where the next lug is near."""
    half = _half_widths(region)
    places: dict[tuple[Point, Point], list[int]] = {}
    for i, pin in enumerate(region.pins):
        if pin.radius > 0:
            places.setdefault((pin.at, starts[i]), []).append(i)
    zones = []
    for (at, start), pins in places.items():
        radius = max(region.pins[i].radius + half[i] for i in pins)
        near = _next_lug(region, at)
        keepout = max(region.pins[i].keepout for i in pins) + _SPARE if region.strict else 0.0
        radius = max(min(radius, near / 2), min(keepout, near - _PAST))
        if radius > 0.2:
            shape: BaseGeometry = _round(at, radius)
            if not shape.buffer(-region.turn_clearance).covers(Spot(start)):
                slim = min(max(0.8, region.turn_clearance), radius)
                shape = shape.union(LineString([at, start]).buffer(slim, quad_segs=2)).convex_hull
            if shape.intersects(frame):
                zones += [Zone(LUG, p, pins[0], tuple(pins)) for p in polygons_of(shape)]
    return zones + _rows(region, frame)


def _next_lug(region: RoutingRegion, at: Point) -> float:
    return min((at.distance(t.at) for t in region.pins if t.at != at), default=math.inf)


def _round(at: Point, radius: float) -> Polygon:
    """The hexagon round a circle."""
    return Polygon([at.towards(math.tau * (k + 0.5) / 6, radius / math.cos(math.pi / 6)) for k in range(6)])


def _drawn_zones(region: RoutingRegion, frame: Polygon) -> list[Zone]:
    """What leads would be drawn over: joints away from lugs, and for broad leads more ground round each lug."""
    zones = []
    for joint in region.joints:
        shape = _round(joint.at, joint.keepout + _SPARE)
        if shape.intersects(frame):
            zones.append(Zone(JOINT, shape, 0, joint.own))
    wider = max((net.extra_half_width for net in region.nets), default=0.0)
    for i, pin in enumerate(region.pins) if wider > 0 else ():
        shape = _round(pin.at, min(pin.keepout + wider + _SPARE, _next_lug(region, pin.at) - _PAST))
        if pin.keepout > 0 and shape.intersects(frame):
            zones.append(Zone(WIDE, shape, 0, (i,)))
    return zones


def _rows(region: RoutingRegion, frame: Polygon) -> list[Zone]:
    """The ground between neighbouring lugs of one part: a lead through there could be taken for one of theirs."""
    lugs = [(i, t) for i, t in enumerate(region.pins) if t.radius > 0 and t.body and t.away is not None]
    zones = []
    for n, (i, one) in enumerate(lugs):
        for j, other in lugs[n + 1 :]:
            if one.body == other.body and _ROW[0] < one.at.distance(other.at) < _ROW[1]:
                shape = LineString([one.at, other.at]).buffer(_LINK, cap_style="flat")
                if shape.intersects(frame):
                    zones.append(Zone(LUG, shape, i, (i, j)))
    return zones


def exit_point(pin: Pin, half: float, frame: Polygon, region: RoutingRegion, bodies: Sequence[Zone]) -> Point:
    """Find where a pin's leads begin to go their own ways: at the lug, or a little along its direction.

    Parameters: half - half the usual pitch, mm; frame - floor less the clearance; bodies - zones of closed bodies.
    Returns: a point of the frame; the nearest one for a pin outside of it.
    """
    if pin.away is not None:
        foreign = [z.shape for z in bodies if region.obstacles[z.owner].subject != pin.body]
        wanted = min(_STUB, 0.95 * (pin.radius + half))
        grown = [shape.buffer(region.clearance) for shape in foreign]
        edge = _edge_ahead(pin.at, pin.away, frame)
        if edge is not None and not any(shape.covers(Spot(edge)) for shape in foreign):
            return edge
        for reach in (wanted, 0.75 * wanted, 0.5 * wanted):
            there = pin.at.towards(pin.away, reach)
            if frame.covers(Spot(there)) and not any(shape.covers(Spot(there)) for shape in grown):
                return there
        for step in range(int(2 * _REACH)):
            reach = wanted + step / 2
            there = pin.at.towards(pin.away, reach)
            if frame.covers(Spot(there)) and not any(shape.covers(Spot(there)) for shape in foreign):
                return there
    here = Spot(pin.at)
    if frame.covers(here):
        return pin.at
    near = nearest_points(frame.buffer(-0.05), here)[0]
    return Point(near.x, near.y)


def triangle_costs(region: RoutingRegion, meshed: MeshedRegion, net: Net) -> list[float]:
    """Price each triangle for one net.

    Returns: mm of detour a mm, the highest of the triangle's zones; infinite where the net may not go.
    """
    dear = _zone_costs(region, meshed, net)
    own = _own_zones(region, meshed, net)
    by_tag: dict[tuple[int, ...], float] = {}
    prices = []
    for t, tag in enumerate(meshed.mesh.tags):
        if tag not in by_tag:
            by_tag[tag] = max((dear[z] for z in tag), default=_FLOOR)
        price = by_tag[tag]
        near = [z for z, start, reach in own if z in tag and meshed.centroids[t].distance(start) < reach]
        if near:
            rest = max((dear[z] for z in tag if z not in near), default=_FLOOR)
            bare = any(meshed.zones[z].kind == BODY for z in near)
            price = max(rest, _OWN_BODY if bare else _OWN_RING)
        prices.append(price)
    return prices


def crossing_factors(region: RoutingRegion, meshed: MeshedRegion) -> list[float]:
    """Return for each triangle by how many times a crossing costs more there.

    Near an opening leads are hard to tell apart.
    """
    openings = [pin.at for pin in region.pins if pin.radius <= 0 and pin.away is not None]
    near = [any(at.distance(c) < _OPENING_REACH for at in openings) for c in meshed.centroids]
    return [_OPENING_FACTOR if one else 1.0 for one in near]


def zone_costs(region: RoutingRegion, meshed: MeshedRegion, net: Net) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Price each zone for one net.

    Returns: mm of detour a mm (at most 1e4), and how many mm of the zone are let off at the net's ends.
    """
    prices = [min(price, 1e4) for price in _zone_costs(region, meshed, net)]
    free = [_OWN_LUG_FREE if price == _OWN_LUG else 0.0 for price in prices]
    for index, _, reach in _own_zones(region, meshed, net):
        free[index] = max(free[index], reach)
    return tuple(prices), tuple(free)


def _zone_costs(region: RoutingRegion, meshed: MeshedRegion, net: Net) -> list[float]:
    ends = [region.pins[i] for i in (net.start, net.end)]
    places, bodies = {t.at for t in ends}, {t.body for t in ends}
    return [_zone_cost(region, zone, places, bodies, net) for zone in meshed.zones]


def _own_zones(region: RoutingRegion, meshed: MeshedRegion, net: Net) -> list[tuple[int, Point, float]]:
    """The zones in which an end of the lead lies: zone, that end, and how far from it the lead may be there."""
    found = []
    for index, zone in enumerate(meshed.zones):
        for i in (net.start, net.end) if zone.kind in (BODY, RING) else ():
            pin, start = region.pins[i], meshed.mesh.points[meshed.exits[i]]
            named = region.obstacles[zone.owner].subject == pin.body
            if zone.shape.covers(Spot(start)) and (named or zone.shape.covers(Spot(pin.at))):
                out = zone.shape.exterior.distance(Spot(start))
                found.append((index, start, out + region.clearance + _OWN_RADIUS))
    return found


def _zone_cost(region: RoutingRegion, zone: Zone, places: set[Point], bodies: set[str], net: Net) -> float:
    if zone.kind == PENALTY:
        return zone.cost if region.nets[zone.owner] is net else _FLOOR
    if zone.kind == WIDE and net.extra_half_width <= 0:
        return _FLOOR
    if zone.kind in (JOINT, WIDE):
        own = any(region.pins[i].at in places for i in zone.pins)
        return _FLOOR if own else _FOREIGN_LUG
    if zone.kind != LUG and _past(region, zone, net):
        return _FLOOR
    if zone.kind == BODY:
        return math.inf
    if zone.kind == RING:
        return _OWN_NEAR if region.obstacles[zone.owner].subject in bodies else _TIGHT
    if zone.kind == OVER:
        return _OVER
    if not any(region.pins[i].at in places for i in zone.pins):
        return _FOREIGN_LUG
    return _OWN_LUG if any(region.pins[i].away is not None for i in zone.pins) else _FLOOR
