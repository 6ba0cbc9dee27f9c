"""The router's one entrance."""

from __future__ import annotations

from diagramgen.geometry import polyline
from diagramgen.layout.routing.model import Effort, Room, Route


def route(room: Room, effort: Effort | None = None) -> tuple[Route, ...]:
    """Lay every run of the room, one route a run, in the order of the runs; never raises for a tight room."""
    effort = effort or Effort()
    laid = []
    for run in room.runs:
        start, end = room.terminals[run.start].at, room.terminals[run.end].at
        path = polyline((start, end))
        laid.append(Route(run.subject, path, path.length()))
    return tuple(laid)
