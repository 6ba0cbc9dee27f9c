"""Sheets that are nothing but tables: broken over pages, framed, with the cautions where they find room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from diagramgen.drawing.scene import Mark, Sheet
from diagramgen.kernel.geometry import Box, Point
from diagramgen.kernel.paper import Paper
from diagramgen.sheets.context import SheetMaker
from diagramgen.sheets.frame import JobLine, cautions, framed
from diagramgen.sheets.table import Table, flow, lowest

GAPS = (6.0, 4.0, 2.5)
"""Between tables in mm, the first as a rule."""


def list_sheets(
    tables: Sequence[Table], job: JobLine, paper: Paper, stamp: str, subject: str, warning: str = "",
    alone: bool = False, cautioned: bool = True,
) -> list[SheetMaker]:
    """The tables on lying sheets; ``alone``: no diagram goes with them, so the cautions get a page if need be.

    ``cautioned``: the cautions stand on the last page at all; papers of the office need none.
    """
    lying = paper.landscape()
    probe = framed(lying, job, stamp, None, 1, 1, warning)
    room = Box(probe.room.left + 3, probe.room.top + 3, probe.room.right - 3, probe.room.bottom - 2)
    # Tables stand closer, and break where they need not, only where that saves a page.
    loose = [replace(table, whole=False) for table in tables]
    blocks = min((flow(kind, room, gap) for kind in (tables, loose) for gap in GAPS), key=len)
    _, tall = cautions(Point(0, 0), room.width)
    fits = cautioned and lowest(blocks[-1]) + tall + 4 <= room.bottom
    if not fits and alone and cautioned:
        # Shorter pages, so that the one with the cautions has something else on it too.
        shorter = Box(room.left, room.top, room.right, room.bottom - tall - 4)
        blocks = min((flow(kind, shorter, gap) for kind in (tables, loose) for gap in GAPS), key=len)
    # A page for the cautions alone is paper wasted where the diagram's sheets carry them already.
    if fits or (alone and cautioned):
        warned, _ = cautions(Point(room.left, room.bottom - tall), room.width)
        blocks[-1] = [*blocks[-1], *warned]
    return [partial(_sheet, block, job, lying, f"{stamp} {i + 1}", (stamp, subject, warning))
            for i, block in enumerate(blocks)]


def _sheet(
    block: Sequence[Mark], job: JobLine, paper: Paper, title: str, words: tuple[str, str, str], n: int, of: int
) -> Sheet:
    stamp, subject, warning = words
    frame = framed(paper, job, stamp, None, n, of, warning)
    return Sheet(paper.width, paper.height, title, (*frame.marks, *block), subject)
