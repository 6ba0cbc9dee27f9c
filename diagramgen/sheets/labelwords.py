"""Sets the words of a label into its room: largest wording first, then smaller letters, never cut."""

from __future__ import annotations

from dataclasses import dataclass

from diagramgen.drawing.scene import Mark, Role, Text
from diagramgen.geometry import Box, Point
from diagramgen.lettering import ascent, descent, line_pitch, text_width, wrap
from diagramgen.work.labels import LabelWords

HEIGHTS = (2.5, 2.2, 2.0, 1.8)
"""Capital heights tried, mm; none is smaller than 1.8."""
_HEADS = (1.4, 1.2, 1.0)


@dataclass(frozen=True)
class Fitted:
    """Words that fit: lines with their heights in mm, the head's first."""

    lines: tuple[tuple[str, float, bool], ...]
    wording: int
    """Which of the wordings it is, 0 the fullest."""

    @property
    def tall(self) -> float:
        """From the top of the first capital to below the last letter, mm."""
        first, last = self.lines[0][1], self.lines[-1][1]
        return ascent(first) + sum(line_pitch(h) for _, h, _ in self.lines[1:]) + descent(last)

    def text(self) -> str:
        """Everything it says, lines parted by a slash."""
        return " / ".join(text for text, _, _ in self.lines)


def fitted(words: LabelWords, width: float, height: float) -> Fitted | None:
    """The words broken into lines for a room in mm, or None where not even the shortest wording fits."""
    for i, body in enumerate(words.bodies):
        for small in HEIGHTS:
            for share in _HEADS:
                head = _broken(words.head, small * share, width, True)
                rest = [_broken(line, small, width, False) for line in body]
                if head is None or None in rest:
                    continue
                lines = [(text, small * share, True) for text in head]
                lines += [(text, small, False) for found in rest for text in found or ()]
                made = Fitted(tuple(lines), i)
                if made.tall <= height + 1e-9:
                    return made
    return None


def _broken(text: str, height: float, width: float, bold: bool) -> list[str] | None:
    """The text broken at blanks, or None where one word is wider than the room."""
    if any(text_width(word, height, bold) > width for word in text.split()):
        return None
    return wrap(text, height, width, bold)


def block(made: Fitted, room: Box, subject: str) -> list[Mark]:
    """The lines, left in the room and in the middle of its height."""
    y = room.top + (room.height - made.tall) / 2 + ascent(made.lines[0][1])
    marks: list[Mark] = []
    for i, (text, height, bold) in enumerate(made.lines):
        y += line_pitch(height) if i else 0.0
        marks.append(Text(text, Point(room.left, y), height, bold=bold, role=Role.TAG_TEXT, subject=subject))
    return marks


@dataclass(frozen=True)
class OneLine:
    """Words on one line: the head in bold, then the rest."""

    head: str
    rest: str
    height: float
    wording: int

    @property
    def wide(self) -> float:
        """Its width in mm."""
        return _line_width(self.head, self.rest, self.height)

    def text(self) -> str:
        """Everything it says."""
        return " / ".join(filter(None, (self.head, self.rest)))

    def marks(self, at: Point, subject: str) -> list[Mark]:
        """The line with its baseline from ``at``."""
        marks: list[Mark] = [Text(self.head, at, self.height, bold=True, role=Role.TAG_TEXT, subject=subject)]
        if self.rest:
            x = at.x + text_width(self.head + "  ", self.height, True)
            marks.append(Text(self.rest, Point(x, at.y), self.height, role=Role.TAG_TEXT, subject=subject))
        return marks


def _line_width(head: str, rest: str, height: float) -> float:
    if not rest:
        return text_width(head, height, True)
    return text_width(head + "  ", height, True) + text_width(rest, height)


def one_line(words: LabelWords, width: float, height: float) -> OneLine | None:
    """The words on one line in a room of ``width`` and ``height`` mm, or None."""
    for i, body in enumerate(words.bodies):
        for letters in HEIGHTS:
            made = OneLine(words.head, ", ".join(body), letters, i)
            if made.wide <= width + 1e-9 and ascent(letters) + descent(letters) <= height + 1e-9:
                return made
    return None
