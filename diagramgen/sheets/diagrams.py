"""Diagram sheets: full size (tiled where the page is too small), enlarged for the bench wall, and the jig."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.drawing.diagram import Drawing, Look, draw
from diagramgen.drawing.foldout import foldout_marks, foldouts, lug_leads
from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.drawing.view import seen
from diagramgen.geometry import Box, Point, Transform, moved, polyline, rounded_box, scaled
from diagramgen.layout.model import Layout
from diagramgen.lettering import wrap
from diagramgen.sheets.frame import FOOT, HEAD, MARGIN, JobLine, cautions, framed
from diagramgen.sheets.legend import legend
from diagramgen.sheets.measures import SQUARE, bar, square
from diagramgen.sheets.paper import Paper, larger
from diagramgen.units import number

SOLDER_SIDE = "solder side, looking into the opened cavity"
PANEL = 58.0
STRIP = 12.0
OVERLAP = 12.0
LABEL_ROOM = 7.0
"""Room kept round the plan for labels that find no place inside, mm."""
NECK = {"right": 0.0, "down": math.pi / 2, "left": math.pi, "up": -math.pi / 2}


@dataclass(frozen=True)
class Subject:
    """What is drawn on every diagram sheet of a build."""

    layout: Layout
    roles: Mapping[str, str]
    job: JobLine
    notes: tuple[str, ...]
    """Warnings and questions printed on the sheet, in words."""
    unproved: bool = False

    @property
    def neck(self) -> float | None:
        """Direction of the neck as seen on the solder side."""
        return NECK.get(self.layout.build.neck)

    @property
    def warning(self) -> str:
        """What must be stamped beside the view."""
        words = [] if self.layout.to_scale else ["NOT TO SCALE"]
        return " · ".join([*words, *(["NOT PROVED: it has errors"] if self.unproved else [])])


SheetMaker = Callable[[int, int], Sheet]
"""Makes a sheet once its number and the count of all sheets are known."""


def full_size(subject: Subject, paper: Paper) -> list[SheetMaker]:
    """The diagram at 1:1 on as many sheets as it takes; a key comes first where there are several."""
    lying = paper.landscape()
    room = _drawing_room(lying)
    plan = subject.layout.box.grown(LABEL_ROOM)
    if plan.width <= room.width and plan.height <= room.height:
        drawing, _ = _drawn(subject, 1.0, _centred(plan, room), Look(), room)
        return [lambda n, of: _full_sheet(subject, lying, drawing.marks, n, of, SOLDER_SIDE + ", full size")]
    return _tiles(subject, lying, plan, room)


def jig(subject: Subject, paper: Paper) -> list[SheetMaker]:
    """The same geometry for building the harness off the instrument: holes strong, leads faint."""
    lying = paper.landscape()
    room = _drawing_room(lying)
    plan = subject.layout.box.grown(LABEL_ROOM)
    look = Look(leads=Emphasis.FAINT, holes=True, tags=False)
    stamp = "harness jig, solder side, full size"
    if plan.width <= room.width and plan.height <= room.height:
        drawing, _ = _drawn(subject, 1.0, _centred(plan, room), look, room)
        return [lambda n, of: _full_sheet(subject, lying, drawing.marks, n, of, stamp)]
    return []


def whole_plan(subject: Subject) -> Sheet:
    """The full-size diagram on one sheet as large as it needs, for the SVG where paper would need tiles."""
    plan = subject.layout.box.grown(LABEL_ROOM)
    width = plan.width + PANEL + 2 * MARGIN + 4
    height = max(plan.height + HEAD + FOOT + STRIP, 150.0) + 2 * MARGIN + 2
    paper = Paper("plan", width, height)
    room = _drawing_room(paper)
    drawing, _ = _drawn(subject, 1.0, _centred(plan, room), Look(), room)
    return _full_sheet(subject, paper, drawing.marks, 1, 1, SOLDER_SIDE + ", full size")


def enlarged(subject: Subject, paper: Paper) -> list[SheetMaker]:
    """One page for the bench wall, one paper size up, as large as the page allows (at most 3:1).

    A printer that lacks the larger paper fits it to the smaller: this page is not for measuring.
    """
    lying = larger(paper).landscape()
    room = Box(MARGIN + 2, MARGIN + HEAD + 2, lying.width - MARGIN - 2, lying.height - MARGIN - FOOT - STRIP - 2)
    details = bool(foldouts(subject.layout)) or bool(subject.notes)
    if details:
        room = Box(room.left, room.top, room.right - PANEL, room.bottom)
    box = subject.layout.box
    spare = 2 * LABEL_ROOM
    scale = min((room.width - spare) / box.width, (room.height - spare) / box.height, 3.0)
    scale = max(0.3, math.floor(scale * 20) / 20)
    wide = Box(box.left * scale, box.top * scale, box.right * scale, box.bottom * scale)
    look = Look(name_height=3.5 if scale >= 1.2 else 2.5, small_height=2.5 if scale >= 1.25 else 1.8)
    drawing, _ = _drawn(subject, scale, _centred(wide, room), look, room)

    def make(n: int, of: int) -> Sheet:
        words = f"{number(scale, 2)}:1" if subject.layout.to_scale else "placed automatically"
        stamp = f"{SOLDER_SIDE}, {words}" if subject.layout.to_scale else f"solder side, {words}"
        page = framed(lying, subject.job, stamp, subject.neck, n, of, subject.warning)
        marks: list[Mark] = [*page.marks, *_viewport(drawing.marks, room, min(scale, 1.4))]
        base = page.room.bottom - 4.0
        if subject.layout.to_scale:
            marks.append(bar(Point(page.room.left + 4, base), 20.0 * scale, "20 mm in the instrument"))
        marks += _short_key(Point(page.room.left + 14 + 20 * scale + 46, base))
        if details:
            marks += _panel(subject, Box(room.right + 3, room.top, lying.width - MARGIN - 2, page.room.bottom - 2),
                            with_square=False)
        return Sheet(lying.width, lying.height, stamp, tuple(marks), "enlarged")

    return [make]


def _short_key(at: Point) -> list[Mark]:
    words = ("solid joint: signal   ·   ring: ground   ·   leads that cross are not joined   ·   "
             "arrow on a pot: turned up, 0 to 10")
    return [Text(words, at, 1.8)]


def _drawing_room(paper: Paper) -> Box:
    return Box(MARGIN + 1.5, MARGIN + HEAD + 1.5, paper.width - MARGIN - PANEL - 1.0,
               paper.height - MARGIN - FOOT - STRIP)


def _centred(plan: Box, room: Box) -> Transform:
    """Shift that puts the plan in the middle of the room."""
    return moved(Point(room.centre.x - plan.centre.x, room.centre.y - plan.centre.y))


def _drawn(
    subject: Subject, scale: float, shift: Transform, look: Look, frame: Box
) -> tuple[Drawing, Layout]:
    layout = seen(subject.layout, scaled(scale).then(shift))
    return draw(layout, subject.roles, look, frame), layout


def _viewport(marks: Sequence[Mark], room: Box, line_scale: float = 1.0) -> list[Mark]:
    figure = Group(tuple(marks), "diagram", "wiring diagram", Kind.FIGURE)
    return [Viewport(room, Transform(), (figure,), line_scale)]


def _full_sheet(
    subject: Subject, paper: Paper, marks: Sequence[Mark], n: int, of: int, stamp: str
) -> Sheet:
    page = framed(paper, subject.job, stamp, subject.neck, n, of, subject.warning)
    room = _drawing_room(paper)
    found: list[Mark] = [*page.marks, *_viewport(marks, room)]
    found += _strip(page.room)
    found += _panel(subject, Box(room.right + 2, page.room.top + 2, page.room.right - 2, page.room.bottom - 2))
    return Sheet(paper.width, paper.height, stamp, tuple(found), "full-size")


def _strip(room: Box) -> list[Mark]:
    base = room.bottom - 4.0
    return [
        Shape((polyline([Point(room.left, room.bottom - STRIP + 1), Point(room.right - PANEL - 1,
                                                                        room.bottom - STRIP + 1)]),), Role.TABLE_RULE),
        bar(Point(room.left + 5, base)),
        Text("Print at 100 %, no scaling. Measure bar and square.", Point(room.left + 126, base - 2.6), 1.8, bold=True),
        Text("Between cavities, and outside them, the plan is not to scale.", Point(room.left + 126, base + 0.6), 1.8),
    ]


def _panel(subject: Subject, box: Box, with_square: bool = True) -> list[Mark]:
    """The column at the right: measuring square with the key, folded-out details, notes, cautions."""
    marks: list[Mark] = []
    y = box.top
    if with_square:
        corner = Point(box.left + (box.width - SQUARE) / 2, y)
        marks += [square(corner), legend(Point(corner.x + 1.5, corner.y + 1.0)),
                  Text("50 mm", Point(corner.x + SQUARE - 1, corner.y + SQUARE - 1.2), 1.8, "end", bold=True,
                       role=Role.SCALE_TEXT)]
        y += SQUARE + 3
    warned, used = cautions(Point(box.left, 0), box.width)
    floor = box.bottom - used
    marks.append(Viewport(Box(box.left, floor - 0.5, box.right, box.bottom + 0.5), moved(Point(0, floor)),
                          tuple(warned)))
    leads = lug_leads(subject.layout)
    left_out = []
    for part, columns in foldouts(subject.layout):
        group, height = foldout_marks(part, columns, leads, Point(box.left, y), 1.0)
        if y + height > floor - 2:
            left_out.append(part.part.says)
            continue
        marks.append(group)
        y += height + 2
    notes = list(subject.notes)
    if left_out:
        notes.insert(0, "Folded-out details of " + ", ".join(left_out) + ": see the details sheet.")
    marks += _notes(notes, Box(box.left, y, box.right, floor - 2))
    return marks


def _notes(notes: Sequence[str], box: Box) -> list[Mark]:
    """Warnings and questions, as many as fit; the rest are counted, never dropped without a word."""
    height, marks, y = 1.8, [], box.top + 2.0
    lines = [wrap("• " + note, height, box.width) for note in notes]
    for i, block in enumerate(lines):
        if y + len(block) * 2.9 > box.bottom - (3.0 if i + 1 < len(lines) else 0.0):
            words = f"and {len(lines) - i} more: see the lead list"
            marks.append(Text(words, Point(box.left, min(y + 2.9, box.bottom)), height, bold=True))
            break
        for line in block:
            y += 2.9
            marks.append(Text(line, Point(box.left, y), height, role=Role.WARNING_TEXT))
    return list(marks)


def _tiles(subject: Subject, paper: Paper, plan: Box, room: Box) -> list[SheetMaker]:
    """Sheets that overlap by 12 mm with crop marks, and a key that shows how they join."""
    across = max(1, math.ceil((plan.width - OVERLAP) / (room.width - OVERLAP)))
    down = max(1, math.ceil((plan.height - OVERLAP) / (room.height - OVERLAP)))
    drawing, _ = _drawn(subject, 1.0, Transform(), Look(), plan)
    makers: list[SheetMaker] = [lambda n, of: _key_sheet(subject, paper, plan, room, (across, down), n, of)]
    for row in range(down):
        for column in range(across):
            makers.append(_tile(subject, paper, drawing, plan, room, (across, down), (column, row)))
    return makers


def _tile(
    subject: Subject, paper: Paper, drawing: Drawing, plan: Box, room: Box, grid: tuple[int, int],
    at: tuple[int, int],
) -> SheetMaker:
    origin = _tile_origin(plan, room, at)

    def make(n: int, of: int) -> Sheet:
        name = _tile_name(at)
        stamp = f"{SOLDER_SIDE}, full size, piece {name}"
        page = framed(paper, subject.job, stamp, subject.neck, n, of, subject.warning)
        shift = moved(Point(room.left - origin.x, room.top - origin.y))
        figure = Group(drawing.marks, "diagram", f"wiring diagram, piece {name}", Kind.FIGURE)
        marks: list[Mark] = [*page.marks, Viewport(room, shift, (figure,)), *_join_marks(room, grid, at)]
        marks += _strip(page.room)
        marks += _panel(subject, Box(room.right + 2, page.room.top + 2, page.room.right - 2, page.room.bottom - 2))
        return Sheet(paper.width, paper.height, stamp, tuple(marks), f"tile-{name}")

    return make


def _tile_origin(plan: Box, room: Box, at: tuple[int, int]) -> Point:
    return Point(plan.left + at[0] * (room.width - OVERLAP), plan.top + at[1] * (room.height - OVERLAP))


def _tile_name(at: tuple[int, int]) -> str:
    return f"{'ABCDEFGH'[at[0]]}{at[1] + 1}"


def _join_marks(room: Box, grid: tuple[int, int], at: tuple[int, int]) -> list[Mark]:
    """Lines in the middle of each overlap with the name of the neighbour that joins there."""
    marks: list[Mark] = []
    column, row = at
    half = OVERLAP / 2
    sides = [
        (column > 0, room.left + half, None, (column - 1, row)),
        (column < grid[0] - 1, room.right - half, None, (column + 1, row)),
        (row > 0, None, room.top + half, (column, row - 1)),
        (row < grid[1] - 1, None, room.bottom - half, (column, row + 1)),
    ]
    for present, x, y, neighbour in sides:
        if not present:
            continue
        if x is not None:
            line = polyline([Point(x, room.top), Point(x, room.bottom)])
            words = Text(f"joins {_tile_name(neighbour)}", Point(x - 0.8, room.centre.y), 1.8, "middle",
                         -math.pi / 2, role=Role.TILE_TEXT)
        else:
            assert y is not None
            line = polyline([Point(room.left, y), Point(room.right, y)])
            words = Text(f"joins {_tile_name(neighbour)}", Point(room.centre.x, y - 0.8), 1.8, "middle",
                         role=Role.TILE_TEXT)
        marks += [Shape((line,), Role.CROP, "tile:join"), words]
    return marks


def _key_sheet(
    subject: Subject, paper: Paper, plan: Box, room: Box, grid: tuple[int, int], n: int, of: int
) -> Sheet:
    stamp = "key to the pieces of the full-size diagram"
    page = framed(paper, subject.job, stamp, subject.neck, n, of, subject.warning)
    inner = page.room.grown(-6)
    scale = min(inner.width / plan.width, inner.height / plan.height)
    look = Look(tags=False, small_height=1.8, name_height=2.5)
    box = Box(plan.left * scale, plan.top * scale, plan.right * scale, plan.bottom * scale)
    shift = _centred(box, inner)
    drawing, _ = _drawn(subject, scale, shift, look, inner)
    marks: list[Mark] = [*page.marks, *_viewport(drawing.marks, inner, min(1.0, scale))]
    for row in range(grid[1]):
        for column in range(grid[0]):
            origin = _tile_origin(plan, room, (column, row))
            upper = shift(Point(origin.x * scale, origin.y * scale))
            tile = Box(upper.x, upper.y, upper.x + room.width * scale, upper.y + room.height * scale)
            marks += [Shape((rounded_box(tile, 0),), Role.CROP),
                      Text(_tile_name((column, row)), Point(tile.left + 3, tile.top + 7), 5.0, bold=True,
                           role=Role.TILE_TEXT)]
    return Sheet(paper.width, paper.height, stamp, tuple(marks), "tile-key")


def details(subject: Subject, paper: Paper) -> list[SheetMaker]:
    """A sheet of all folded-out details, where they do not all fit beside the diagram."""
    found = foldouts(subject.layout)
    if len(found) < 3:
        return []
    leads = lug_leads(subject.layout)

    def make(n: int, of: int) -> Sheet:
        page = framed(paper, subject.job, "folded-out details, lugs from the side, 2:1", None, n, of, subject.warning)
        marks: list[Mark] = list(page.marks)
        x, y, tallest = page.room.left + 6, page.room.top + 6, 0.0
        for part, columns in found:
            group, height = foldout_marks(part, columns, leads, Point(x, y), 1.0)
            marks.append(group)
            tallest = max(tallest, height)
            x += 62
            if x + 56 > page.room.right:
                x, y, tallest = page.room.left + 6, y + tallest + 8, 0.0
        return Sheet(paper.width, paper.height, "folded-out details", tuple(marks), "details")

    return [make]
