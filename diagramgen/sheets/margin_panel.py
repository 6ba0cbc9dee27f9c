"""What stands beside a diagram: measuring square with the key, folded-out details, notes, cautions, bar."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from diagramgen.drawing.diagram import has_wall, neck_angle
from diagramgen.drawing.foldout import WIDTH, foldout_marks, foldouts, lug_leads
from diagramgen.drawing.scene import Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.kernel.geometry import Box, Point, moved, polyline
from diagramgen.layout.model import Layout
from diagramgen.layout.placement.guessed_places import guessed
from diagramgen.lettering import wrap
from diagramgen.model.build import UnreadLead
from diagramgen.sheets.frame import JobLine, cautions
from diagramgen.sheets.glance import NOTHING, Glance, glance_marks
from diagramgen.sheets.legend import legend
from diagramgen.sheets.problem_notes import note_marks
from diagramgen.sheets.scale_marks import BAR, SQUARE, TRUE, Correction, bar, square, upright_bar

PANEL = 58.0
"""Width of the panel, mm: the 50 mm square with air round it."""
STRIP = 12.0
"""Height of the strip with the bar, mm."""
GLANCE = 0.6
"""Share of a bench page's panel, cautions apart, that what sounds where may take."""
SheetMaker = Callable[[int, int], Sheet]
"""Makes a sheet once its number and the count of all sheets are known."""


@dataclass(frozen=True)
class Subject:
    """What is drawn on every diagram sheet of a build."""

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


FULL_SIZE = "full size"
NAMED = 4
"""More missing leads or places than this are counted in the stamp, and named in the notes."""
NARROW = 45.0
"""A strip with less room than this beside its bar, mm, has its words above and below it."""
NOT_TO_SCALE = "Between and outside cavities: not to scale."


HOW = "Print at 100 %, no scaling. Measure bars and square."


def strip(
    room: Box, right: float, correction: Correction = TRUE, says: str = NOT_TO_SCALE, how: str = HOW
) -> list[Mark]:
    """The strip at the foot of a full-size sheet: bars, how to print, what was corrected for the printer."""
    base = room.bottom - 4.0
    rule = polyline([Point(room.left, room.bottom - STRIP + 1), Point(right, room.bottom - STRIP + 1)])
    left = room.left + 24 + BAR * correction.across
    if right - left < NARROW:
        below = correction.words() if correction.needed else says
        return [Shape((rule,), Role.TABLE_RULE), bar(Point(room.left + 5, base), correction=correction),
                upright_bar(Point(room.left - 2.4, room.bottom), correction),
                Text(how, Point(room.left + 9, base - 3.9), 1.8, bold=True),
                Text(below, Point(room.left + 5, room.bottom - 1.0), 1.8, bold=correction.needed)]
    first = wrap(how, 1.8, right - left - 1, True)
    lines = [*first, *wrap(says, 1.8, right - left - 1)]
    top = base - 2.6 if len(lines) < 3 else base - 4.4
    marks: list[Mark] = [
        Shape((rule,), Role.TABLE_RULE),
        bar(Point(room.left + 5, base), correction=correction),
        upright_bar(Point(room.left - 2.4, room.bottom), correction),
        *(Text(line, Point(left, top + 3.2 * i), 1.8, bold=i < len(first)) for i, line in enumerate(lines)),
    ]
    if correction.needed:
        marks.append(Text(correction.words(), Point(room.left + 5, room.bottom - 1.0), 1.8, bold=True))
    return marks


def measured_square(layout: Layout, corner: Point, correction: Correction = TRUE) -> list[Mark]:
    """The 50 mm square with its upper left corner at ``corner``; the key stands inside it."""
    end = Point(corner.x + SQUARE * correction.across - 1, corner.y + 2.8)
    words = Text("50 mm", end, 1.8, "end", bold=True, role=Role.SCALE_TEXT)
    return [square(corner, correction), legend(layout, Point(corner.x + 1.5, corner.y + 1.0)), words]


