"""The packet: one PDF of all sheets, with contents and links."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def packet(job: PrintJob) -> list[SheetMaker]:
    """The front page with the contents."""
    from diagramgen.features.packet.front_sheet import front_sheets
    from diagramgen.kernel.paper import handy

    others = {name: group for name, group in job.others.items() if name != "packet"}
    return front_sheets(others, job.context, handy(job.paper))


KIND = SheetKind("packet", "Front page and contents", 0, packet, names_others=True, in_packet=True, binds=True,
                 hint="one PDF with contents and links, of all sheets or of those named with it",
                 pictures=Pictures.NONE)
