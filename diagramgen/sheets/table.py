"""Tables that run over pages: columns of given width, wrapped text, swatches and tick boxes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.drawing.scene import Group, Image, Kind, Mark, Role, Shape, Sheet, Text, walk
from diagramgen.drawing.strokes import lead_marks
from diagramgen.kernel.geometry import Box, Point, polyline, rounded_box
from diagramgen.lettering import fit, wrap

TEXT = 2.5
LEADING = 1.62
PAD = 1.1


@dataclass(frozen=True)
class Column:
    """A column: its head, its share of the width, and where its text stands."""

    head: str
    width: float
    right: bool = False


@dataclass(frozen=True)
class Swatch:
    """A stretch of lead in its colour, with the word beside it."""

    code: str
    words: str


@dataclass(frozen=True)
class Tick:
    """An empty box to be ticked."""


Cell = str | Swatch | Tick


@dataclass(frozen=True)
class Row:
    """One row; ``heading`` rows span the table."""

    cells: tuple[Cell, ...]
    heading: bool = False
    bold: int = -1
    """Index of a cell set in bold; -1 for none."""
    subject: str = ""


@dataclass(frozen=True)
class Table:
    """Columns and rows; heights in mm of capital letters."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    height: float = TEXT
    whole: bool = False
    """Not begun on a page that holds only part of it."""


def pages(table: Table, room: Box, first_top: float | None = None) -> list[list[Mark]]:
    """The table broken into pages of marks that fill ``room``; the head is repeated on each page."""
    widths = _widths(table, room.width)
    result: list[list[Mark]] = []
    marks: list[Mark] = []
    y = _head(table, widths, room.left, room.top if first_top is None else first_top, marks)
    band = False
    for i, row in enumerate(table.rows):
        tall = _row_height(table, row, widths)
        needed = tall
        if row.heading and i + 1 < len(table.rows):
            needed += _row_height(table, table.rows[i + 1], widths)
        if y + needed > room.bottom and marks:
            result.append(marks)
            marks = []
            y = _head(table, widths, room.left, room.top, marks)
            band = False
        band = False if row.heading else not band
        marks.append(_row(table, row, widths, Point(room.left, y), tall, band))
        y += tall
    result.append(marks)
    return result


def end_of(table: Table, room: Box, first_top: float | None = None) -> float:
    """Where the table ends on its last page, mm from the top of the sheet."""
    widths = _widths(table, room.width)
    y = (room.top if first_top is None else first_top) + _head_height(table)
    for i, row in enumerate(table.rows):
        tall = _row_height(table, row, widths)
        ahead = _row_height(table, table.rows[i + 1], widths) if row.heading and i + 1 < len(table.rows) else 0.0
        if y + tall + ahead > room.bottom:
            y = room.top + _head_height(table)
        y += tall
    return y


def _widths(table: Table, total: float) -> list[float]:
    share = sum(c.width for c in table.columns)
    return [c.width * total / share for c in table.columns]


def _head_height(table: Table) -> float:
    return table.height * LEADING + 2 * PAD if any(c.head for c in table.columns) else 0.0


def _head(table: Table, widths: Sequence[float], left: float, top: float, marks: list[Mark]) -> float:
    tall = _head_height(table)
    if not tall:
        return top
    row: list[Mark] = [Shape((rounded_box(Box(left, top, left + sum(widths), top + tall), 0),), Role.TABLE_HEAD)]
    x = left
    for column, width in zip(table.columns, widths, strict=True):
        words = fit(column.head, table.height, width - 2 * PAD, True)
        at = Point(x + width - PAD, top + PAD + table.height * 1.15) if column.right else Point(
            x + PAD, top + PAD + table.height * 1.15)
        row.append(Text(words, at, table.height, "end" if column.right else "start", bold=True,
                        role=Role.TABLE_HEAD_TEXT))
        x += width
    marks.append(Group(tuple(row), kind=Kind.HEAD))
    return top + tall


