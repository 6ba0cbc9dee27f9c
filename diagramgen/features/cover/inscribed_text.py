"""Running text inside any outline: lines as wide as the outline is at their height, round what is left free."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely.geometry.base import BaseGeometry

from diagramgen.drawing.scene import Mark, Role, Text
from diagramgen.kernel.geometry import Box, Path, Point
from diagramgen.lettering import text_width

NARROWEST = 24.0
"""Shorter lines than this, mm, stay empty."""


@dataclass(frozen=True)
class Entry:
    """A paragraph: a head in bold, then the text."""

    head: str
    text: str = ""


@dataclass(frozen=True)
class Slot:
    """Room for one line: its baseline and where it begins and ends, mm."""

    y: float
    left: float
    right: float


def slots(outline: Path, free: Sequence[Box], height: float, margin: float) -> list[Slot]:
    """The lines of text of this capital height that go into an outline, ``margin`` mm off its edge."""
    shape: BaseGeometry = shapely.Polygon(outline.flat(0.1)).buffer(-margin)
    for box in free:
        shape = shape.difference(shapely.box(*box))
    if shape.is_empty:
        return []
    _, top, _, bottom = shape.bounds
    found = []
    y = top + height
    while y + 0.25 * height <= bottom:
        line = _widest(shape, y - height, y + 0.25 * height)
        if line is not None and line[1] - line[0] >= NARROWEST:
            found.append(Slot(y, *line))
            y += 1.68 * height
        else:
            y += 0.5
    return _flush(found)


WIDE = 45.0
"""Only lines with this much left are shortened for it, mm: a small cover needs every letter."""
FLUSH = 4.0
"""mm: lines that begin within this of most others begin where they do."""


def _flush(found: Sequence[Slot]) -> list[Slot]:
    """The lines with one left edge where a round corner would have each begin elsewhere."""
    lefts = sorted(slot.left for slot in found)
    usual = lefts[len(lefts) // 2] if lefts else 0.0
    edge = max((left for left in lefts if abs(left - usual) <= FLUSH), default=usual)
    return [replace(slot, left=edge) if slot.left < edge and slot.right - edge >= WIDE else slot
            for slot in found]


def _widest(shape: BaseGeometry, top: float, bottom: float) -> tuple[float, float] | None:
    left, _, right, _ = shape.bounds
    missing = shapely.box(left - 1, top, right + 1, bottom).difference(shape)
    blocked = sorted((g.bounds[0], g.bounds[2]) for g in getattr(missing, "geoms", [missing]) if not g.is_empty)
    best: tuple[float, float] | None = None
    at = left
    for begin, end in [*blocked, (right, right)]:
        if begin > at and (best is None or begin - at > best[1] - best[0]):
            best = (at, begin)
        at = max(at, end)
    return best


def halves(entry: Entry) -> tuple[Entry, Entry]:
    """A paragraph too long for one piece of paper as two."""
    words = entry.text.split()
    middle = max(1, len(words) // 2)
    return Entry(entry.head, " ".join(words[:middle])), Entry("", " ".join(words[middle:]))


def set_text(
    entries: Sequence[Entry], room: Sequence[Slot], height: float, more: Sequence[str]
) -> tuple[list[Mark], int]:
    """As many whole entries as the lines take, and how many.

    Where some are left, the first of the words ``more`` that is short enough stands on the next line.
    """
    marks: list[Mark] = []
    used = 0
    for i, entry in enumerate(entries):
        last = i + 1 == len(entries)
        rows = list(_rows(entry, room[used:], height))
        if not _all_set(rows, entry) or (not last and used + len(rows) >= len(room)):
            marks += _more(more, room[used:], height)
            return marks, i
        for slot, runs in zip(room[used:], rows, strict=False):
            marks += _runs(slot, runs, height)
        used += len(rows)
    return marks, len(entries)


def _more(more: Sequence[str], room: Sequence[Slot], height: float) -> list[Mark]:
    for slot in room[:1]:
        for words in more:
            if text_width(words, height, True) <= slot.right - slot.left:
                return [Text(words, Point(slot.left, slot.y), height, bold=True)]
    return []


def _words(entry: Entry) -> list[tuple[str, bool]]:
    return [*((w, True) for w in entry.head.split()), *((w, False) for w in entry.text.split())]


def _rows(entry: Entry, room: Sequence[Slot], height: float) -> Iterator[list[tuple[str, bool]]]:
    """The words line by line, each with whether it is bold."""
    words = _words(entry)
    for slot in room:
        if not words:
            return
        row: list[tuple[str, bool]] = []
        wide = 0.0
        while words:
            step = text_width(words[0][0] + " ", height, words[0][1])
            if row and wide + step > slot.right - slot.left:
                break
            row.append(words.pop(0))
            wide += step
        yield row


def _all_set(rows: Sequence[Sequence[tuple[str, bool]]], entry: Entry) -> bool:
    return sum(map(len, rows)) == len(_words(entry))


def _runs(slot: Slot, row: Sequence[tuple[str, bool]], height: float) -> list[Mark]:
    marks: list[Mark] = []
    x = slot.left
    for bold in (True, False):
        text = " ".join(word for word, heavy in row if heavy == bold)
        if text:
            marks.append(Text(text, Point(x, slot.y), height, bold=bold, role=Role.NOTE_TEXT))
            x += text_width(text + " ", height, bold)
    return marks
