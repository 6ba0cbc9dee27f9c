"""The front page of a packet, with its contents."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from diagramgen.drawing.scene import (
    Anchor,
    Group,
    Kind,
    Link,
    Mark,
    Role,
    Shape,
    Sheet,
    Text,
)
from diagramgen.kernel.geometry import Box, Point, polyline
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.context import FULL_SIZE, SheetContext, SheetMaker
from diagramgen.sheets.frame import framed
from diagramgen.sheets.registry import kinds

STAMP = "packet of the job"
ENTRY = 2.8
PITCH = 7.4
TOP = 114.0
"""Where the contents begin below the job's head, mm."""


@dataclass(frozen=True)
class Entry:
    """A line of the contents."""

    name: str
    about: str
    first: int
    last: int


def entries_of(makers: Mapping[str, Sequence[SheetMaker]], ahead: int, size: str = FULL_SIZE) -> list[Entry]:
    """The lines of the contents of what follows ``ahead`` front pages; ``size``: what sheets at 1:1 are headed."""
    found, number = [], ahead + 1
    for kind, group in makers.items():
        if group:
            about = kinds()[kind].about.replace(FULL_SIZE, size)
            found.append(Entry(kinds()[kind].title, about, number, number + len(group) - 1))
        number += len(group)
    return found


def front_sheets(makers: Mapping[str, Sequence[SheetMaker]], context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The front page with the contents, on as many sheets as these take; ``makers``: what follows it."""
    top, room = TOP, paper.height - 40.0
    kinds = sum(1 for group in makers.values() if group)
    first = max(1, int((room - top) / PITCH))
    more = max(1, int((room - 34.0) / PITCH))
    ahead = 1 + max(0, -(-(kinds - first) // more))
    entries = entries_of(makers, ahead, context.size)
    pages = [entries[:first], *(entries[i : i + more] for i in range(first, len(entries), more))]
    return [partial(_front, context, paper, page, i) for i, page in enumerate(pages)]


def _front(context: SheetContext, paper: Paper, page: Sequence[Entry], i: int, n: int, of: int) -> Sheet:
    frame = framed(paper, context.job, STAMP, None, n, of, context.warning)
    left, right = frame.room.left + 12, frame.room.right - 12
    marks: list[Mark] = [*frame.marks]
    y = frame.room.top + 12.0
    if i == 0:
        head, y = _head(context, left, right, y)
        marks += head
        y = max(y + 8.0, TOP - PITCH)
    marks.append(Group((Text("Contents", Point(left, y), 3.5, bold=True, role=Role.TITLE_TEXT),), kind=Kind.H2))
    marks.append(Anchor("contents" if i == 0 else f"contents-{i + 1}", Point(left, y - 6), ""))
    marks.append(Shape((polyline([Point(left, y + 2.2), Point(right, y + 2.2)]),), Role.TABLE_RULE))
    y += 3.0
    for entry in page:
        y += PITCH
        marks += _entry(entry, left, right, y)
    return Sheet(paper.width, paper.height, STAMP if i == 0 else f"contents {i + 1}", tuple(marks), "packet")


def _head(context: SheetContext, left: float, right: float, top: float) -> tuple[list[Mark], float]:
    """Job number, title and what is known of the job; where they end."""
    job, record = context.job, context.layout.build.record
    marks: list[Mark] = []
    y = top + 8.0
    marks.append(Group((Text(fit(job.job or "job ______", 8.0, right - left, True), Point(left, y), 8.0, bold=True,
                             role=Role.TITLE_TEXT),), kind=Kind.H1))
    for line in wrap(job.title or "Wiring of one instrument", 5.0, right - left)[:3]:
        y += 8.4
        marks.append(Text(line, Point(left, y), 5.0, role=Role.TITLE_TEXT))
    y += 3.0
    facts = (("instrument", job.instrument), ("customer", record.get("customer", "")), ("workshop", job.workshop),
             ("drawn by", job.drawn_by), ("date", job.date), ("revision", job.revision),
             ("file check", job.checksum))
    for word, text in facts:
        y += 5.6
        marks.append(Group((Text(word, Point(left, y), 2.5, role=Role.ARROW_TEXT),
                            Text(fit(text, 2.5, right - left - 30, True) or "_" * 20, Point(left + 30, y), 2.5,
                                 bold=True)), kind=Kind.NOTE))
    return marks, y


def _entry(entry: Entry, left: float, right: float, y: float) -> list[Mark]:
    """A line: name, what it is for, dots, number; the whole line is a link."""
    number = str(entry.first) if entry.first == entry.last else f"{entry.first} to {entry.last}"
    end = right - text_width(number, ENTRY, True)
    after = left + text_width(entry.name, ENTRY, True) + 3.0
    about = fit(entry.about, 2.2, max(0.0, end - after - 8.0)) if entry.about else ""
    dots = after + (text_width(about, 2.2) + 3.0 if about else 0.0)
    marks: list[Mark] = [Text(entry.name, Point(left, y), ENTRY, bold=True)]
    if about:
        marks.append(Text(about, Point(after, y), 2.2, role=Role.ARROW_TEXT))
    marks.append(Text(number, Point(right, y), ENTRY, "end", bold=True))
    rule = [Shape((polyline([Point(dots, y), Point(end - 2.0, y)]),), Role.GRID)] if end - 2.0 > dots else []
    return [*rule, Group(tuple(marks), kind=Kind.NOTE),
            Link(Box(left - 1, y - ENTRY - 1.4, right + 1, y + 2.0), f"sheet-{entry.first}")]
