"""Forms to be filled in by hand: lines to write on, boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.kernel.paper import Paper
from diagramgen.lettering import text_width
from diagramgen.sheets.table import Column, Row, Table, Tick

LETTERING = 2.5
WIDE = (Column("", 7), Column("", 80), Column("", 178))


def blank(mm: float, height: float = LETTERING) -> str:
    """A line to write on of about ``mm``."""
    return "_" * max(3, int(mm / text_width("_", height)))


def ruled(heading: str, lines: Sequence[tuple[str, str]]) -> Table:
    """A heading, and for each line a box, a word, and room to write."""
    rows: list[Row] = [Row((heading,), heading=True)]
    rows += [Row((Tick() if word else "", word, room), bold=1) for word, room in lines]
    return Table(WIDE, tuple(rows), LETTERING, whole=True)


def line_for(paper: Paper) -> str:
    """The longest line the wide column holds on a paper."""
    across = paper.landscape().width - 30.0
    return blank(across * WIDE[2].width / sum(c.width for c in WIDE))
