"""The router's one entrance: mesh the region, search, reroute, assign tracks, improve, round, check."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import shapely

from diagramgen.kernel.geometry import Line, Path, Point, polyline
from diagramgen.layout.routing.astar import SearchCosts, distances_to
from diagramgen.layout.routing.clean_up import (
    ClearanceIndex,
    checked_route,
    clearance_index,
    concatenated,
    tidy_corners,
    with_overlaps,
    without_spikes,
)
from diagramgen.layout.routing.corners import round_corners
from diagramgen.layout.routing.cost_map import (
    MeshedRegion,
    crossing_factors,
    is_open,
    mesh_region,
    triangle_costs,
    zone_costs,
)
from diagramgen.layout.routing.fan_out import fan_out
from diagramgen.layout.routing.funnel import Spacing, TrackAssignment
from diagramgen.layout.routing.local_search import improve_locally
from diagramgen.layout.routing.model import Effort, Net, Route, RoutingRegion
from diagramgen.layout.routing.nudge import nudge_off_pads
from diagramgen.layout.routing.priced_zones import LeadCosts, PricedZones, priced_zones_in
from diagramgen.layout.routing.rip_up import Subnet, reroute_conflicts

TRACK_SLACK = 1.1
"""Tracks are relaxed at this many times the pitch, so that the local search has room to move corners."""
FINAL_ROUNDS = 6
"""Rounds of relaxation of the finished topological route."""
CROSSING_BASE = 4.0
"""Cost of crossing one lead, mm of detour, beside what depends on the pitch."""
CROSSING_PER_PITCH = 2.0
"""Cost of crossing one lead for each mm of the crossing lead's pitch, mm of detour."""
CROWDING = 10.0
"""Cost of each mm by which the tracks on a mesh edge are wider than the edge, mm of detour."""
_NO_WAY = "no way found, laid straight"
_OUT = 1.6  # mm by which a corner at a waypoint is drawn out at most, so that its arc meets the point
_MISS = 0.3  # mm by which the arc may pass a waypoint where there is no room to draw the corner out
_LEAST = 0.1  # mm, the smallest radius


@dataclass(frozen=True)
class WaypointCorners:
    """A lead's corners, and the radius (mm) of each corner that has to keep it."""

    path: tuple[Point, ...]
    radii: Mapping[Point, float]


def corners_on_waypoints(
    path: Sequence[Point], points: Sequence[Point], bend: float, among: tuple[LeadCosts, PricedZones]
) -> WaypointCorners:
    """Draw out the corners at waypoints so that their arcs pass through them.

    Parameters: path - corners, mm; points - waypoints, mm; bend - radius, mm; among - the lead's costs and the zones.
    Returns: the corners, and the radius of each that has to keep it; where there is no room the radius shrinks instead.
    """
    found, radii = list(path), {}
    wanted = {Point(round(p.x, 3), round(p.y, 3)) for p in points}
    for i, here in enumerate(path[1:-1], start=1):
        if here not in wanted:
            continue
        before, after = found[i - 1], path[i + 1]
        into, out = before.angle_to(here), here.angle_to(after)
        half = abs(math.remainder(out - into, math.tau)) / 2
        cut = 1 / max(math.cos(half), 1e-3) - 1
        if cut < 1e-6:
            continue
        corner = here.towards(out + math.remainder(into + math.pi - out, math.tau) / 2 + math.pi, min(bend * cut, _OUT))
        if _as_free([before, corner, after], [before, here, after], among):
            found[i] = Point(round(corner.x, 3), round(corner.y, 3))
            radii[found[i]] = max(min(bend, _OUT / cut), _LEAST)
        else:
            radii[here] = max(min(bend, _MISS / cut), _LEAST)
    return WaypointCorners(tuple(found), radii)


