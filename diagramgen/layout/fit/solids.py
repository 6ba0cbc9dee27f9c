"""What fills space in a cavity: outlines as polygons, with the depths they fill, and how far two clash.

Depths are counted from the inside face of the wood or plate that carries the controls. A part screwed to
the floor of a space opened from the front stands on the opposite face; its depths are turned round.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.codes import Code, Severity
from diagramgen.kernel.diagnostics import Diagnostics, Location
from diagramgen.kernel.geometry import Path, Point
from diagramgen.layout.fit.limits import SHEET
from diagramgen.layout.model import Layout, PlacedLug, PlacedPart, Region
from diagramgen.library.model import Zone

JOINTLESS = ("conductor", "leg")
"""Kinds of lugs that are the end of a wire: they lie wherever the wire is bent to."""


@dataclass(frozen=True)
class Solid:
    """A zone in plan (mm) with the depths it fills; ``low`` and ``high`` count from the mounting face."""

    shape: Polygon
    low: float
    high: float

    def meets_depth(self, other: Solid) -> bool:
        """Whether both fill some depth in common."""
        return min(self.high, other.high) - max(self.low, other.low) > 0.01


@dataclass(frozen=True)
class FittedPart:
    """A part that stands at a measured place in a cavity."""

    placed: PlacedPart
    region: Region
    solids: tuple[Solid, ...]
    keep_clear: tuple[Solid, ...]

    @property
    def name(self) -> str:
        """The part's name in the file."""
        return self.placed.part.name

    @property
    def metal(self) -> bool:
        """Whether the body counts as metal: some piece of metal is declared for it."""
        return bool(self.placed.part.symbol.metal)

    def lugs(self) -> Iterator[PlacedLug]:
        """Lugs that take solder where they stand."""
        return (g for g in self.placed.lugs.values() if g.kind not in JOINTLESS)

    def depth_of(self, lug: PlacedLug) -> float:
        """Depth of a lug below the face that carries the controls, mm."""
        floor = floor_depth(self.placed, self.region)
        return lug.depth if floor is None else floor - lug.depth


def polygon(outline: Path) -> Polygon:
    """A closed outline as a polygon, true to 0.01 mm; an outline that crosses itself is mended."""
    shape: BaseGeometry = Polygon(outline.flat(0.01))
    if not shape.is_valid:
        shape = shape.buffer(0)
    if not isinstance(shape, Polygon):
        shape = shape.convex_hull
    return shape if isinstance(shape, Polygon) else Polygon()


def where(placed: PlacedPart) -> Location:
    """The place in the file that a misfit of this part is reported at."""
    return placed.part.places.get("at", placed.part.place)


def misfit(
    say: Diagnostics, code: Code, parts: tuple[FittedPart, ...], message: str, remedy: str | None = None
) -> None:
    """Say a misfit at the last of the parts: an error, or a warning where the program chose a place."""
    at = where(parts[-1].placed)
    if any(p.placed.automatic for p in parts):
        say.add(code.at(Severity.WARNING), at, message + " (at the place the program chose)",
                "Measure its place and write it as 'at'.")
    else:
        say.add(code, at, message, remedy)


def is_loose(placed: PlacedPart) -> bool:
    """Whether a part is fixed to nothing: a component on its legs, a sleeved joint, a capped end."""
    symbol = placed.part.symbol
    return symbol.between_lugs or (symbol.family == "joints" and symbol.mounting.side == "none")


def fitted_parts(layout: Layout) -> tuple[FittedPart, ...]:
    """The parts at measured places in file order, without hanging components and parts outside."""
    found = []
    for placed in layout.parts.values():
        region = layout.regions.get(placed.region)
        if placed.outside or is_loose(placed) or region is None or region.kind != "cavity":
            continue
        if region.cavity is None or region.cavity.outline is None:
            continue
        solids = tuple(s for z in placed.body if (s := _solid(z, placed, region)))
        clear = tuple(s for z in placed.keep_clear if (s := _solid(z, placed, region)))
        found.append(FittedPart(placed, region, solids, clear))
    return tuple(found)


def floor_depth(placed: PlacedPart, region: Region) -> float | None:
    """The depth of the floor for a part that stands on it facing the controls; None for all others."""
    return region.cavity.depth if region.cavity and _opposite(placed, region) else None


def _opposite(placed: PlacedPart, region: Region) -> bool:
    """Whether a part stands on the floor that faces the controls (opened from the rear, floor and wood are one)."""
    front = region.cavity is not None and region.cavity.opened == "front"
    return front and placed.part.symbol.mounting.side == "floor"


def _solid(zone: Zone, placed: PlacedPart, region: Region) -> Solid | None:
    """A zone below the mounting face; None for lines, foil, and what lies above the wood."""
    if not zone.outline.closed or zone.high <= 0 or zone.high - max(zone.low, 0.0) < SHEET:
        return None
    low, high = max(zone.low, 0.0), zone.high
    floor = floor_depth(placed, region)
    if floor is None and _opposite(placed, region):
        return None  # without a depth nobody knows how far it reaches towards the controls
    if floor is not None:
        low, high = floor - high, floor - low
    return Solid(polygon(zone.outline), low, high)


def overlap(a: Polygon, b: Polygon) -> float:
    """How far (mm) one of two outlines must move so that they only touch; 0 where they do not meet.

    By projecting the convex hulls on the normals of their sides (separating axes), which is exact for
    convex outlines and never too small for others.
    """
    if a.intersection(b).area < 1e-4:
        return 0.0
    first, second = _corners(a), _corners(b)
    return max(0.0, min(_along(n, first, second) for n in (*_normals(first), *_normals(second))))


def _corners(shape: Polygon) -> list[tuple[float, float]]:
    hull = MultiPoint(list(shape.exterior.coords)).convex_hull
    return [(x, y) for x, y, *_ in hull.exterior.coords] if isinstance(hull, Polygon) else []


def _normals(corners: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    for (ax, ay), (bx, by) in itertools.pairwise(corners):
        length = math.hypot(bx - ax, by - ay)
        if length > 1e-9:
            yield (by - ay) / length, (ax - bx) / length


def _along(
    normal: tuple[float, float], a: list[tuple[float, float]], b: list[tuple[float, float]]
) -> float:
    """Least movement along a normal that parts the projections."""
    pa = [x * normal[0] + y * normal[1] for x, y in a]
    pb = [x * normal[0] + y * normal[1] for x, y in b]
    return min(max(pa) - min(pb), max(pb) - min(pa))


def reach_outside(shape: BaseGeometry, outline: Polygon) -> float:
    """How far (mm) a shape reaches out of a region; 0 where it lies inside."""
    out = shape.difference(outline)
    if out.is_empty:
        return 0.0
    parts = getattr(out, "geoms", [out])
    corners = [c for p in parts for c in (p.exterior.coords if isinstance(p, Polygon) else p.coords)]
    return max((float(outline.distance(MultiPoint([c]))) for c in corners), default=0.0)


def on_plan(region: Region, at: Point) -> Point:
    """A point of the cavity's own coordinates on the plan, mirrored where the build is."""
    if region.cavity is None or region.cavity.outline is None:
        return at.plus(region.shift)
    own, plan = region.cavity.outline.box(), region.outline.box()
    x = own.right - at.x if region.flipped else at.x - own.left
    return Point(plan.left + x, plan.top + at.y - own.top)
