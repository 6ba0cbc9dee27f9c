"""The fault table: where to look when it does not work."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SOLVED
from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def faults(job: PrintJob) -> list[SheetMaker]:
    """What the meter or the ear gives, and the joints to look at first."""
    from diagramgen.features.faults.sheet import fault_sheets

    return fault_sheets(job.context, job.paper, job.only("faults"))


KIND = SheetKind("faults", "Fault table", 170, faults, "where to look when it does not work", hint="where to look",
                 needs=(SOLVED,))
