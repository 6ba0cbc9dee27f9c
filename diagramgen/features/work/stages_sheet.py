"""Stages: the same diagram several times, small, growing in the order of soldering; what is new stands out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import groupby

from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.words import end_words
from diagramgen.kernel.geometry import Box, Point, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.model.build import Lead
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import framed
from diagramgen.sheets.small_drawings import CAPTION, GOOD, NAME, SMALL, TAG, best_grid, lettered, placed_in

STAMP = "stages, in the order of soldering"
FEWEST, MOST = 4, 6
CROWDED = 9
"""With more new leads than this a picture is parted in two, where the pages still hold it."""


@dataclass(frozen=True)
class Stage:
    """One picture: its caption and the tags of the leads that are made in it."""

    caption: str
    tags: tuple[str, ...]


def stages_of(rows: Sequence[LeadRow]) -> tuple[Stage, ...]:
    """The groups of the order of work as stages, leads as they are finished; four to six where leads are enough."""
    found = [Stage(says, tuple(r.tag for r in group)) for says, group in groupby(rows, key=lambda r: r.group_says)]
    while len(found) < MOST:
        largest = max(found, key=lambda s: len(s.tags), default=None)
        enough = 4 if len(found) < FEWEST else CROWDED + 1
        if largest is None or len(largest.tags) < enough:
            break
        at = found.index(largest)
        found[at:at + 1] = _parted(largest)
    return tuple(found)


def _parted(stage: Stage) -> list[Stage]:
    half = (len(stage.tags) + 1) // 2
    more = stage.caption if stage.caption.endswith("(more)") else f"{stage.caption} (more)"
    return [Stage(stage.caption, stage.tags[:half]), Stage(more, stage.tags[half:])]


def stage_sheets(context: SheetContext, stages: Sequence[Stage], paper: Paper) -> list[SheetMaker]:
    """The stages on one page, or on two where they would be too small; none where there is no lead."""
    if not stages:
        return []
    one = best_grid(context, paper, len(stages))
    two = best_grid(context, paper, math.ceil(len(stages) / 2))
    grid = one if one.scale >= GOOD or two.scale < 1.1 * one.scale else two
    per_page = len(stages) if grid is one else math.ceil(len(stages) / 2)
    made = _pictures(context, stages, [grid.window(i % per_page) for i in range(len(stages))])
    pages = [made[i:i + per_page] for i in range(0, len(made), per_page)]
    return [partial(_sheet, context, grid.paper, [m for marks in page for m in marks]) for page in pages]


def _pictures(context: SheetContext, stages: Sequence[Stage], windows: Sequence[Box]) -> list[list[Mark]]:
    made: list[list[Mark]] = []
    done: set[str] = set()
    every = {one.lead.tag for one in context.layout.leads}
    for i, (stage, window) in enumerate(zip(stages, windows, strict=True)):
        new = frozenset(stage.tags)
        absent = frozenset(every - done - new)
        title = f"{i + 1}  {stage.caption}"
        made.append([*_caption(context, title, stage.tags, window), _picture(context, new, absent, window, title)])
        done |= new
    return made


def _picture(
    context: SheetContext, new: frozenset[str], absent: frozenset[str], window: Box, title: str
) -> Viewport:
    """One picture: drawn at full size with lettering that is right once the whole is made small."""
    placed = placed_in(context, window)
    scale = placed.scale
    name = NAME if scale >= SMALL else TAG
    look = Look(name_height=name / scale, small_height=TAG / scale, lug_names=False, values=False, absent=absent,
                strong=new)
    drawing = draw(context.layout, context.roles, look, placed.frame)
    figure = Group(tuple(lettered(drawing.marks, scale)), "stage", title, Kind.FIGURE)
    return Viewport(placed.room, placed.place, (figure,), scale)


def _caption(context: SheetContext, title: str, tags: Sequence[str], window: Box) -> list[Mark]:
    """Box to tick, number and words, and the new leads by tag and colour."""
    leads = {one.lead.tag: one.lead for one in context.layout.leads}
    made = [leads[tag] for tag in tags if tag in leads]
    listed = ", ".join(dict.fromkeys(_words(context, lead) for lead in made if lead.kind != "bend"))
    bent = ", ".join(end_words(context.layout.build, lead.start) for lead in made if lead.kind == "bend")
    listed = "; ".join(filter(None, (listed, f"bent over: {bent}" if bent else "")))
    tick = Box(window.left + 1, window.top + 1.2, window.left + 4.4, window.top + 4.6)
    left = window.left + 7
    lines = wrap(listed, TAG, window.right - left)
    if len(lines) > 2:
        lines = [lines[0], fit(" ".join(lines[1:]), TAG, window.right - left)]
    marks: list[Mark] = [Shape((rounded_box(window, 0),), Role.TABLE_RULE),
                         Shape((rounded_box(tick, 0),), Role.TICK_BOX)]
    height = CAPTION if text_width(title, CAPTION, True) <= window.right - left else TAG
    marks.append(Text(fit(title, height, window.right - left, True), Point(left, window.top + 4.2), height, bold=True))
    marks += [Text(line, Point(left, window.top + 7.8 + 2.9 * i), TAG) for i, line in enumerate(lines)]
    return marks


def _words(context: SheetContext, lead: Lead) -> str:
    """A lead as its picture's caption names it: a leg by its component, a wire by its tag."""
    parts = context.layout.parts
    if lead.kind == "leg":
        hung = [parts[e.part].part.says for e in (lead.start, lead.end)
                if e.part in parts and parts[e.part].part.between is not None]
        return hung[0] if hung else lead.tag
    if lead.kind == "bridge":
        return f"solder at {end_words(context.layout.build, lead.start)}"
    return f"{lead.tag} {lead.colour.short}" if lead.colour else f"{lead.tag} {lead.kind}"


def _sheet(context: SheetContext, paper: Paper, block: Sequence[Mark], n: int, of: int) -> Sheet:
    frame = framed(paper, context.job, STAMP, context.neck, n, of, context.warning)
    foot = Text("Strong: made now. Faint: made before. Not to scale; cut by the lead list, place by the diagram.",
                Point(frame.room.left + 4, frame.room.bottom - 2.6), TAG)
    return Sheet(paper.width, paper.height, STAMP, (*frame.marks, *block, foot), "stages")
