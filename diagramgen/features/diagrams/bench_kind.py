"""The wiring diagram enlarged, for the wall over the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagramgen.drawing.scene import Sheet
    from diagramgen.sheets.context import SheetMaker


def bench(job: PrintJob) -> list[SheetMaker]:
    """The diagram enlarged, and each crowded cavity by itself."""
    from diagramgen.features.diagrams import sheet

    return sheet.enlarged(job.context, job.paper)


def pictures(job: PrintJob, sheets: Sequence[Sheet]) -> dict[str, Sheet]:
    """The sheets; of a build that is not to scale, which has no full-size diagram, they are the diagram."""
    name = "bench" if job.context.layout.to_scale else "diagram"
    return {f"{name}-{i}" if i > 1 else name: sheet for i, sheet in enumerate(sheets, 1)}


KIND = SheetKind("bench", "Bench page", 40, bench, "enlarged, for the wall", default=True, tags=True,
                 pictures=Pictures.NAMED, picture=pictures)
