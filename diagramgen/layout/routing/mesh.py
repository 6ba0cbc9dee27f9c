"""The floor as a mesh of triangles that knows which bodies, clearances and lugs each triangle lies in.

Outlines (grown by the clearance where leads have to keep clear) are laid over each other, the faces
between them are triangulated with their outlines kept as edges, and the places where leads end are put
in as corners. Leads are then described by the edges they cross.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPolygon, Polygon

from diagramgen.kernel.geometry import Point

Tag = tuple[int, ...]
"""Indices of the zones a triangle lies in, ascending."""

_SNAP = 1e-4  # mm; corners nearer than this are one
_LEAST = 0.01  # mm by which a place may lie outside of every triangle and still be put into one


class Door(NamedTuple):
    """One side of a triangle as a way out.

    The edge, the triangle beyond (-1: none), the edge's first point and its vector and length (mm), its
    end corners, whether it runs with the triangle's outline, and the number of the side beyond.
    """

    edge: int
    beyond: int
    ax: float
    ay: float
    ex: float
    ey: float
    length: float
    low: int
    high: int
    ahead: bool
    back: int


@dataclass(frozen=True)
class Mesh:
    """Triangles over the floor; every list is indexed by vertex, triangle or edge.

    ``corners`` run clockwise as seen, side ``i`` of a triangle goes from corner ``i`` to corner ``i + 1``,
    ``across`` holds the neighbour behind each side or -1, ``beside`` the corners joined to a corner by an
    edge, with the edge's length.
    """

    points: tuple[Point, ...]
    corners: tuple[tuple[int, int, int], ...]
    tags: tuple[Tag, ...]
    sides: tuple[tuple[int, int, int], ...]
    across: tuple[tuple[int, int, int], ...]
    ends: tuple[tuple[int, int], ...]
    lengths: tuple[float, ...]
    around: tuple[tuple[int, ...], ...]
    sites: tuple[int, ...]
    beside: tuple[tuple[tuple[int, float], ...], ...]
    doors: tuple[tuple[Door, Door, Door], ...]


@dataclass
class _Growing:
    """Triangles while places are put in; ``owner`` maps a directed side to its triangle."""

    points: list[Point]
    corners: dict[int, tuple[int, int, int]] = field(default_factory=dict)
    tags: dict[int, Tag] = field(default_factory=dict)
    owner: dict[tuple[int, int], int] = field(default_factory=dict)
    boxes: dict[int, tuple[float, float, float, float]] = field(default_factory=dict)
    count: int = 0

    def add(self, a: int, b: int, c: int, tag: Tag) -> int:
        """Put in one triangle."""
        key = self.count
        self.count += 1
        self.corners[key], self.tags[key] = (a, b, c), tag
        p, q, r = self.points[a], self.points[b], self.points[c]
        self.boxes[key] = (
            min(p.x, q.x, r.x) - _LEAST,
            min(p.y, q.y, r.y) - _LEAST,
            max(p.x, q.x, r.x) + _LEAST,
            max(p.y, q.y, r.y) + _LEAST,
        )
        for side in ((a, b), (b, c), (c, a)):
            self.owner[side] = key
        return key

    def drop(self, key: int) -> Tag:
        """Take out one triangle and return its tag."""
        a, b, c = self.corners.pop(key)
        del self.boxes[key]
        for side in ((a, b), (b, c), (c, a)):
            del self.owner[side]
        return self.tags.pop(key)


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)


def build_mesh(frame: Polygon, zones: Sequence[Polygon], sites: Sequence[Point]) -> Mesh:
    """Triangulate ``frame`` (mm) so that zone outlines are edges and ``sites`` are corners.

    A triangle's tag names the zones it lies in. Sites outside the frame become loose corners with no
    triangle around them.
    """
    growing = _faces_to_triangles(frame, zones)
    places = [_put_in(growing, site) for site in sites]
    return _freeze(growing, places)


def _faces_to_triangles(frame: Polygon, zones: Sequence[Polygon]) -> _Growing:
    lines = [LineString(frame.exterior.coords)]
    for zone in zones:
        lines.extend(LineString(ring.coords) for ring in (zone.exterior, *zone.interiors))
    noded = shapely.union_all(np.array(lines, dtype=object), grid_size=_SNAP)
    faces = [g for g in shapely.polygonize(list(getattr(noded, "geoms", [noded]))).geoms if g.area > _SNAP]
    inside = shapely.point_on_surface(np.array(faces, dtype=object)) if faces else np.array([])
    kept = shapely.contains(frame, inside) if faces else np.array([], dtype=bool)
    member = [shapely.contains(zone, inside) for zone in zones]
    growing = _Growing([])
    known: dict[tuple[int, int], int] = {}
    order = sorted((face.centroid.x, face.centroid.y, i) for i, face in enumerate(faces) if kept[i])
    for _, _, i in order:
        tag = tuple(z for z in range(len(zones)) if member[z][i])
        for triangle in shapely.constrained_delaunay_triangles(faces[i]).geoms:
            ids = [_vertex(growing, known, x, y) for x, y in list(triangle.exterior.coords)[:3]]
            if len(set(ids)) == 3:
                a, b, c = ids
                turn = _cross(growing.points[a], growing.points[b], growing.points[c])
                growing.add(a, b, c, tag) if turn > 0 else growing.add(a, c, b, tag)
    return growing


def _vertex(growing: _Growing, known: dict[tuple[int, int], int], x: float, y: float) -> int:
    key = (round(x / _SNAP), round(y / _SNAP))
    if key not in known:
        known[key] = len(growing.points)
        growing.points.append(Point(x, y))
    return known[key]


def _sides(corners: tuple[int, int, int]) -> tuple[tuple[int, int], ...]:
    a, b, c = corners
    return (a, b), (b, c), (c, a)


def _depth(growing: _Growing, side: tuple[int, int], site: Point) -> float:
    """How far the site lies inside of a side (mm)."""
    a, b = growing.points[side[0]], growing.points[side[1]]
    return _cross(a, b, site) / max(a.distance(b), 1e-9)


def _put_in(growing: _Growing, site: Point) -> int:
    """Make the site a corner of the mesh: an old one if it lies there, else split what it lies in."""
    for i, p in enumerate(growing.points):
        if abs(p.x - site.x) < 20 * _SNAP and abs(p.y - site.y) < 20 * _SNAP:
            return i
    new = len(growing.points)
    growing.points.append(site)
    best, depth = -1, -_LEAST
    x, y = site
    for key, (left, top, right, bottom) in growing.boxes.items():
        if x < left or x > right or y < top or y > bottom:
            continue
        worst = min(_depth(growing, side, site) for side in _sides(growing.corners[key]))
        if worst > depth:
            best, depth = key, worst
    if best < 0:
        return new
    _split(growing, best, new, depth)
    return new


def _split(growing: _Growing, key: int, new: int, depth: float) -> None:
    outer, site = _sides(growing.corners[key]), growing.points[new]
    todo: list[tuple[int, int]] = []
    thin = [side for side in outer if depth < 1e-3 and _depth(growing, side, site) < 1e-3]
    behind = growing.owner.get((thin[0][1], thin[0][0]), -1) if thin else -1
    tag = growing.drop(key)
    for u, v in outer:
        if not thin or (u, v) != thin[0]:
            growing.add(u, v, new, tag)
            todo.append((u, v))
    if behind >= 0:
        u, v = thin[0]
        corners = growing.corners[behind]
        (w,) = (x for x in corners if x not in (u, v))
        tag = growing.drop(behind)
        for s, t in ((u, w), (w, v)):
            growing.add(s, t, new, tag)
            todo.append((s, t))
    _legalise(growing, new, todo)


def _legalise(growing: _Growing, new: int, todo: list[tuple[int, int]]) -> None:
    """Flip edges opposite a new corner until the triangles around it are as fat as can be (Lawson)."""
    p = growing.points
    while todo:
        u, v = todo.pop()
        here, there = growing.owner.get((u, v)), growing.owner.get((v, u))
        if here is None or there is None or growing.tags[here] != growing.tags[there]:
            continue
        if new not in growing.corners[here]:
            continue
        (w,) = (x for x in growing.corners[there] if x not in (u, v))
        if not _in_circle(p[u], p[v], p[new], p[w]):
            continue
        if _cross(p[u], p[w], p[new]) <= 1e-9 or _cross(p[w], p[v], p[new]) <= 1e-9:
            continue
        tag = growing.drop(here)
        growing.drop(there)
        growing.add(u, w, new, tag)
        growing.add(w, v, new, tag)
        todo += [(u, w), (w, v)]


def _in_circle(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether ``d`` lies inside the circle through a, b, c (these clockwise as seen)."""
    ax, ay, bx, by, cx, cy = a.x - d.x, a.y - d.y, b.x - d.x, b.y - d.y, c.x - d.x, c.y - d.y
    det = (
        (ax * ax + ay * ay) * (bx * cy - cx * by)
        - (bx * bx + by * by) * (ax * cy - cx * ay)
        + (cx * cx + cy * cy) * (ax * by - bx * ay)
    )
    return det > 1e-9


