"""Responses: curves of the positions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SOLVED
from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def curves(job: PrintJob) -> list[SheetMaker]:
    """The curves of the states and knobs asked for, else of every different sound."""
    from diagramgen.features.sounds.curves_sheet import curve_sheets, curves_asked

    chart, context = job.analysis.chart, job.context
    if chart is None:
        return []
    return curve_sheets(chart, context.job, job.paper, context.warning, curves_asked(chart, job.request))


def export(job: PrintJob) -> dict[str, bytes]:
    """The same curves as CSV."""
    from diagramgen.features.sounds.curves_sheet import curves_asked, curves_csv

    chart = job.analysis.chart
    if chart is None:
        return {}
    return {"curves.csv": curves_csv(chart, job.analysis.checksum, curves_asked(chart, job.request)).encode()}


KIND = SheetKind("curves", "Responses", 140, curves, "curves of the positions", hint="responses",
                 needs=(SOLVED,), export=export)
