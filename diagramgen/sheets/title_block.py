"""The head of a sheet: job number, title, stamp of the view, warning, neck arrow.

Stamp and title share what room there is: first in one line each, then in two, and only then in smaller letters. The
stamp never lies on the job number, and a title is cut short only where three lines do not hold it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from diagramgen.drawing.diagram import arrow_head
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Text
from diagramgen.kernel.geometry import Box, Point, polyline, rounded_box
from diagramgen.lettering import fit, text_width, wrap

HEAD = 11.0
"""Height of the head, mm."""
PAD = 3.0
AIR = 4.0
"""Least gap between title and stamp, mm."""
HALF = 0.5
"""Share of the sheet a stamp in large letters may take."""
SMALL = 1.8
"""Smallest capitals of a title or a warning, mm."""
LEAST = 24.0
"""A title has this much room at least, mm, before it is cut short."""
PITCH = {3.5: 0.0, 2.5: 3.6, SMALL: 2.7}
"""Distance of lines in the head by the height of their capitals, mm."""


@dataclass(frozen=True)
class Lines:
    """A text broken into lines of one height."""

    lines: tuple[str, ...]
    height: float
    bold: bool = False

    @property
    def width(self) -> float:
        """Of the longest line, mm."""
        return max((text_width(line, self.height, self.bold) for line in self.lines), default=0.0)

    def baselines(self, middle: float) -> list[float]:
        """Where the lines stand so that they are centred on ``middle``."""
        pitch = PITCH[self.height]
        first = middle + self.height / 2 - pitch * (len(self.lines) - 1) / 2
        return [first + pitch * i for i in range(len(self.lines))]


def head_marks(inner: Box, job: str, title: str, stamp: str, neck: float | None, warning: str) -> list[Mark]:
    """The head along the upper edge of the frame ``inner``; ``neck`` as for a framed sheet."""
    middle = inner.top + HEAD / 2
    number = _number(job or "job ______", inner.width)
    right = inner.right - PAD
    marks: list[Mark] = []
    if neck is not None:
        marks += neck_arrow(Point(right - 15, middle), neck)
        right -= 34.0
    start = inner.left + 7 + number.width
    stamped, named = _shared(stamp.upper(), warning, title, inner.width, right - start - AIR)
    marks.insert(0, Group((Text(number.lines[0], Point(inner.left + PAD, inner.top + 7.6), number.height, bold=True,
                                role=Role.TITLE_TEXT),), kind=Kind.H1))
    box = Box(right - stamped.width - 6, inner.top + 1.4, right, inner.top + HEAD - 1.4)
    role, text_role = (Role.WARNING, Role.WARNING_TEXT) if warning else (Role.STAMP, Role.STAMP_TEXT)
    marks.append(Shape((rounded_box(box, 0),), role))
    marks += [Text(line, Point(box.centre.x, y), stamped.height, "middle", bold=True, role=text_role)
              for line, y in zip(stamped.lines, stamped.baselines(box.centre.y), strict=True)]
    bases = named.baselines(middle) if len(named.lines) > 1 else [inner.top + 7.6]
    marks += [Text(line, Point(start, y), named.height, role=Role.TITLE_TEXT)
              for line, y in zip(named.lines, bases, strict=True)]
    y = inner.top + HEAD
    return [*marks, Shape((polyline([Point(inner.left, y), Point(inner.right, y)]),), Role.TABLE_RULE)]


def _number(job: str, width: float) -> Lines:
    """The job number as large as a quarter of the sheet allows."""
    height = next((h for h in (5.0, 3.5, 2.5) if text_width(job, h, True) <= width / 4), 2.5)
    return Lines((fit(job, height, width / 3, True),), height, True)


def _shared(words: str, warning: str, title: str, width: float, room: float) -> tuple[Lines, Lines]:
    """Stamp and title so that both fit into ``room`` mm beside each other, the largest letters first."""
    stamps = _stamps(words, warning, width, room)
    large, small = ((1, 3.5), (1, 2.5), (2, 2.5)), ((2, SMALL), (3, SMALL))
    clear = [stamp for stamp in stamps if stamp.height > SMALL]
    # A title grows small before a warning does: the warning is what must be seen.
    for shapes, ways in ((large, clear), (small, clear), (large + small, stamps)):
        for stamp in ways:
            space = room - stamp.width - 6
            for most, height in shapes:
                lines = wrap(title, height, space) if space > 0 else []
                if 0 < len(lines) <= most and " ".join(lines).split() == title.split():
                    return stamp, Lines(_evened(title, height, space, len(lines)), height)
    space = max(0.0, room - stamps[-1].width - 6)
    lines = wrap(title, SMALL, max(space, 1.0))
    return stamps[-1], Lines((*lines[:2], fit(" ".join(lines[2:]), SMALL, space)), SMALL)


def _evened(title: str, height: float, space: float, count: int) -> tuple[str, ...]:
    """The title in as many lines, of lengths as even as they can be: no word alone on the last."""
    lines = wrap(title, height, space)
    for narrow in (space - 2.0 * i for i in range(1, int(space / 2.0)) if count > 1):
        narrower = wrap(title, height, narrow)
        if len(narrower) > count or " ".join(narrower).split() != title.split():
            break
        lines = narrower
    return tuple(lines)


def _stamps(words: str, warning: str, width: float, room: float) -> list[Lines]:
    """The ways to set the stamp, the plainest first; those that leave a title no room come not at all."""
    one = f"{words}  ·  {warning}" if warning else words
    two = (words, warning) if warning else _halves(words)
    ways = [Lines((one,), 3.5, True)] if text_width(one, 3.5, True) < width * HALF else []
    ways += [Lines((one,), 2.5, True), Lines(two, 2.5, True)]
    if warning:
        ways += [Lines(_small(f"{words} · {warning}", share * room), SMALL, True) for share in (0.5, 0.6, 0.7, 0.9)]
    ways = [way for way in ways if len(way.lines) <= 3]
    fitting = [way for way in ways if way.width + 6 + LEAST <= room]
    return fitting or [min(ways, key=lambda way: way.width)]


def _small(words: str, width: float) -> tuple[str, ...]:
    """Small lines, none of which begins or ends with the dot between two words."""
    return tuple(line.strip(" ·") for line in wrap(words, SMALL, width, True))


SHORT = 50.0
"""mm: a stamp shorter than this in one line stays in one."""


def _halves(words: str) -> tuple[str, ...]:
    """The words in two lines of nearly one length, broken after a comma where that serves as well."""
    cuts = [i for i, c in enumerate(words) if c == " "]
    if not cuts or text_width(words, 2.5, True) < SHORT:
        return (words,)

    def cost(cut: int) -> float:
        longer = max(text_width(words[:cut], 2.5, True), text_width(words[cut + 1:], 2.5, True))
        return longer - (12.0 if words[cut - 1] == "," else 0.0)

    best = min(cuts, key=cost)
    return words[:best], words[best + 1:]


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
