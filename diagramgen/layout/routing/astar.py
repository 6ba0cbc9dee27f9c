"""Search for one lead's edge crossings by weighted A*: length, zone costs, crossings and crowding weighed.

Sources: A*, Hart, Nilsson and Raphael 1968; the weight on the heuristic, Pohl 1970.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.layout.routing.mesh import Mesh, Portal
from diagramgen.layout.routing.topological_route import Chord, EdgeCrossings, TopologicalRoute

_Node = tuple[int, int, int, float, float, float, float, int]
"""Triangle entered, edge it was entered by (-1 at the start), number of the gap in it, place along it, place
round the triangle, x, y, parent node."""

_Span = tuple[float, float, bool, float, float]
"""A chord as seen by a lead in its triangle: its lower and higher place, whether the lead enters between
them, direction (x, y)."""

_GAPS = 1 << 20  # more than the gaps that an edge can have; numbers the gaps of all edges
_CLOSED = -1.0  # in place of what is known of a gap, once it has been passed
EPSILON = 1.3  # overrates what is left to go: fewer nodes for a little quality
SQUARE_SINE = 0.7  # sine of the angle from which a crossing counts as square
FLAT_CROSSING = 1.5
SPARE_TRACKS = 1.5  # tracks wanted on an edge beside those taken
MESH_DETOUR = 0.95  # distances along mesh edges are a little longer than the true ones


@dataclass(frozen=True)
class SearchCosts:
    """What a search weighs, in mm of detour.

    ``per_mm`` is the cost of a mm in each triangle (infinite: closed), ``heuristic`` the distance (mm) of each mesh
    corner from the goal (see ``distances_to``), ``crossing`` the cost of crossing one lead, ``crowding`` of each mm by
    which the tracks on an edge are wider than the edge, ``pitch`` the lead's own (mm), ``crossing_factor`` by how many
    times a crossing costs more in each triangle.
    """

    per_mm: Sequence[float]
    heuristic: Sequence[float]
    crossing: float
    crowding: float
    pitch: float
    crossing_factor: Sequence[float]


@dataclass(frozen=True)
class SearchResult:
    """What a search came to: edge crossings or ``None``, the states expanded, whether it was cut short by its limit."""

    crossings: EdgeCrossings | None
    expanded: int
    cut_short: bool


def find_route(topology: TopologicalRoute, start: int, end: int, costs: SearchCosts, limit: int) -> SearchResult:
    """Find cheap edge crossings from one mesh corner to another.

    Parameters: topology - the leads already routed; start, end - mesh corners; limit - states expanded at most.
    Returns: edge crossings, or None where there is no way or the limit was reached (``cut_short``). A state is a gap
    between neighbouring leads on a portal, entered from one side. Lengths are those of a line that heads straight for
    the goal and is held inside each gap. Weighted, so the way found may be dearer than the cheapest.
    """
    search = Search(topology, start, end, costs)
    crossings = search.run(limit)
    return SearchResult(crossings, search.expanded, crossings is None and search.expanded >= limit)


def is_connected(mesh: Mesh, start: int, end: int, per_mm: Sequence[float]) -> bool:
    """Tell whether a way leads from one mesh corner to another over triangles that are not closed.

    Parameters: per_mm - cost of a mm in each triangle, infinite: closed.
    """
    goals = set(mesh.around[end])
    seen = {triangle for triangle in mesh.around[start] if per_mm[triangle] < math.inf}
    todo = sorted(seen)
    while todo:
        triangle = todo.pop()
        if triangle in goals:
            return True
        for beyond in mesh.neighbours[triangle]:
            if beyond >= 0 and beyond not in seen and per_mm[beyond] < math.inf:
                seen.add(beyond)
                todo.append(beyond)
    return False


def distances_to(mesh: Mesh, goal: int) -> list[float]:
    """Measure the distance of every mesh corner from the goal along mesh edges.

    Returns: mm for each corner, infinite where no edge leads there. Source: Dijkstra 1959.
    """
    found = [math.inf] * len(mesh.points)
    found[goal] = 0.0
    heap = [(0.0, goal)]
    while heap:
        spent, here = heapq.heappop(heap)
        if spent > found[here]:
            continue
        for other, length in mesh.adjacency[here]:
            if spent + length < found[other]:
                found[other] = spent + length
                heapq.heappush(heap, (spent + length, other))
    return found


class Search:
    """One search; states are numbered in the order they are found, which settles ties."""

    def __init__(self, topology: TopologicalRoute, start: int, end: int, costs: SearchCosts) -> None:
        self.topology, self.mesh, self.costs = topology, topology.mesh, costs
        self.start, self.end, self.goal = start, end, topology.mesh.points[end]
        self.nodes: list[_Node] = []
        self.heap: list[tuple[float, int, float]] = []
        self.known: dict[int, float] = {}
        self.best, self.finish, self.expanded = math.inf, -1, 0

    def run(self, limit: int) -> EdgeCrossings | None:
        """Search until the goal is reached for less than any open state; None without a way or at the limit."""
        mesh, per_mm, known, heap = self.mesh, self.costs.per_mm, self.known, self.heap
        x, y = mesh.points[self.start]
        for triangle in mesh.around[self.start]:
            if per_mm[triangle] < math.inf:
                place = float(mesh.corners[triangle].index(self.start))
                self.nodes.append((triangle, -1, -1 - triangle, 0.0, place, x, y, -1))
                heapq.heappush(heap, (0.0, len(self.nodes) - 1, 0.0))
        while heap and self.expanded < limit:
            total, index, spent = heapq.heappop(heap)
            if total >= self.best:
                break
            triangle, edge, key, _, enter, *_ = self.nodes[index]
            if known.get(key) == _CLOSED:
                continue
            known[key] = _CLOSED
            self.expanded += 1
            if self.expanded == len(mesh.corners) and not is_connected(mesh, self.start, self.end, per_mm):
                break  # walled in: no need to look into every gap to know it
            corners = mesh.corners[triangle]
            chords = self.topology.chords[triangle]
            spans = chords_from(chords, enter) if chords else ()
            if self.end in corners:
                self._arrive(index, spent, spans)
            for side, portal in enumerate(mesh.portals[triangle]):
                if portal[1] < 0 or portal[0] == edge or per_mm[portal[1]] == math.inf:
                    continue
                if edge >= 0 or corners[(side + 2) % 3] == self.start:
                    self._leave(index, spent, side, portal, spans)
        return None if self.finish < 0 else self._edge_crossings()

    def _arrive(self, index: int, spent: float, spans: Sequence[_Span]) -> None:
        triangle, _, _, _, _, x, y, _ = self.nodes[index]
        leave = float(self.mesh.corners[triangle].index(self.end))
        dx, dy = self.goal.x - x, self.goal.y - y
        size = math.hypot(dx, dy)
        cost = spent + size * self.costs.per_mm[triangle]
        price = self.costs.crossing * self.costs.crossing_factor[triangle]
        cost += price * crossings_of(spans, leave, dx, dy, size)
        if cost < self.best:
            self.best, self.finish = cost, index

    def _leave(self, index: int, spent: float, side: int, portal: Portal, spans: Sequence[_Span]) -> None:
        """Put every gap of one side of the triangle on the heap."""
        triangle, _, _, _, _, x, y, _ = self.nodes[index]
        costs, known, nodes, best, heap = self.costs, self.known, self.nodes, self.best, self.heap
        edge, beyond, ax, ay, ex, ey, length, u, v, forward, twin_side = portal
        row, price, hypot = self.topology.edge_order[edge], costs.per_mm[triangle], math.hypot
        gx, gy = self.goal
        ideal = _ideal(x, y, gx, gy, portal)
        if row:
            spent += costs.crowding * _crowd(len(row), costs.pitch, ax + ideal * ex - x, ay + ideal * ey - y, portal)
        margin, low = 0.5 * costs.pitch / length, 0.0
        to_u, to_v = costs.heuristic[u], costs.heuristic[v]
        least = spent + EPSILON * MESH_DETOUR * (to_u if to_u < to_v else to_v)
        key = (2 * edge + forward) * _GAPS - 1
        for high in (*[one[0] for one in row], 1.0):
            below, low = low, high
            key += 1
            most = known.get(key, best)
            if least >= most:
                continue
            slack = 0.3 * (high - below)
            slack = margin if margin < slack else slack
            t = below + slack if ideal < below + slack else high - slack if ideal > high - slack else ideal
            qx, qy = ax + t * ex, ay + t * ey
            size = hypot(x - qx, y - qy)
            cost = spent + size * price
            left, other = to_u + t * length, to_v + (1.0 - t) * length
            left = MESH_DETOUR * (left if left < other else other)
            direct = hypot(qx - gx, qy - gy)
            left = EPSILON * (left if left > direct else direct)
            if cost + left >= most:  # an earlier node for this gap is opened first, whatever this one crosses
                continue
            if spans:
                leave = side + t if forward else side + 1.0 - t
                crossed = crossings_of(spans, leave, qx - x, qy - y, size)
                cost += costs.crossing * costs.crossing_factor[triangle] * crossed
            total = cost + left
            if total < most:
                known[key] = total
                nodes.append((beyond, edge, key, t, twin_side + (1.0 - t if forward else t), qx, qy, index))
                heapq.heappush(heap, (total, len(nodes) - 1, cost))

    def _edge_crossings(self) -> EdgeCrossings:
        triangles, edges, at = [], [], []
        index = self.finish
        while index >= 0:
            triangle, edge, _, t, _, _, _, parent = self.nodes[index]
            triangles.append(triangle)
            if edge >= 0:
                edges.append(edge)
                at.append(t)
            index = parent
        return EdgeCrossings(self.start, self.end, tuple(triangles[::-1]), tuple(edges[::-1]), tuple(at[::-1]))


def _crowd(others: int, pitch: float, dx: float, dy: float, portal: Portal) -> float:
    """By how much (mm) the tracks would be wider than the side, as seen along the lead's way (dx, dy)."""
    size = math.hypot(dx, dy)
    square = abs(dx * portal.ey - dy * portal.ex) / (size * portal.length) if size > 1e-6 else 1.0
    return max(0.0, (others + SPARE_TRACKS) * pitch - max(square, SQUARE_SINE) * portal.length)


