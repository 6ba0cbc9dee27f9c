"""The plan to build the harness on, off the instrument."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SCALE
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagramgen.drawing.scene import Sheet
    from diagramgen.sheets.context import SheetMaker


def jig(job: PrintJob) -> list[SheetMaker]:
    """The plan at 1:1 with strong holes and faint leads."""
    from diagramgen.features.diagrams import sheet

    return sheet.jig(job.context, job.paper)


def picture(job: PrintJob, sheets: Sequence[Sheet]) -> dict[str, Sheet]:
    """The one drawing, also where it was cut into tiles."""
    from diagramgen.features.diagrams import sheet

    return {"jig": sheet.full_size_picture(job.context, sheets, jigs=True)}


KIND = SheetKind("jig", "Harness jig", 50, jig, "full size, to build the harness on", default=True,
                 needs=(SCALE,), tags=True, pictures=Pictures.NAMED, picture=picture)
