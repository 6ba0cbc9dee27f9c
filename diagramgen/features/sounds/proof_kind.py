"""The proof: what each position gives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SOLVED
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def proof(job: PrintJob) -> list[SheetMaker]:
    """Every state with what it sounds like, and the problems found."""
    from diagramgen.features.sounds.proof_sheet import proof_sheets

    chart, context = job.analysis.chart, job.context
    if chart is None:
        return []
    return proof_sheets(chart, job.analysis.problems, context.job, job.paper, context.warning)


KIND = SheetKind("proof", "Proof", 130, proof, "what each position gives", default=True, needs=(SOLVED,),
                 pictures=Pictures.PNG)