def _freeze(growing: _Growing, sites: list[int]) -> Mesh:
    keys = sorted(growing.corners)
    number = {key: i for i, key in enumerate(keys)}
    edges: dict[tuple[int, int], int] = {}
    sides, across = [], []
    around: list[list[int]] = [[] for _ in growing.points]
    for key in keys:
        a, b, c = growing.corners[key]
        mine, beyond = [], []
        for u, v in pairwise((a, b, c, a)):
            mine.append(edges.setdefault((min(u, v), max(u, v)), len(edges)))
            other = growing.owner.get((v, u))
            beyond.append(-1 if other is None else number[other])
        for v in (a, b, c):
            around[v].append(number[key])
        sides.append((mine[0], mine[1], mine[2]))
        across.append((beyond[0], beyond[1], beyond[2]))
    p = growing.points
    lengths = tuple(math.dist(p[u], p[v]) for u, v in edges)
    return Mesh(
        points=tuple(p),
        corners=tuple(growing.corners[key] for key in keys),
        tags=tuple(growing.tags[key] for key in keys),
        sides=tuple(sides),
        across=tuple(across),
        ends=tuple(edges),
        lengths=lengths,
        around=tuple(tuple(ts) for ts in around),
        sites=tuple(sites),
        beside=_beside(len(p), edges, lengths),
        doors=tuple(_doors(growing, key, sides, across, number) for key in keys),
    )


