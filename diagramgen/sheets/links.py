"""Links between sheets: lead tags to the rows of the lead list and back, the number of a sheet to the contents."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from diagramgen.drawing.scene import (
    Anchor,
    Kind,
    Link,
    Mark,
    Placed,
    Role,
    Sheet,
    Text,
    leaves,
    walk_placed,
)
from diagramgen.kernel.geometry import Box, Point
from diagramgen.sheets.registry import binding, kinds

_TAG = re.compile(r"lead:(\S+)")


def first_numbers(makers: Mapping[str, Sequence[object]]) -> dict[str, int]:
    """Kind of sheet -> the number of its first sheet; kinds without a sheet are left out."""
    found, number = {}, 1
    for kind, group in makers.items():
        if group:
            found[kind] = number
        number += len(group)
    return found


def linked(made: Mapping[str, Sequence[Sheet]]) -> dict[str, list[Sheet]]:
    """The sheets with links: tags in the diagrams to rows of the lead list, rows back to the diagram, the sheet's
    number to the contents."""
    homes, packet = _homes(made), binding(made)
    rows = {tag for kind, sheets in made.items() if kinds()[kind].rows for sheet in sheets for tag, _ in _rows(sheet)}
    seen: set[str] = set()
    number = 0
    result: dict[str, list[Sheet]] = {}
    for kind, sheets in made.items():
        result[kind] = []
        for sheet in sheets:
            number += 1
            more: list[Mark] = []
            if kinds()[kind].tags:
                more += _from_tags(sheet, number, rows, homes)
            if kinds()[kind].rows:
                more += _from_rows(sheet, homes, seen)
            if packet and kind != packet:
                more += _to_contents(sheet)
            result[kind].append(replace(sheet, marks=(*sheet.marks, *more)))
    return result


def unlinked(sheets: Sequence[Sheet]) -> list[Sheet]:
    """Take out links to places that are on none of these sheets; links to addresses on the web stay.

    So a sheet that is written without the others of its set has no dead links.
    """
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
    for kind in (name for name in made if kinds()[name].tags):
        for i, sheet in enumerate(made[kind]):
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
