"""Intake: to be filled in before opening."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def intake(job: PrintJob) -> list[SheetMaker]:
    """What is asked, looked at and metered at the counter."""
    from diagramgen.features.jobpapers.intake_sheet import intake_sheets

    return intake_sheets(job.context, job.paper)


KIND = SheetKind("intake", "Intake", 10, intake, "to be filled in before opening",
                 hint="before opening", in_packet=True)
