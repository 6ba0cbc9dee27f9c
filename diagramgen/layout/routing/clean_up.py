"""Turns the corners of a settled lead into lines and arcs and says what could not be kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from diagramgen.kernel.geometry import Path, Point
from diagramgen.layout.routing.cost_map import outline_polygon
from diagramgen.layout.routing.model import Joint, Room, Route, Run

_EXEMPT = 4.0  # mm from its ends within which a lead may be near its own body and the wall
_SLACK = 0.05  # mm that a clearance may be short before it is reported
_TOUCH = 0.5  # mm over a body from which a lead passes over it
_ON = 0.3  # lanes between two leads from which they lie on each other
_LYING = 2.0  # lanes of length that they may do so
_BEHIND = 1.0  # mm in plan within which lugs of a part lie behind one another
_FANNED = 6.0  # mm from a lead's end within which others may be as near: leads fan out there


ROUNDED = 0.01
"""So much less than what is to be kept clear of a lug, mm, nothing is made of."""


def without_spikes(points: Sequence[Point], least: float = 0.02) -> list[Point]:
    """The corners without doubled ones and without those on a straight leg; the ends stay."""
    kept = [points[0]]
    for p in points[1:-1]:
        if p.distance(kept[-1]) > least and p.distance(points[-1]) > least:
            kept.append(p)
    kept.append(points[-1])
    slim = kept[:1]
    for before, here, after in zip(kept, kept[1:], kept[2:], strict=False):
        leg = max(before.distance(after), 1e-9)
        off = abs((after.x - before.x) * (here.y - before.y) - (after.y - before.y) * (here.x - before.x)) / leg
        onward = (here.x - before.x) * (after.x - here.x) + (here.y - before.y) * (after.y - here.y)
        if off > 1e-3 or onward < 0:
            slim.append(here)
    return [*slim, kept[-1]] if len(kept) > 1 else kept


def tidy_corners(points: Sequence[Point]) -> list[Point]:
    """The corners to 1/1000 mm without needless ones; the ends stay exact."""
    kept = without_spikes(points)
    return [kept[0], *(Point(round(p.x, 3), round(p.y, 3)) for p in kept[1:-1]), kept[-1]]


@dataclass(frozen=True)
class Yard:
    """A room with the shapes that finished leads are held against."""

    room: Room
    outline: Polygon
    bodies: tuple[Polygon, ...]


def yard_of(room: Room) -> Yard:
    """The shapes of a room, made once for all of its leads."""
    outline = outline_polygon(room.outline)
    return Yard(room, outline, tuple(outline_polygon(o.outline) for o in room.obstacles))


def as_route(yard: Yard, run: Run, path: Path, faults: Sequence[str] = ()) -> Route:
    """The route of a run with its length (mm), the bodies it passes over and what it could not keep."""
    line = LineString(path.flat(0.05)) if path.length() > 0 else Spot(path.start)
    over = tuple(
        o.subject
        for o, shape in zip(yard.room.obstacles, yard.bodies, strict=True)
        if (o.passable or (o.subject in run.past and not o.metal)) and shape.intersection(line).length > _TOUCH
    )
    found = (*faults, *_near_lugs(yard.room, run, line), *_near_bodies(yard, run, line), *_near_wall(yard, run, line))
    return Route(run.subject, path, round(path.length(), 3), tuple(dict.fromkeys(over)), tuple(dict.fromkeys(found)))


def _ends(room: Room, run: Run) -> tuple[set[Point], set[str]]:
    ends = [room.terminals[run.start], room.terminals[run.end]]
    return {t.at for t in ends}, {t.body for t in ends if t.body}


def _middle(places: set[Point], line: LineString | Spot) -> BaseGeometry:
    """A lead without its ends, which may be near their own bodies and the wall."""
    return line.difference(shapely.union_all([Spot(p).buffer(_EXEMPT) for p in sorted(places)]))


def _near_lugs(room: Room, run: Run, line: LineString | Spot) -> list[str]:
    places, _ = _ends(room, run)
    found = []
    for terminal in room.terminals:
        if terminal.at in places or terminal.radius <= 0:
            continue
        apart = line.distance(Spot(terminal.at))
        near = min(terminal.at.distance(p) for p in places)
        if apart < min(terminal.radius + run.width / 2, near / 2) - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {terminal.subject}")
    return found


def pads_of(room: Room) -> list[Joint]:
    """What is drawn where something is soldered: every lug, and joints away from lugs."""
    return [Joint(t.at, t.keep, (i,)) for i, t in enumerate(room.terminals) if t.keep > 0] + list(room.joints)


def touched(room: Room, routes: Sequence[Route]) -> int:
    """How often a lead is drawn over a lug or a joint that is not its own; lugs behind its own do not count."""
    lines = [LineString(r.path.flat(0.05)) if r.length > 0 else Spot(r.path.start) for r in routes]
    pads = pads_of(room)
    if not pads or not lines:
        return 0
    tree = shapely.STRtree(np.array([Spot(pad.at).buffer(pad.keep) for pad in pads], dtype=object))
    rows, hits = tree.query(np.array(lines, dtype=object), predicate="intersects")
    pairs = [(int(row), pads[int(hit)]) for row, hit in zip(rows, hits, strict=True)]
    return sum(lines[row].distance(Spot(pad.at)) < pad.keep + room.runs[row].wider - ROUNDED
               for row, pad in pairs if not is_own_pad(room, room.runs[row], pad))


def is_own_pad(room: Room, run: Run, pad: Joint) -> bool:
    """Whether a lead may lie there: it ends there, or on a lug in front of it or behind it."""
    body = room.terminals[pad.own[0]].body if pad.own else ""
    ends = (room.terminals[run.start], room.terminals[run.end])
    return run.start in pad.own or run.end in pad.own or any(
        end.body == body and end.at.distance(pad.at) < _BEHIND for end in ends)


def _near_bodies(yard: Yard, run: Run, line: LineString | Spot) -> list[str]:
    """Foreign bodies crossed or come too near to; a part that the lead ends on is its own to lie against."""
    room = yard.room
    places, bodies = _ends(room, run)
    middle = _middle(places, line)
    found = []
    for obstacle, shape in zip(room.obstacles, yard.bodies, strict=True):
        passed = obstacle.passable or (obstacle.subject in run.past and not obstacle.metal)
        if passed or obstacle.subject in bodies or shape.is_empty:
            continue
        close = any(shape.distance(Spot(p)) < room.clearance for p in places)
        part = middle if close else line
        if part.is_empty:
            continue
        apart = part.distance(shape)
        if part.intersection(shape).length > _SLACK:
            found.append(f"crosses {obstacle.subject}")
        elif apart < room.clearance - _SLACK:
            found.append(f"comes within {apart:.1f} mm of {obstacle.subject}")
    return found


def _near_wall(yard: Yard, run: Run, line: LineString | Spot) -> list[str]:
    middle = _middle(_ends(yard.room, run)[0], line)
    if middle.is_empty:
        return []
    if not yard.outline.buffer(_SLACK).covers(middle):
        return ["leaves the cavity"]
    apart = middle.distance(yard.outline.exterior)
    return [f"comes within {apart:.1f} mm of the wall"] if apart < yard.room.clearance - _SLACK else []


def with_overlaps(room: Room, routes: Sequence[Route]) -> list[Route]:
    """The routes with a fault where a lead lies on top of another for more than they need to cross."""
    lines = [LineString(r.path.flat(0.05)) if r.length > 0 else Spot(r.path.start) for r in routes]
    fat = [line.buffer(_ON * run.width, cap_style="flat") for line, run in zip(lines, room.runs, strict=True)]
    faults = [list(route.faults) for route in routes]
    for i, j in _lying(room, lines, fat):
        run, other = room.runs[i], room.runs[j]
        long = _shared(room, (run, other), fat[i], lines[j])
        long -= 4 * _ON * run.width * _meetings(lines[i], lines[j])
        if long > _LYING * run.width:
            faults[i].append(f"lies on {other.subject} for {long:.1f} mm: the gap is too narrow for both")
    return [replace(route, faults=tuple(found)) for route, found in zip(routes, faults, strict=True)]


def _lying(room: Room, lines: Sequence[BaseGeometry], fat: Sequence[BaseGeometry]) -> list[tuple[int, int]]:
    """The pairs of leads, the later first, of which one may lie on the other for too long, ends counted."""
    first, second = shapely.STRtree(lines).query(fat, predicate="intersects")
    later = second < first
    first, second = first[later], second[later]
    wide = np.array(fat, dtype=object)[first]
    inside = shapely.length(shapely.intersection(np.array(lines, dtype=object)[second], wide))
    long = inside > _LYING * np.array([run.width for run in room.runs])[first]
    return sorted(zip(first[long].tolist(), second[long].tolist(), strict=True))


def _shared(room: Room, pair: tuple[Run, Run], fat: BaseGeometry, line: BaseGeometry) -> float:
    """How much (mm) of a lead lies on the other, away from the ends of either."""
    ends = [room.terminals[i].at for run in pair for i in (run.start, run.end)]
    inside = line.intersection(fat)
    return float(inside.difference(shapely.union_all([Spot(p).buffer(_FANNED) for p in ends])).length)


def _meetings(one: BaseGeometry, other: BaseGeometry) -> int:
    met = one.intersection(other)
    return sum(1 for g in getattr(met, "geoms", [met]) if g.geom_type == "Point" and not g.is_empty)


def joined(parts: Sequence[Sequence[Point]]) -> list[Point]:
    """Corner lists end to end, shared ends once."""
    points: list[Point] = []
    for part in parts:
        points += [p for p in part if not points or p != points[-1]]
    return points