def _as_free(new: Sequence[Point], old: Sequence[Point], among: tuple[LeadCosts, PricedZones]) -> bool:
    """Whether new legs lie on the floor and touch no costly zones that the old ones do not."""
    lead_costs, zones = among
    line = shapely.LineString(new)
    if not zones.frame.covers(line):
        return False
    hit = set(zones.tree.query(line, predicate="intersects").tolist())
    hit -= set(zones.tree.query(shapely.LineString(old), predicate="intersects").tolist())
    return all(lead_costs.per_zone[z] <= 1.0 for z in hit)


@dataclass(frozen=True)
class NetSubnets:
    """The subnets of each net (several where it has waypoints).

    Numbered through all nets, with their zone costs.
    """

    subnets: tuple[Subnet, ...]
    of_net: tuple[tuple[int, ...], ...]
    zones: tuple[tuple[tuple[float, ...], tuple[float, ...]], ...]


@dataclass(frozen=True)
class RoutingResult:
    """The routes of a region, and how many states the searches for them expanded."""

    routes: tuple[Route, ...]
    expanded: int


def route(region: RoutingRegion, effort: Effort | None = None) -> tuple[Route, ...]:
    """Route every net of a region.

    Returns: one route a net, in the order of the nets. Never raises for a tight region: a net for which there is no way
    is laid straight and says so in its faults.
    """
    return route_counted(region, effort or Effort()).routes


def route_counted(region: RoutingRegion, effort: Effort) -> RoutingResult:
    """Route every net, and count the effort.

    Returns: routes and states expanded: at most twice ``effort.total``, since waypoints may have to be let go, and each
    mesh edge once more for each net that is routed as if it were alone.
    """
    meshed = mesh_region(region)
    if meshed is None:
        index = clearance_index(region)
        return RoutingResult(tuple(_straight(index, net) for net in region.nets), 0)
    plan = subnets_of(region, meshed)
    keepout = corner_keepouts(region, meshed)
    rerouted = reroute_conflicts(meshed.mesh, plan.subnets, keepout, effort)
    topology = rerouted.topology
    pitch = [subnet.costs.pitch for subnet in plan.subnets]
    tracks = TrackAssignment(topology, Spacing([p * TRACK_SLACK for p in pitch], keepout))
    corners = {i: without_spikes(c) for i, c in tracks.relax(sorted(topology.crossings), rounds=FINAL_ROUNDS).items()}
    costs_by_lead = lead_costs_of(region, meshed, plan)
    zones = priced_zones_in(meshed.frame, [zone.shape for zone in meshed.zones])
    corners = improve_locally(fan_out(corners, costs_by_lead, zones), costs_by_lead, zones, effort.improvements)
    laid = _whole_leads(region, plan, corners)
    if any(net.waypoints and i not in laid for i, net in enumerate(region.nets)):
        nets = tuple(_without_waypoints(net, i in laid) for i, net in enumerate(region.nets))
        freed = route_counted(replace(region, nets=nets), effort)
        return replace(freed, expanded=freed.expanded + rerouted.expanded)
    first = {i: costs_by_lead[plan.of_net[i][0]] for i in laid}
    laid = nudge_off_pads(laid, region, first, zones)
    corners_kept = {
        i: corners_on_waypoints(path, region.nets[i].waypoints, region.nets[i].bend, (first[i], zones))
        for i, path in laid.items()
    }
    laid = {i: list(kept.path) for i, kept in corners_kept.items()}
    bends, fixed = {i: region.nets[i].bend for i in laid}, {i: kept.radii for i, kept in corners_kept.items()}
    paths = round_corners(laid, bends, first, zones, fixed)
    index = clearance_index(region)
    found = [
        checked_route(index, net, paths[i]) if i in paths else _straight(index, net)
        for i, net in enumerate(region.nets)
    ]
    return RoutingResult(tuple(with_overlaps(region, found)), rerouted.expanded)


def _without_waypoints(net: Net, laid: bool) -> Net:
    """The net; freed from its waypoints where they have left it without a way."""
    return net if laid else replace(net, waypoints=())


