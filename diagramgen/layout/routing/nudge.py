"""Moves a finished lead aside by the little that keeps it off what is drawn for a foreign lug, all else as it was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.clean_up import ROUNDED, is_own_pad, pads_of
from diagramgen.layout.routing.model import PadKeepout, RoutingRegion
from diagramgen.layout.routing.priced_zones import LeadCosts, PricedZones

_MOST = 1.2  # mm that a lead is moved aside at most: what needs more needs another way
_MORE = 0.3  # mm further, for what the round corner cuts off
_CORNER = 2.5  # mm from a lug to a corner within which the corner itself is moved
_APART = 1.2  # mm that the moved piece keeps from other leads
_ROUNDS = 6


def nudge_off_pads(
    paths: Mapping[int, Sequence[Point]],
    region: RoutingRegion,
    costs_by_lead: Mapping[int, LeadCosts],
    zones: PricedZones,
) -> dict[int, list[Point]]:
    """Move leads off foreign pads by at most a little, where zones and the other leads allow it.

    Parameters: paths - lead -> corners, mm. Returns: lead -> corners, those not moved as they were.
    """
    found = {lead: list(path) for lead, path in paths.items()}
    pads = pads_of(region)
    if not pads:
        return found
    tree = shapely.STRtree(np.array([shapely.Point(pad.at).buffer(pad.keepout) for pad in pads], dtype=object))
    for lead in sorted(found):
        for _ in range(_ROUNDS):
            line = shapely.LineString(found[lead])
            near = [pads[int(i)] for i in np.sort(tree.query(line, predicate="intersects"))]
            foreign = [pad for pad in near if not is_own_pad(region, region.nets[lead], pad)]
            astray = [(pad, _lack(line, pad, region, lead)) for pad in foreign]
            worst = max(astray, key=lambda one: one[1], default=None)
            if worst is None or not ROUNDED < worst[1] <= _MOST:
                break
            better = _aside(found[lead], *worst)
            others = [path for i, path in found.items() if i != lead]
            if better is None or not _allowed(better, found[lead], others, (costs_by_lead[lead], zones)):
                break
            found[lead] = better
    return found


def _lack(line: shapely.LineString, pad: PadKeepout, region: RoutingRegion, lead: int) -> float:
    return pad.keepout + region.nets[lead].extra_half_width - float(line.distance(shapely.Point(pad.at)))


def _aside(path: Sequence[Point], pad: PadKeepout, lack: float) -> list[Point] | None:
    """The path with a corner more, or one moved, straight away from the lug; None where it runs through its middle."""
    line = shapely.LineString(path)
    foot = Point(*shapely.shortest_line(line, shapely.Point(pad.at)).coords[0])
    if foot.distance(pad.at) < 0.2:
        return None
    away, by = pad.at.angle_to(foot), lack + _MORE
    near = [i for i in range(1, len(path) - 1) if path[i].distance(foot) < _CORNER]
    if near:
        i = min(near, key=lambda k: path[k].distance(foot))
        return [*path[:i], path[i].towards(away, by), *path[i + 1:]]
    legs = [shapely.LineString(path[i:i + 2]).distance(shapely.Point(foot)) for i in range(len(path) - 1)]
    i = legs.index(min(legs)) + 1
    return [*path[:i], foot.towards(away, by), *path[i:]]


def _allowed(
    new: Sequence[Point], old: Sequence[Point], others: Sequence[Sequence[Point]], among: tuple[LeadCosts, PricedZones]
) -> bool:
    """Whether the moved lead lies on the floor, on no costly zones it was not on, and no nearer to another lead."""
    lead_costs, zones = among
    line, before = shapely.LineString(new), shapely.LineString(old)
    hit = set(zones.tree.query(line, predicate="intersects").tolist())
    hit -= set(zones.tree.query(before, predicate="intersects").tolist())
    if any(lead_costs.per_zone[z] > 1.0 for z in hit):
        return False
    moved = line.difference(before.buffer(0.05))
    if not zones.frame.covers(moved):
        return False
    beside = [shapely.LineString(path) for path in others if len(set(path)) > 1]
    return all(moved.distance(one) >= min(_APART, before.distance(one)) for one in beside)
