"""The packet: a front page with the contents, and links both ways between lead tags and the rows of the lead list."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from diagramgen.drawing.scene import (
    Anchor,
    Group,
    Kind,
    Link,
    Mark,
    Placed,
    Role,
    Shape,
    Sheet,
    Text,
    leaves,
    walk_placed,
)
from diagramgen.kernel.geometry import Box, Point, polyline
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.frame import framed
from diagramgen.sheets.margin_panel import FULL_SIZE, SheetMaker, Subject
from diagramgen.sheets.paper import Paper

STAMP = "packet of the job"
KINDS = {
    "packet": ("Front page and contents", ""),
    "intake": ("Intake", "to be filled in before opening"),
    "diagram": ("Wiring diagram", "full size, solder side"),
    "player": ("Diagram from the player's side", ""),
    "bench": ("Bench page", "enlarged, for the wall"),
    "jig": ("Harness jig", "full size, to build the harness on"),
    "template": ("Drilling template", "full size"),
    "cover": ("Inside of the cover, legend", "to be cut out"),
    "stages": ("Stages", "pictures in the order of soldering"),
    "work": ("Work", "what to make ready, joints in order, stops for the meter"),
    "changes": ("Changes", "from as found to as left"),
    "undo": ("Undo", "from as left back to as found"),
    "states": ("Positions", "what carries the signal in each"),
    "proof": ("Proof", "what each position gives"),
    "curves": ("Responses", "curves of the positions"),
    "test": ("Test page", "to meter before closing"),
    "leads": ("Lead list", "cut lengths, joints"),
    "faults": ("Fault table", "where to look when it does not work"),
    "closing": ("Closing", "before the customer gets it back"),
    "record": ("Record of the work", "for the customer"),
}
"""Kind of sheet -> its name in the contents and what it is for, in the order of a job."""
DRAWN = ("diagram", "player", "bench", "jig", "stages", "states")
"""Kinds whose lead tags lead to the rows of the lead list."""
ENTRY = 2.8
PITCH = 7.4
TOP = 114.0
"""Where the contents begin below the job's head, mm."""
_TAG = re.compile(r"lead:(\S+)")


@dataclass(frozen=True)
class Entry:
    """A line of the contents."""

    name: str
    about: str
    first: int
    last: int


def in_order(makers: Mapping[str, list[SheetMaker]]) -> dict[str, list[SheetMaker]]:
    """The kinds of sheets in the order a job takes them; kinds not known here come last."""
    known = [kind for kind in KINDS if kind in makers]
    return {kind: makers[kind] for kind in (*known, *(k for k in makers if k not in KINDS))}


def first_numbers(makers: Mapping[str, Sequence[object]]) -> dict[str, int]:
    """Kind of sheet -> the number of its first sheet; kinds without a sheet are left out."""
    found, number = {}, 1
    for kind, group in makers.items():
        if group:
            found[kind] = number
        number += len(group)
    return found


def entries_of(makers: Mapping[str, Sequence[SheetMaker]], ahead: int, size: str = FULL_SIZE) -> list[Entry]:
    """The lines of the contents of what follows ``ahead`` front pages; ``size``: what sheets at 1:1 are headed."""
    found, number = [], ahead + 1
    for kind, group in makers.items():
        name, about = KINDS.get(kind, (kind[:1].upper() + kind[1:], ""))
        if group:
            found.append(Entry(name, about.replace(FULL_SIZE, size), number, number + len(group) - 1))
        number += len(group)
    return found


