"""The problems of a build as they stand beside a drawing: as many as fit, the rest counted."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.drawing.scene import Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, rounded_box
from diagramgen.lettering import wrap

LINE = 2.9
"""Distance of lines, mm."""
PAD = 2.0
HEIGHTS = (60.0, 40.0, 26.0, 14.0)
"""Heights of a box of notes that are tried where all of them find no room, mm."""


def note_marks(notes: Sequence[str], box: Box, where: str) -> list[Mark]:
    """Notes below one another; those for which there is no room are counted, never dropped without a word.

    ``where``: what lists all of them.
    """
    marks: list[Mark] = []
    y = box.top
    blocks = [wrap("• " + note, 1.8, box.width) for note in notes]
    for i, block in enumerate(blocks):
        rest = wrap(left_over(notes[i:], where), 1.8, box.width, True)
        last = i + 1 == len(blocks)
        after = 0.0 if last else LINE * len(wrap(left_over(notes[i + 1:], where), 1.8, box.width, True))
        if y + len(block) * LINE + after > box.bottom:
            marks += [Text(line, Point(box.left, y + LINE * (k + 1)), 1.8, bold=True, role=Role.WARNING_TEXT)
                      for k, line in enumerate(rest)]
            break
        for line in block:
            y += LINE
            marks.append(Text(line, Point(box.left, y), 1.8, role=Role.WARNING_TEXT))
    return marks


def left_over(notes: Sequence[str], where: str, word: str = "more") -> str:
    """How many notes are not shown, and where they are."""
    return f"{len(notes)} {word}: {where}"


def heights(notes: Sequence[str], width: float) -> list[float]:
    """Heights of a box for these notes, mm: that of all of them, then smaller ones."""
    whole = LINE * sum(len(wrap("• " + note, 1.8, width - 2 * PAD)) for note in notes) + 2 * PAD
    return [whole, *(h for h in HEIGHTS if h < whole)]


def boxed_notes(notes: Sequence[str], box: Box, where: str) -> list[Mark]:
    """Notes in a frame of their own, where they stand in the free floor of a sheet."""
    inner = Box(box.left + PAD, box.top + PAD - 0.8, box.right - PAD, box.bottom - PAD + 0.8)
    return [Shape((rounded_box(box, 1.0),), Role.WARNING), *note_marks(notes, inner, where)]
