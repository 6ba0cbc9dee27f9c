"""Routes the leads of one region: mesh, topological route, tracks, local search, rounded corners."""

from diagramgen.layout.routing.model import Effort, Net, Obstacle, PadKeepout, PenaltyZone, Pin, Route, RoutingRegion
from diagramgen.layout.routing.router import route

__all__ = ["Effort", "Net", "Obstacle", "PadKeepout", "PenaltyZone", "Pin", "Route", "RoutingRegion", "route"]
