"""Changes: from as found to as left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import AS_FOUND
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def changes(job: PrintJob) -> list[SheetMaker]:
    """What is done, step by step, with both plans."""
    from diagramgen.features.changes.pair import pair_of
    from diagramgen.features.changes.sheet import change_sheets

    pair = pair_of(job.analysis, job.context)
    return change_sheets(pair, job.paper, job.only("changes", "undo")) if pair is not None else []


def export(job: PrintJob) -> dict[str, bytes]:
    """The steps as CSV and JSON."""
    from diagramgen.analysis import changes_of
    from diagramgen.features.changes.export import changes_csv, changes_json

    changes = changes_of(job.analysis)
    if changes is None:
        return {}
    return {"changes.csv": changes_csv(changes, job.analysis.checksum).encode(),
            "changes.json": changes_json(changes, job.analysis.checksum).encode()}


KIND = SheetKind("changes", "Changes", 100, changes, "from as found to as left", default=True, needs=(AS_FOUND,),
                 pictures=Pictures.NAMED, export=export)
