"""Where a large sheet is folded so that it lies in the job's folder with the others."""

from __future__ import annotations

from diagramgen.drawing.scene import Mark, Role, Shape, Text
from diagramgen.geometry import Point, polyline
from diagramgen.sheets.paper import PAPERS, Paper

EDGE, REACH = 4.5, 4.5
"""A mark begins so far from the edge of the paper (most printers print no nearer) and is so long, mm."""
FOLDED = {"A3": "A4", "Tabloid": "Letter"}
"""Sheets that fold in half to a size of the same family (ISO 216: the longer side is halved)."""


def fold_marks(paper: Paper) -> list[Mark]:
    """A short line at either edge where the sheet is folded in half, none on sheets that need no fold."""
    if paper.name not in FOLDED:
        return []
    said = f"fold to {PAPERS[FOLDED[paper.name].lower()].name}"
    marks: list[Mark] = []
    if paper.width > paper.height:
        x = paper.width / 2
        for y in (EDGE, paper.height - EDGE - REACH):
            marks.append(Shape((polyline([Point(x, y), Point(x, y + REACH)]),), Role.CROP, "fold"))
        marks.append(Text(said, Point(x + 1.5, EDGE + 3.0), 1.8, role=Role.TILE_TEXT, subject="fold"))
        return marks
    y = paper.height / 2
    for x in (EDGE, paper.width - EDGE - REACH):
        marks.append(Shape((polyline([Point(x, y), Point(x + REACH, y)]),), Role.CROP, "fold"))
    return marks
