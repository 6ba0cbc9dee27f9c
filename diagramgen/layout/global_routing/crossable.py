"""Which parts leads may be laid over or under, and where."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import LineString
from shapely.ops import nearest_points

from diagramgen.kernel.geometry import Point
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.arrange_cavities import Placement
from diagramgen.layout.placement.place_parts import hulls, polygon, rounded
from diagramgen.model.build import Lead

OVER_ROOM = 4.0
"""Free height above a body that leads may be laid over, mm at least (common practice, no source)."""
_INSET = 3.0  # mm that a lead led over a part keeps from the part's edge
_LUG = 3.0  # mm that it keeps from the part's lugs


def may_pass_over(placement: Placement, part: PlacedPart) -> bool:
    """Whether enough height is free between a part and the cavity's cover for a lead."""
    free = None if part.part.between is not None else free_over(placement, part)
    return free is not None and free >= max(OVER_ROOM, placement.build.wire_diameter + 2.0)


def free_over(placement: Placement, part: PlacedPart) -> float | None:
    """Height (mm) between a part and the cavity's cover; None where the depth is not known."""
    cavity = placement.regions[part.region].cavity
    if cavity is None or cavity.depth is None:
        return None
    return cavity.depth - cavity.cover - part.shape.depth


def region_of(placement: Placement, lead: Lead, place: Point) -> str:
    """The region on a lead's way that a place to pass lies in: the first where it is free floor; '' for none."""
    names = [n for n in placement.global_routes[lead.tag].regions if n in placement.views]
    outlines = {n: polygon(placement.regions[n].outline) for n in names}
    inside = [n for n in names if outlines[n].covers(shapely.Point(placement.views[n](place)))]
    return next((n for n in inside if not _taken(placement, n, placement.views[n](place))), inside[0] if inside else "")


def _taken(placement: Placement, region: str, at: Point) -> bool:
    parts = [p for p in placement.parts.values() if p.region == region]
    return any(h.covers(shapely.Point(at)) for p in parts for h in hulls(p))


def room_under(part: PlacedPart, wire: float) -> bool:
    """Whether a wire (mm thick) passes beneath a part: one that hangs in its legs, or stands on feet."""
    return part.part.between is not None or min((z.low for z in part.body), default=0.0) >= wire


def crossing_place(part: PlacedPart, start: Point, end: Point, joints: Sequence[Point] = ()) -> Point | None:
    """A point of a part's body, clear of its edge, its lugs and ``joints`` on it, over which a lead bends least."""
    body = shapely.union_all(hulls(part))
    places = [*(lug.at for lug in part.lugs.values()), *joints]
    lugs = shapely.union_all([shapely.Point(at).buffer(_LUG) for at in places])
    inset = next((s for k in (1.0, 0.5, 0.2) if not (s := body.buffer(-k * _INSET).difference(lugs)).is_empty), body)
    if inset.is_empty:
        return None
    if start.distance(end) < 1e-6:
        near = inset.representative_point()
    else:
        within = LineString([start, end]).intersection(inset)
        near = nearest_points(inset, LineString([start, end]))[0] if within.is_empty else within.centroid
        near = near if inset.covers(near) else inset.representative_point()
    return rounded(Point(near.x, near.y))
