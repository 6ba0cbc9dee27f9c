"""The folded-out detail: lugs that lie behind one another, seen from the side at twice size."""

from __future__ import annotations

import math
from collections.abc import Mapping

from diagramgen.drawing.parts import stacks
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.geometry import Box, Point, circle, polyline, rounded_box
from diagramgen.layout.model import Layout, PlacedLug, PlacedPart
from diagramgen.lettering import TextAnchor, fit, wrap

SCALE = 2.0
WIDTH = 54.0


def lug_leads(layout: Layout) -> dict[str, list[str]]:
    """Lug key -> what is soldered there: tag and colour word of every lead."""
    found: dict[str, list[str]] = {}
    for laid in layout.leads:
        lead = laid.lead
        word = lead.colour.short if lead.colour else lead.kind
        text = word if lead.kind in ("leg", "bend", "bridge") else f"{lead.tag} {word}"
        for end in (lead.start, lead.end):
            if end.known:
                found.setdefault(str(end), []).append(text)
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
    part: PlacedPart, columns: list[list[PlacedLug]], leads: Mapping[str, list[str]], at: Point, scale: float
) -> tuple[Group, float]:
    """The detail with its upper left corner at ``at``, 54 mm wide; returns it and its height in mm.

    ``scale`` is the plan's own, so that distances along the face are twice the true ones.
    """
    depths = sorted({round(lug.depth, 2) for column in columns for lug in column})
    first = columns[0][0].at
    axis = first.angle_to(columns[-1][0].at) if len(columns) > 1 else 0.0
    shares = [math.cos(axis) * (c[0].at.x - first.x) + math.sin(axis) * (c[0].at.y - first.y) for c in columns]
    width = SCALE * (shares[-1] / scale)
    pitch = max(SCALE * (depths[1] - depths[0]) if len(depths) > 1 else 8.0, 8.0)
    left, top = at.x + WIDTH / 2 - width / 2, at.y + 13.0
    bottom = top + pitch * (len(depths) - 1) + 5.0
    marks: list[Mark] = [
        Text(fit(f"{part.part.says}: lugs from the side, 2:1", 1.8, WIDTH, True), Point(at.x, at.y + 3.0), 1.8,
             bold=True),
        Text("toward the wood", Point(at.x + WIDTH / 2, at.y + 7.0), 1.8, "middle", role=Role.ARROW_TEXT),
        Shape((polyline([Point(left - 6, at.y + 8.2), Point(left + width + 6, at.y + 8.2)]),), Role.CAVITY_WALL),
        Shape((rounded_box(Box(left - 4, top - 3.4, left + width + 4, bottom), 1.0),), Role.BODY),
    ]
    for i, column in enumerate(columns):
        x = left + SCALE * shares[i] / scale
        to_left = i < len(columns) / 2 and len(columns) > 1
        for lug in column:
            y = top + pitch * depths.index(round(lug.depth, 2))
            marks += _lug(part, lug, leads.get(lug.key, []), Point(x, y), to_left, at.x)
    alt = f"{part.part.says}, lugs that lie behind one another, from the side"
    return Group(tuple(marks), f"detail:{part.part.name}", alt, Kind.FIGURE), bottom - at.y + 2.0


def _lug(
    part: PlacedPart, lug: PlacedLug, leads: list[str], at: Point, to_left: bool, edge: float
) -> list[Mark]:
    marks: list[Mark] = [Shape((circle(at, 1.5),), Role.LUG), Shape((circle(at, 0.8),), Role.LUG_HOLE)]
    if leads:
        marks.append(Shape((circle(at, 0.9),), Role.JOINT))
    name = part.part.symbol.lug_words.get(lug.name, lug.name)
    x = at.x - 5.0 if to_left else at.x + 5.0
    room = (x - edge) if to_left else (edge + WIDTH - x)
    anchor: TextAnchor = "end" if to_left else "start"
    marks.append(Text(fit(name, 1.8, room, True), Point(x, at.y - 0.2), 1.8, anchor, bold=True, role=Role.LUG_TEXT))
    lines = wrap(", ".join(leads) if leads else "free", 1.8, room)
    lines = lines if len(lines) < 3 else [lines[0], fit(" ".join(lines[1:]), 1.8, room)]
    for i, line in enumerate(lines):
        marks.append(Text(line, Point(x, at.y + 2.5 + 2.6 * i), 1.8, anchor, role=Role.LUG_TEXT))
    return marks
