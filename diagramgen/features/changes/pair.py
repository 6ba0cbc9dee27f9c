"""Both states of an instrument laid out, as the sheets of changes draw them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from diagramgen.analysis import Analysis, changes_of
from diagramgen.circuit.net_roles import net_roles
from diagramgen.drawing.leads_over_lugs import over_lugs
from diagramgen.job.changes import Changes
from diagramgen.kernel.codes import Severity
from diagramgen.kernel.diagnostics import Diagnostics
from diagramgen.layout.plan import layout
from diagramgen.sheets.context import SheetContext
from diagramgen.sheets.paper_words import on_paper


@dataclass(frozen=True)
class Pair:
    """Both states of one instrument as they are drawn, and what is done between them."""

    found: SheetContext
    left: SheetContext
    changes: Changes
    """From as found to as left."""
    notes: tuple[str, ...] = ()
    """What is to be known of the file of the state as found."""


def pair_of(analysis: Analysis, context: SheetContext) -> Pair | None:
    """Both states laid out; None where nothing is changed or the state as found is not known.

    ``context``: the state as left.
    """
    changes = changes_of(analysis)
    if changes is None or not changes.any:
        return None
    say = Diagnostics()
    before = replace(context, layout=layout(changes.found, say), roles=dict(net_roles(changes.found)), notes=())
    wrong = [p.message for p in say if p.severity is Severity.ERROR]
    wrong += [finding.message for finding in over_lugs(before.layout)]
    return Pair(before, context, changes, tuple(on_paper(message, changes.found) for message in wrong))
