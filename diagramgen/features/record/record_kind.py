"""The record of the work, for the customer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def record(job: PrintJob) -> list[SheetMaker]:
    """What was done, with the numbers of the sheets printed with it where they are known."""
    from diagramgen.analysis import changes_of
    from diagramgen.features.record.sheet import Work, record_sheets
    from diagramgen.kernel.paper import handy
    from diagramgen.sheets.links import first_numbers

    sheets = first_numbers(job.others) if job.others.get("record") else None
    work = Work(job.analysis.chart, changes_of(job.analysis), job.analysis.verdicts, sheets)
    return record_sheets(work, job.context, handy(job.paper))


KIND = SheetKind("record", "Record of the work", 190, record, "for the customer",
                 hint="for the customer, with the diagrams", in_packet=True, brings=("diagram", "bench", "undo"),
                 names_others=True, own_pdf=True)
