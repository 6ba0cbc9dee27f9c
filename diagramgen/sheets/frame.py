"""What every sheet carries: frame, job line, stamp of view, neck arrow, cautions."""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagramgen.drawing.diagram import arrow_head
from diagramgen.drawing.scene import Anchor, Group, Kind, Mark, Role, Shape, Text
from diagramgen.geometry import Box, Point, polyline, rounded_box
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.sheets.paper import Paper

MARGIN = 10.0
"""White margin round the frame, mm (ISO 5457 asks 10 mm; most printers cannot print the outer 4 to 6)."""
HEAD = 11.0
FOOT = 7.0

CAUTIONS = (
    "Iron and joints burn. Extract the fume. Leaded solder: no food at the bench, wash hands.",
    "Eye protection: cut ends fly, solder spits. Cover battery terminals.",
    "Unplug from the amplifier before opening. Strings are joined to its earth: only earthed, tested "
    "amplifiers; never lift the earth; mains repairs are for licensed hands. Local codes come first.",
)
"""Usual cautions of the bench (common practice; fume, lead and eye rules as public safety agencies print)."""


@dataclass(frozen=True)
class JobLine:
    """What the job line says; an empty date or revision prints as a blank to be written by hand."""

    job: str
    title: str
    instrument: str
    date: str
    revision: str
    workshop: str
    drawn_by: str
    checksum: str


@dataclass(frozen=True)
class Page:
    """A framed sheet to be filled: its size, the marks of its frame, and the room inside."""

    width: float
    height: float
    marks: tuple[Mark, ...]
    room: Box


def framed(
    paper: Paper, job: JobLine, stamp: str, neck: float | None, number: int, count: int, warning: str = "",
    anchor: str = "",
) -> Page:
    """Frame, head with job number, stamp of view and neck arrow, and the one-line title block.

    ``neck`` is the direction of the neck on this sheet, radians; None where it is not known.
    """
    w, h = paper.width, paper.height
    inner = Box(MARGIN, MARGIN, w - MARGIN, h - MARGIN)
    marks: list[Mark] = [
        Anchor(f"sheet-{anchor or number}", Point(MARGIN, MARGIN), stamp),
        Shape((rounded_box(inner, 0),), Role.FRAME),
    ]
    marks += _head(inner, job, stamp, neck, warning)
    marks += _foot(inner, job, number, count)
    room = Box(inner.left, inner.top + HEAD, inner.right, inner.bottom - FOOT)
    return Page(w, h, tuple(marks), room)


def _head(inner: Box, job: JobLine, stamp: str, neck: float | None, warning: str) -> list[Mark]:
    base = inner.top + 7.6
    job_text = job.job or "job ______"
    marks: list[Mark] = [
        Group((Text(job_text, Point(inner.left + 3, base), 5.0, bold=True, role=Role.TITLE_TEXT),), kind=Kind.H1)
    ]
    right = inner.right - 3.0
    if neck is not None:
        marks += neck_arrow(Point(right - 15, inner.top + HEAD / 2), neck)
        right -= 34.0
    words = stamp.upper() if not warning else f"{stamp.upper()}  ·  {warning}"
    height = 3.5 if text_width(words, 3.5, True) < (inner.width) * 0.5 else 2.5
    width = text_width(words, height, True) + 6
    box = Box(right - width, inner.top + 2.0, right, inner.top + HEAD - 2.0)
    role, text_role = (Role.WARNING, Role.WARNING_TEXT) if warning else (Role.STAMP, Role.STAMP_TEXT)
    marks.append(Shape((rounded_box(box, 0),), role))
    marks.append(Text(words, Point(box.centre.x, box.centre.y + height / 2), height, "middle", bold=True,
                      role=text_role))
    start = inner.left + 7 + text_width(job_text, 5.0, True)
    space = max(10.0, box.left - 4 - start)
    tall = next((h for h in (3.5, 2.5) if text_width(job.title, h) <= space), 1.8)
    marks.append(Text(fit(job.title, tall, space), Point(start, base), tall, role=Role.TITLE_TEXT))
    y = inner.top + HEAD
    marks.append(Shape((polyline([Point(inner.left, y), Point(inner.right, y)]),), Role.TABLE_RULE))
    return marks


