"""Sets the words of a label into its room: largest wording first, then smaller letters, never cut."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagramgen.drawing.scene import Mark, Role, Text
from diagramgen.features.labels.compute import LabelWords
from diagramgen.kernel.geometry import Box, Point
from diagramgen.lettering import ascent, descent, line_pitch, text_width

HEIGHTS = (3.5, 3.0, 2.5, 2.2, 2.0, 1.8)
"""Capital heights tried, mm; none is smaller than 1.8."""
_HEADS = (1.4, 1.2, 1.0)
HANG = 1.2
"""How far a line that goes on is set in, mm."""
_SET_IN = "\t"
"""Marks a line that goes on."""
_PARTED = "\0"
"""Marks a line that ends inside a word, behind its hyphen."""


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

    @property
    def lone(self) -> bool:
        """Whether a word that reads badly by itself has a line of its own, or the head has two."""
        bold = sum(bold for _, _, bold in self.lines)
        return bold > 1 or any(text in ("at", "to", "from") or len(text.strip()) == 1 for text, _, _ in self.lines)

    def text(self) -> str:
        """Everything it says, its sentences parted by a slash."""
        whole = " / ".join(text for text, _, _ in self.lines).replace(" / " + _SET_IN, " ")
        return whole.replace(_PARTED + " / ", "")


def fitted(words: LabelWords, width: float, height: float) -> Fitted | None:
    """The words broken into lines for a room in mm, or None where not even the shortest wording fits."""
    # A name parted at its hyphens reads worse than any smaller letters: only where nothing else fits.
    return _fitted(words, width, height) or _fitted(
        replace(words, head=words.head.replace("-", f"-{_PARTED} ")), width, height)


def _fitted(words: LabelWords, width: float, height: float) -> Fitted | None:
    for i, body in enumerate(words.bodies):
        # A lone 'to', or a tag parted from its colour, reads badly: smaller letters come first.
        for lone in (False, True):
            for small in HEIGHTS:
                for share in _HEADS:
                    made = _set(words.head, body, (small, small * share), width)
                    if made is None or made.tall > height + 1e-9 or (made.lone and not lone):
                        continue
                    return Fitted(made.lines, i)
    return None


def _set(head: str, body: tuple[str, ...], heights: tuple[float, float], width: float) -> Fitted | None:
    small, large = heights
    first = _broken(head, large, width, True)
    rest = [_broken(line, small, width, False) for line in body]
    if first is None or None in rest:
        return None
    lines = [(text, large, True) for text in first]
    lines += [(text, small, False) for found in rest for text in found or ()]
    return Fitted(tuple(lines), 0)


def _broken(text: str, height: float, width: float, bold: bool) -> list[str] | None:
    """The text broken at blanks, lines after the first set in; None where one word is wider than the room."""
    lines: list[str] = []
    for word in text.split():
        before = lines[-1] if lines else ""
        longer = before.removesuffix(_PARTED) + word if before.endswith(_PARTED) else f"{before} {word}".strip()
        if _width(longer, height, bold) <= width - (HANG if len(lines) > 1 and not bold else 0.0):
            lines[-1:] = [longer]
        elif lines and _width(word, height, bold) <= width - (0.0 if bold else HANG):
            lines.append(word)
        else:
            return None
    return lines[:1] + [line if bold else _SET_IN + line for line in lines[1:]]


def _width(text: str, height: float, bold: bool) -> float:
    return text_width(text.removesuffix(_PARTED), height, bold)


def block(made: Fitted, room: Box, subject: str) -> list[Mark]:
    """The lines, left in the room and in the middle of its height."""
    y = room.top + (room.height - made.tall) / 2 + ascent(made.lines[0][1])
    marks: list[Mark] = []
    for i, (text, height, bold) in enumerate(made.lines):
        y += line_pitch(height) if i else 0.0
        x = room.left + (HANG if text.startswith(_SET_IN) else 0.0)
        said = text.strip().removesuffix(_PARTED)
        marks.append(Text(said, Point(x, y), height, bold=bold, role=Role.TAG_TEXT, subject=subject))
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
