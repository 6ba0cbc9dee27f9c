"""Stages: the same diagram several times, small, growing in the order of soldering; what is new stands out."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby

from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.job.lead_list import LeadRow
from diagramgen.job.words import end_words
from diagramgen.kernel.geometry import Box, Point, Transform, moved, rounded_box, scaled
from diagramgen.lettering import fit, text_width, wrap
from diagramgen.model.build import Lead
from diagramgen.sheets.frame import FOOT, MARGIN, framed
from diagramgen.sheets.margin_panel import SheetMaker, Subject
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.title_block import HEAD

STAMP = "stages, in the order of soldering"
FEWEST, MOST = 4, 6
CROWDED = 9
"""With more new leads than this a picture is parted in two, where the pages still hold it."""
NAME, TAG, CAPTION = 2.5, 1.8, 2.5
"""Capital heights on the sheet, mm; tags, and names in small pictures, as small as inside a full-size drawing."""
SMALL = 0.55
"""Below this scale names are lettered like tags."""
HEADER = 13.0
"""Height of a picture's caption, mm."""
GAP = 3.0
EDGE = 7.0
"""Room round a picture's plan for labels, mm on the sheet."""
LARGEST = 1.5
"""A picture is never larger than this: beyond, a line shows no more."""
GOOD = 0.62
"""Scale at which one page is enough."""


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


@dataclass(frozen=True)
class _Grid:
    """How pictures stand on a page."""

    paper: Paper
    across: int
    down: int
    scale: float = 0.0
    tallest: float = math.inf
    """What a picture with its caption needs, mm: a cell is never stretched beyond that."""

    def window(self, i: int) -> Box:
        """The place of picture ``i`` of a page, caption and all."""
        room = _room(self.paper)
        wide = (room.width - GAP * (self.across - 1)) / self.across
        tall = min((room.height - GAP * (self.down - 1)) / self.down, self.tallest)
        left = room.left + (i % self.across) * (wide + GAP)
        top = room.top + (i // self.across) * (tall + GAP)
        return Box(left, top, left + wide, top + tall)


def stage_sheets(subject: Subject, stages: Sequence[Stage], paper: Paper) -> list[SheetMaker]:
    """The stages on one page, or on two where they would be too small; none where there is no lead."""
    if not stages:
        return []
    one = best_grid(subject, paper, len(stages))
    two = best_grid(subject, paper, math.ceil(len(stages) / 2))
    grid = one if one.scale >= GOOD or two.scale < 1.1 * one.scale else two
    per_page = len(stages) if grid is one else math.ceil(len(stages) / 2)
    made = _pictures(subject, stages, [grid.window(i % per_page) for i in range(len(stages))])
    pages = [made[i:i + per_page] for i in range(0, len(made), per_page)]
    return [partial(_sheet, subject, grid.paper, [m for marks in page for m in marks]) for page in pages]


def _room(paper: Paper) -> Box:
    return Box(MARGIN + 3, MARGIN + HEAD + 3, paper.width - MARGIN - 3, paper.height - MARGIN - FOOT - 8)


def best_grid(subject: Subject, paper: Paper, count: int) -> _Grid:
    """The arrangement that shows ``count`` pictures largest."""
    found = []
    for sheet in (paper.landscape(), paper):
        for across in range(1, count + 1):
            grid = _Grid(sheet, across, math.ceil(count / across))
            scale = _scale(subject, grid.window(0))
            tallest = HEADER + 2 * EDGE + subject.layout.box.height * scale
            found.append(replace(grid, scale=scale, tallest=tallest))
    return max(found, key=lambda g: round(g.scale, 4))


def _scale(subject: Subject, window: Box) -> float:
    box = subject.layout.box
    tall = window.height - HEADER
    return max(0.05, min((window.width - 2 * EDGE) / box.width, (tall - 2 * EDGE) / box.height, LARGEST))


def _pictures(subject: Subject, stages: Sequence[Stage], windows: Sequence[Box]) -> list[list[Mark]]:
    made: list[list[Mark]] = []
    done: set[str] = set()
    every = {one.lead.tag for one in subject.layout.leads}
    for i, (stage, window) in enumerate(zip(stages, windows, strict=True)):
        new = frozenset(stage.tags)
        absent = frozenset(every - done - new)
        title = f"{i + 1}  {stage.caption}"
        made.append([*_caption(subject, title, stage.tags, window), _picture(subject, new, absent, window, title)])
        done |= new
    return made


def _picture(
    subject: Subject, new: frozenset[str], absent: frozenset[str], window: Box, title: str
) -> Viewport:
    """One picture: drawn at full size with lettering that is right once the whole is made small."""
    room, place, scale, frame = placed_in(subject, window)
    name = NAME if scale >= SMALL else TAG
    look = Look(name_height=name / scale, small_height=TAG / scale, lug_names=False, values=False, absent=absent,
                strong=new)
    drawing = draw(subject.layout, subject.roles, look, frame)
    figure = Group(tuple(lettered(drawing.marks, scale)), "stage", title, Kind.FIGURE)
    return Viewport(room, place, (figure,), scale)


def placed_in(subject: Subject, window: Box) -> tuple[Box, Transform, float, Box]:
    """Room below a picture's caption, the way of the plan into it, its scale, and the room in the plan's mm."""
    box, scale = subject.layout.box, _scale(subject, window)
    room = Box(window.left, window.top + HEADER, window.right, window.bottom)
    place = scaled(scale).then(moved(Point(room.centre.x - box.centre.x * scale, room.centre.y - box.centre.y * scale)))
    back = place.inverse()
    upper, lower = back(Point(room.left + 1, room.top + 1)), back(Point(room.right - 1, room.bottom - 1))
    return room, place, scale, Box(upper.x, upper.y, lower.x, lower.y)


def lettered(marks: Iterable[Mark], scale: float) -> list[Mark]:
    """Marks whose texts keep their height in a viewport, so that it is given as it is on the sheet."""
    found: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Text):
            found.append(replace(mark, height=mark.height * scale))
        elif isinstance(mark, Group):
            found.append(replace(mark, children=tuple(lettered(mark.children, scale))))
        else:
            found.append(mark)
    return found