def front_sheets(makers: Mapping[str, Sequence[SheetMaker]], subject: Subject, paper: Paper) -> list[SheetMaker]:
    """The front page with the contents, on as many sheets as these take; ``makers``: what follows it."""
    top, room = TOP, paper.height - 40.0
    kinds = sum(1 for group in makers.values() if group)
    first = max(1, int((room - top) / PITCH))
    more = max(1, int((room - 34.0) / PITCH))
    ahead = 1 + max(0, -(-(kinds - first) // more))
    entries = entries_of(makers, ahead, subject.size)
    pages = [entries[:first], *(entries[i : i + more] for i in range(first, len(entries), more))]
    return [partial(_front, subject, paper, page, i) for i, page in enumerate(pages)]


def _front(subject: Subject, paper: Paper, page: Sequence[Entry], i: int, n: int, of: int) -> Sheet:
    frame = framed(paper, subject.job, STAMP, None, n, of, subject.warning)
    left, right = frame.room.left + 12, frame.room.right - 12
    marks: list[Mark] = [*frame.marks]
    y = frame.room.top + 12.0
    if i == 0:
        head, y = _head(subject, left, right, y)
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


def _head(subject: Subject, left: float, right: float, top: float) -> tuple[list[Mark], float]:
    """Job number, title and what is known of the job; where they end."""
    job, record = subject.job, subject.layout.build.record
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


def linked(made: Mapping[str, Sequence[Sheet]]) -> dict[str, list[Sheet]]:
    """The sheets with links: tags in the diagrams to rows of the lead list, rows back to the diagram, the sheet's
    number to the contents."""
    homes = _homes(made)
    rows = {tag for sheet in made.get("leads", ()) for tag, _ in _rows(sheet)}
    seen: set[str] = set()
    number = 0
    result: dict[str, list[Sheet]] = {}
    for kind, sheets in made.items():
        result[kind] = []
        for sheet in sheets:
            number += 1
            more: list[Mark] = []
            if kind in DRAWN:
                more += _from_tags(sheet, number, rows, homes)
            if kind == "leads":
                more += _from_rows(sheet, homes, seen)
            if kind != "packet" and "packet" in made:
                more += _to_contents(sheet)
            result[kind].append(replace(sheet, marks=(*sheet.marks, *more)))
    return result


def unlinked(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sheets without links to places that are on none of them, as they are written without the others."""
    there = {mark.name for sheet in sheets for mark in leaves(sheet.marks) if isinstance(mark, Anchor)}
    return [replace(s, marks=tuple(m for m in s.marks if not isinstance(m, Link) or m.target in there
                                   or "://" in m.target)) for s in sheets]


def _homes(made: Mapping[str, Sequence[Sheet]]) -> dict[str, int]:
    """Tag -> number of the sheet where it is first drawn in a diagram: the full-size one before others."""
    found: dict[str, int] = {}
    numbers = {}
    number = 0
    for kind, sheets in made.items():
        numbers[kind] = number + 1
        number += len(sheets)
    for kind in DRAWN:
        for i, sheet in enumerate(made.get(kind, ())):
            for tag, _ in _tags(sheet):
                found.setdefault(tag, numbers[kind] + i)
    return found


def _tags(sheet: Sheet) -> Iterator[tuple[str, Box]]:
    """Tags of leads on a drawing, each with the box of its text; what a window hides is not there."""
    for placed in walk_placed(sheet):
        mark = placed.mark
        named = _TAG.fullmatch(placed.subject)
        if isinstance(mark, Text) and mark.role == Role.TAG_TEXT and named and mark.text.startswith(named[1]):
            box = mark.box()
            if placed.clip is None or _holds(placed.clip, box):
                yield named[1], box


def _holds(window: Box, box: Box) -> bool:
    return (window.left <= box.left and window.top <= box.top and box.right <= window.right
            and box.bottom <= window.bottom)


def _rows(sheet: Sheet) -> Iterator[tuple[str, Box]]:
    """Rows of the lead list: tag and the box of its text."""
    for placed in walk_placed(sheet):
        tag = _row_tag(placed)
        if tag and isinstance(placed.mark, Text) and placed.mark.text == tag:
            yield tag, placed.mark.box()


def _row_tag(placed: Placed) -> str:
    row = next((g for g in placed.groups if g.kind == Kind.ROW and g.subject), None)
    named = _TAG.fullmatch(row.subject) if row else None
    return named[1] if named else ""


def _from_tags(sheet: Sheet, number: int, rows: set[str], homes: Mapping[str, int]) -> Iterator[Mark]:
    """Links of a drawing's tags, and the places the rows lead back to."""
    anchored: set[str] = set()
    for tag, box in _tags(sheet):
        if homes.get(tag) == number and tag not in anchored:
            anchored.add(tag)
            yield Anchor(f"drawn-{tag}", Point(max(0.0, box.left - 40), max(0.0, box.top - 40)))
        if tag in rows:
            yield Link(box.grown(0.5), f"row-{tag}")


def _from_rows(sheet: Sheet, homes: Mapping[str, int], seen: set[str]) -> Iterator[Mark]:
    for tag, box in _rows(sheet):
        if tag in seen:
            continue
        seen.add(tag)
        yield Anchor(f"row-{tag}", Point(0.0, max(0.0, box.top - 6)))
        if tag in homes:
            yield Link(box.grown(0.8), f"drawn-{tag}")


def _to_contents(sheet: Sheet) -> Iterator[Mark]:
    """The sheet's number in its foot leads to the contents."""
    for placed in walk_placed(sheet):
        mark = placed.mark
        if isinstance(mark, Text) and mark.bold and re.fullmatch(r"\d+ of \d+", mark.text) \
                and mark.at.y > sheet.height - 20 and not placed.groups:
            yield Link(mark.box().grown(1.0), "contents")
            return
