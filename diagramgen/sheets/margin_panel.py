"""What stands beside a diagram: measuring square with the key, folded-out details, notes, cautions, bar."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.drawing.foldout import WIDTH, foldout_marks, foldouts, lug_leads
from diagramgen.drawing.scene import Mark, Role, Shape, Text, Viewport
from diagramgen.kernel.geometry import Box, Point, moved, polyline
from diagramgen.layout.model import Layout
from diagramgen.lettering import wrap
from diagramgen.sheets.context import SheetContext
from diagramgen.sheets.frame import cautions
from diagramgen.sheets.glance import glance_marks
from diagramgen.sheets.legend import legend
from diagramgen.sheets.problem_notes import note_marks
from diagramgen.sheets.scale_marks import BAR, SQUARE, TRUE, Correction, bar, square, upright_bar

PANEL = 58.0
"""Width of the panel, mm: the 50 mm square with air round it."""
STRIP = 12.0
"""Height of the strip with the bar, mm."""
GLANCE = 0.6
"""Share of a bench page's panel, cautions apart, that what sounds where may take."""
NARROW = 45.0
"""A strip with less room than this beside its bar, mm, has its words above and below it."""
NOT_TO_SCALE = "Between and outside cavities: not to scale."


HOW = "Print at 100 %, no scaling. Measure bars and square."


def strip(
    room: Box, right: float, correction: Correction = TRUE, says: str = NOT_TO_SCALE, how: str = HOW
) -> list[Mark]:
    """The strip at the foot of a full-size sheet: bars, how to print, what was corrected for the printer."""
    base = room.bottom - 4.0
    rule = polyline([Point(room.left, room.bottom - STRIP + 1), Point(right, room.bottom - STRIP + 1)])
    left = room.left + 24 + BAR * correction.across
    if right - left < NARROW:
        below = correction.words() if correction.needed else says
        return [Shape((rule,), Role.TABLE_RULE), bar(Point(room.left + 5, base), correction=correction),
                upright_bar(Point(room.left - 2.4, room.bottom), correction),
                Text(how, Point(room.left + 9, base - 3.9), 1.8, bold=True),
                Text(below, Point(room.left + 5, room.bottom - 1.0), 1.8, bold=correction.needed)]
    first = wrap(how, 1.8, right - left - 1, True)
    lines = [*first, *wrap(says, 1.8, right - left - 1)]
    top = base - 2.6 if len(lines) < 3 else base - 4.4
    marks: list[Mark] = [
        Shape((rule,), Role.TABLE_RULE),
        bar(Point(room.left + 5, base), correction=correction),
        upright_bar(Point(room.left - 2.4, room.bottom), correction),
        *(Text(line, Point(left, top + 3.2 * i), 1.8, bold=i < len(first)) for i, line in enumerate(lines)),
    ]
    if correction.needed:
        marks.append(Text(correction.words(), Point(room.left + 5, room.bottom - 1.0), 1.8, bold=True))
    return marks


def measured_square(layout: Layout, corner: Point, correction: Correction = TRUE) -> list[Mark]:
    """The 50 mm square with its upper left corner at ``corner``; the key stands inside it."""
    end = Point(corner.x + SQUARE * correction.across - 1, corner.y + 2.8)
    words = Text("50 mm", end, 1.8, "end", bold=True, role=Role.SCALE_TEXT)
    return [square(corner, correction), legend(layout, Point(corner.x + 1.5, corner.y + 1.0)), words]


def column(context: SheetContext, box: Box, with_square: bool = True) -> list[Mark]:
    """The panel as an upright column."""
    marks: list[Mark] = []
    y = box.top
    if with_square:
        wide = SQUARE * context.correction.across
        marks += measured_square(context.layout, Point(box.left + (box.width - wide) / 2, y), context.correction)
        y += SQUARE * context.correction.down + 3
    warned, used = cautions(Point(box.left, 0), box.width)
    floor = box.bottom - used
    window = Box(box.left - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    if not with_square:
        said, tall = glance_marks(context.glance, Point(box.left, y), box.width, (floor - y) * GLANCE)
        marks += said
        y += tall + 2
    shown, y, left_out = _details(context, Box(box.left, y, box.right, floor - 2))
    below = Box(box.left, y, box.right, floor - 2)
    return [*marks, *shown, *note_marks(_with(context.notes, left_out), below, context.listed)]


def band(context: SheetContext, box: Box) -> list[Mark]:
    """The panel lying below an upright sheet's drawing: square, details, then notes over cautions."""
    marks = measured_square(context.layout, Point(box.left + 1, box.top + 1), context.correction)
    x = box.left + SQUARE * context.correction.across + 5
    leads = lug_leads(context.layout)
    left_out: list[str] = []
    for part, columns in foldouts(context.layout):
        group, height = foldout_marks(part, columns, leads, context.roles, Point(x, box.top), 1.0)
        if height > box.height or x + 2 * WIDTH + 4 > box.right:
            left_out.append(part.part.says)
            continue
        marks.append(group)
        x += WIDTH + 4
    warned, used = cautions(Point(x, 0), box.right - x)
    floor = box.bottom - used
    window = Box(x - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    above = Box(x, box.top, box.right, floor - 1)
    return [*marks, *note_marks(_with(context.notes, left_out), above, context.listed)]


def page(context: SheetContext, box: Box) -> list[Mark]:
    """The panel as a page of its own: key, every folded-out detail, all notes, cautions."""
    marks: list[Mark] = [legend(context.layout, Point(box.left, box.top))]
    leads = lug_leads(context.layout)
    x, y, tallest = box.left + SQUARE + 6, box.top, 46.0
    for part, columns in foldouts(context.layout):
        group, height = foldout_marks(part, columns, leads, context.roles, Point(x, y), 1.0)
        marks.append(group)
        tallest = max(tallest, height)
        x += WIDTH + 8
        if x + WIDTH > box.right:
            x, y, tallest = box.left, y + tallest + 6, 0.0
    warned, used = cautions(Point(box.left, 0), box.width)
    floor = box.bottom - used
    window = Box(box.left - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    rest = Box(box.left, y + tallest + 4, box.right, floor - 2)
    return [*marks, *note_marks(context.notes, rest, context.listed)]


def _with(notes: Sequence[str], left_out: Sequence[str]) -> list[str]:
    """The notes, led by where the details are that found no room."""
    if not left_out:
        return list(notes)
    return ["Lugs from the side of " + ", ".join(left_out) + ": see the details sheet.", *notes]


def _details(context: SheetContext, box: Box) -> tuple[list[Mark], float, list[str]]:
    """As many folded-out details as fit below one another; returns the names of the others."""
    marks: list[Mark] = []
    leads = lug_leads(context.layout)
    left_out: list[str] = []
    y = box.top
    for part, columns in foldouts(context.layout):
        group, height = foldout_marks(part, columns, leads, context.roles, Point(box.left, y), 1.0)
        if y + height > box.bottom:
            left_out.append(part.part.says)
            continue
        marks.append(group)
        y += height + 2
    return marks, y, left_out


def details_left_out(context: SheetContext, upright: bool) -> bool:
    """Whether any detail finds no room in the panel, so that a details sheet is needed."""
    box = Box(0, SQUARE + 3, PANEL, 130) if not upright else Box(0, 0, 187, 62)
    if upright:
        return len(foldouts(context.layout)) > 1
    return bool(_details(context, box)[2])
