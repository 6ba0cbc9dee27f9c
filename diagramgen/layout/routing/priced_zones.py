"""What a leg of a finished lead costs by itself: the zones under it, and its bends at the lead's ends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

Floats = NDArray[np.float64]
Places = NDArray[np.int64]

BEND_COST, TURN_COST = 0.8, 1.2  # price of a corner and of its square angle (quarter turns), in pitches
HAIRPIN_COST = 40.0  # price of a hairpin, in mm
HAIRPIN = math.radians(95)
_HAIR = 0.005  # mm by which a leg along an edge may stray over it
FORBIDDEN = 1e6
"""Price (mm) of a leg over ground that is forbidden."""
NO_ENTRY = 10.0  # price of a mm from which ground is not entered anew
OWN_BODY_COST = 2.5  # price of a mm on its own body near its lug


@dataclass(frozen=True)
class PricedZones:
    """The floor within which leads stay, and the zones on it that may cost (a hair slimmer than they are)."""

    frame: Polygon
    shapes: NDArray[np.object_]
    tree: shapely.STRtree


def priced_zones_in(frame: Polygon, zones: Sequence[Polygon]) -> PricedZones:
    """Prepare floor and zones (mm) for legs; legs along the edge of the frame or of a zone are free."""
    wide = frame.buffer(_HAIR, join_style="mitre")
    shapely.prepare(wide)
    shapes = np.empty(len(zones), dtype=object)
    shapes[:] = [zone.buffer(-_HAIR, join_style="mitre") for zone in zones]
    shapely.prepare(shapes)
    return PricedZones(wide, shapes, shapely.STRtree(shapes))


@dataclass(frozen=True)
class LeadCosts:
    """What one lead is straightened by: pitch (mm), cost of a crossing (mm), cost (mm a mm) for each zone.

    ``start`` and ``end`` are the mesh corners it shares with other leads, ``exempt`` the mm let off in each zone on the
    first and last leg; ``leaving`` and ``arriving`` are its directions (rad) before and after them.
    """

    start: int
    end: int
    pitch: float
    crossing: float
    per_zone: tuple[float, ...]
    exempt: tuple[float, ...]
    leaving: float | None = None
    arriving: float | None = None


@dataclass(frozen=True)
class LegFlags:
    """For each leg whether it begins at the lead's start, ends at its end, and is one the lead has already."""

    at_start: NDArray[np.bool_]
    at_end: NDArray[np.bool_]
    existing: NDArray[np.bool_]


def leg_zone_costs(a: Floats, b: Floats, lead_costs: LeadCosts, zones: PricedZones, flags: LegFlags) -> Floats:
    """Price the zones under legs, beyond their length.

    Parameters: a, b - (n, 2) ends of the legs, mm. Returns: n costs, mm; a new leg through a dear foreign zone, or off
    the floor, costs FORBIDDEN.
    """
    legs = np.asarray(shapely.linestrings(np.stack([a, b], axis=1)), dtype=object)
    costs: Floats = np.where(shapely.covers(zones.frame, legs), 0.0, FORBIDDEN)
    prices, own = np.array(lead_costs.per_zone), np.array(lead_costs.exempt)
    leg, zone = zones.tree.query(legs)
    dear = prices[zone] > 1.0
    leg, zone = leg[dear], zone[dear]
    meet = shapely.intersects(zones.shapes[zone], legs[leg])
    leg, zone = leg[meet], zone[meet]
    exact = flags.existing[leg] | (own[zone] > 0) | (prices[zone] < NO_ENTRY)
    np.add.at(costs, leg[~exact], FORBIDDEN)
    leg, zone = leg[exact], zone[exact]
    if len(leg):
        inside = shapely.length(shapely.intersection(zones.shapes[zone], legs[leg]))
        free = np.where((flags.at_start | flags.at_end)[leg], np.minimum(inside, own[zone]), 0.0)
        cost = (inside - free) * (prices[zone] - 1.0) + free * (np.minimum(prices[zone], OWN_BODY_COST) - 1.0)
        np.add.at(costs, leg, cost)
    return costs


def bend_cost(turn: Floats, pitch: float) -> Floats:
    """Price corners by their turn.

    Parameters: turn - rad, any shape; pitch - mm. Returns: mm, linear in the pitch and quadratic in the turn, more for
    hairpins.
    """
    size = np.abs((turn + math.pi) % math.tau - math.pi)
    bend = pitch * (BEND_COST + TURN_COST * (size / (math.pi / 2)) ** 2)
    cost: Floats = bend + np.where(size > HAIRPIN, HAIRPIN_COST, 0.0)
    return cost


def stub_bend_costs(a: Floats, b: Floats, lead_costs: LeadCosts, flags: LegFlags) -> Floats:
    """Price the corners between a lead's stubs and its first and last legs; n costs, mm."""
    angle = np.arctan2(*(b - a).T[::-1])
    costs: Floats = np.zeros(len(a))
    if lead_costs.leaving is not None:
        costs += np.where(flags.at_start, bend_cost(angle - lead_costs.leaving, lead_costs.pitch), 0.0)
    if lead_costs.arriving is not None:
        costs += np.where(flags.at_end, bend_cost(lead_costs.arriving - angle, lead_costs.pitch), 0.0)
    return costs
