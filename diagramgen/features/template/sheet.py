"""The drilling template: every field as the player sees it, at full size, to be laid on the face and punched."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from diagramgen.drawing.labelling.place_labels import (
    Label,
    LabelLine,
    Obstacle,
    PlacedLabel,
    candidates_around,
    candidates_with_leader,
    label_marks,
    place_labels,
)
from diagramgen.drawing.parts import cross
from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.drawing.view import from_the_player
from diagramgen.features.template.holes import Field, Hole, fields
from diagramgen.kernel.geometry import Box, Point, Transform, circle, moved, polyline
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import number
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import FOOT, MARGIN, framed
from diagramgen.sheets.margin_panel import STRIP, strip
from diagramgen.sheets.table import Column, Row, Table, Tick, pages
from diagramgen.sheets.tiles import Pieces, cut, joins
from diagramgen.sheets.title_block import HEAD

# Running dimensions of a field of holes: from the datum to the right along the lower edge, and upward at the left.

BELOW = 14.0
"""Room below a field for its dimensions, mm."""
BESIDE = 18.0
"""Room at its left, mm."""
PITCH = 3.4
HEIGHT = 2.0
SAME = 0.05
"""Middles nearer than this share one line, mm."""


def running(field: Field) -> list[Mark]:
    """Lines from every through hole's middle to the edges, with its distance from the datum."""
    through = [h for h in field.holes if h.through]
    box = field.box
    low, left = max(box.bottom, field.datum.y) + 3.0, min(box.left, field.datum.x) - 3.0
    marks: list[Mark] = []
    across = _levels([(h.at.x, h.at.y) for h in through], field.datum.x, field.datum.y)
    for (x, y), at in zip(across, spaced([x for x, _ in across], PITCH), strict=True):
        line = polyline([Point(x, y), Point(x, low), Point(at, low + 3.0)])
        marks.append(Shape((line,), Role.DIMENSION, "dimension:across"))
        marks.append(Text(number(x - field.datum.x, 2), Point(at + HEIGHT / 2, low + 3.6), HEIGHT, "end", -math.pi / 2,
                          role=Role.DIMENSION_TEXT, subject="dimension:across"))
    upward = _levels([(h.at.y, h.at.x) for h in through], field.datum.y, field.datum.x, far=True)
    for (y, x), at in zip(upward, spaced([y for y, _ in upward], PITCH), strict=True):
        line = polyline([Point(x, y), Point(left, y), Point(left - 3.0, at)])
        marks.append(Shape((line,), Role.DIMENSION, "dimension:up"))
        marks.append(Text(number(field.datum.y - y, 2), Point(left - 3.6, at + HEIGHT / 2), HEIGHT, "end",
                          role=Role.DIMENSION_TEXT, subject="dimension:up"))
    return marks


def _levels(
    places: Sequence[tuple[float, float]], zero: float, edge: float, far: bool = False
) -> list[tuple[float, float]]:
    """Each level once, with where its line begins: at the hole that is farthest from the edge; sorted."""
    found: dict[float, float] = {round(zero, 2): edge}
    exact: dict[float, float] = {round(zero, 2): zero}
    for level, start in places:
        near = next((k for k in found if abs(k - level) < SAME), round(level, 2))
        exact.setdefault(near, level)
        known = found.get(near)
        found[near] = start if known is None else (max(known, start) if far else min(known, start))
    return sorted((exact[k], v) for k, v in found.items())


def spaced(wanted: Sequence[float], gap: float) -> list[float]:
    """Places at least ``gap`` apart in the same order, as near to the wanted ones as their squares allow.

    Pool adjacent violators (Barlow and others, Statistical Inference under Order Restrictions, 1972).
    """
    pools: list[tuple[float, int]] = []
    for i, value in enumerate(wanted):
        mean, count = value - i * gap, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    flat = [mean for mean, count in pools for _ in range(count)]
    return [value + i * gap for i, value in enumerate(flat)]


STAMP = "drilling template, player's face"
NOTE = "Pins (dashed): only from inside, blind. Measure the real bushing; pilot 2 mm."
CENTRE = 2.0
"""How far a centre line stands out of its hole, mm."""
AIR = 8.0
"""Room kept round a field for labels, mm."""
TITLE = 6.0
_KINDS = {"hole": "drill through", "slot": "slot, saw or mill", "screw": "screw, drill through"}


