"""The full-size diagram over several sheets: overlap, join lines, and a key that shows how they meet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagramgen.drawing.diagram import Drawing, Look, draw
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.drawing.view import seen
from diagramgen.kernel.geometry import Box, Point, Transform, box_around, moved, polyline, rounded_box, scaled
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import FULL_SIZE, SheetContext
from diagramgen.sheets.frame import framed
from diagramgen.sheets.margin_panel import column, strip

OVERLAP = 12.0
"""How far neighbouring pieces overlap, mm."""


@dataclass(frozen=True)
class Pieces:
    """How a plan is cut: the room of one piece on its sheet in true mm, and how many across and down."""

    plan: Box
    room: Box
    across: int
    down: int

    def origin(self, at: tuple[int, int]) -> Point:
        """Upper left corner of a piece on the plan, mm."""
        return Point(self.plan.left + at[0] * (self.room.width - OVERLAP),
                     self.plan.top + at[1] * (self.room.height - OVERLAP))

    def name(self, at: tuple[int, int]) -> str:
        """``B2``: second column, second row."""
        return f"{chr(ord('A') + at[0])}{at[1] + 1}"

    def all(self) -> list[tuple[int, int]]:
        """Every piece, row by row."""
        return [(column_, row) for row in range(self.down) for column_ in range(self.across)]


def cut(plan: Box, room: Box) -> Pieces:
    """The fewest pieces that cover the plan, centred on it."""
    across = max(1, math.ceil((plan.width - OVERLAP) / (room.width - OVERLAP)))
    down = max(1, math.ceil((plan.height - OVERLAP) / (room.height - OVERLAP)))
    width = across * (room.width - OVERLAP) + OVERLAP
    height = down * (room.height - OVERLAP) + OVERLAP
    left, top = plan.centre.x - width / 2, plan.centre.y - height / 2
    return Pieces(Box(left, top, left + width, top + height), room, across, down)


def tile(context: SheetContext, paper: Paper, drawing: Drawing, pieces: Pieces, at: tuple[int, int], stamp: str,
         number: int, count: int) -> Sheet:
    """One piece at full size, with bar, square and join lines."""
    name = pieces.name(at)
    words = f"{stamp}, piece {name}"
    page = framed(paper, context.job, words, context.neck, number, count, context.warning)
    room, origin = pieces.room, pieces.origin(at)
    figure = Group(drawing.marks, "diagram", f"wiring diagram, piece {name}", Kind.FIGURE)
    shift = moved(Point(room.left - origin.x, room.top - origin.y))
    stretch = context.correction.place(room.centre)
    window = box_around(stretch(c) for c in room.corners())
    marks: list[Mark] = [*page.marks, Viewport(window, shift.then(stretch), (figure,)),
                         Viewport(window, stretch, tuple(joins(pieces, at)))]
    marks += strip(page.room, window.right, context.correction)
    panel = Box(window.right + 2, page.room.top + 2, page.room.right - 2, page.room.bottom - 2)
    marks += column(context, panel)
    return Sheet(paper.width, paper.height, words, tuple(marks), f"tile-{name}")


def joins(pieces: Pieces, at: tuple[int, int]) -> list[Mark]:
    """Lines in the middle of each overlap with the name of the neighbour that joins there."""
    room, half = pieces.room, OVERLAP / 2
    column_, row = at
    marks: list[Mark] = []
    for x, neighbour in ((room.left + half, (column_ - 1, row)), (room.right - half, (column_ + 1, row))):
        if 0 <= neighbour[0] < pieces.across:
            marks += [Shape((polyline([Point(x, room.top), Point(x, room.bottom)]),), Role.CROP, "tile:join"),
                      Text(f"joins {pieces.name(neighbour)}", Point(x - 0.8, room.centre.y), 1.8, "middle",
                           -math.pi / 2, role=Role.TILE_TEXT)]
    for y, neighbour in ((room.top + half, (column_, row - 1)), (room.bottom - half, (column_, row + 1))):
        if 0 <= neighbour[1] < pieces.down:
            marks += [Shape((polyline([Point(room.left, y), Point(room.right, y)]),), Role.CROP, "tile:join"),
                      Text(f"joins {pieces.name(neighbour)}", Point(room.centre.x, y - 0.8), 1.8, "middle",
                           role=Role.TILE_TEXT)]
    return marks


def key(context: SheetContext, paper: Paper, pieces: Pieces, number: int, count: int) -> Sheet:
    """The whole plan made small, with the pieces drawn over it."""
    stamp = f"key to the pieces of the {'full-size ' * (context.size == FULL_SIZE)}diagram"
    page = framed(paper, context.job, stamp, context.neck, number, count, context.warning)
    inner = page.room.grown(-5)
    scale = min(inner.width / pieces.plan.width, inner.height / pieces.plan.height)
    shift = moved(Point(inner.centre.x - pieces.plan.centre.x * scale, inner.centre.y - pieces.plan.centre.y * scale))
    place = scaled(scale).then(shift)
    look = Look(tags=False, lug_names=False, values=False, small_height=1.8, name_height=2.5)
    drawing = draw(seen(context.layout, place), context.roles, look, inner)
    figure = Group(drawing.marks, "key", "the whole plan, made small", Kind.FIGURE)
    marks: list[Mark] = [*page.marks, Viewport(inner, Transform(), (figure,), min(1.0, scale))]
    for at in pieces.all():
        corner = place(pieces.origin(at))
        box = Box(corner.x, corner.y, corner.x + pieces.room.width * scale, corner.y + pieces.room.height * scale)
        marks += [Shape((rounded_box(box, 0),), Role.CROP),
                  Text(pieces.name(at), Point(box.left + 3, box.top + 7), 5.0, bold=True, role=Role.TILE_TEXT)]
    return Sheet(paper.width, paper.height, stamp, tuple(marks), "tile-key")
