"""The work: what to make ready, joints in order, stops for the meter."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def work(job: PrintJob) -> list[SheetMaker]:
    """Joints in order with their stops; a build with errors in its circuit has no reading that could be promised."""
    from diagramgen.features.work.work_sheet import work_sheets
    from diagramgen.job.stage_checks import stage_checks

    analysis = job.analysis
    if analysis.order is None:
        return []
    stops = stage_checks(job.context.layout.build, analysis.order) if analysis.chart is not None else ()
    return work_sheets(analysis.order, analysis.rows, stops, job.context, job.paper, job.request.spool)


KIND = SheetKind("work", "Work", 90, work, "what to make ready, joints in order, stops for the meter", default=True)
