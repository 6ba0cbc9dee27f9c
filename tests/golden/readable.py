"""Sheets as small SVG that a person can read and open: one mark a line, tenths of a millimetre, no font, no style.

Colours, line widths and letters are left to the tests of the writers; here stands what is where, under which meaning.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterator
from html import escape

from diagramgen.drawing.scene import Shape, Sheet, Text, walk

COARSE = 0.1
"""Curves are flattened this coarsely, mm."""
SHOWN = 60
"""Lines of a difference that are shown."""


def figure(value: float) -> str:
    """A length to a tenth of a millimetre, without a minus before zero."""
    return f"{round(value, 1) + 0.0:g}"


def svg(sheet: Sheet) -> str:
    """The sheet as readable SVG."""
    head = (f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {figure(sheet.width)} {figure(sheet.height)}" '
            'fill="none" stroke="#444" stroke-width=".15">')
    return "\n".join([head, *_lines(sheet), "</svg>"]) + "\n"


def _lines(sheet: Sheet) -> Iterator[str]:
    for mark in walk(sheet):
        if isinstance(mark, Text) and mark.text:
            turned = f' transform="rotate({figure(mark.angle * 57.29577951)} {_at(mark)})"' if mark.angle else ""
            anchor = f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
            x, y = _at(mark).split(" ")
            yield (f'<text x="{x}" y="{y}" font-size="{figure(mark.height * 1.37)}" stroke="none" fill="#000"'
                   f'{anchor}{turned}{_of(mark)}>{escape(mark.text)}</text>')
        elif isinstance(mark, Shape):
            runs = " ".join(_run(path) for path in mark.path)
            colour = f' data-colour="{mark.colour}"' if mark.colour else ""
            yield f'<path d="{runs}"{colour}{_of(mark)}/>'


def _at(mark: Text) -> str:
    return f"{figure(mark.at.x)} {figure(mark.at.y)}"


def _of(mark: Text | Shape) -> str:
    subject = f' data-of="{escape(mark.subject)}"' if mark.subject else ""
    return f' class="{mark.role.name.lower()}"{subject}'


def _run(path) -> str:
    return "M" + " L".join(f"{figure(p.x)} {figure(p.y)}" for p in path.flat(COARSE))


def difference(before: str, after: str, name: str) -> str:
    """What changed, as a person reads it; '' where nothing did."""
    lines = list(difflib.unified_diff(before.splitlines(), after.splitlines(), f"kept {name}", f"made {name}",
                                      lineterm="", n=0))
    more = [f"... and {len(lines) - SHOWN} lines more"] if len(lines) > SHOWN else []
    return "\n".join([*lines[:SHOWN], *more])