def neck_arrow(at: Point, angle: float) -> list[Mark]:
    """A bold arrow to the neck with the word under it (or beside an upright one)."""
    half = 8.0 if abs(math.cos(angle)) > 0.5 else 4.2
    tail, tip = at.towards(angle, -half), at.towards(angle, half)
    if abs(math.cos(angle)) > 0.5:
        tail, tip = Point(tail.x, at.y - 2.2), Point(tip.x, at.y - 2.2)
        word = Text("neck", Point(at.x, at.y + 3.6), 2.5, "middle", bold=True, role=Role.ARROW_TEXT)
    else:
        tail, tip = Point(at.x - 9, tail.y), Point(at.x - 9, tip.y)
        word = Text("neck", Point(at.x - 5, at.y + 1.25), 2.5, bold=True, role=Role.ARROW_TEXT)
    shaft = polyline([tail, tip.towards(angle, -2.5)])
    return [Group((Shape((shaft,), Role.ARROW), Shape((arrow_head(tip, angle, 4.5),), Role.ARROW), word),
                  alt="arrow to the neck", kind=Kind.FIGURE)]


def _foot(inner: Box, job: JobLine, number: int, count: int) -> list[Mark]:
    top = inner.bottom - FOOT
    rule = Shape((polyline([Point(inner.left, top), Point(inner.right, top)]),), Role.TABLE_RULE)
    cells = [
        ("job", job.job or "________"),
        ("instrument", job.instrument or "________________"),
        ("date", job.date or "____________"),
        ("rev", job.revision or "____"),
        ("by", job.drawn_by or job.workshop or "________"),
        ("sheet", f"{number} of {count}"),
        ("file check", job.checksum),
    ]
    height = 1.8
    widths = [text_width(label, height) + 1.6 + text_width(text, height, True) for label, text in cells]
    spare = inner.width - 6 - sum(widths)
    if spare < 4 * (len(cells) - 1):
        room = widths[1] + spare - 4 * (len(cells) - 1) - text_width("instrument", height) - 1.6
        cells[1] = ("instrument", fit(cells[1][1], height, max(12.0, room), True))
        widths[1] = text_width("instrument", height) + 1.6 + text_width(cells[1][1], height, True)
        spare = inner.width - 6 - sum(widths)
    if spare < 1.5 * (len(cells) - 1):
        # An A5 sheet upright: the workshop knows who it is.
        del cells[4], widths[4]
        spare = inner.width - 6 - sum(widths)
    gap = max(1.0, spare / (len(cells) - 1))
    x, base = inner.left + 3, top + FOOT / 2 + height / 2
    marks: list[Mark] = [rule]
    for (label, text), width in zip(cells, widths, strict=True):
        marks.append(Text(label, Point(x, base), height, role=Role.ARROW_TEXT))
        marks.append(Text(text, Point(x + text_width(label, height) + 1.6, base), height, bold=True))
        x += width + gap
    return marks


def cautions(at: Point, width: float, height: float = 1.8) -> tuple[list[Mark], float]:
    """The caution box with its upper left corner at ``at``; returns its marks and its height in mm."""
    lines = [line for text in CAUTIONS for line in wrap(text, height, width - 4)]
    pitch = height * 1.55
    total = pitch * (len(lines) + 1) + 2.6
    box = Box(at.x, at.y, at.x + width, at.y + total)
    marks: list[Mark] = [Shape((rounded_box(box, 1.0),), Role.CAUTION)]
    y = at.y + 1.0 + pitch
    marks.append(Text("CAUTION", Point(at.x + 2, y), height, bold=True, role=Role.CAUTION_TEXT))
    for line in lines:
        y += pitch
        marks.append(Text(line, Point(at.x + 2, y), height, role=Role.CAUTION_TEXT))
    return [Group(tuple(marks), alt="cautions", kind=Kind.NOTE)], total
