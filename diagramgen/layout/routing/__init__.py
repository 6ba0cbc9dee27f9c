"""Lays every lead of a room: which gaps it passes, in which lane, with straight legs and round corners."""

from diagramgen.layout.routing.model import Effort, Joint, Net, Obstacle, PenaltyZone, Pin, Route, RoutingRegion
from diagramgen.layout.routing.router import route

__all__ = ["Effort", "Joint", "Net", "Obstacle", "PenaltyZone", "Pin", "Route", "RoutingRegion", "route"]
