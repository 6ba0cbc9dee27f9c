"""The inside of the cover, with its legend."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def cover(job: PrintJob) -> list[SheetMaker]:
    """The legend of each cavity, to be cut out and stuck into its cover."""
    from diagramgen.features.cover.sheet import cover_sheets

    return cover_sheets(job.context, job.paper)


KIND = SheetKind("cover", "Inside of the cover, legend", 70, cover, "to be cut out", default=True,
                 pictures=Pictures.NAMED)
