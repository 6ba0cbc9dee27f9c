"""Undo: from as left back to as found."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import AS_FOUND
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def undo(job: PrintJob) -> list[SheetMaker]:
    """What is to be done to take the work back, step by step, with both plans."""
    from diagramgen.features.changes.pair import pair_of
    from diagramgen.features.changes.sheet import undo_sheets

    pair = pair_of(job.analysis, job.context)
    return undo_sheets(pair, job.paper, job.only("changes", "undo")) if pair is not None else []


KIND = SheetKind("undo", "Undo", 110, undo, "from as left back to as found", default=True, needs=(AS_FOUND,),
                 pictures=Pictures.NAMED)
