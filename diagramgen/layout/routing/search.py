"""Finds a lead's way through the mesh: length, price of the floor, crossings and crowding weighed."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.geometry import Point
from diagramgen.layout.routing.mesh import Mesh
from diagramgen.layout.routing.sketch import Chord, Course, Sketch, place_round

_Node = tuple[int, int, int, float, Point, int]
"""Triangle entered, edge it was entered by (-1 at the start), gap and place on it, point, parent node."""

_EAGER = 0.95  # distances along mesh edges are a little longer than the true ones


@dataclass(frozen=True)
class Prices:
    """What a search weighs, in mm of detour.

    ``floor`` is the price of a mm in each triangle (infinite: forbidden), ``reach`` the distance of each
    mesh corner from the goal (see ``distances``), ``crossing`` the price of crossing one lead, ``crowd``
    of each mm by which the lanes on an edge are wider than the edge.
    """

    floor: Sequence[float]
    reach: Sequence[float]
    crossing: float
    crowd: float
    pitch: float


def find_course(sketch: Sketch, start: int, end: int, prices: Prices, limit: int) -> Course | None:
    """The cheapest course found between two mesh corners, or ``None`` when there is none.

    A best-first search over (edge, gap between the leads on it); at most ``limit`` nodes are opened.
    Lengths are those of a line that heads straight for the goal and is held inside each gap.
    """
    return _Search(sketch, start, end, prices).run(limit)


def distances(mesh: Mesh, goal: int) -> list[float]:
    """The distance (mm) of every mesh corner from the goal along mesh edges (Dijkstra)."""
    beside: list[list[tuple[int, float]]] = [[] for _ in mesh.points]
    for (u, v), length in zip(mesh.ends, mesh.lengths, strict=True):
        beside[u].append((v, length))
        beside[v].append((u, length))
    found = [math.inf] * len(mesh.points)
    found[goal] = 0.0
    heap = [(0.0, goal)]
    while heap:
        spent, here = heapq.heappop(heap)
        if spent > found[here]:
            continue
        for other, length in beside[here]:
            if spent + length < found[other]:
                found[other] = spent + length
                heapq.heappush(heap, (spent + length, other))
    return found


class _Search:
    """One best-first search; nodes are numbered in the order they are found, which settles ties."""

    def __init__(self, sketch: Sketch, start: int, end: int, prices: Prices) -> None:
        self.sketch, self.mesh, self.prices = sketch, sketch.mesh, prices
        self.start, self.end, self.goal, self.reach = start, end, sketch.mesh.points[end], prices.reach
        self.nodes: list[_Node] = []
        self.heap: list[tuple[float, int, float]] = []
        self.seen: set[tuple[int, int, int]] = set()
        self.best, self.finish = math.inf, -1

    def run(self, limit: int) -> Course | None:
        """Search until the goal is reached for less than any node still open."""
        mesh, floor = self.mesh, self.prices.floor
        for triangle in mesh.around[self.start]:
            if floor[triangle] < math.inf:
                self._push((triangle, -1, triangle, 0.0, mesh.points[self.start], -1), 0.0, 0.0)
        opened = 0
        while self.heap and opened < limit:
            total, index, spent = heapq.heappop(self.heap)
            if total >= self.best:
                break
            triangle, edge, gap, t, _, _ = self.nodes[index]
            if (edge, triangle, gap) in self.seen:
                continue
            self.seen.add((edge, triangle, gap))
            opened += 1
            corners = mesh.corners[triangle]
            entered = float(corners.index(self.start)) if edge < 0 else place_round(mesh, triangle, edge, t)
            if self.end in corners:
                self._arrive(index, spent, entered)
            for side in range(3):
                beyond = mesh.across[triangle][side]
                if beyond < 0 or mesh.sides[triangle][side] == edge or floor[beyond] == math.inf:
                    continue
                if edge >= 0 or corners[(side + 2) % 3] == self.start:
                    self._leave(index, spent, entered, side)
        return None if self.finish < 0 else self._course()

    def _push(self, node: _Node, spent: float, ahead: float) -> None:
        self.nodes.append(node)
        heapq.heappush(self.heap, (spent + ahead, len(self.nodes) - 1, spent))

    def _arrive(self, index: int, spent: float, entered: float) -> None:
        triangle, at = self.nodes[index][0], self.nodes[index][4]
        leave = float(self.mesh.corners[triangle].index(self.end))
        cost = spent + at.distance(self.goal) * self.prices.floor[triangle]
        cost += self.prices.crossing * crossed(self.sketch.chords[triangle], entered, leave)
        if cost < self.best:
            self.best, self.finish = cost, index

    def _leave(self, index: int, spent: float, entered: float, side: int) -> None:
        """Put every gap of one side of the triangle on the heap."""
        mesh, prices = self.mesh, self.prices
        triangle, at = self.nodes[index][0], self.nodes[index][4]
        edge, beyond = mesh.sides[triangle][side], mesh.across[triangle][side]
        u, v = mesh.ends[edge]
        a, b = mesh.points[u], mesh.points[v]
        row, chords, price = self.sketch.rows[edge], self.sketch.chords[triangle], prices.floor[triangle]
        ahead = mesh.corners[triangle][side] == u
        length = max(mesh.lengths[edge], 1e-9)
        crowd = (len(row) + 1) * prices.pitch - length
        if crowd > 0:
            spent += prices.crowd * crowd
        ideal, margin, low = straight_place(at, self.goal, a, b), 0.5 * prices.pitch / length, 0.0
        to_u, to_v = self.reach[u], self.reach[v]
        for gap in range(len(row) + 1):
            high = row[gap][0] if gap < len(row) else 1.0
            if (edge, beyond, gap) not in self.seen:
                slack = min(margin, 0.3 * (high - low))
                t = min(max(ideal, low + slack), high - slack)
                q = Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y))
                cost = spent + math.hypot(at.x - q.x, at.y - q.y) * price
                if chords:
                    leave = side + (t if ahead else 1.0 - t)
                    cost += prices.crossing * crossed(chords, entered, leave)
                left = _EAGER * min(to_u + t * length, to_v + (1.0 - t) * length)
                left = max(left, math.hypot(q.x - self.goal.x, q.y - self.goal.y))
                if cost + left < self.best:
                    self._push((beyond, edge, gap, t, q, index), cost, left)
            low = high

    def _course(self) -> Course:
        triangles, edges, at = [], [], []
        index = self.finish
        while index >= 0:
            triangle, edge, _, t, _, parent = self.nodes[index]
            triangles.append(triangle)
            if edge >= 0:
                edges.append(edge)
                at.append(t)
            index = parent
        return Course(self.start, self.end, tuple(triangles[::-1]), tuple(edges[::-1]), tuple(at[::-1]))


def straight_place(at: Point, goal: Point, a: Point, b: Point) -> float:
    """Where along a-b the straight line from ``at`` to the goal would cross, held between 0 and 1."""
    dx, dy, ex, ey = goal.x - at.x, goal.y - at.y, b.x - a.x, b.y - a.y
    det = dx * ey - dy * ex
    if abs(det) < 1e-12:
        return 0.5
    if ((a.x - at.x) * ey - (a.y - at.y) * ex) / det < 0:  # the goal lies on this side of the edge
        t = ((goal.x - a.x) * ex + (goal.y - a.y) * ey) / max(ex * ex + ey * ey, 1e-12)
    else:
        t = ((a.x - at.x) * dy - (a.y - at.y) * dx) / det
    return min(1.0, max(0.0, t))


def crossed(chords: Sequence[Chord], enter: float, leave: float) -> int:
    """How many chords of a triangle a chord from ``enter`` to ``leave`` must cross."""
    low, high = (enter, leave) if enter < leave else (leave, enter)
    found = 0
    for _, c, d in chords:
        if (low < c < high) != (low < d < high) and c not in (low, high) and d not in (low, high):
            found += 1
    return found
