"""Puts parts at their places: turned and moved as the file says, mirrored in place where the plan is flipped.

A flipped build mirrors positions and turns about the cavity's vertical middle. The parts themselves are
never mirrored: a pot in the hand of a left-handed player's technician is the same pot.
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Path, Point, Transform, box_around, mirrored, moved, polyline, turned
from diagramgen.layout.model import PlacedLug, PlacedPart
from diagramgen.library.model import Shape, Zone
from diagramgen.library.outline_size import shape_of
from diagramgen.model.build import Build, Cavity, Part

LUG_ROOM = 1.6
"""Radius around a lug's centre that its solder fills, mm (common practice, no source)."""

FLAT = 2.0
"""Foil, tags and mounting plates up to this thickness are floor to whatever lies on them, mm."""


def rounded(p: Point) -> Point:
    """A place rounded to 0.0001 mm, so that the last bits of a sum never reach the paper."""
    return Point(round(p.x, 4) + 0.0, round(p.y, 4) + 0.0)


def _file_points(build: Build, cavity: Cavity) -> list[Point]:
    """Places the file gives in a cavity that has no outline of its own."""
    points = [p.at for p in build.parts.values() if p.cavity == cavity.name and p.at is not None]
    for channel in build.channels.values():
        if channel.cavity == cavity.name:
            points.append(channel.at)
        if channel.to == cavity.name and channel.far is not None:
            points.append(channel.far)
    return points


def seen(build: Build, cavity: Cavity) -> Transform:
    """From the file's coordinates of a cavity to what is seen on the solder side (a mirror where flipped)."""
    if not build.flipped:
        return Transform()
    points = _file_points(build, cavity)
    if cavity.outline is not None:
        return mirrored(cavity.outline.box().centre.x)
    return mirrored(box_around(points).centre.x) if points else Transform()


def place_of(part: Part, view: Transform) -> Transform:
    """Where a part with ``at`` stands: ``view`` maps places and turning sense, never the part itself.

    Raises ``ValueError`` for a part whose place is not given.
    """
    if part.at is None:
        raise ValueError(f"{part.name} has no place")
    turn = -part.turned if view.mirrors else part.turned
    return turned(turn).then(moved(rounded(view(part.at))))


def place_part(
    part: Part,
    place: Transform,
    region: str,
    *,
    outside: bool = False,
    automatic: bool = False,
    shape: Shape | None = None,
) -> PlacedPart:
    """Move a part with body, lugs and tongues to ``place`` (mm on the plan)."""
    if shape is None:
        shape = shape_of(part.symbol, part.dimensions, outside)
    lugs = {
        lug.name: PlacedLug(
            part.name,
            lug.name,
            rounded(place(lug.at)),
            lug.depth,
            None if lug.away is None else place.direction(lug.away),
            lug.kind,
            lug.tongue.mapped(place) if lug.tongue else None,
            lug.hole,
            lug.takes,
        )
        for lug in shape.lugs.values()
    }
    body = tuple(_moved(z, place) for z in shape.body)
    corners = [p for z in body for p in z.outline.flat()]
    for lug in lugs.values():
        corners.extend(lug.tongue.flat() if lug.tongue else [lug.at])
    return PlacedPart(
        part,
        shape,
        place,
        region,
        outside,
        automatic,
        body,
        tuple(_moved(z, place) for z in shape.details),
        tuple(_moved(z, place) for z in shape.keep_clear),
        lugs,
        box_around(corners),
    )


def _moved(zone: Zone, place: Transform) -> Zone:
    return Zone(zone.outline.mapped(place), zone.low, zone.high, zone.draw)


def polygon(outline: Path | Iterable[Point]) -> Polygon:
    """A closed outline as a valid shapely polygon; its largest piece where it crosses itself."""
    points = outline.flat() if isinstance(outline, Path) else tuple(outline)
    shape = Polygon(points) if len(points) >= 3 else shapely.Point(points[0]).buffer(0.05)
    if not shape.is_valid:
        mended = shapely.make_valid(shape)
        pieces = [g for g in getattr(mended, "geoms", [mended]) if isinstance(g, Polygon)]
        shape = max(pieces, key=lambda g: g.area) if pieces else shape.buffer(0.05)
    return shape


def hulls(part: PlacedPart) -> tuple[Polygon, ...]:
    """The part's body in plan as convex pieces: one where that loses little floor, else one a zone.

    Inside a cavity flat pieces are floor and left out.
    """
    solid = [z for z in part.body if part.outside or z.high > FLAT]
    zones = [convex(polygon(z.outline)) for z in solid if len(z.outline.flat()) >= 3]
    zones = [z for z in zones if z.area > 0.01]
    if not zones:
        return ()
    whole = shapely.union_all(zones)
    around = convex(whole)
    return (around,) if around.area <= 1.15 * whole.area else tuple(zones)


def convex(shape: BaseGeometry) -> Polygon:
    """The convex hull as a polygon (an empty one where the shape is a point or line)."""
    hull = shape.convex_hull
    return hull if isinstance(hull, Polygon) else Polygon()


def footprint(part: PlacedPart, room: float = 0.0) -> BaseGeometry:
    """Everything of a part that takes floor: bodies, tongues and solder, grown by ``room`` mm."""
    pieces: list[BaseGeometry] = list(hulls(part))
    pieces += [shapely.Point(lug.at).buffer(LUG_ROOM, 4) for lug in part.lugs.values()]
    whole = shapely.union_all(pieces)
    return whole.buffer(room, 4) if room else whole


def path_of(shape: Polygon) -> Path:
    """The outer ring of a polygon as a closed path."""
    ring = [rounded(Point(x, y)) for x, y in shape.exterior.coords][:-1]
    return polyline(ring, closed=True)
