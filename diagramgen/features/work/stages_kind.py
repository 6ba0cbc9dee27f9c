"""The diagram growing in the order of soldering."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def stages(job: PrintJob) -> list[SheetMaker]:
    """Small pictures, each with the leads that are made in it."""
    from diagramgen.features.work.stages_sheet import stage_sheets, stages_of

    return stage_sheets(job.context, stages_of(job.analysis.rows), job.paper)


KIND = SheetKind("stages", "Stages", 80, stages, "pictures in the order of soldering", default=True, tags=True,
                 pictures=Pictures.NONE)
