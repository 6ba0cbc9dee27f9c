"""Rounds the corners of finished leads, each with the largest radius that zones and the other leads allow."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from diagramgen.kernel.geometry import Arc, Line, Path, Piece, Point, rounded_polyline
from diagramgen.layout.routing.priced_zones import LeadCosts, PricedZones

_WIDE = (2.4, 1.6)  # wanted radii tried first, in bend radii, for gentle corners
_TIGHT = (1.0, 0.7, 0.45, 0.25, 0.1)
_GENTLE = math.radians(60)
_DOT = 1e-6  # mm
_APART = 0.95  # pitches that a wide bend stays away from other leads


def round_corners(
    paths: Mapping[int, Sequence[Point]],
    bends: Mapping[int, float],
    costs_by_lead: Mapping[int, LeadCosts],
    zones: PricedZones,
    fixed: Mapping[int, Mapping[Point, float]],
) -> dict[int, Path]:
    """Turn corners into lines and arcs.

    Parameters: paths - lead -> corners, mm; bends - wanted smallest radius of each lead, mm; fixed - radius of corners
    that have to keep it. Returns: lead -> path.
    """
    keys = sorted(paths)
    lines = np.empty(len(keys), dtype=object)
    lines[:] = [shapely.LineString(paths[k]) for k in keys]
    tree = shapely.STRtree(lines)
    found = {}
    for index, key in enumerate(keys):
        path, lead_costs = paths[key], costs_by_lead[key]
        pieces: list[Piece] = []
        for before, here, after in zip(path, path[1:], path[2:], strict=False):
            if here in fixed[key]:
                pieces += rounded_polyline([before, here, after], fixed[key][here]).pieces[:-1]
            else:
                pieces += _corner(before, here, after, bends[key], (lead_costs, zones, tree, index))
        found[key] = Path(path[0], _without_dots(path[0], [*pieces, Line(path[-1])]))
    return found


def _without_dots(start: Point, pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces without lines that have no length: two bends meet there in the middle of a leg."""
    kept: list[Piece] = []
    for piece in pieces:
        at = kept[-1].to if kept else start
        if not (kept and isinstance(piece, Line) and at.distance(piece.to) < _DOT) or piece is pieces[-1]:
            kept.append(piece)
    return tuple(kept)


def _corner(
    before: Point,
    here: Point,
    after: Point,
    bend: float,
    among: tuple[LeadCosts, PricedZones, shapely.STRtree, int],
) -> list[Piece]:
    """The end of the leg before the corner and the arc round it."""
    lead_costs, zones, tree, index = among
    turn = abs(math.remainder(here.angle_to(after) - before.angle_to(here), math.tau))
    sharp = shapely.LineString([before, here, after])
    allowed = set(zones.tree.query(sharp, predicate="intersects").tolist())
    inside = zones.frame.covers(sharp)
    wide = _WIDE if turn < _GENTLE else ()
    pieces: list[Piece] = []
    for factor in (*wide, *_TIGHT):
        pieces = list(rounded_polyline([before, here, after], bend * factor).pieces[:-1])
        arc = pieces[-1]
        if not isinstance(arc, Arc):
            break
        line = shapely.LineString(Path(before, tuple(pieces)).flat(0.05)[1:])
        hit = set(zones.tree.query(line, predicate="intersects").tolist()) - allowed
        if (inside and not zones.frame.covers(line)) or any(lead_costs.per_zone[z] > 1.0 for z in hit):
            continue
        near = tree.query(line, predicate="dwithin", distance=_APART * lead_costs.pitch) if factor > 1 else np.empty(0)
        if set(near.tolist()) - {index}:
            continue
        break
    return pieces
