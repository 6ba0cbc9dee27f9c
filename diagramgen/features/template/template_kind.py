"""The drilling template."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SCALE
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def template(job: PrintJob) -> list[SheetMaker]:
    """The holes that were measured, at 1:1; none where no hole was."""
    from diagramgen.features.template.sheet import template_sheets

    return template_sheets(job.context, job.paper)


KIND = SheetKind("template", "Drilling template", 60, template, "full size", default=True, needs=(SCALE,),
                 pictures=Pictures.NAMED)
