"""The check picture: the outline over the straightened photograph, at full size where the paper holds it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from diagramgen.drawing.scene import Group, Image, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.kernel.geometry import Box, Path, Point, Transform, polyline, rounded_box
from diagramgen.kernel.paper import Paper, larger
from diagramgen.kernel.units import number
from diagramgen.lettering import text_width
from diagramgen.sheets.frame import JobLine, Page, framed
from diagramgen.sheets.scale_marks import bar

FOOT = 30.0
"""Room below the picture for the bar and the words, mm."""
PITCH = 4.2


def check_sheet(
    photograph: bytes, box: Box, outline: Path, words: Sequence[str], name: str, paper: Paper
) -> Sheet:
    """One sheet; ``box`` is what the photograph fills in the outline's own mm, ``words`` stand below it."""
    own = outline.box()
    foot = FOOT + PITCH * max(0, len(words) - 3)
    page, scale = _page(paper, box, foot, name)
    room = page.room
    window = Box(room.left + 4, room.top + 4, room.right - 4, room.bottom - foot)
    middle = box.centre
    place = Transform(a=scale, d=scale, e=window.centre.x - scale * middle.x, f=window.centre.y - scale * middle.y)
    seen: list[Mark] = [
        Image(photograph, box, "photograph", "the photograph, straightened"),
        Shape((outline,), Role.LEAD_HALO),
        Shape((outline,), Role.CURVE, "outline"),
    ]
    # Thin lines: what is to be judged is whether the rim runs below them.
    marks: list[Mark] = [Viewport(window, place, tuple(seen), 0.5), *_measures(own, place, box)]
    y = room.bottom - foot + 9
    if scale == 1.0:
        marks.append(bar(Point(room.left + 6, y)))
    else:
        marks.append(bar(Point(room.left + 6, y), 100 * scale, f"100 mm, drawn {number(100 * scale)} %"))
    for i, line in enumerate(words):
        marks.append(Text(line, Point(room.left + 6, y + 7 + PITCH * i), 2.3))
    alt = f"the outline over the photograph, {number(own.width)} by {number(own.height)} mm"
    figure = Group(tuple(marks), "", alt, Kind.FIGURE)
    return Sheet(page.width, page.height, "check of an outline", (*page.marks, figure), "trace-check")


def _page(paper: Paper, box: Box, foot: float, name: str) -> tuple[Page, float]:
    """The smallest page of the family that holds the picture at full size; else the largest, and the scale."""
    job = JobLine("outline", f"outline from a picture: {name}", "", "", "", "", "", "")
    best, most = paper, 0.0
    for sheet in (paper, paper.landscape(), larger(paper), larger(paper).landscape()):
        probe = framed(sheet, job, "full size", None, 1, 1)
        fits = min((probe.room.width - 8) / box.width, (probe.room.height - 4 - foot) / box.height)
        if fits >= 1:
            return probe, 1.0
        if fits > most:
            best, most = sheet, fits
    scale = int(most * 20) / 20 or most
    return framed(best, job, f"drawn {number(100 * scale)} %: not full size", None, 1, 1), scale


def _measures(own: Box, place: Transform, box: Box) -> list[Mark]:
    """Length and width of the outline, beside it in the wood."""
    gap = min(9.0, -box.top / 2)
    a, b = place(Point(own.left, own.top - gap)), place(Point(own.right, own.top - gap))
    c, d = place(Point(own.left - gap, own.top)), place(Point(own.left - gap, own.bottom))
    marks: list[Mark] = []
    for start, end, upright in ((a, b, False), (c, d, True)):
        tick = Point(1.4, 0.0) if upright else Point(0.0, 1.4)
        lines = [polyline([start, end]), *(polyline([p.minus(tick), p.plus(tick)]) for p in (start, end))]
        words = number(own.height if upright else own.width)
        middle = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
        half = Point(2.2, text_width(words, 2.2) / 2 + 1.2)
        half = half if upright else Point(half.y, half.x)
        marks += [Shape((line,), Role.DIMENSION) for line in lines]
        marks.append(Shape((rounded_box(Box(middle.x - half.x, middle.y - half.y, middle.x + half.x, middle.y + half.y),
                                        0.8),), Role.TAG))
        if upright:
            marks.append(Text(words, middle.plus(Point(1.1, 0)), 2.2, "middle", -math.pi / 2, role=Role.DIMENSION_TEXT))
        else:
            marks.append(Text(words, middle.plus(Point(0, 1.1)), 2.2, "middle", role=Role.DIMENSION_TEXT))
    return marks
