"""Text in the cells of a terminal: how wide a letter stands, a line cut around a place, words wrapped.

Wide letters (Chinese, Japanese, Korean) take two cells, combining ones none; the width of each is that of the
Unicode standard's annex 11.
"""

from __future__ import annotations

import unicodedata

_TURNS = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Marks that turn the order of what follows: they would let a line look like another one."""
_STANDS_FOR_CONTROL = "\ufffd"


def shown(text: str) -> str:
    """The text with nothing in it that would steer a terminal; a tab is one blank."""
    return "".join(_one(c) for c in text)


def _one(letter: str) -> str:
    if letter == "\t":
        return " "
    return _STANDS_FOR_CONTROL if unicodedata.category(letter) in ("Cc", "Cs") or letter in _TURNS else letter


def cells(text: str) -> int:
    """The cells a text takes."""
    return sum(map(_cells, text))


def _cells(letter: str) -> int:
    if unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in ("W", "F") else 1


def cut_around(line: str, column: int, width: int) -> str:
    """The line of a file, no wider than ``width`` cells: one that is too long is cut around ``column`` (from 1).

    A dot sign stands where something is left out.
    """
    line = shown(line)
    if cells(line) <= width:
        return line
    at = min(max(column - 1, 0), len(line))
    room = max(width - 2, 4)
    # Two thirds of the room before the place: what a reader needs is most often what leads up to it.
    begin = _back(line, at, room * 2 // 3)
    end = _forth(line, begin, room, at)
    begin = _back(line, end, room) if end == len(line) else begin
    return ("…" if begin else "") + line[begin:end] + ("…" if end < len(line) else "")


def _back(line: str, end: int, room: int) -> int:
    """Where a piece of at most ``room`` cells that ends at ``end`` begins."""
    begin = end
    while begin > 0 and room >= _cells(line[begin - 1]):
        begin -= 1
        room -= _cells(line[begin])
    return begin


def _forth(line: str, begin: int, room: int, at_least: int) -> int:
    """Where a piece of at most ``room`` cells that begins at ``begin`` ends."""
    end = begin
    while end < len(line) and (room >= _cells(line[end]) or end < at_least):
        room -= _cells(line[end])
        end += 1
    return end


def wrapped(text: str, width: int, indent: int = 0) -> list[str]:
    """The text in lines of at most ``width`` cells, broken at blanks; further lines are set in by ``indent``.

    A word longer than a line stays whole: a path or a name that is broken cannot be copied.
    """
    lines: list[str] = []
    first, *words = text.lstrip(" ").split(" ")
    line = " " * (len(text) - len(text.lstrip(" "))) + first
    for word in words:
        if cells(line) + 1 + cells(word) > width:
            lines.append(line)
            line = " " * indent + word
        else:
            line = f"{line} {word}"
    return [*lines, line]
