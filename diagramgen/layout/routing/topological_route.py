"""Topological routes: leads as the mesh edges they cross, in order; enough to count crossings, without widths.

Source: rubber-band sketches, Leiserson and Maley 1985; Dai, Dayan and Staepelaere 1991.
"""

from __future__ import annotations

from bisect import insort
from dataclasses import dataclass, field

from diagramgen.kernel.geometry import Point
from diagramgen.layout.routing.mesh import Mesh

Chord = tuple[int, float, float, float, float]
"""A lead's way through a triangle: lead, the lower and the higher of the places where it enters and leaves,
direction (x, y).

Places run round the triangle: corner ``i`` is ``i``, side ``i`` the open interval up to ``i + 1``.
"""


@dataclass(frozen=True)
class EdgeCrossings:
    """One lead in the mesh: the triangles it visits and, between them, the edges with the place on each.

    ``at[k]`` lies between 0 and 1 along ``edges[k]``, which joins ``triangles[k]`` and ``triangles[k + 1]``.
    """

    start: int
    end: int
    triangles: tuple[int, ...]
    edges: tuple[int, ...]
    at: tuple[float, ...]


@dataclass
class TopologicalRoute:
    """The edge crossings of all leads of a region: each lead's way through the mesh up to where exactly it lies.

    ``edge_order`` lists for each edge (position, lead, step) in order, ``chords`` those of each triangle.
    """

    mesh: Mesh
    crossings: dict[int, EdgeCrossings] = field(default_factory=dict)
    edge_order: list[list[tuple[float, int, int]]] = field(default_factory=list)
    chords: list[list[Chord]] = field(default_factory=list)

    def insert(self, lead: int, crossings: EdgeCrossings) -> None:
        """Put in a lead by its edge crossings: into the order on each edge, and as a chord of each triangle."""
        self.crossings[lead] = crossings
        for step, (edge, t) in enumerate(zip(crossings.edges, crossings.at, strict=True)):
            insort(self.edge_order[edge], (t, lead, step))
        for triangle, chord in chords_of(self.mesh, lead, crossings):
            self.chords[triangle].append(chord)

    def rebuild(self) -> None:
        """Build edge orders and chords anew from the edge crossings of all leads."""
        crossings = self.crossings
        self.crossings = {}
        self.edge_order = [[] for _ in self.mesh.ends]
        self.chords = [[] for _ in self.mesh.corners]
        for lead in sorted(crossings):
            self.insert(lead, crossings[lead])

    def rip_up(self, lead: int) -> EdgeCrossings:
        """Take out a lead and return its edge crossings."""
        crossings = self.crossings.pop(lead)
        for edge in set(crossings.edges):
            self.edge_order[edge] = [row for row in self.edge_order[edge] if row[1] != lead]
        for triangle in set(crossings.triangles):
            self.chords[triangle] = [c for c in self.chords[triangle] if c[0] != lead]
        return crossings


def empty_route(mesh: Mesh) -> TopologicalRoute:
    """Make the topological route of no lead."""
    return TopologicalRoute(mesh, {}, [[] for _ in mesh.ends], [[] for _ in mesh.corners])


def perimeter_position(mesh: Mesh, triangle: int, edge: int, t: float) -> float:
    """Convert a point on an edge to a position on a triangle's perimeter.

    Parameters: t - 0 to 1 along the edge. Returns: side number plus the share of that side, 0 to 3.
    """
    side = mesh.sides[triangle].index(edge)
    return side + (t if mesh.ends[edge][0] == mesh.corners[triangle][side] else 1.0 - t)


def chords_of(mesh: Mesh, lead: int, crossings: EdgeCrossings) -> list[tuple[int, Chord]]:
    """List the chords of one lead, one for each triangle it passes.

    Returns: [(triangle, chord)]; empty for a lead without triangles.
    """
    if not crossings.triangles:
        return []
    enter, here = float(mesh.corners[crossings.triangles[0]].index(crossings.start)), mesh.points[crossings.start]
    found = []
    for k, triangle in enumerate(crossings.triangles):
        if k < len(crossings.edges):
            leave = perimeter_position(mesh, triangle, crossings.edges[k], crossings.at[k])
            there = point_on(mesh, crossings.edges[k], crossings.at[k])
        else:
            leave, there = float(mesh.corners[triangle].index(crossings.end)), mesh.points[crossings.end]
        size = max(here.distance(there), 1e-9)
        low, high = (enter, leave) if enter < leave else (leave, enter)
        found.append((triangle, (lead, low, high, (there.x - here.x) / size, (there.y - here.y) / size)))
        here = there
        if k < len(crossings.edges):
            enter = perimeter_position(mesh, crossings.triangles[k + 1], crossings.edges[k], crossings.at[k])
    return found


def point_on(mesh: Mesh, edge: int, t: float) -> Point:
    """Return the point (mm) at ``t`` (0 to 1) along a mesh edge."""
    u, v = mesh.ends[edge]
    a, b = mesh.points[u], mesh.points[v]
    return Point(a.x + t * (b.x - a.x), a.y + t * (b.y - a.y))


def chords_cross(a: float, b: float, c: float, d: float) -> bool:
    """Tell whether chords a-b and c-d of one triangle must cross.

    Parameters: perimeter positions. Chords cross exactly when their ends interleave; with a common end they need not.
    """
    low, high = (a, b) if a < b else (b, a)
    if low in (c, d) or high in (c, d):
        return False
    return (low < c < high) != (low < d < high)


def crossing_pairs(topology: TopologicalRoute) -> dict[tuple[int, int], list[int]]:
    """List the triangles in which each pair of leads crosses.

    Returns: (lower lead, higher lead) -> triangles.
    """
    found: dict[tuple[int, int], list[int]] = {}
    for triangle, chords in enumerate(topology.chords):
        for i, (first, a, b, _, _) in enumerate(chords):
            for second, c, d, _, _ in chords[i + 1 :]:
                if first != second and chords_cross(a, b, c, d):
                    key = (first, second) if first < second else (second, first)
                    found.setdefault(key, []).append(triangle)
    return found
