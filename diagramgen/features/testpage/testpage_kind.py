"""The test page: to meter before closing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def test(job: PrintJob) -> list[SheetMaker]:
    """What to meter, with what the meter must say."""
    from diagramgen.features.testpage.sheet import test_sheets

    return test_sheets(job.analysis.chart, job.context, job.paper)


KIND = SheetKind("test", "Test page", 150, test, "to meter before closing", default=True, pictures=Pictures.PNG)
