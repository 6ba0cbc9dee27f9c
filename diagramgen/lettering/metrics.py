"""Widths, boxes, line breaks and shortening of text; all lengths in mm, heights of capitals."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Literal

from diagramgen.kernel.geometry import Box, Point, box_around
from diagramgen.lettering.font_file import composed, face

TextAnchor = Literal["start", "middle", "end"]

ELLIPSIS = "…"
_SHARE = {"start": 0.0, "middle": 0.5, "end": 1.0}
_UP, _DOWN = 1.045, 0.33


def font_size(height: float, bold: bool = False) -> float:
    """The font size in mm whose capitals stand ``height`` mm high."""
    return height / face(bold).capital


def text_width(text: str, height: float, bold: bool = False) -> float:
    """Width in mm of one line of text whose capitals stand ``height`` mm high."""
    return _ems(composed(text), bold) * font_size(height, bold)


@lru_cache(maxsize=8192)
def _ems(text: str, bold: bool) -> float:
    known = face(bold)
    return sum(known.advances.get(ord(c), known.fallback) for c in text)


def ascent(height: float) -> float:
    """How far plain letters reach above the baseline, in mm."""
    return _UP * height


def descent(height: float) -> float:
    """How far letters such as ``g`` reach below the baseline, in mm."""
    return _DOWN * height


def line_pitch(height: float) -> float:
    """Distance between the baselines of running text, in mm (ISO 3098-1 asks for at least 1.5 heights)."""
    return 1.6 * height


def text_box(
    text: str,
    at: Point,
    height: float,
    anchor: TextAnchor = "start",
    angle: float = 0.0,
    bold: bool = False,
) -> Box:
    """The upright box around a line of text set with its baseline through ``at``, turned by ``angle``."""
    width = text_width(text, height, bold)
    left = -_SHARE[anchor] * width
    cos, sin = math.cos(angle), math.sin(angle)
    corners = [(x, y) for x in (left, left + width) for y in (-ascent(height), descent(height))]
    return box_around(Point(at.x + x * cos - y * sin, at.y + x * sin + y * cos) for x, y in corners)


def wrap(text: str, height: float, width: float, bold: bool = False) -> list[str]:
    """The text broken at spaces into lines of at most ``width`` mm; a word too long is broken inside.

    Line ends in the text are kept; an empty text gives one empty line.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if text_width(longer, height, bold) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            *full, line = _chopped(word, height, width, bold)
            lines.extend(full)
        lines.append(line)
    return lines


def fit(text: str, height: float, width: float, bold: bool = False) -> str:
    """The text, or as much of its beginning as fits into ``width`` mm with an ellipsis after it.

    Empty where not even the ellipsis fits.
    """
    if text_width(text, height, bold) <= width:
        return text
    room = width - text_width(ELLIPSIS, height, bold)
    if room < 0:
        return ""
    return text[: _count_within(text, height, room, bold)].rstrip() + ELLIPSIS


def _chopped(word: str, height: float, width: float, bold: bool) -> list[str]:
    parts: list[str] = []
    while text_width(word, height, bold) > width and len(word) > 1:
        count = max(1, _count_within(word, height, width, bold))
        parts.append(word[:count])
        word = word[count:]
    return [*parts, word]


def _count_within(text: str, height: float, width: float, bold: bool) -> int:
    """How many leading characters of the text fit into ``width`` mm."""
    known, size = face(bold), font_size(height, bold)
    used = 0.0
    for count, character in enumerate(text):
        used += known.advances.get(ord(character), known.fallback) * size
        if used > width + 1e-9:
            return count
    return len(text)
