"""Routes all subnets in the mesh, then rips up and reroutes those that cross others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.layout.routing.astar import SearchCosts, SearchResult, find_route
from diagramgen.layout.routing.funnel import Spacing, TrackAssignment
from diagramgen.layout.routing.mesh import Mesh
from diagramgen.layout.routing.model import Effort
from diagramgen.layout.routing.topological_route import TopologicalRoute, crossing_pairs, empty_route

EFFORT_SHARE = 8
"""One search may take this many times an even share of the effort left for the subnets still waiting."""
PASS_ROUNDS = 3
"""Rounds of relaxation between two passes, so that the next pass sees where the leads really lie."""


@dataclass(frozen=True)
class Subnet:
    """A net, or its part between two points it has to pass: mesh corners, costs, priority, straight length (mm)."""

    start: int
    end: int
    costs: SearchCosts
    priority: int
    length: float


@dataclass(frozen=True)
class RerouteResult:
    """The topological route of all subnets, and how many states all searches expanded together."""

    topology: TopologicalRoute
    expanded: int


def reroute_conflicts(
    mesh: Mesh, subnets: Sequence[Subnet], keepout: Sequence[float], effort: Effort
) -> RerouteResult:
    """Route all subnets, few crossings, by rip-up and reroute.

    Parameters: keepout - circle kept free round each mesh corner, mm.
    Returns: the topological route; a subnet for which there is no way is not in it. Higher priority first, then
    short ones; each further pass reroutes every subnet that crosses another, priced against all others. Ends when a
    pass changes nothing, after ``effort.passes`` or when ``effort.total`` is used up.
    """
    rerouter = _Rerouter(empty_route(mesh), subnets, effort)
    spacing = Spacing([subnet.costs.pitch for subnet in subnets], keepout)
    order = sorted(range(len(subnets)), key=lambda i: (-subnets[i].priority, subnets[i].length, i))
    for place, i in enumerate(order):
        rerouter.route_first(i, len(order) - place)
    for _ in range(1, effort.passes):
        tracks = TrackAssignment(rerouter.topology, spacing)
        tracks.relax(sorted(rerouter.topology.crossings), rounds=PASS_ROUNDS)
        tracks.write_back()
        if not rerouter.reroute(order):
            break
    return RerouteResult(rerouter.topology, rerouter.expanded)


class _Rerouter:
    """The topological route while subnets are laid in it, and what the searches have cost so far."""

    def __init__(self, topology: TopologicalRoute, subnets: Sequence[Subnet], effort: Effort) -> None:
        self.topology, self.subnets, self.effort = topology, subnets, effort
        self.expanded = 0

    def route_first(self, i: int, waiting: int) -> None:
        """Route a subnet for the first time; no search takes more than its share of what is left for those waiting.

        One whose share does not do is laid as if it were alone: that finds a way wherever there is one.
        """
        left = max(0, self.effort.total - self.expanded)
        found = self._find(self.topology, i, min(self.effort.expansions, left, EFFORT_SHARE * left // waiting))
        if found.cut_short:
            mesh = self.topology.mesh
            found = self._find(empty_route(mesh), i, 2 * len(mesh.ends) + len(mesh.corners))
        if found.crossings is not None:
            self.topology.insert(i, found.crossings)

    def reroute(self, order: Sequence[int]) -> bool:
        """Rip up every subnet that crosses another and route it again; whether that changed any."""
        conflicting = {lead for pair in crossing_pairs(self.topology) for lead in pair}
        changed = False
        for i in order:
            left = self.effort.total - self.expanded
            if i not in conflicting or i not in self.topology.crossings or left <= 0:
                continue
            old = self.topology.rip_up(i)
            crossings = self._find(self.topology, i, min(self.effort.expansions, left)).crossings or old
            changed = changed or crossings.edges != old.edges
            self.topology.insert(i, crossings)
        return changed

    def _find(self, topology: TopologicalRoute, i: int, limit: int) -> SearchResult:
        subnet = self.subnets[i]
        found = find_route(topology, subnet.start, subnet.end, subnet.costs, limit)
        self.expanded += found.expanded
        return found