def _whole_leads(
    region: RoutingRegion, plan: NetSubnets, corners: Mapping[int, Sequence[Point]]
) -> dict[int, list[Point]]:
    """The corners of each net for which there is a way, from its start pin to its end pin."""
    laid = {}
    for i, (net, subnets) in enumerate(zip(region.nets, plan.of_net, strict=True)):
        parts = [corners[s] for s in subnets if s in corners]
        if subnets and len(parts) == len(subnets):
            first, last = region.pins[net.start].at, region.pins[net.end].at
            laid[i] = tidy_corners(concatenated([[first], *parts, [last]]))
    return laid


def _straight(index: ClearanceIndex, net: Net) -> Route:
    start, end = index.region.pins[net.start].at, index.region.pins[net.end].at
    if start == end:
        return checked_route(index, net, Path(start, (Line(end),)))
    return checked_route(index, net, polyline((start, end)), (_NO_WAY,))


def subnets_of(region: RoutingRegion, meshed: MeshedRegion) -> NetSubnets:
    """Split every net at its waypoints into subnets with their search costs.

    Waypoints on closed bodies are left out.
    """
    subnets: list[Subnet] = []
    of_net = []
    zones = []
    heuristics: dict[int, list[float]] = {}
    factors = crossing_factors(region, meshed)
    for net in region.nets:
        passed = [p for p in net.waypoints if p in meshed.waypoints and is_open(region, meshed.zones, net, p)]
        stops = [meshed.exits[net.start], *(meshed.waypoints[p] for p in passed)]
        stops.append(meshed.exits[net.end])
        pairs = [(a, b) for a, b in pairwise(stops) if a != b]
        priced = zone_costs(region, meshed, net)
        per_triangle = triangle_costs(region, meshed, net) if pairs else []
        mine = []
        for a, b in pairs:
            mine.append(len(subnets))
            zones.append(priced)
            if b not in heuristics:
                heuristics[b] = distances_to(meshed.mesh, b)
            crossing = CROSSING_BASE + CROSSING_PER_PITCH * net.width
            price = SearchCosts(per_triangle, heuristics[b], crossing, CROWDING, net.width, factors)
            length = meshed.mesh.points[a].distance(meshed.mesh.points[b])
            subnets.append(Subnet(a, b, price, net.priority, length))
        of_net.append(tuple(mine))
    return NetSubnets(tuple(subnets), tuple(of_net), tuple(zones))


def lead_costs_of(region: RoutingRegion, meshed: MeshedRegion, plan: NetSubnets) -> dict[int, LeadCosts]:
    """Gather what the local search weighs for each subnet; subnet number -> costs."""
    costs_by_lead = {}
    for net, subnets in zip(region.nets, plan.of_net, strict=True):
        for place, i in enumerate(subnets):
            subnet = plan.subnets[i]
            leaving = _stub(region, meshed, net.start) if place == 0 else None
            arriving = _stub(region, meshed, net.end) if place == len(subnets) - 1 else None
            back = None if arriving is None else arriving + math.pi
            prices = subnet.costs
            ends = (subnet.start, subnet.end)
            costs_by_lead[i] = LeadCosts(*ends, prices.pitch, prices.crossing, *plan.zones[i], leaving, back)
    return costs_by_lead


def _stub(region: RoutingRegion, meshed: MeshedRegion, pin: int) -> float | None:
    """The direction (rad) in which the leads of a pin leave it, where they have to."""
    at, start = region.pins[pin].at, meshed.mesh.points[meshed.exits[pin]]
    return at.angle_to(start) if at.distance(start) > 0.05 else None


def corner_keepouts(region: RoutingRegion, meshed: MeshedRegion) -> list[float]:
    """Return the circle (mm) that passing leads leave free round each mesh corner.

    One usual pitch where leads begin.
    """
    widths = sorted(net.width for net in region.nets) or [0.0]
    keepout = [0.0] * len(meshed.mesh.points)
    for corner in (*meshed.exits, *meshed.waypoints.values()):
        keepout[corner] = widths[len(widths) // 2]
    return keepout