def _lines(table: Table, cell: Cell, width: float, bold: bool) -> list[str]:
    if isinstance(cell, Tick):
        return [""]
    if isinstance(cell, Swatch):
        return wrap(cell.words, table.height, width - 2 * PAD - 10.0) or [""]
    return wrap(cell, table.height, width - 2 * PAD, bold) or [""]


def _heading(table: Table, row: Row, widths: Sequence[float]) -> list[str]:
    return wrap(str(row.cells[0]), table.height, sum(widths) - 2 * PAD, True) or [""]


def _row_height(table: Table, row: Row, widths: Sequence[float]) -> float:
    if row.heading:
        return len(_heading(table, row, widths)) * table.height * LEADING + 2 * PAD + 1.5
    most = max(len(_lines(table, cell, width, i == row.bold))
               for i, (cell, width) in enumerate(zip(row.cells, widths, strict=True)))
    return most * table.height * LEADING + 2 * PAD


def _row(table: Table, row: Row, widths: Sequence[float], at: Point, tall: float, band: bool) -> Group:
    right = at.x + sum(widths)
    marks: list[Mark] = []
    if band:
        marks.append(Shape((rounded_box(Box(at.x, at.y, right, at.y + tall), 0),), Role.TABLE_BAND))
    if row.heading:
        for i, line in enumerate(reversed(_heading(table, row, widths))):
            base = at.y + tall - PAD - 1.0 - i * table.height * LEADING
            marks.append(Text(line, Point(at.x + PAD, base), table.height, bold=True, role=Role.TABLE_TEXT))
    else:
        x = at.x
        for i, (cell, width) in enumerate(zip(row.cells, widths, strict=True)):
            marks += _cell(table, table.columns[i], cell, Point(x, at.y), width, i == row.bold)
            x += width
    rule = polyline([Point(at.x, at.y + tall), Point(right, at.y + tall)])
    marks.append(Shape((rule,), Role.TABLE_RULE))
    return Group(tuple(marks), row.subject, kind=Kind.H2 if row.heading else Kind.ROW)


def _cell(table: Table, column: Column, cell: Cell, at: Point, width: float, bold: bool) -> list[Mark]:
    base = at.y + PAD + table.height * 1.15
    if isinstance(cell, Tick):
        size = table.height * 1.35
        box = Box(at.x + PAD, base - size + 0.4, at.x + PAD + size, base + 0.4)
        return [Shape((rounded_box(box, 0),), Role.TICK_BOX)]
    marks: list[Mark] = []
    x = at.x + PAD
    if isinstance(cell, Swatch):
        middle = base - table.height / 2
        line = polyline([Point(x + 0.8, middle), Point(x + 8.0, middle)])
        marks += lead_marks(line, cell.code, halo=False)
        x += 10.0
    for i, line_text in enumerate(_lines(table, cell, width, bold)):
        y = base + i * table.height * LEADING
        where = Point(at.x + width - PAD, y) if column.right else Point(x, y)
        marks.append(Text(line_text, where, table.height, "end" if column.right else "start", bold=bold,
                          role=Role.TABLE_TEXT))
    return marks


def flow(tables: Sequence[Table], room: Box, gap: float = 6.0) -> list[list[Mark]]:
    """Several tables below one another over as many pages as they take."""
    result: list[list[Mark]] = [[]]
    top = room.top
    for table in tables:
        if not table.rows:
            continue
        first = table.rows if table.whole else table.rows[:2]
        least = _head_height(table) + sum(_row_height(table, row, _widths(table, room.width)) for row in first)
        if top > room.top and top + least > room.bottom:
            result.append([])
            top = room.top
        blocks = pages(table, room, top)
        result[-1] += blocks[0]
        result += blocks[1:]
        top = end_of(table, room, top) + gap
    return result


def lowest(marks: Sequence[Mark]) -> float:
    """How far down a block of marks reaches, mm."""
    found = [0.0]
    for mark in walk(Sheet(0, 0, "", tuple(marks))):
        if isinstance(mark, Text):
            found.append(mark.at.y)
        elif isinstance(mark, Shape):
            found += [p.box().bottom for p in mark.path]
        elif isinstance(mark, Image):
            found.append(mark.box.bottom)
    return max(found)
