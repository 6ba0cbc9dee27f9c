"""Spreads leads that leave one lug in nearly the same direction, so that they reach their tracks soon."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.priced_zones import LeadCosts, PricedZones

_RADIUS = 1.6  # pitches from the lug at which the leads lie side by side
_ANGLE = 0.52  # rad between neighbours there
_LONG = 3.0  # pitches that a first leg must be longer than the fan's radius


@dataclass(frozen=True)
class _End:
    """One end of a lead at a lug: lead, whether it is the lead's last point, direction of its leg (rad)."""

    lead: int
    last: bool
    angle: float
    length: float


def fan_out(
    paths: Mapping[int, Sequence[Point]], costs_by_lead: Mapping[int, LeadCosts], zones: PricedZones
) -> dict[int, list[Point]]:
    """Add a corner near each lug where leads would run on top of their neighbours; lead -> corners (mm)."""
    found = {lead: list(path) for lead, path in paths.items()}
    ends: dict[int, list[_End]] = {}
    for lead in sorted(paths):
        path, lead_costs = paths[lead], costs_by_lead[lead]
        for last, (here, there) in ((False, (path[0], path[1])), (True, (path[-1], path[-2]))):
            end = _End(lead, last, here.angle_to(there), here.distance(there))
            ends.setdefault(lead_costs.end if last else lead_costs.start, []).append(end)
    for corner in sorted(ends):
        if len(ends[corner]) > 1:
            _spread(found, ends[corner], costs_by_lead, zones)
    return found


def _spread(
    paths: dict[int, list[Point]], ends: list[_End], costs_by_lead: Mapping[int, LeadCosts], zones: PricedZones
) -> None:
    ends = sorted(ends, key=lambda e: (e.angle, e.lead, e.last))
    gaps = [(ends[(i + 1) % len(ends)].angle - end.angle) % math.tau for i, end in enumerate(ends)]
    cut = max(range(len(ends)), key=lambda i: (gaps[i], i))
    ends = ends[cut + 1 :] + ends[: cut + 1]
    angles = [ends[0].angle + (end.angle - ends[0].angle) % math.tau for end in ends]
    step = min(_ANGLE, math.tau / (len(ends) + 1))
    for end, old, new in zip(ends, angles, least_spread(angles, step), strict=True):
        radius = _RADIUS * costs_by_lead[end.lead].pitch
        if abs(old - new) < 0.02 or end.length < radius + _LONG * costs_by_lead[end.lead].pitch:
            continue
        path = paths[end.lead]
        here, there = (path[-1], path[-2]) if end.last else (path[0], path[1])
        corner = here.towards(new, radius)
        if _allowed([here, corner, there], costs_by_lead[end.lead], zones):
            path.insert(len(path) - 1 if end.last else 1, corner)


def _allowed(points: Sequence[Point], lead_costs: LeadCosts, zones: PricedZones) -> bool:
    line = shapely.LineString(points)
    if not zones.frame.covers(line):
        return False
    hit = zones.tree.query(line, predicate="intersects")
    return all(lead_costs.per_zone[z] <= 1.0 or lead_costs.exempt[z] > 0 for z in np.sort(hit).tolist())


def least_spread(values: Sequence[float], step: float) -> list[float]:
    """Find the values nearest to rising ones (least squares) that lie at least ``step`` apart.

    Source: pool adjacent violators (isotonic regression, Ayer and others 1955) on the values less their places in the
    row.
    """
    blocks: list[tuple[float, int]] = []
    for i, value in enumerate(values):
        mean, count = value - i * step, 1
        while blocks and blocks[-1][0] > mean:
            other, many = blocks.pop()
            mean, count = (mean * count + other * many) / (count + many), count + many
        blocks.append((mean, count))
    flat = [mean for mean, count in blocks for _ in range(count)]
    return [value + i * step for i, value in enumerate(flat)]