def _beside(
    points: int, edges: Iterable[tuple[int, int]], lengths: Sequence[float]
) -> tuple[tuple[tuple[int, float], ...], ...]:
    found: list[list[tuple[int, float]]] = [[] for _ in range(points)]
    for (u, v), length in zip(edges, lengths, strict=True):
        found[u].append((v, length))
        found[v].append((u, length))
    return tuple(tuple(ends) for ends in found)


def _doors(
    growing: _Growing,
    key: int,
    sides: list[tuple[int, int, int]],
    across: list[tuple[int, int, int]],
    number: dict[int, int],
) -> tuple[Door, Door, Door]:
    mine = number[key]
    found = []
    for i, (u, v) in enumerate(_sides(growing.corners[key])):
        beyond, edge, low, high = across[mine][i], sides[mine][i], min(u, v), max(u, v)
        a, b = growing.points[low], growing.points[high]
        back = sides[beyond].index(edge) if beyond >= 0 else -1
        length = max(a.distance(b), 1e-9)
        found.append(Door(edge, beyond, a.x, a.y, b.x - a.x, b.y - a.y, length, low, high, u == low, back))
    return found[0], found[1], found[2]


def polygons_of(shape: shapely.Geometry) -> list[Polygon]:
    """The polygons in a shapely geometry, empties left out."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    if isinstance(shape, MultiPolygon) or hasattr(shape, "geoms"):
        return [p for g in shape.geoms for p in polygons_of(g)]
    return []
