"""Makes the sheets asked for of a build, numbers them, binds them and turns them into files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Literal

from diagramgen.analysis import Analysis
from diagramgen.kernel.paper import PAPERS
from diagramgen.kernel.version import __version__
from diagramgen.sheets.context import SheetContext, SheetMaker, context_of
from diagramgen.sheets.links import first_numbers, linked, unlinked
from diagramgen.sheets.registry import binding, default_sheets, kinds
from diagramgen.sheets.scale_marks import Correction
from diagramgen.sheets.sheet_kind import Pictures, PrintJob, Request, SheetKind

if TYPE_CHECKING:
    from diagramgen.drawing.scene import Sheet

NUMBERINGS = 4
"""Naming the other sheets can make a sheet a page longer, which moves their numbers: so often is it tried again."""

NO_HOLE = "no hole was measured, so there is no drilling template. Write each part's place as 'at'."
"""Why nothing is made where every kind asked for might have been."""


def compose(analysis: Analysis, request: Request) -> dict[str, bytes]:
    """The files of a build by name: SVG, PDF, CSV, JSON and, on request, PNG.

    Raises ``ValueError`` for a build that was not laid out, ``PngUnavailable`` where pictures are asked for and the
    library for them is missing.
    """
    request = replace(request, sheets=request.sheets or default_sheets())
    job = job_of(analysis, request)
    made = sheets_of(job)
    files = _pictures(made, job) | _pdfs(made, job.context)
    for name, sheets in made.items():
        export = kinds()[name].export
        if sheets and export is not None:
            files |= export(job)
    return files


def reasons_against(analysis: Analysis, names: Sequence[str]) -> list[str]:
    """A sentence for each kind of those that the build has no sheet of."""
    return [f"no sheet '{name}': {why}" for name in names if (why := kinds()[name].unavailable(analysis))]


def job_of(analysis: Analysis, request: Request) -> PrintJob:
    """What the sheets asked for are made from; of the kinds asked for only those that the build has."""
    context = replace(context_of(analysis), correction=Correction(*request.bar_measures))
    if not any(kinds()[name].rows for name in request.sheets):
        context = replace(context, listed="the check of the build lists them")
    paper = PAPERS[request.paper or context.layout.build.paper or "a4"]
    return PrintJob(analysis, context, paper, request, tuple(kind.name for kind in _asked(analysis, request.sheets)))


def _asked(analysis: Analysis, names: Sequence[str]) -> Iterator[SheetKind]:
    """The kinds to make, in the order of their sheets."""
    scaled = analysis.layout is not None and analysis.layout.to_scale
    wanted = {name if scaled else kinds()[name].unscaled or name
              for asked in names for name in (asked, *kinds()[asked].brings)}
    ordered = [kind for kind in kinds().values() if kind.name in wanted and not kind.unavailable(analysis)]
    # What brings others comes before them, but in a packet, which has an order of its own.
    yield from sorted(ordered, key=lambda kind: not binding(wanted) and not kind.brings)


def sheets_of(job: PrintJob) -> dict[str, list[Sheet]]:
    """The sheets of a job by kind, numbered; those of a packet are linked to one another."""
    makers = makers_of(job)
    total = sum(len(group) for group in makers.values())
    made: dict[str, list[Sheet]] = {}
    number = 0
    for name, group in makers.items():
        made[name] = [maker(number + i + 1, total) for i, maker in enumerate(group)]
        number += len(group)
    return linked(made) if binding(made) else made


def makers_of(job: PrintJob) -> dict[str, list[SheetMaker]]:
    """What makes each sheet, by kind, in the order they are numbered; kinds that name the others know the numbers."""
    naming = [name for name in job.kinds if kinds()[name].names_others]
    made = {name: kinds()[name].make(job) for name in job.kinds if name not in naming}
    made |= {name: [] for name in naming}
    made = {name: made[name] for name in job.kinds}
    for _ in range(NUMBERINGS) if naming else ():
        again = {name: kinds()[name].make(replace(job, others=made)) for name in naming}
        settled = all(len(again[name]) == len(made[name]) for name in naming)
        made |= again
        if settled:
            break
    return made


def _pictures(made: Mapping[str, Sequence[Sheet]], job: PrintJob) -> dict[str, bytes]:
    """SVG and, where asked for, PNG of the sheets that are given as pictures."""
    from diagramgen.writers.svg import svg_bytes

    lettering: Literal["font", "outline"] = "outline" if job.request.lettering == "outline" else "font"
    files: dict[str, bytes] = {}
    for name, sheets in made.items():
        kind = kinds()[name]
        shown = kind.picture(job, sheets) if kind.picture and sheets else _named(kind, sheets)
        if kind.pictures is not Pictures.PNG:
            files |= {f"{file}.svg": svg_bytes(sheet, lettering) for file, sheet in shown.items()}
        if job.request.png and shown:
            from diagramgen.writers.png import png_bytes

            files |= {f"{file}.png": png_bytes(sheet, job.request.dpi) for file, sheet in shown.items()}
    return files


def _named(kind: SheetKind, sheets: Sequence[Sheet]) -> dict[str, Sheet]:
    if kind.pictures is Pictures.NONE:
        return {}
    plain = kind.pictures is Pictures.NAMED
    return {kind.name if plain and i == 1 else f"{kind.name}-{i}": sheet for i, sheet in enumerate(sheets, 1)}


def _pdfs(made: Mapping[str, Sequence[Sheet]], context: SheetContext) -> dict[str, bytes]:
    """All sheets in one file, some kinds alone with what they bring; of a packet each kind alone."""
    from diagramgen.writers.pdf import pdf_bytes

    title = " ".join(t for t in (context.job.job, context.job.title) if t) or "wiring diagram"
    written = partial(pdf_bytes, author=context.job.workshop, subject=context.job.instrument,
                      keywords=f"diagramgen {__version__}, file check {context.job.checksum}")
    files: dict[str, bytes] = {}
    everything = [s for group in made.values() for s in group]
    packed = binding(made)
    alone = [name for name in made if kinds()[name].own_pdf]
    if everything and (packed or not any(set(made) <= {name, *kinds()[name].brings} for name in alone)):
        chapters = {first: kinds()[name].title for name, first in first_numbers(made).items()} if packed else None
        joint = packed or _joint_name(made, context)
        files[f"{joint}.pdf"] = written(everything, title, chapters=chapters)
    for name in made if packed else alone:
        if made[name] and name != packed:
            brought = [s for more in kinds()[name].brings for s in made.get(more, ())]
            files[f"{name}.pdf"] = written(unlinked([*made[name], *brought]), f"{title}: {kinds()[name].title.lower()}")
    return files


def _joint_name(made: Mapping[str, Sequence[Sheet]], context: SheetContext) -> str:
    """What all sheets in one file are called: after the diagram, or the one kind of sheet there is."""
    shown = [name for name, group in made.items() if group and not kinds()[name].own_pdf]
    if "diagram" in shown or ("bench" in shown and not context.layout.to_scale):
        return "diagram"
    return shown[0] if len(shown) == 1 else "sheets"
