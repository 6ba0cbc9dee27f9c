"""Blocks of text and pictures that run down a page: headings, paragraphs, lists, columns, tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, polyline
from diagramgen.lettering import wrap
from diagramgen.sheets.table import Table, end_of, pages

BODY = 2.5
"""Capital height of running text, mm."""
HEADING = 3.0
PITCH = 1.62
ROWS = 14
"""Rows of a table kept on one page together."""


@dataclass(frozen=True)
class Block:
    """A piece that is not parted; ``marks`` sets it with its upper left corner at a point."""

    tall: float
    marks: Callable[[Point], list[Mark]]
    keep: bool = False
    """Not parted from the next block."""


def flowed(blocks: Sequence[Block], room: Box) -> list[list[Mark]]:
    """The blocks over as many pages as they take."""
    result: list[list[Mark]] = [[]]
    y = room.top
    for i, block in enumerate(blocks):
        needed = block.tall
        for j in range(i, len(blocks) - 1):
            if not blocks[j].keep:
                break
            needed += blocks[j + 1].tall
        if y > room.top and y + needed > room.bottom:
            result.append([])
            y = room.top
        result[-1] += block.marks(Point(room.left, y))
        y += block.tall
    return result


def heading(text: str, width: float) -> Block:
    """A heading with a rule under it, kept with what follows."""
    lines = wrap(text, HEADING, width, True)
    tall = 3.6 + len(lines) * HEADING * PITCH + 1.6

    def marks(at: Point) -> list[Mark]:
        base = at.y + 3.6 + HEADING
        texts = [Text(line, Point(at.x, base + i * HEADING * PITCH), HEADING, bold=True, role=Role.TITLE_TEXT)
                 for i, line in enumerate(lines)]
        y = at.y + tall - 1.7
        rule = Shape((polyline([Point(at.x, y), Point(at.x + width, y)]),), Role.TABLE_RULE)
        return [Group(tuple(texts), kind=Kind.H2), rule]

    return Block(tall, marks, keep=True)


def paragraph(text: str, width: float, height: float = BODY, mark: str = "", bold: bool = False) -> Block:
    """A paragraph; with ``mark`` set in, behind a bullet."""
    inset = 3.6 if mark else 0.0
    lines = wrap(text, height, width - inset, bold)
    pitch = height * PITCH

    def marks(at: Point) -> list[Mark]:
        texts = [Text(line, Point(at.x + inset, at.y + 0.6 + height + i * pitch), height, bold=bold)
                 for i, line in enumerate(lines)]
        if mark:
            texts.insert(0, Text(mark, Point(at.x + 0.6, at.y + 0.6 + height), height))
        return [Group(tuple(texts), kind=Kind.NOTE)]

    return Block(len(lines) * pitch + 1.1, marks)


def bullets(lines: Sequence[str], width: float, height: float = BODY) -> list[Block]:
    """A list."""
    return [paragraph(line, width, height, mark="•") for line in lines]


@dataclass(frozen=True)
class Measure:
    """The width of running text and the height of its capitals, mm."""

    width: float
    height: float = BODY

    def text(self, text: str) -> list[Block]:
        """A paragraph; nothing where there is no text."""
        return [paragraph(text, self.width, self.height)] if text else []

    def bullets(self, lines: Sequence[str]) -> list[Block]:
        """A list."""
        return bullets(lines, self.width, self.height)

    def section(self, title: str, blocks: Sequence[Block]) -> list[Block]:
        """A heading and what stands under it; nothing where nothing does."""
        return [heading(title, self.width), *blocks] if blocks else []

    def half(self, between: float) -> Measure:
        """One of two columns with ``between`` mm of air."""
        return replace(self, width=(self.width - between) / 2)


def beside(left: Sequence[Block], right: Sequence[Block], shift: float) -> list[Block]:
    """Two columns as one block, the right one ``shift`` mm further; a column alone is returned as it is."""
    if not left:
        return list(right)

    def marks(at: Point) -> list[Mark]:
        made: list[Mark] = []
        for blocks, x in ((left, at.x), (right, at.x + shift)):
            y = at.y
            for block in blocks:
                made += block.marks(Point(x, y))
                y += block.tall
        return made

    return [Block(max(sum(b.tall for b in side) for side in (left, right)), marks)]


def tabled(table: Table, width: float) -> list[Block]:
    """A table in pieces that each repeat its head."""
    pieces = [replace(table, rows=table.rows[i : i + ROWS]) for i in range(0, len(table.rows), ROWS)]
    return [_table_block(piece, width) for piece in pieces]


def _table_block(table: Table, width: float) -> Block:
    def room(at: Point) -> Box:
        return Box(at.x, at.y, at.x + width, at.y + 10_000.0)

    tall = end_of(table, room(Point(0, 0)))

    def marks(at: Point) -> list[Mark]:
        return [Group(tuple(pages(table, room(at))[0]), kind=Kind.TABLE)]

    return Block(tall + 1.5, marks)


def gap(tall: float) -> Block:
    """Air."""
    return Block(tall, lambda _: [])