def _caption(subject: Subject, title: str, tags: Sequence[str], window: Box) -> list[Mark]:
    """Box to tick, number and words, and the new leads by tag and colour."""
    leads = {one.lead.tag: one.lead for one in subject.layout.leads}
    made = [leads[tag] for tag in tags if tag in leads]
    listed = ", ".join(dict.fromkeys(_words(subject, lead) for lead in made if lead.kind != "bend"))
    bent = ", ".join(end_words(subject.layout.build, lead.start) for lead in made if lead.kind == "bend")
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


def _words(subject: Subject, lead: Lead) -> str:
    """A lead as its picture's caption names it: a leg by its component, a wire by its tag."""
    parts = subject.layout.parts
    if lead.kind == "leg":
        hung = [parts[e.part].part.says for e in (lead.start, lead.end)
                if e.part in parts and parts[e.part].part.between is not None]
        return hung[0] if hung else lead.tag
    if lead.kind == "bridge":
        return f"solder at {end_words(subject.layout.build, lead.start)}"
    return f"{lead.tag} {lead.colour.short}" if lead.colour else f"{lead.tag} {lead.kind}"


def _sheet(subject: Subject, paper: Paper, block: Sequence[Mark], n: int, of: int) -> Sheet:
    frame = framed(paper, subject.job, STAMP, subject.neck, n, of, subject.warning)
    foot = Text("Strong: made now. Faint: made before. Not to scale; cut by the lead list, place by the diagram.",
                Point(frame.room.left + 4, frame.room.bottom - 2.6), TAG)
    return Sheet(paper.width, paper.height, STAMP, (*frame.marks, *block, foot), "stages")
