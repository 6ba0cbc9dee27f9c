"""Gives every lead of a topological route its track: each is pulled taut between its neighbours, a pitch apart.

Each lead in turn becomes the shortest line through the gaps between its neighbours on every mesh edge
(the funnel method for shortest paths in a sleeve of triangles: Chazelle 1982, Lee and Preparata 1984);
a few rounds of this and the bundles lie side by side around the corners.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.topological_route import TopologicalRoute, crossing_pairs, point_on

FAN_SLOPE = 0.45  # leads from one lug part at no more than about this many mm a mm


@dataclass(frozen=True)
class Spacing:
    """Pitch of each lead and the circle kept free round each mesh corner (mm)."""

    pitch: Sequence[float]
    keepout: Sequence[float]


class TrackAssignment:
    """Where each lead crosses each of its edges while the tracks are relaxed; positions are 0 to 1 along the edge."""

    def __init__(self, topology: TopologicalRoute, spacing: Spacing) -> None:
        self.topology = topology
        self.spacing = spacing
        self.at = {lead: list(crossings.at) for lead, crossings in topology.crossings.items()}
        self.ranks: dict[int, list[int]] = {lead: [0] * len(c.edges) for lead, c in topology.crossings.items()}
        for row in topology.edge_order:
            for rank, (_, lead, step) in enumerate(row):
                self.ranks[lead][step] = rank
        self.places = {lead: self._places(lead) for lead in topology.crossings}
        points = topology.mesh.points
        vectors = [(points[v].x - points[u].x, points[v].y - points[u].y) for u, v in topology.mesh.ends]
        self.vectors = [(x, y, math.hypot(x, y)) for x, y in vectors]
        self.gaps: list[list[float]] = [[] for _ in topology.edge_order]
        self.packed: list[list[tuple[float, float]]] = [[] for _ in topology.edge_order]
        self.apart: set[tuple[int, int, int]] = set()
        for (first, second), triangles in crossing_pairs(topology).items():
            for triangle in triangles:
                self.apart.add((first, second, triangle))
                self.apart.add((second, first, triangle))

    def _places(self, lead: int) -> list[Point]:
        """The start of a lead, its crossings of all edges, its end."""
        crossings, mesh = self.topology.crossings[lead], self.topology.mesh
        between = [point_on(mesh, edge, t) for edge, t in zip(crossings.edges, self.at[lead], strict=True)]
        return [mesh.points[crossings.start], *between, mesh.points[crossings.end]]

    def _slant(self, lead: int, step: int, edge: int) -> float:
        """Sine of the angle between the lead and the edge it crosses, at least 0.3."""
        (px, py), (qx, qy) = self.places[lead][step], self.places[lead][step + 2]
        ex, ey, length = self.vectors[edge]
        dx, dy = qx - px, qy - py
        size = math.hypot(dx, dy) * length
        return max(0.3, abs(dx * ey - dy * ex) / size) if size > 1e-9 else 1.0

    def _keepout(self, lead: int, edge: int, way: int) -> float:
        """Share of the edge that the lead leaves free at its lower (-1) or upper (1) end."""
        crossings, mesh = self.topology.crossings[lead], self.topology.mesh
        corner = mesh.ends[edge][0 if way < 0 else 1]
        keepout = 0.0 if corner in (crossings.start, crossings.end) else self.spacing.keepout[corner]
        return min(keepout / max(mesh.lengths[edge], 1e-9), 0.45)

    def _gap(self, edge: int, rank: int) -> float:
        """Wanted distance along the edge, as a share of it, between a lead and the next in its row."""
        (_, lead, step), (_, other, there) = self.topology.edge_order[edge][rank : rank + 2]
        if lead == other:
            return 0.0
        slant = max(self._slant(lead, step, edge), self._slant(other, there, edge))
        return self._pitch(lead, other, step) / slant / max(self.topology.mesh.lengths[edge], 1e-9)

    def pack(self) -> None:
        """Work out, for every edge, the lowest and highest position of each lead with all others in their tracks."""
        for edge, row in enumerate(self.topology.edge_order):
            if not row:
                continue
            gaps = [self._gap(edge, rank) for rank in range(len(row) - 1)]
            first, last = self._keepout(row[0][1], edge, -1), self._keepout(row[-1][1], edge, 1)
            room = 1.0 - first - last
            scale = min(1.0, room / max(sum(gaps), 1e-9))
            gaps = [gap * scale for gap in gaps]
            lows = [first]
            for gap in gaps:
                lows.append(lows[-1] + gap)
            shift = 1.0 - last - lows[-1]
            self.gaps[edge], self.packed[edge] = gaps, [(low, low + shift) for low in lows]

    def _limits(self, lead: int, step: int) -> tuple[float, float]:
        """The stretch of its edge within which the lead may lie just now."""
        crossings = self.topology.crossings[lead]
        edge = crossings.edges[step]
        row, rank, gaps = self.topology.edge_order[edge], self.ranks[lead][step], self.gaps[edge]
        least, most = self.packed[edge][rank]
        triangles = crossings.triangles[step : step + 2]
        low, high = self._keepout(lead, edge, -1), 1.0 - self._keepout(lead, edge, 1)
        apart = self.apart
        for way in (-1, 1):
            at = rank + way
            while 0 <= at < len(row):
                _, other, there = row[at]
                if other != lead and not any((lead, other, t) in apart for t in triangles):
                    near = self.at[other][there] - way * gaps[min(at, at - way)]
                    if way < 0:
                        low = max(low, min(max(near, least), most))
                    else:
                        high = min(high, max(min(near, most), least))
                    break
                at += way
        return (low, high) if low <= high else ((low + high) / 2, (low + high) / 2)

    def _pitch(self, lead: int, other: int, step: int) -> float:
        pitch = (self.spacing.pitch[lead] + self.spacing.pitch[other]) / 2
        mine, theirs = self.topology.crossings[lead], self.topology.crossings[other]
        for corner in (mine.start, mine.end):
            if corner in (theirs.start, theirs.end):
                away = self.topology.mesh.points[corner].distance(self.places[lead][step + 1])
                pitch = min(pitch, FAN_SLOPE * away)
        return pitch

    def pull_taut(self, lead: int) -> list[Point]:
        """Pull one lead taut between its neighbours; returns its corners (mm), ends included."""
        crossings, mesh = self.topology.crossings[lead], self.topology.mesh
        rights, lefts, spans = [], [], []
        for step, edge in enumerate(crossings.edges):
            low, high = self._limits(lead, step)
            u, v = mesh.ends[edge]
            a, b = mesh.points[u], mesh.points[v]
            p = Point(a.x + low * (b.x - a.x), a.y + low * (b.y - a.y))
            q = Point(a.x + high * (b.x - a.x), a.y + high * (b.y - a.y))
            triangle = crossings.triangles[step]
            ahead = mesh.corners[triangle][mesh.sides[triangle].index(edge)] == u
            rights.append(p if ahead else q)
            lefts.append(q if ahead else p)
            spans.append((low, high, a, b))
        start, end = mesh.points[crossings.start], mesh.points[crossings.end]
        corners = funnel(start, end, rights, lefts)
        for (i, p), (j, q) in pairwise(corners):
            for k in range(i + 1, min(j + 1, len(spans))):
                low, high, a, b = spans[k]
                self.at[lead][k] = t = min(high, max(low, _meet(p, q, a, b)))
                self.places[lead][k + 1] = Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y))
        return [p for _, p in corners]

    def relax(self, order: Sequence[int], rounds: int) -> dict[int, list[Point]]:
        """Pull all leads taut, round after round, forth and back.

        Returns: lead -> corners (mm), ends included.
        """
        paths: dict[int, list[Point]] = {}
        for turn in range(rounds):
            self.pack()
            for lead in order if turn % 2 == 0 else reversed(order):
                paths[lead] = self.pull_taut(lead)
        return paths

    def write_back(self) -> None:
        """Write the positions found into the topological route, so that further searches see where the leads lie.

        Where two leads have met on an edge they keep their order.
        """
        for row in self.topology.edge_order:
            least = 0.0
            for rank, (_, lead, step) in enumerate(row):
                left = len(row) - rank
                most = 1.0 - (1.0 - least) * 1e-3 * left / (left + 1)
                place = min(max(self.at[lead][step], least + 1e-4 * (1.0 - least)), most)
                self.at[lead][step] = least = place
        for lead, crossings in list(self.topology.crossings.items()):
            self.topology.crossings[lead] = replace(crossings, at=tuple(self.at[lead]))
        self.topology.rebuild()


def _meet(p: Point, q: Point, a: Point, b: Point) -> float:
    """Where along a-b the line p-q crosses it, or the foot of q where they are parallel."""
    dx, dy, ex, ey = q.x - p.x, q.y - p.y, b.x - a.x, b.y - a.y
    det = dx * ey - dy * ex
    if abs(det) < 1e-12:
        return ((q.x - a.x) * ex + (q.y - a.y) * ey) / max(ex * ex + ey * ey, 1e-12)
    return ((a.x - p.x) * dy - (a.y - p.y) * dx) / det


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)


def funnel(start: Point, end: Point, rights: Sequence[Point], lefts: Sequence[Point]) -> list[tuple[int, Point]]:
    """Find the shortest polyline through a row of portals (string pulling).

    Parameters: start, end - Point, mm; rights, lefts - n points each, mm: right and left end of every portal as seen on
    the way.
    Returns: [(portal, corner)]; portal is -1 at the start and n at the end.
    Source: Lee and Preparata 1984, Euclidean shortest paths in the presence of rectilinear barriers.
    """
    count = len(rights)
    rs, ls = [*rights, end], [*lefts, end]
    corners = [(-1, start)]
    apex, right, left = start, start, start
    ri = li = -1
    k = 0
    while k <= count:
        r, s = rs[k], ls[k]
        if _turn(apex, right, r) >= 0 or right == apex:
            if apex == right or _turn(apex, left, r) < 0 or left == apex:
                right, ri = r, k
            else:
                corners.append((li, left))
                apex, right, ri, k = left, left, li, li + 1
                left = apex
                continue
        if _turn(apex, left, s) <= 0 or left == apex:
            if apex == left or _turn(apex, right, s) > 0 or right == apex:
                left, li = s, k
            else:
                corners.append((ri, right))
                apex, left, li, k = right, right, ri, ri + 1
                right = apex
                continue
        k += 1
    if corners[-1][1] != end:
        corners.append((count, end))
    else:
        corners[-1] = (count, end)
    return corners