def _ideal(x: float, y: float, gx: float, gy: float, portal: Portal) -> float:
    """Where along a side the straight line to the goal would cross it, held between 0 and 1."""
    dx, dy, ex, ey, rx, ry = gx - x, gy - y, portal.ex, portal.ey, portal.ax - x, portal.ay - y
    det = dx * ey - dy * ex
    if -1e-12 < det < 1e-12:
        return 0.5
    if (rx * ey - ry * ex) / det < 0:  # the goal lies on this side of the edge
        t = ((gx - portal.ax) * ex + (gy - portal.ay) * ey) / (portal.length * portal.length)
    else:
        t = (rx * dy - ry * dx) / det
    return 0.0 if t < 0.0 else 1.0 if t > 1.0 else t


def chords_from(chords: Sequence[Chord], enter: float) -> list[_Span]:
    """List the chords of a triangle that a chord from ``enter`` may cross, and on which side of each it begins."""
    return [(c, d, c < enter < d, ux, uy) for _, c, d, ux, uy in chords if enter != c and enter != d]


def crossings_of(spans: Sequence[_Span], leave: float, dx: float, dy: float, size: float) -> float:
    """Count the chords that a new chord must cross, flat crossings for more.

    Parameters: leave - perimeter position; dx, dy, size - vector and length of the new chord, mm.
    Returns: 1 for each square crossing, up to 1 + FLAT_CROSSING for a flat one.
    """
    found = 0.0
    for c, d, inside, ux, uy in spans:
        if (c < leave < d) != inside and leave != c and leave != d:
            found += 1.0
            cross = dx * uy - dy * ux
            flat = SQUARE_SINE * size - (cross if cross > 0.0 else -cross)
            if flat > 0.0 and size > 1e-6:
                found += FLAT_CROSSING * flat / (SQUARE_SINE * size)
    return found
