"""The folded-out detail: lugs that lie behind one another, seen from the side at twice size, each told for itself."""

from __future__ import annotations

import math
from collections.abc import Mapping
from itertools import pairwise

from diagramgen.drawing.braids import braid_ends
from diagramgen.drawing.parts import earth_sign, stacks
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, circle, polyline, rounded_box
from diagramgen.layout.model import Layout, PlacedLug, PlacedPart
from diagramgen.layout.pads import EYELET
from diagramgen.lettering import TextAnchor, fit, wrap

SCALE = 2.0
WIDTH = 54.0
EDGE, APART = 4.0, 4.15
"""From the side of the detail to its outer lugs, and from one column of lugs to the next at least, mm."""
RING, LETTERED = 1.1, 1.9
"""Radius of the ring round a lug on ground, and of a lug with a letter in it, mm."""


def lug_leads(layout: Layout) -> dict[str, list[str]]:
    """Lug key -> what is soldered there: tag and colour word of every lead, and of which lead the braid."""
    found: dict[str, list[str]] = {}
    for laid in layout.leads:
        lead = laid.lead
        word = lead.colour.short if lead.colour else lead.kind
        text = word if lead.kind in ("leg", "bend", "bridge") else f"{lead.tag} {word}"
        for end in (lead.start, lead.end):
            if end.known:
                found.setdefault(str(end), []).append(text)
    for laid, end in braid_ends(layout):
        found.setdefault(str(end), []).append(f"braid of {laid.lead.tag}")
    return found


def foldouts(layout: Layout) -> list[tuple[PlacedPart, list[list[PlacedLug]]]]:
    """Parts that need a detail, with their columns of lugs from left to right as seen on the plan."""
    result = []
    for part in layout.parts.values():
        columns = stacks(part)
        if columns:
            result.append((part, sorted(columns, key=lambda c: (round(c[0].at.x, 2), round(c[0].at.y, 2)))))
    return result


def foldout_marks(
    part: PlacedPart, columns: list[list[PlacedLug]], leads: Mapping[str, list[str]], roles: Mapping[str, str],
    at: Point, scale: float,
) -> tuple[Group, float]:
    """The detail with its upper left corner at ``at``, 54 mm wide; returns it and its height in mm.

    ``roles`` says which lugs are on ground: each that is and bears a lead has a ring and an earth sign of its own.
    ``scale`` is the plan's own, so that distances along the face are twice the true ones. With more than two
    columns there is no room for words beside the lugs: each then has a letter, and a list stands below.
    """
    face = _face(columns, at, scale)
    measure = "2:1" if _in_line(columns, scale) else "not to scale"
    marks: list[Mark] = [
        Text(fit(f"{part.part.says}: lugs from the side, {measure}", 1.8, WIDTH, True), Point(at.x, at.y + 3.0), 1.8,
             bold=True),
        Text("toward the wood", Point(at.x + WIDTH / 2, at.y + 7.0), 1.8, "middle", role=Role.ARROW_TEXT),
        Shape((polyline([Point(face.left - 6, at.y + 8.2), Point(face.right + 6, at.y + 8.2)]),), Role.CAVITY_WALL),
        Shape((rounded_box(Box(face.left - 4, face.top - 3.4, face.right + 4, face.bottom + 3.4), 1.0),), Role.BODY),
    ]
    bottom = face.bottom + 5.0
    spots = _spots(columns, face, scale)
    if len(columns) <= 2:
        for i, (lug, where) in enumerate(spots):
            to_left = i < len(columns[0]) and len(columns) > 1
            marks += _lug(part, lug, leads.get(lug.key, []), _grounded(lug, leads, roles), where, to_left, at.x)
    else:
        for i, (lug, where) in enumerate(spots):
            marks += _lettered(chr(ord("a") + i), where, _grounded(lug, leads, roles))
        listed, bottom = _list(part, [lug for lug, _ in spots], leads, roles, Point(at.x, bottom))
        marks += listed
    alt = f"{part.part.says}, lugs that lie behind one another, from the side"
    return Group(tuple(marks), f"detail:{part.part.name}", alt, Kind.FIGURE), bottom - at.y + 2.0


def _grounded(lug: PlacedLug, leads: Mapping[str, list[str]], roles: Mapping[str, str]) -> bool:
    return bool(leads.get(lug.key)) and roles.get(lug.key) == "ground"


def _depths(columns: list[list[PlacedLug]]) -> list[float]:
    return sorted({round(lug.depth, 2) for column in columns for lug in column})


def _shares(columns: list[list[PlacedLug]], scale: float) -> list[float]:
    """Where each column stands along the face, mm as drawn from the first; side by side where they would overlap."""
    if _in_line(columns, scale):
        return [SCALE * along / scale for along in _along(columns)]
    step = min((WIDTH - 2 * EDGE) / (len(columns) - 1), 2 * APART)
    return [step * i for i in range(len(columns))]


