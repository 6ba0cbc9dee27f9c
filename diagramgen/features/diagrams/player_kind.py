"""The wiring diagram from the player's side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from diagramgen.drawing.scene import Sheet
    from diagramgen.sheets.context import SheetMaker


def player(job: PrintJob) -> list[SheetMaker]:
    """The diagram seen through the wood."""
    from diagramgen.features.diagrams import sheet

    return sheet.player(job.context, job.paper)


def picture(job: PrintJob, sheets: Sequence[Sheet]) -> dict[str, Sheet]:
    """The one drawing, also where it was cut into tiles."""
    from diagramgen.features.diagrams import sheet

    return {"player": sheet.player_picture(job.context, sheets)}


KIND = SheetKind("player", "Diagram from the player's side", 30, player, hint="the player's side", tags=True,
                 pictures=Pictures.NAMED, picture=picture)
