"""What every sheet carries: frame, job line, stamp of view, neck arrow, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from diagramgen.drawing.scene import Anchor, Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, polyline, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import text_width, wrap
from diagramgen.sheets.title_block import HEAD, head_marks

MARGIN = 10.0
"""White margin round the frame, mm (ISO 5457 asks 10 mm; most printers cannot print the outer 4 to 6)."""
FOOT = 7.0
FOOT_LETTERS = 1.8
LABEL = 1.6
"""Gap between a word of the foot and what it says, mm."""

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
    marks += head_marks(inner, job.job, job.title, stamp, neck, warning)
    marks += _foot(inner, job, number, count)
    room = Box(inner.left, inner.top + HEAD, inner.right, inner.bottom - FOOT)
    return Page(w, h, tuple(marks), room)


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
    one = _set(cells, inner, top + FOOT / 2 + FOOT_LETTERS / 2)
    if one is not None:
        return [rule, *one]
    # Upright sheets and long names: two rows, who and what above when and which.
    upper, lower = (cells[0], cells[1], cells[4]), (cells[2], cells[3], cells[5], cells[6])
    return [rule, *_squeezed(upper, inner, top + 2.9), *_squeezed(lower, inner, top + 6.0)]


def _set(cells: Sequence[tuple[str, str]], inner: Box, base: float, least: float = 4.0) -> list[Mark] | None:
    """One row of words and what they say, spread over the width; None where it does not hold them."""
    height = FOOT_LETTERS
    widths = [text_width(label, height) + LABEL + text_width(text, height, True) for label, text in cells]
    spare = inner.width - 6 - sum(widths)
    if spare < least * (len(cells) - 1):
        return None
    x, gap = inner.left + 3, spare / (len(cells) - 1)
    marks: list[Mark] = []
    for (label, text), width in zip(cells, widths, strict=True):
        marks.append(Text(label, Point(x, base), height, role=Role.ARROW_TEXT))
        marks.append(Text(text, Point(x + text_width(label, height) + LABEL, base), height, bold=True))
        x += width + gap
    return marks


def _squeezed(cells: Sequence[tuple[str, str]], inner: Box, base: float) -> list[Mark]:
    """A row in which the longest texts are cut short until it holds all."""
    texts = [text for _, text in cells]
    while True:
        found = _set([(label, text) for (label, _), text in zip(cells, texts, strict=True)], inner, base, 2.0)
        longest = max(range(len(texts)), key=lambda i: len(texts[i]))
        if found is not None or len(texts[longest]) < 4:
            return found or []
        texts[longest] = texts[longest].rstrip("…")[:-1].rstrip() + "…"


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
