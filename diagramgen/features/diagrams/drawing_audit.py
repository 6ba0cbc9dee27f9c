"""What the full-size drawing of a build shows wrong, said as problems of the build."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from diagramgen.analysis import Analysis, examine
from diagramgen.drawing.audit import audit
from diagramgen.drawing.findings import unsaid
from diagramgen.features.diagrams.sheet import LABEL_ROOM, full_size_drawing
from diagramgen.kernel.diagnostics import Diagnostics, Location, Problem
from diagramgen.sheets.context import context_of


def checked(path: Path, symbols: Path | None = None, data: bytes | None = None) -> Analysis:
    """A build with every problem there is, those of its drawing behind the others; what would mend it is said.

    Parameters as of ``examine``.
    """
    analysis = examine(path, symbols, data=data, mend=True)
    return replace(analysis, problems=analysis.problems + audited(analysis))


def audited(analysis: Analysis) -> tuple[Problem, ...]:
    """What the full-size drawing of a build shows wrong, as warnings at the lead or part it speaks of."""
    if analysis.layout is None:
        return ()
    say = Diagnostics()
    # The drawing alone is measured: what its panel says of the sounds is not asked for.
    drawing, layout = full_size_drawing(context_of(replace(analysis, chart=None)))
    leads = {f"lead:{one.lead.tag}": one.lead.place for one in layout.leads}
    parts = {f"part:{name}": part.part.place for name, part in layout.parts.items()}
    for finding in unsaid(audit(drawing, layout, layout.box.grown(LABEL_ROOM)), analysis.astray):
        places = [(leads | parts)[s] for s in finding.subjects if s in leads or s in parts]
        place = places[0] if places else Location(layout.build.file)
        say.add(finding.code, place, finding.message)
    return say.sorted()
