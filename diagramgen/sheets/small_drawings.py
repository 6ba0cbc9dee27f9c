"""Several small drawings of one plan on a page: how they stand, their scale, letters that keep their height."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from diagramgen.drawing.scene import Group, Mark, Text
from diagramgen.kernel.geometry import Box, Path, Point, Transform, moved, polyline, scaled
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import SheetContext
from diagramgen.sheets.frame import FOOT, MARGIN
from diagramgen.sheets.title_block import HEAD

NAME, TAG, CAPTION = 2.5, 1.8, 2.5
"""Capital heights on the sheet, mm; tags, and names in small pictures, as small as inside a full-size drawing."""
SMALL = 0.55
"""Below this scale names are lettered like tags."""
GOOD = 0.62
"""Scale at which one page is enough."""
HEADER = 13.0
"""Height of a picture's caption, mm."""
GAP = 3.0
EDGE = 7.0
"""Room round a picture's plan for labels, mm on the sheet."""
LARGEST = 1.5
"""A picture is never larger than this: beyond, a line shows no more."""


@dataclass(frozen=True)
class _Grid:
    """How pictures stand on a page."""

    paper: Paper
    across: int
    down: int
    scale: float = 0.0
    tallest: float = math.inf
    """What a picture with its caption needs, mm: a cell is never stretched beyond that."""

    def window(self, i: int) -> Box:
        """The place of picture ``i`` of a page, caption and all."""
        room = _room(self.paper)
        wide = (room.width - GAP * (self.across - 1)) / self.across
        tall = min((room.height - GAP * (self.down - 1)) / self.down, self.tallest)
        left = room.left + (i % self.across) * (wide + GAP)
        top = room.top + (i // self.across) * (tall + GAP)
        return Box(left, top, left + wide, top + tall)


def _room(paper: Paper) -> Box:
    return Box(MARGIN + 3, MARGIN + HEAD + 3, paper.width - MARGIN - 3, paper.height - MARGIN - FOOT - 8)


def best_grid(context: SheetContext, paper: Paper, count: int) -> _Grid:
    """The arrangement that shows ``count`` pictures largest."""
    found = []
    for sheet in (paper.landscape(), paper):
        for across in range(1, count + 1):
            grid = _Grid(sheet, across, math.ceil(count / across))
            scale = _scale(context, grid.window(0))
            tallest = HEADER + 2 * EDGE + context.layout.box.height * scale
            found.append(replace(grid, scale=scale, tallest=tallest))
    return max(found, key=lambda g: round(g.scale, 4))


def _scale(context: SheetContext, window: Box) -> float:
    box = context.layout.box
    tall = window.height - HEADER
    return max(0.05, min((window.width - 2 * EDGE) / box.width, (tall - 2 * EDGE) / box.height, LARGEST))


@dataclass(frozen=True)
class Placed:
    """Where a small drawing of the plan stands in its window."""

    room: Box
    """Free below the caption, mm on the paper."""
    place: Transform
    """From the plan (mm in the instrument) to the paper."""
    scale: float
    """mm on the paper for one mm of the plan."""
    frame: Box
    """The room in the plan's mm, 1 mm of paper less on each side."""


def placed_in(context: SheetContext, window: Box) -> Placed:
    """Centre the plan in the part of a window (mm on the paper) that its caption leaves free.

    It is drawn as large as it fits, ``LARGEST`` at most.
    """
    box, scale = context.layout.box, _scale(context, window)
    room = Box(window.left, window.top + HEADER, window.right, window.bottom)
    place = scaled(scale).then(moved(Point(room.centre.x - box.centre.x * scale, room.centre.y - box.centre.y * scale)))
    back = place.inverse()
    upper, lower = back(Point(room.left + 1, room.top + 1)), back(Point(room.right - 1, room.bottom - 1))
    return Placed(room, place, scale, Box(upper.x, upper.y, lower.x, lower.y))


def lettered(marks: Iterable[Mark], scale: float) -> list[Mark]:
    """Scale the heights of all texts from mm of the plan to mm of the paper.

    A ``Viewport`` makes shapes smaller but leaves texts as high as they are.
    """
    found: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Text):
            found.append(replace(mark, height=mark.height * scale))
        elif isinstance(mark, Group):
            found.append(replace(mark, children=tuple(lettered(mark.children, scale))))
        else:
            found.append(mark)
    return found


def bar(a: Point, b: Point, half: float = 0.55) -> Path:
    """A bar from lug to lug, for a contact."""
    side = a.angle_to(b) + math.pi / 2
    return polyline([a.towards(side, half), b.towards(side, half), b.towards(side, -half), a.towards(side, -half)],
                    closed=True)
