"""A symbol's card: the part at full size to hold a real one against, its measures and its closure table."""

from __future__ import annotations

from diagramgen.drawing.diagram import obstacles_of
from diagramgen.drawing.labelling.candidates import lug_labels
from diagramgen.drawing.labelling.place_labels import label_marks, place_labels
from diagramgen.drawing.parts import part_marks
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.kernel.geometry import Box, Point, Transform, moved, polyline, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import LENGTH, quantity
from diagramgen.layout.model import PlacedPart
from diagramgen.layout.placement.place_parts import place_part
from diagramgen.lettering import wrap
from diagramgen.library.model import Shape as PartShape
from diagramgen.library.model import Symbol
from diagramgen.library.reader import QUANTITIES
from diagramgen.model.build import Part
from diagramgen.sheets.frame import JobLine, framed
from diagramgen.sheets.scale_marks import SQUARE, bar, square
from diagramgen.sheets.table import Column, Row, Table, pages


def card_sheets(symbol: Symbol, paper: Paper) -> list[Sheet]:
    """The full-size card of a symbol, lugs down, on one sheet or more."""
    alone = Part(symbol.name, symbol, symbol.kind, "", "", None, 0.0, {}, {}, {}, None, "", None, None, None, "",
                 symbol.place)
    part = place_part(alone, Transform(), "card")
    job = JobLine("part card", symbol.kind, symbol.name, "", "", "", "", "")
    first = framed(paper, job, "solder side, lugs down, full size", None, 1, 1)
    room = first.room.grown(-4)
    drawing, bottom = _figure(part, room)
    tables = _tables(symbol, part.shape)
    y = bottom + 4
    text: list[Mark] = []
    for words in filter(None, (symbol.about, symbol.check and "Check: " + symbol.check)):
        for line in wrap(words, 2.5, room.width):
            y += 4.2
            text.append(Text(line, Point(room.left, y), 2.5))
        y += 1.5
    flowed = pages(tables, Box(room.left, room.top, room.right, room.bottom), y + 2)
    count = len(flowed)
    sheets = []
    for i, block in enumerate(flowed):
        anchor = f"{symbol.name}-{i + 1}"
        page = framed(paper, job, "solder side, lugs down, full size", None, i + 1, count, anchor=anchor)
        extra = [*drawing, *text] if i == 0 else []
        marks_here = (*page.marks, *extra, *block)
        sheets.append(Sheet(paper.width, paper.height, f"{symbol.kind}, full size", marks_here, f"card:{symbol.name}"))
    return sheets


def _figure(placed: PlacedPart, room: Box) -> tuple[list[Mark], float]:
    side = _side_view(placed)
    box = placed.box
    left = Box(room.left, room.top, room.right - SQUARE - 4, room.top + max(box.height + 24, SQUARE + 16))
    shift = moved(Point(left.left + max(left.width * 0.32, box.width / 2 + 12) - box.centre.x,
                        left.centre.y - 4 - box.centre.y))
    labels = place_labels(list(lug_labels(placed, 1.8)), obstacles_of([placed]), [],
                          Box(box.left - 30, box.top - 14, box.right + 30, box.bottom + 14))
    marks: list[Mark] = [part_marks(placed, {})]
    marks += [m for one in labels for m in label_marks(one)]
    side_at = moved(Point(shift.e + box.right + 34, left.centre.y - 14))
    figures: list[Mark] = [
        Viewport(left, shift, tuple(marks)),
        Viewport(left, side_at, tuple(side)),
        square(Point(room.right - SQUARE - 1, room.top + 1)),
        Text("50 mm", Point(room.right - 2, room.top + SQUARE - 1), 1.8, "end", role=Role.SCALE_TEXT),
        bar(Point(room.left + 2, left.bottom + 4)),
    ]
    return [Group(tuple(figures), alt="the part at full size", kind=Kind.FIGURE)], left.bottom + 6


def _side_view(placed: PlacedPart) -> list[Mark]:
    """The part from below the page: how deep body and lugs reach under the wood, at full size."""
    zones = sorted(placed.body, key=lambda z: z.high)
    if not zones or max(z.high for z in zones) <= 0:
        return []
    box = placed.box
    marks: list[Mark] = [
        Shape((polyline([Point(box.left - 4, 0), Point(box.right + 4, 0)]),), Role.CAVITY_WALL),
        Text("under the wood", Point(box.left - 4, -1.5), 1.8, role=Role.ARROW_TEXT),
    ]
    for zone in zones:
        b = zone.outline.box()
        side = Box(b.left, zone.low, b.right, max(zone.high, zone.low + 0.2))
        marks.append(Shape((rounded_box(side, 0.5),), Role.BODY))
    for lug in placed.lugs.values():
        marks.append(Shape((rounded_box(Box(lug.at.x - 0.9, lug.depth - 0.4, lug.at.x + 0.9, lug.depth + 0.4), 0.2),),
                           Role.LUG))
    return marks


def _tables(symbol: Symbol, shape: PartShape) -> Table:
    rows = [Row(("Measures: put the real part's into the build under 'dimensions'",), heading=True)]
    rows += [Row((d.name, d.says, quantity(d.value, LENGTH), d.source), bold=0) for d in symbol.dimensions.values()]
    if symbol.values:
        rows.append(Row(("Values",), heading=True))
    for v in symbol.values.values():
        shown = (quantity(v.value, QUANTITIES[v.quantity]) if v.quantity in QUANTITIES and isinstance(v.value, float)
                 else str(v.value if v.value is not None else "as given"))
        rows.append(Row((v.name, v.says, shown, v.source), bold=0))
    for table in symbol.contacts:
        rows.append(Row((f"Closure table of '{table.control}' ({table.moving}); "
                         "only these lugs may read 0 ohm",), heading=True))
        control = symbol.control(table.control)
        words = dict(zip(control.positions, control.words, strict=True)) if control else {}
        for contact in table.rows:
            where = contact.position or " to ".join(contact.between or ())
            joined = "; ".join(" = ".join(j) for j in contact.joins) or "nothing"
            rows.append(Row((words.get(where, where), joined, "", table.check), bold=0))
    columns = (Column("name", 20), Column("what", 50), Column("value", 18, right=True), Column("source or check", 56))
    return Table(columns, tuple(rows), 1.8)
