"""Positions: what carries the signal in each."""

from __future__ import annotations

from typing import TYPE_CHECKING

from diagramgen.sheets.needs import SOLVED
from diagramgen.sheets.sheet_kind import PrintJob, SheetKind

if TYPE_CHECKING:
    from diagramgen.sheets.context import SheetMaker


def states(job: PrintJob) -> list[SheetMaker]:
    """Small plans of the positions asked for, else of those that the build promises."""
    from diagramgen.circuit.check_wanted import chosen_states
    from diagramgen.features.sounds.states_sheet import state_sheets

    chart = job.analysis.chart
    if chart is None:
        return []
    return state_sheets(job.context, chart, chosen_states(chart, [dict(p) for p in job.request.states]), job.paper)


KIND = SheetKind("states", "Positions", 120, states, "what carries the signal in each", hint="live paths",
                 needs=(SOLVED,), tags=True)
