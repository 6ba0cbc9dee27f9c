"""A region as a triangle mesh in which each triangle knows the zones it lies in.

Zone outlines are laid over each other, the faces between them get a constrained Delaunay triangulation, and the places
where leads end are put in as corners. Leads are then described by the edges they cross.
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


class Portal(NamedTuple):
    """One side of a triangle as a way out (a half-edge).

    The edge's number, the triangle beyond (-1: none), the edge's first point, its vector and length (mm), the mesh
    corners at its ends, whether the edge's direction is that of the triangle's outline, and the number of the side
    beyond.
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
    forward: bool
    twin_side: int


@dataclass(frozen=True)
class Mesh:
    """Triangles over a region.

    By corner: ``points`` (mm), ``around`` (numbers of the triangles at it), ``adjacency`` (corners joined to it by an
    edge, with the edge's length in mm). By triangle: ``corners``, clockwise as seen, ``sides`` (numbers of its edges;
    side ``i`` goes from corner ``i`` to corner ``i + 1``), ``neighbours`` (the triangle behind each side, or -1),
    ``tags`` (its zones), ``portals`` (one a side). By edge: ``ends`` (its two corners), ``lengths`` (mm). ``sites``:
    the corners of the places put in, in their order.
    """

    points: tuple[Point, ...]
    corners: tuple[tuple[int, int, int], ...]
    tags: tuple[Tag, ...]
    sides: tuple[tuple[int, int, int], ...]
    neighbours: tuple[tuple[int, int, int], ...]
    ends: tuple[tuple[int, int], ...]
    lengths: tuple[float, ...]
    around: tuple[tuple[int, ...], ...]
    sites: tuple[int, ...]
    adjacency: tuple[tuple[tuple[int, float], ...], ...]
    portals: tuple[tuple[Portal, Portal, Portal], ...]


@dataclass
class _Triangulation:
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
    """Triangulate a region so that zone outlines are edges and sites are corners.

    Parameters: frame, zones - polygons, mm; sites - points, mm. A site outside the frame becomes a corner of no
    triangle.
    Returns: the mesh; a triangle's tag is the ascending indices of the zones it lies in.
    Source: constrained Delaunay triangulation, Chew 1989 (by the geometry library); sites by Lawson's edge flips, 1977.
    """
    triangulation = _faces_to_triangles(frame, zones)
    places = [_insert_site(triangulation, site) for site in sites]
    return _freeze(triangulation, places)


def _faces_to_triangles(frame: Polygon, zones: Sequence[Polygon]) -> _Triangulation:
    lines = [LineString(frame.exterior.coords)]
    for zone in zones:
        lines.extend(LineString(ring.coords) for ring in (zone.exterior, *zone.interiors))
    noded = shapely.union_all(np.array(lines, dtype=object), grid_size=_SNAP)
    faces = [g for g in shapely.polygonize(list(getattr(noded, "geoms", [noded]))).geoms if g.area > _SNAP]
    inside = shapely.point_on_surface(np.array(faces, dtype=object)) if faces else np.array([])
    kept = shapely.contains(frame, inside) if faces else np.array([], dtype=bool)
    member = [shapely.contains(zone, inside) for zone in zones]
    triangulation = _Triangulation([])
    known: dict[tuple[int, int], int] = {}
    order = sorted((face.centroid.x, face.centroid.y, i) for i, face in enumerate(faces) if kept[i])
    for _, _, i in order:
        tag = tuple(z for z in range(len(zones)) if member[z][i])
        for triangle in shapely.constrained_delaunay_triangles(faces[i]).geoms:
            ids = [_vertex(triangulation, known, x, y) for x, y in list(triangle.exterior.coords)[:3]]
            if len(set(ids)) == 3:
                a, b, c = ids
                turn = _cross(triangulation.points[a], triangulation.points[b], triangulation.points[c])
                triangulation.add(a, b, c, tag) if turn > 0 else triangulation.add(a, c, b, tag)
    return triangulation


def _vertex(triangulation: _Triangulation, known: dict[tuple[int, int], int], x: float, y: float) -> int:
    key = (round(x / _SNAP), round(y / _SNAP))
    if key not in known:
        known[key] = len(triangulation.points)
        triangulation.points.append(Point(x, y))
    return known[key]


def _sides(corners: tuple[int, int, int]) -> tuple[tuple[int, int], ...]:
    a, b, c = corners
    return (a, b), (b, c), (c, a)


def _depth(triangulation: _Triangulation, side: tuple[int, int], site: Point) -> float:
    """How far the site lies inside of a side (mm)."""
    a, b = triangulation.points[side[0]], triangulation.points[side[1]]
    return _cross(a, b, site) / max(a.distance(b), 1e-9)


def _insert_site(triangulation: _Triangulation, site: Point) -> int:
    """Make the site a corner of the mesh: an old one if it lies there, else split what it lies in."""
    for i, p in enumerate(triangulation.points):
        if abs(p.x - site.x) < 20 * _SNAP and abs(p.y - site.y) < 20 * _SNAP:
            return i
    new = len(triangulation.points)
    triangulation.points.append(site)
    best, depth = -1, -_LEAST
    x, y = site
    for key, (left, top, right, bottom) in triangulation.boxes.items():
        if x < left or x > right or y < top or y > bottom:
            continue
        worst = min(_depth(triangulation, side, site) for side in _sides(triangulation.corners[key]))
        if worst > depth:
            best, depth = key, worst
    if best < 0:
        return new
    _split(triangulation, best, new, depth)
    return new


