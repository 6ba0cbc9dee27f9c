"""What a part needs round itself, as convex pieces, and where two parts would be too near each other.

Two convex pieces P and Q stand less than ``g`` apart exactly where the way from P's part to Q's lies within ``g`` of
the Minkowski sum of P and Q turned about: so the room two parts bar each other is one area, whatever their places.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Point
from diagramgen.layout.fit.limits import SHEET
from diagramgen.layout.fit.solids import JOINTLESS
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import LUG_ROOM
from diagramgen.library.model import Zone

Corners = np.ndarray
"""The corners of a convex piece, one a row: x, y in mm."""


@dataclass(frozen=True)
class Clearances:
    """Least distances (mm) kept when the program proposes places. Common practice, no source; the tightest lies a
    little above what the fit check calls too near."""

    body: float
    """Between two bodies: the floor for leads."""
    lug: float
    """From a lug to a foreign body or lug."""
    iron: float
    """Free in front of a lug, where the iron comes and its lead turns."""
    wall: float
    """From a body to the wall."""
    opening: float
    """Radius of free floor before a channel's opening, where the leads fan out."""


COMFORTABLE = Clearances(body=9.0, lug=9.0, iron=9.0, wall=3.0, opening=11.0)
TIGHT = Clearances(body=1.3, lug=2.4, iron=3.0, wall=1.3, opening=5.0)
LEVELS = (
    COMFORTABLE,
    Clearances(6.0, 6.0, 7.0, 2.5, 11.0),
    Clearances(4.0, 4.5, 5.0, 2.0, 9.0),
    Clearances(2.5, 3.5, 4.0, 1.5, 7.0),
    TIGHT,
)
"""From the most room to the least: the first that holds everything is taken."""
LEAD_HALF_WIDTH = 1.0
"""Half the width a lead needs to pass between two bodies, mm: the thickest cloth-covered wire is 2.1."""


@dataclass(frozen=True)
class ConvexPieces:
    """A part about its own mounting point, as it is turned, in convex pieces.

    What fills floor and what has to stay free.
    """

    bodies: tuple[Corners, ...]
    lugs: tuple[Corners, ...]
    """Rows of lugs that look one way."""
    facing: tuple[float | None, ...]
    """The way each row looks, radians; None for lugs reached from above."""
    swing: tuple[Corners, ...]
    """Room a leaf or plug needs to move."""

    def soldering_zones(self, far: float) -> list[Corners]:
        """The floor in front of every row of lugs that the iron needs."""
        found = []
        for row, look in zip(self.lugs, self.facing, strict=True):
            if look is not None:
                ahead = far * np.array([math.cos(look), math.sin(look)])
                aside = LUG_ROOM * np.array([-math.sin(look), math.cos(look)])
                found.append(np.vstack([row - aside, row + aside, row - aside + ahead, row + aside + ahead]))
        return found


def pieces_of(part: PlacedPart) -> ConvexPieces:
    """The convex pieces of a part as placed."""
    rows: dict[float | None, list[tuple[float, float]]] = {}
    alone: list[Corners] = []
    for lug in part.lugs.values():
        if lug.kind in JOINTLESS or lug.kind == "spot":
            continue
        if lug.away is None:
            alone.append(np.array([[lug.at.x, lug.at.y]]))
        else:
            rows.setdefault(round(math.remainder(lug.away, math.tau), 3), []).append((lug.at.x, lug.at.y))
    return ConvexPieces(tuple(_hulls(part.body)), (*alone, *(np.array(row) for row in rows.values())),
                  (*(None for _ in alone), *rows), tuple(_hulls(part.keep_clear)))


def round_obstacle(at: Point, radius: float) -> ConvexPieces:
    """Make what is round and stands fast: a post, or the floor before an opening; radius in mm."""
    round_ = np.array([at.towards(k * math.tau / 24, radius) for k in range(24)])
    return ConvexPieces((round_,), (), (), ())


def _hulls(zones: Iterable[Zone]) -> list[Corners]:
    found = []
    for zone in zones:
        if not zone.outline.closed or zone.high <= 0 or zone.high - max(zone.low, 0.0) < SHEET:
            continue
        hull = shapely.MultiPoint([tuple(p) for p in zone.outline.flat(0.1)]).convex_hull
        found.append(shapely.get_coordinates(hull)[:-1])
    return found


def no_fit_polygon(one: ConvexPieces, other: ConvexPieces, clearances: Clearances) -> BaseGeometry:
    """Find where ``other`` may not stand, counted from the mounting point of ``one``.

    Returns: area in mm, the union over all pairs of pieces of the Minkowski sum with ``other`` turned about, grown by
    the clearance. Source: no-fit polygon, Art 1966.
    """
    found = list(_near(one.bodies, other.bodies, clearances.body))
    found += _near(one.lugs, (*other.bodies, *other.lugs), clearances.lug)
    found += _near(one.bodies, other.lugs, clearances.lug)
    own, theirs = one.soldering_zones(clearances.iron), other.soldering_zones(clearances.iron)
    found += _near(own, (*other.bodies, *other.lugs), 0.1)
    found += _near((*one.bodies, *one.lugs), theirs, 0.1)
    found += _near(one.swing, (*other.bodies, *other.lugs), 0.3)
    found += _near((*one.bodies, *one.lugs), other.swing, 0.3)
    return shapely.union_all(found)


def _near(first: Iterable[Corners], second: Sequence[Corners], gap: float) -> list[BaseGeometry]:
    return [_sum(a, -b).buffer(gap, 6) for a in first for b in second]


def _sum(a: Corners, b: Corners) -> BaseGeometry:
    """The Minkowski sum of two convex pieces."""
    return shapely.MultiPoint((a[:, None, :] + b[None, :, :]).reshape(-1, 2)).convex_hull


def inner_fit(floor: BaseGeometry, part: ConvexPieces, clearances: Clearances, at: np.ndarray) -> np.ndarray:
    """Tell for each mounting point of ``at`` (n, 2; mm) whether the part stands clear of the wall; n booleans."""
    good = np.ones(len(at), bool)
    wanted = [(piece, clearances.wall) for piece in part.bodies] + [(row, 1.8) for row in part.lugs]
    wanted += [(piece, 0.1) for piece in (*part.soldering_zones(clearances.iron), *part.swing)]
    for piece, margin in wanted:
        inner = floor.buffer(-margin)
        if inner.is_empty:
            return np.zeros(len(at), bool)
        shapely.prepare(inner)
        corners = shapely.get_coordinates(shapely.MultiPoint(piece).convex_hull)
        for corner in corners:
            left = np.flatnonzero(good)
            good[left] = shapely.contains_xy(inner, at[left] + corner)
        left = np.flatnonzero(good)
        if len(corners) > 2 and not _convex(inner):
            shapes = shapely.polygons(at[left][:, None, :] + corners[None, :, :])
            good[left] = shapely.contains(inner, shapes)
    return good


def _convex(shape: BaseGeometry) -> bool:
    return bool(shape.convex_hull.area - shape.area < 1e-6 * max(shape.area, 1.0))
