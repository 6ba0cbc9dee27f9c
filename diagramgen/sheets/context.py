"""What every sheet of a build is drawn from: its plan, its job line, what is stamped and noted on it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.analysis import Analysis
from diagramgen.drawing.diagram import has_wall, neck_angle
from diagramgen.drawing.scene import Sheet
from diagramgen.kernel.codes import Severity
from diagramgen.layout.model import Layout
from diagramgen.layout.placement.guessed_places import guessed
from diagramgen.model.build import UnreadLead
from diagramgen.sheets.frame import JobLine
from diagramgen.sheets.glance import NOTHING, Glance, glance
from diagramgen.sheets.paper_words import on_paper
from diagramgen.sheets.scale_marks import TRUE, Correction

FULL_SIZE = "full size"
NAMED = 4
"""More missing leads or places than this are counted in the stamp, and named in the notes."""
SheetMaker = Callable[[int, int], Sheet]
"""Makes a sheet once its number and the count of all sheets are known."""


@dataclass(frozen=True)
class SheetContext:
    """What is drawn on every sheet of a build."""

    layout: Layout
    roles: Mapping[str, str]
    job: JobLine
    notes: tuple[str, ...]
    """Warnings and questions printed on the sheet, in words."""
    unproved: bool = False
    correction: Correction = TRUE
    """What the printer needs so that full-size sheets come out true."""
    glance: Glance = NOTHING
    """What sounds where and what has no ground, for the bench page."""
    listed: str = "see the lead list"
    """Where those notes are listed for which a sheet has no room."""
    beside: tuple[str, ...] = ()
    """What must be stamped for another plan that is drawn on the same sheets."""

    @property
    def neck(self) -> float | None:
        """Direction of the neck as seen in this view."""
        return neck_angle(self.layout)

    @property
    def warning(self) -> str:
        """What must be stamped beside the view."""
        words = [] if self.layout.to_scale else ["NOT TO SCALE"]
        words += dict.fromkeys((*proposed(self.layout), *self.beside))
        words += ["NOT PROVED: it has errors"] if self.unproved else []
        return " · ".join([*words, *missing(self.layout.build.unread)])

    @property
    def size(self) -> str:
        """What is true to size on a sheet at 1:1: everything, or only what was measured."""
        if not guessed(self.layout):
            return FULL_SIZE
        return "cavity 1:1" if any(has_wall(r) for r in self.layout.regions.values()) else "measured holes 1:1"


def missing(unread: Sequence[UnreadLead]) -> list[str]:
    """What is stamped where leads are left out because their lines could not be read."""
    tags = [lead.tag for lead in unread]
    if not tags:
        return []
    named = "" not in tags and len(tags) <= NAMED
    return ["MISSING: " + (", ".join(tags) if named else f"{len(tags)} LEAD{'S' * (len(tags) > 1)}")]


def proposed(layout: Layout) -> list[str]:
    """What is stamped where parts stand at places that the program proposes and nobody measured."""
    names = [p.part.says or p.part.name for p in guessed(layout)]
    if not names:
        return []
    measured = any(not p.automatic and not p.outside for p in layout.parts.values())
    if not measured:
        return ["PLACES NOT MEASURED"]
    return [f"PLACES NOT MEASURED: {', '.join(names)}" if len(names) <= NAMED else f"{len(names)} PLACES NOT MEASURED"]


def proposed_words(layout: Layout) -> list[str]:
    """The same as a note, with every name; none where all places were measured."""
    names = [p.part.says or p.part.name for p in guessed(layout)]
    if not names:
        return []
    return [f"Proposed by the program, not measured: the place{'s' * (len(names) > 1)} of {', '.join(names)}. "
            "Measure before anything is drilled or cut."]


def context_of(analysis: Analysis) -> SheetContext:
    """What the sheets of a build are drawn from; raises ``ValueError`` for one that was not laid out."""
    build, layout = analysis.build, analysis.layout
    if build is None or layout is None:
        raise ValueError("nothing was laid out")
    record = build.record
    job = JobLine(build.job, build.title, build.instrument, record.get("date", ""), record.get("revision", ""),
                  record.get("workshop", ""), record.get("drawn by", ""), analysis.checksum)
    # Errors first: where not all find room on a sheet, it is they that stand there.
    spoken = sorted((p for p in analysis.problems if p.severity is not Severity.NOTE), key=lambda p: -p.severity)
    notes = [f"MISSING {one.tag or 'leads'}, could not be read: {one.says}" for one in build.unread]
    notes += [*proposed_words(layout), *(on_paper(p.message, build) for p in spoken)]
    notes += [f"To settle: {on_paper(q, build)}" for q in build.questions]
    told = glance(analysis.chart) if analysis.chart is not None else NOTHING
    return SheetContext(layout, analysis.roles, job, tuple(notes), analysis.has_errors, glance=told)