def template_sheets(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The template on as many sheets as it takes; none where nothing is drilled."""
    seen = replace(context, layout=from_the_player(context.layout))
    found = fields(seen.layout)
    if not found:
        return []
    sheet = _turned(found, seen, paper)
    room = _room(sheet)
    blocks, lowest = _figures(found, seen, room)
    table = _table(found)
    if lowest > room.top and len(pages(table, room, lowest + 2)) > 1:
        blocks.append([])
        lowest = room.top
    flowed = pages(table, room, lowest + 2)
    blocks[-1] += flowed[0]
    blocks += [list(block) for block in flowed[1:]]
    return [partial(_sheet, seen, sheet, block) for block in blocks]


def _figures(found: Sequence[Field], context: SheetContext, room: Box) -> tuple[list[list[Mark]], float]:
    """The fields beside and below one another, and how far down the last page is filled."""
    blocks: list[list[Mark]] = [[]]
    x, y, lowest = room.left, room.top, room.top
    for field in found:
        size = _size(field)
        wide, tall = size.width * context.correction.across, size.height * context.correction.down
        if wide > room.width or tall > room.height:
            tiled = _tiled(field, context, room)
            blocks = [*(block for block in blocks if block), *tiled]
            x, y, lowest = room.left, room.bottom, room.bottom
            continue
        if x + wide > room.right:
            x, y = room.left, lowest
        if y + tall > room.bottom:
            blocks.append([])
            x, y, lowest = room.left, room.top, room.top
        blocks[-1].append(_window(field, context, Box(x, y, x + wide, y + tall)))
        x, lowest = x + wide, max(lowest, y + tall)
    return blocks, lowest


def _room(paper: Paper) -> Box:
    return Box(MARGIN + 2, MARGIN + HEAD + 2, paper.width - MARGIN - 2, paper.height - MARGIN - FOOT - STRIP - 1)


def _turned(found: Sequence[Field], context: SheetContext, paper: Paper) -> Paper:
    """Upright where every field goes on it, else lying."""
    room = _room(paper)
    for field in found:
        size = _size(field)
        if size.width * context.correction.across > room.width or size.height * context.correction.down > room.height:
            return paper.landscape()
    return paper


def _size(field: Field) -> Box:
    """A field with the room for its title, labels and dimensions, in plan mm."""
    box = field.box.union(Box(*field.datum, *field.datum))
    return Box(box.left - AIR - BESIDE, box.top - AIR - TITLE, box.right + AIR, box.bottom + AIR + BELOW)


def _window(field: Field, context: SheetContext, window: Box) -> Viewport:
    """A field at its place on the sheet, stretched for the printer."""
    size = _size(field)
    stretch = Transform(a=context.correction.across, d=context.correction.down)
    place = moved(Point(-size.left, -size.top)).then(stretch).then(moved(Point(window.left, window.top)))
    return Viewport(window, place, (_figure(field),))


def _tiled(field: Field, context: SheetContext, room: Box) -> list[list[Mark]]:
    """A field that is larger than the paper, in pieces that overlap."""
    pieces: Pieces = cut(_size(field), context.correction.true(room))
    stretch = context.correction.place(room.centre)
    figure = _figure(field)
    result: list[list[Mark]] = []
    for at in pieces.all():
        origin = pieces.origin(at)
        shift = moved(Point(pieces.room.left - origin.x, pieces.room.top - origin.y))
        name = Text(f"piece {pieces.name(at)}", Point(room.left + 2, room.top + 4), 2.5, bold=True)
        result.append([Viewport(room, shift.then(stretch), (figure,)), Viewport(room, stretch,
                       tuple(joins(pieces, at))), name])
    return result


def _figure(field: Field) -> Group:
    """One field in plan mm: outline, datum, holes with centre marks, running dimensions, labels."""
    name = field.region.name
    marks: list[Mark] = []
    if field.outline is not None:
        marks.append(Shape((field.outline,), Role.CAVITY_WALL, f"region:{name}", emphasis=Emphasis.FAINT))
    marks += running(field)
    for hole in field.holes:
        marks += _hole(hole)
    marks += _datum(field)
    marks += [m for one in _labels(field) for m in label_marks(one)]
    size = _size(field)
    marks.append(Text(field.title, Point(size.left + 2, size.top + 4.0), 2.5, bold=True))
    return Group(tuple(marks), f"template:{name}", field.title, Kind.FIGURE)


def _hole(hole: Hole) -> list[Mark]:
    subject = f"hole:{hole.part}"
    if not hole.through:
        return [Shape((hole.outline,), Role.HIDDEN, subject)]
    box = hole.outline.box()
    reach = max(box.width, box.height) / 2 + CENTRE if hole.kind != "slot" else 3.0
    return [Shape((hole.outline,), Role.HOLE, subject, emphasis=Emphasis.STRONG),
            Shape(cross(hole.at, reach), Role.CENTRE, subject),
            Shape(cross(hole.at, 0.8), Role.SCALE_BAR, subject)]


def _datum(field: Field) -> list[Mark]:
    at = field.datum
    return [Shape((circle(at, 1.6),), Role.SCALE_BAR, "datum"), Shape(cross(at, 3.0), Role.SCALE_BAR, "datum")]


def _labels(field: Field) -> tuple[PlacedLabel, ...]:
    wanted: list[Label] = []
    barred: list[Obstacle] = []
    for hole in field.holes:
        barred.append(Obstacle("", hole.outline.flat(0.2)[:-1], 300.0))
        if hole.kind not in ("hole", "slot"):
            continue
        lines = (LabelLine(hole.says, 2.5, True, Role.NAME_TEXT),
                 LabelLine(f"⌀ {hole.size}" if hole.kind == "hole" else hole.size, 2.5, False, Role.DIMENSION_TEXT))
        label = Label(f"hole:{hole.part}", f"hole:{hole.part}", lines, ())
        box = hole.outline.box()
        far = (max(box.width, box.height) if hole.kind == "hole" else box.height) / 2 + CENTRE + 0.6
        near, led = candidates_around(hole.at, label.size, far), candidates_with_leader(hole.at, label.size, 30.0)
        wanted.append(replace(label, candidates=(*near, *led)))
    lines_of = [(f"dim:{i}", p) for i, m in enumerate(running(field)) if isinstance(m, Shape) for p in m.path]
    if field.outline is not None:
        barred.append(Obstacle("", field.outline.flat(0.2), 60.0, line=True))
    size = _size(field)
    frame = Box(size.left + BESIDE, size.top + TITLE, size.right, size.bottom - BELOW)
    return place_labels(wanted, barred, lines_of, frame)


def _table(found: Sequence[Field]) -> Table:
    rows: list[Row] = []
    for field in found:
        rows.append(Row((f"{field.title}. 0: {field.datum_says}",), heading=True))
        for hole in field.holes:
            if hole.through:
                rows.append(_row(field, hole))
    loose = [name for field in found for name in field.unmeasured]
    if loose:
        rows.append(Row((f"Not drilled from this sheet, for nobody measured where: {', '.join(loose)}",), heading=True))
    columns = (Column("", 7), Column("part", 38), Column("what", 40), Column("mm", 22, right=True),
               Column("right of 0", 22, right=True), Column("above 0", 20, right=True),
               Column("pin: ⌀, right, above", 40, right=True))
    return Table(columns, tuple(rows), 2.5)


def _row(field: Field, hole: Hole) -> Row:
    far, pin = field.distances(hole), field.pin_of(hole) if hole.kind == "hole" else None
    size = hole.size if hole.kind == "slot" else f"⌀ {hole.size}"
    pinned = ""
    if pin is not None:
        at = field.distances(pin)
        pinned = f"⌀ {pin.size}, {number(at.x, 2)}, {number(at.y, 2)}"
    cells = (Tick(), hole.says, _KINDS[hole.kind], size, number(far.x, 2), number(far.y, 2), pinned)
    return Row(cells, bold=1, subject=f"hole:{hole.part}")


def _sheet(context: SheetContext, paper: Paper, block: Sequence[Mark], n: int, of: int) -> Sheet:
    stamp = f"{STAMP}, {context.size}"
    frame = framed(paper, context.job, stamp, context.neck, n, of, context.warning)
    how = "Print at 100 %, no scaling. Measure both bars."
    foot = strip(frame.room, frame.room.right, context.correction, NOTE, how)
    return Sheet(paper.width, paper.height, stamp, (*frame.marks, *block, *foot), "template")