def _split(triangulation: _Triangulation, key: int, new: int, depth: float) -> None:
    outer, site = _sides(triangulation.corners[key]), triangulation.points[new]
    todo: list[tuple[int, int]] = []
    thin = [side for side in outer if depth < 1e-3 and _depth(triangulation, side, site) < 1e-3]
    behind = triangulation.owner.get((thin[0][1], thin[0][0]), -1) if thin else -1
    tag = triangulation.drop(key)
    for u, v in outer:
        if not thin or (u, v) != thin[0]:
            triangulation.add(u, v, new, tag)
            todo.append((u, v))
    if behind >= 0:
        u, v = thin[0]
        corners = triangulation.corners[behind]
        (w,) = (x for x in corners if x not in (u, v))
        tag = triangulation.drop(behind)
        for s, t in ((u, w), (w, v)):
            triangulation.add(s, t, new, tag)
            todo.append((s, t))
    _legalise(triangulation, new, todo)


def _legalise(triangulation: _Triangulation, new: int, todo: list[tuple[int, int]]) -> None:
    """Flip edges opposite a new corner until the triangles around it are as fat as can be (Lawson)."""
    p = triangulation.points
    while todo:
        u, v = todo.pop()
        here, there = triangulation.owner.get((u, v)), triangulation.owner.get((v, u))
        if here is None or there is None or triangulation.tags[here] != triangulation.tags[there]:
            continue
        if new not in triangulation.corners[here]:
            continue
        (w,) = (x for x in triangulation.corners[there] if x not in (u, v))
        if not _in_circle(p[u], p[v], p[new], p[w]):
            continue
        if _cross(p[u], p[w], p[new]) <= 1e-9 or _cross(p[w], p[v], p[new]) <= 1e-9:
            continue
        tag = triangulation.drop(here)
        triangulation.drop(there)
        triangulation.add(u, w, new, tag)
        triangulation.add(w, v, new, tag)
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


def _freeze(triangulation: _Triangulation, sites: list[int]) -> Mesh:
    keys = sorted(triangulation.corners)
    number = {key: i for i, key in enumerate(keys)}
    edges: dict[tuple[int, int], int] = {}
    sides, neighbours = [], []
    around: list[list[int]] = [[] for _ in triangulation.points]
    for key in keys:
        a, b, c = triangulation.corners[key]
        mine, beyond = [], []
        for u, v in pairwise((a, b, c, a)):
            mine.append(edges.setdefault((min(u, v), max(u, v)), len(edges)))
            other = triangulation.owner.get((v, u))
            beyond.append(-1 if other is None else number[other])
        for v in (a, b, c):
            around[v].append(number[key])
        sides.append((mine[0], mine[1], mine[2]))
        neighbours.append((beyond[0], beyond[1], beyond[2]))
    p = triangulation.points
    lengths = tuple(math.dist(p[u], p[v]) for u, v in edges)
    return Mesh(
        points=tuple(p),
        corners=tuple(triangulation.corners[key] for key in keys),
        tags=tuple(triangulation.tags[key] for key in keys),
        sides=tuple(sides),
        neighbours=tuple(neighbours),
        ends=tuple(edges),
        lengths=lengths,
        around=tuple(tuple(ts) for ts in around),
        sites=tuple(sites),
        adjacency=_adjacency(len(p), edges, lengths),
        portals=tuple(_portals(triangulation, key, sides, neighbours, number) for key in keys),
    )


def _adjacency(
    points: int, edges: Iterable[tuple[int, int]], lengths: Sequence[float]
) -> tuple[tuple[tuple[int, float], ...], ...]:
    found: list[list[tuple[int, float]]] = [[] for _ in range(points)]
    for (u, v), length in zip(edges, lengths, strict=True):
        found[u].append((v, length))
        found[v].append((u, length))
    return tuple(tuple(ends) for ends in found)


def _portals(
    triangulation: _Triangulation,
    key: int,
    sides: list[tuple[int, int, int]],
    neighbours: list[tuple[int, int, int]],
    number: dict[int, int],
) -> tuple[Portal, Portal, Portal]:
    mine = number[key]
    found = []
    for i, (u, v) in enumerate(_sides(triangulation.corners[key])):
        beyond, edge, low, high = neighbours[mine][i], sides[mine][i], min(u, v), max(u, v)
        a, b = triangulation.points[low], triangulation.points[high]
        back = sides[beyond].index(edge) if beyond >= 0 else -1
        length = max(a.distance(b), 1e-9)
        found.append(Portal(edge, beyond, a.x, a.y, b.x - a.x, b.y - a.y, length, low, high, u == low, back))
    return found[0], found[1], found[2]


def polygons_of(shape: shapely.Geometry) -> list[Polygon]:
    """The polygons in a shapely geometry, empties left out."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    if isinstance(shape, MultiPolygon) or hasattr(shape, "geoms"):
        return [p for g in shape.geoms for p in polygons_of(g)]
    return []