def column(subject: Subject, box: Box, with_square: bool = True) -> list[Mark]:
    """The panel as an upright column."""
    marks: list[Mark] = []
    y = box.top
    if with_square:
        wide = SQUARE * subject.correction.across
        marks += measured_square(subject.layout, Point(box.left + (box.width - wide) / 2, y), subject.correction)
        y += SQUARE * subject.correction.down + 3
    warned, used = cautions(Point(box.left, 0), box.width)
    floor = box.bottom - used
    window = Box(box.left - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    if not with_square:
        said, tall = glance_marks(subject.glance, Point(box.left, y), box.width, (floor - y) * GLANCE)
        marks += said
        y += tall + 2
    shown, y, left_out = _details(subject, Box(box.left, y, box.right, floor - 2))
    below = Box(box.left, y, box.right, floor - 2)
    return [*marks, *shown, *note_marks(_with(subject.notes, left_out), below, subject.listed)]


def band(subject: Subject, box: Box) -> list[Mark]:
    """The panel lying below an upright sheet's drawing: square, details, then notes over cautions."""
    marks = measured_square(subject.layout, Point(box.left + 1, box.top + 1), subject.correction)
    x = box.left + SQUARE * subject.correction.across + 5
    leads = lug_leads(subject.layout)
    left_out: list[str] = []
    for part, columns in foldouts(subject.layout):
        group, height = foldout_marks(part, columns, leads, subject.roles, Point(x, box.top), 1.0)
        if height > box.height or x + 2 * WIDTH + 4 > box.right:
            left_out.append(part.part.says)
            continue
        marks.append(group)
        x += WIDTH + 4
    warned, used = cautions(Point(x, 0), box.right - x)
    floor = box.bottom - used
    window = Box(x - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    above = Box(x, box.top, box.right, floor - 1)
    return [*marks, *note_marks(_with(subject.notes, left_out), above, subject.listed)]


def page(subject: Subject, box: Box) -> list[Mark]:
    """The panel as a page of its own: key, every folded-out detail, all notes, cautions."""
    marks: list[Mark] = [legend(subject.layout, Point(box.left, box.top))]
    leads = lug_leads(subject.layout)
    x, y, tallest = box.left + SQUARE + 6, box.top, 46.0
    for part, columns in foldouts(subject.layout):
        group, height = foldout_marks(part, columns, leads, subject.roles, Point(x, y), 1.0)
        marks.append(group)
        tallest = max(tallest, height)
        x += WIDTH + 8
        if x + WIDTH > box.right:
            x, y, tallest = box.left, y + tallest + 6, 0.0
    warned, used = cautions(Point(box.left, 0), box.width)
    floor = box.bottom - used
    window = Box(box.left - 0.5, floor - 0.5, box.right + 0.5, box.bottom + 0.5)
    marks.append(Viewport(window, moved(Point(0, floor)), tuple(warned)))
    rest = Box(box.left, y + tallest + 4, box.right, floor - 2)
    return [*marks, *note_marks(subject.notes, rest, subject.listed)]


def _with(notes: Sequence[str], left_out: Sequence[str]) -> list[str]:
    """The notes, led by where the details are that found no room."""
    if not left_out:
        return list(notes)
    return ["Lugs from the side of " + ", ".join(left_out) + ": see the details sheet.", *notes]


def _details(subject: Subject, box: Box) -> tuple[list[Mark], float, list[str]]:
    """As many folded-out details as fit below one another; returns the names of the others."""
    marks: list[Mark] = []
    leads = lug_leads(subject.layout)
    left_out: list[str] = []
    y = box.top
    for part, columns in foldouts(subject.layout):
        group, height = foldout_marks(part, columns, leads, subject.roles, Point(box.left, y), 1.0)
        if y + height > box.bottom:
            left_out.append(part.part.says)
            continue
        marks.append(group)
        y += height + 2
    return marks, y, left_out


def details_left_out(subject: Subject, upright: bool) -> bool:
    """Whether any detail finds no room in the panel, so that a details sheet is needed."""
    box = Box(0, SQUARE + 3, PANEL, 130) if not upright else Box(0, 0, 187, 62)
    if upright:
        return len(foldouts(subject.layout)) > 1
    return bool(_details(subject, box)[2])