def _along(columns: list[list[PlacedLug]]) -> list[float]:
    """Where each column stands on the plan, mm from the first toward the last."""
    first = columns[0][0].at
    axis = first.angle_to(columns[-1][0].at) if len(columns) > 1 else 0.0
    return [math.cos(axis) * (c[0].at.x - first.x) + math.sin(axis) * (c[0].at.y - first.y) for c in columns]


def _in_line(columns: list[list[PlacedLug]], scale: float) -> bool:
    """Whether the columns can stand where they are seen from the side: of a ring, some stand before others."""
    places = sorted(SCALE * along / scale for along in _along(columns))
    return all(b - a >= APART for a, b in pairwise(places)) and places[-1] - places[0] <= WIDTH - 2 * EDGE


def _pitch(columns: list[list[PlacedLug]]) -> float:
    """Distance of the rows as drawn: twice the true one, and never too small for two lines of text."""
    depths = _depths(columns)
    return max(SCALE * (depths[1] - depths[0]) if len(depths) > 1 else 8.0, 8.0)


def _face(columns: list[list[PlacedLug]], at: Point, scale: float) -> Box:
    """The box around all lugs' centres, as drawn."""
    width = _shares(columns, scale)[-1]
    left, top = at.x + WIDTH / 2 - width / 2, at.y + 13.0
    return Box(left, top, left + width, top + _pitch(columns) * (len(_depths(columns)) - 1))


def _spots(columns: list[list[PlacedLug]], face: Box, scale: float) -> list[tuple[PlacedLug, Point]]:
    depths, pitch = _depths(columns), _pitch(columns)
    return [
        (lug, Point(face.left + share, face.top + pitch * depths.index(round(lug.depth, 2))))
        for column, share in zip(columns, _shares(columns, scale), strict=True)
        for lug in column
    ]


def _lug(
    part: PlacedPart, lug: PlacedLug, leads: list[str], grounded: bool, at: Point, to_left: bool, edge: float
) -> list[Mark]:
    marks: list[Mark] = [Shape((circle(at, 1.5),), Role.LUG), Shape((circle(at, EYELET),), Role.LUG_HOLE)]
    if grounded:
        marks += [Shape((circle(at, RING),), Role.JOINT_GROUND), Shape((circle(at, 0.3),), Role.SOLID)]
        marks += _sign(Point(at.x, at.y + RING))
    elif leads:
        marks.append(Shape((circle(at, 0.9),), Role.JOINT))
    x = at.x - 5.0 if to_left else at.x + 5.0
    room = (x - edge) if to_left else (edge + WIDTH - x)
    anchor: TextAnchor = "end" if to_left else "start"
    name = _name(part, lug)
    marks.append(Text(fit(name, 1.8, room, True), Point(x, at.y - 0.2), 1.8, anchor, bold=True, role=Role.LUG_TEXT))
    lines = wrap(", ".join(leads) if leads else "free", 1.8, room)
    lines = lines if len(lines) < 3 else [lines[0], fit(" ".join(lines[1:]), 1.8, room)]
    for i, line in enumerate(lines):
        marks.append(Text(line, Point(x, at.y + 2.5 + 2.6 * i), 1.8, anchor, role=Role.LUG_TEXT))
    return marks


def _name(part: PlacedPart, lug: PlacedLug) -> str:
    return part.part.symbol.lug_words.get(lug.name, lug.name)


def _sign(at: Point) -> list[Mark]:
    return [Shape(earth_sign(at), Role.GROUND)]


def _lettered(letter: str, at: Point, grounded: bool) -> list[Mark]:
    ground = [Shape((circle(at, LETTERED),), Role.JOINT_GROUND), *_sign(Point(at.x, at.y + LETTERED))]
    return [*(ground if grounded else [Shape((circle(at, LETTERED),), Role.LUG)]),
            Text(letter, Point(at.x, at.y + 0.8), 1.8, "middle", bold=True, role=Role.LUG_TEXT)]


def _list(
    part: PlacedPart, lugs: list[PlacedLug], leads: Mapping[str, list[str]], roles: Mapping[str, str], at: Point
) -> tuple[list[Mark], float]:
    """A line a lug: letter, name, leads, whether it is on ground; returns where it ends."""
    marks: list[Mark] = []
    y = at.y
    for i, lug in enumerate(lugs):
        words = f"{chr(ord('a') + i)}  {_name(part, lug)}: " + (", ".join(leads.get(lug.key, [])) or "free")
        words += " (ground)" if _grounded(lug, leads, roles) else ""
        for line in wrap(words, 1.8, WIDTH):
            y += 2.9
            marks.append(Text(line, Point(at.x, y), 1.8, role=Role.LUG_TEXT))
    return marks, y + 1.0
