"""The wiring diagram at full size."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagramgen.drawing.scene import Sheet
    from diagramgen.sheets.context import SheetMaker


def diagram(job: PrintJob) -> list[SheetMaker]:
    """The diagram at 1:1."""
    from diagramgen.features.diagrams import sheet

    return sheet.full_size(job.context, job.paper)


def picture(job: PrintJob, sheets: Sequence[Sheet]) -> dict[str, Sheet]:
    """Name of the picture -> the whole drawing at full size, also where it was cut into tiles for paper."""
    from diagramgen.features.diagrams import sheet

    return {"diagram": sheet.full_size_picture(job.context, sheets)}


KIND = SheetKind("diagram", "Wiring diagram", 20, diagram, "full size, solder side", default=True, unscaled="bench",
                 tags=True, pictures=Pictures.NAMED, picture=picture)
