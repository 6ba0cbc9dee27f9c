"""Closing: before the customer gets it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def closing(job: PrintJob) -> list[SheetMaker]:
    """What is looked at when the work is done."""
    from diagramgen.features.jobpapers.closing_sheet import closing_sheets

    return closing_sheets(job.context, job.paper)


KIND = SheetKind("closing", "Closing", 180, closing, "before the customer gets it back",
                 hint="before it goes back", in_packet=True)
