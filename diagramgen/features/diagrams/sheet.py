"""Diagram sheets: full size (tiled where the page is too small), enlarged for the bench wall, and the jig."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from diagramgen.drawing.crop import cropped
from diagramgen.drawing.diagram import Drawing, Look, draw, has_wall
from diagramgen.drawing.foldout import foldouts
from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.drawing.view import from_the_player, seen
from diagramgen.kernel.geometry import Box, Point, Transform, box_around, moved, polyline, scaled
from diagramgen.kernel.paper import PAPERS, Paper, larger
from diagramgen.kernel.units import number
from diagramgen.layout.model import Layout
from diagramgen.lettering import text_width, wrap
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import FOOT, MARGIN, cautions, framed
from diagramgen.sheets.glance import glance_box, glance_marks
from diagramgen.sheets.legend import in_words
from diagramgen.sheets.margin_panel import (
    NOT_TO_SCALE,
    PANEL,
    STRIP,
    band,
    column,
    details_left_out,
    measured_square,
    page,
    strip,
)
from diagramgen.sheets.problem_notes import boxed_notes, heights, left_over
from diagramgen.sheets.scale_marks import SQUARE, TRUE, Correction, bar
from diagramgen.sheets.tiles import cut, key, tile
from diagramgen.sheets.title_block import HEAD

EDGE, REACH = 4.5, 4.5
"""A mark begins so far from the edge of the paper (most printers print no nearer) and is so long, mm."""


def fold_marks(paper: Paper) -> list[Mark]:
    """A short line at either edge where the sheet is folded in half, none on sheets that need no fold."""
    if not paper.folds_to:
        return []
    said = f"fold to {PAPERS[paper.folds_to].name}"
    marks: list[Mark] = []
    if paper.width > paper.height:
        x = paper.width / 2
        for y in (EDGE, paper.height - EDGE - REACH):
            marks.append(Shape((polyline([Point(x, y), Point(x, y + REACH)]),), Role.CROP, "fold"))
        marks.append(Text(said, Point(x + 1.5, EDGE + 3.0), 1.8, role=Role.TILE_TEXT, subject="fold"))
        return marks
    y = paper.height / 2
    for x in (EDGE, paper.width - EDGE - REACH):
        marks.append(Shape((polyline([Point(x, y), Point(x + REACH, y)]),), Role.CROP, "fold"))
    return marks


LABEL_ROOM = 7.0
"""Room kept round the plan for labels that find no place inside, mm."""
BAND = 62.0
"""Height of the panel below an upright drawing, mm."""
CAUTION = 86.0
"""Width of the caution box where it stands in the drawing's free corner, mm."""


@dataclass(frozen=True)
class Setup:
    """How a full-size page is divided: panel at the right, below, or on a page of its own."""

    paper: Paper
    room: Box
    panel: str
    """column | band | page."""


def setups(paper: Paper) -> Iterator[Setup]:
    """The ways to divide a page, the handiest first."""
    for panel, lying in (("column", True), ("band", False), ("page", True), ("page", False)):
        sheet = paper.landscape() if lying else paper
        right = sheet.width - MARGIN - (PANEL + 1.0 if panel == "column" else 1.5)
        bottom = sheet.height - MARGIN - FOOT - STRIP - (BAND if panel == "band" else 0.0)
        yield Setup(sheet, Box(MARGIN + 1.5, MARGIN + HEAD + 1.5, right, bottom), panel)


JIG = Look(leads=Emphasis.FAINT, holes=True, tags=False)
KEY_SHEET = "see the sheet with the key"


def view_words(context: SheetContext) -> str:
    """The view in words: a field of holes in the top has no cavity to look into."""
    if context.layout.mirrored:
        return "player's side, seen through the wood"
    walls = any(has_wall(region) for region in context.layout.regions.values())
    return "solder side, looking into the opened cavity" if walls else "solder side, holes in the top"


def full_size(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The diagram at 1:1 on as many sheets as it takes; a key comes first where there are several."""
    return _at_full_size(context, paper, Look(), _stamp(context, Look()))


def jig(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The same geometry for building the harness off the instrument: holes strong, leads faint."""
    return _at_full_size(context, paper, JIG, _stamp(context, JIG))


def _stamp(context: SheetContext, look: Look) -> str:
    return f"{'harness jig, solder side' if look == JIG else view_words(context)}, {context.size}"


def mirrored(context: SheetContext) -> SheetContext:
    """The subject as the player sees it: all geometry mirrored, words as they are."""
    return replace(context, layout=from_the_player(context.layout))


def player(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The diagram from the player's side: at full size where something was measured, else enlarged."""
    turned_over = mirrored(context)
    return full_size(turned_over, paper) if context.layout.to_scale else enlarged(turned_over, paper)


def full_size_picture(context: SheetContext, sheets: Sequence[Sheet], jigs: bool = False) -> Sheet:
    """The one full-size drawing for a picture file: the first sheet, or the whole plan where it was tiled."""
    if sheets[0].subject == "full-size":
        return sheets[0]
    look = JIG if jigs else Look()
    return whole_plan(context, look, _stamp(context, look))


def player_picture(context: SheetContext, sheets: Sequence[Sheet]) -> Sheet:
    """The same for the diagram from the player's side."""
    return full_size_picture(mirrored(context), sheets) if context.layout.to_scale else sheets[0]


def _at_full_size(context: SheetContext, paper: Paper, look: Look, stamp: str) -> list[SheetMaker]:
    plan = context.layout.box.grown(LABEL_ROOM)
    for setup in setups(paper):
        room = context.correction.true(setup.room)
        if plan.width > room.width or plan.height > room.height:
            continue
        drawing, layout = drawn(context, 1.0, _centred(plan, room), look, room)
        if setup.panel != "page":
            follow = [] if look == JIG else _details_page(context, setup)
            return [_one_page(context, setup, drawing, [], stamp), *follow]
        stretch = context.correction.place(room.centre)
        taken = [box_around(stretch(c) for c in box.corners()) for box in _taken(drawing, layout)]
        wide, tall = SQUARE * context.correction.across, SQUARE * context.correction.down
        corner = _free(wide, tall, taken, setup.room)
        if corner is None:
            continue
        taken.append(Box(corner.x, corner.y, corner.x + wide, corner.y + tall))
        warned = _free(CAUTION, cautions(Point(0, 0), CAUTION)[1], taken, setup.room)
        extra = [*measured_square(context.layout, corner, context.correction),
                 *(cautions(warned, CAUTION)[0] if warned else [])]
        if warned:
            taken.append(Box(warned.x, warned.y, warned.x + CAUTION, warned.y + cautions(warned, CAUTION)[1]))
        spoken = _spoken(context, taken, setup.room, look)
        extra += spoken
        more = warned is None or bool(context.notes) or bool(foldouts(context.layout))
        # The jig's leads are faint and its details stand with the diagram already.
        follow = [_panel_page(context, setup)] if more and look != JIG else []
        says = NOT_TO_SCALE
        if context.notes and not spoken:
            says += f" To look at: {left_over(context.notes, context.listed if look == JIG else KEY_SHEET, 'notes')}."
        return [_one_page(context, setup, drawing, extra, stamp, says), *follow]
    return _tiled(context, paper, plan, look, stamp)


def _spoken(context: SheetContext, taken: Sequence[Box], room: Box, look: Look) -> list[Mark]:
    """What is to be known of the drawing, in the free floor of its sheet; the sheet with the key has all of it."""
    where = context.listed if look == JIG else KEY_SHEET
    for width in (CAUTION, PANEL) if context.notes else ():
        for height in heights(context.notes, width):
            corner = _free(width, height, taken, room)
            if corner is not None:
                box = Box(corner.x, corner.y, corner.x + width, corner.y + height)
                return boxed_notes(context.notes, box, where)
    return []


def _tiled(context: SheetContext, paper: Paper, plan: Box, look: Look, stamp: str) -> list[SheetMaker]:
    setup = next(setups(paper))
    pieces = cut(plan, context.correction.true(setup.room))
    drawing, _ = drawn(context, 1.0, Transform(), look, plan)
    makers: list[SheetMaker] = [partial(key, context, setup.paper, pieces)]
    makers += [partial(tile, context, setup.paper, drawing, pieces, at, stamp) for at in pieces.all()]
    return [*makers, *_details_page(context, setup)]


def whole_plan(context: SheetContext, look: Look, stamp: str) -> Sheet:
    """The full-size diagram on one sheet as large as it needs, for the SVG where paper would need tiles."""
    plan = context.layout.box.grown(LABEL_ROOM)
    correction = context.correction
    width = plan.width * correction.across + PANEL + 2 * MARGIN + 4
    height = max(plan.height * correction.down + HEAD + FOOT + STRIP, 190.0) + 2 * MARGIN + 3
    paper = Paper("plan", width, height)
    room = Box(MARGIN + 1.5, MARGIN + HEAD + 1.5, width - MARGIN - PANEL - 1.0, height - MARGIN - FOOT - STRIP)
    drawing, _ = drawn(context, 1.0, _centred(plan, room), look, correction.true(room))
    return _one_page(context, Setup(paper, room, "column"), drawing, [], stamp)(1, 1)


def full_size_drawing(context: SheetContext) -> tuple[Drawing, Layout]:
    """The full-size diagram on a page without limits, for measuring."""
    plan = context.layout.box.grown(LABEL_ROOM)
    return drawn(context, 1.0, Transform(), Look(), plan)


def drawn(context: SheetContext, scale: float, shift: Transform, look: Look, frame: Box) -> tuple[Drawing, Layout]:
    """The subject drawn at a scale and moved to its place on a sheet, with the layout as drawn."""
    layout = seen(context.layout, scaled(scale).then(shift))
    return draw(layout, context.roles, look, frame), layout


def _centred(plan: Box, room: Box) -> Transform:
    """Shift that puts the plan in the middle of the room."""
    return moved(Point(room.centre.x - plan.centre.x, room.centre.y - plan.centre.y))


def _viewport(
    marks: Sequence[Mark], room: Box, line_scale: float = 1.0, correction: Correction = TRUE
) -> list[Mark]:
    figure = Group(tuple(marks), "diagram", "wiring diagram", Kind.FIGURE)
    return [Viewport(room, correction.place(room.centre), (figure,), line_scale)]


def _one_page(
    context: SheetContext, setup: Setup, drawing: Drawing, extra: Sequence[Mark], stamp: str, says: str = NOT_TO_SCALE
) -> SheetMaker:
    def make(n: int, of: int) -> Sheet:
        paper, room = setup.paper, setup.room
        frame = framed(paper, context.job, stamp, context.neck, n, of, context.warning)
        marks: list[Mark] = [*frame.marks, *fold_marks(paper),
                             *_viewport(drawing.marks, room, correction=context.correction)]
        if setup.panel == "band":
            low = Box(frame.room.left, frame.room.top, frame.room.right, frame.room.bottom - BAND)
            marks += strip(low, frame.room.right, context.correction)
            below = Box(frame.room.left + 2, low.bottom + 1, frame.room.right - 2, frame.room.bottom - 2)
            marks += band(context, below)
        else:
            marks += strip(frame.room, room.right, context.correction, says)
        if setup.panel == "column":
            side = Box(room.right + 2, frame.room.top + 2, frame.room.right - 2, frame.room.bottom - 2)
            marks += column(context, side)
        marks += extra
        return Sheet(paper.width, paper.height, stamp, tuple(marks), "full-size")

    return make


def _panel_page(context: SheetContext, setup: Setup) -> SheetMaker:
    """Key, details, notes and cautions on a page of their own."""

    def make(n: int, of: int) -> Sheet:
        stamp = "key, lugs from the side, notes"
        frame = framed(setup.paper, context.job, stamp, None, n, of, context.warning)
        marks = (*frame.marks, *page(context, frame.room.grown(-5)))
        return Sheet(setup.paper.width, setup.paper.height, stamp, marks, "details")

    return make


def _details_page(context: SheetContext, setup: Setup) -> list[SheetMaker]:
    needed = details_left_out(context, setup.panel == "band")
    return [_panel_page(context, setup)] if needed else []


def _taken(drawing: Drawing, layout: Layout) -> list[Box]:
    """What the drawing covers, as boxes."""
    taken = [r.box.grown(4.0) for r in layout.regions.values() if r.kind != "stall"]
    taken += [p.box.grown(1.5) for p in layout.parts.values()]
    taken += [span.path.box().grown(1.5) for one in layout.leads for span in one.spans]
    for one in drawing.labels:
        w, h = one.label.size
        c, s = abs(math.cos(one.candidate.angle)), abs(math.sin(one.candidate.angle))
        half = Point((w * c + h * s) / 2, (w * s + h * c) / 2)
        at = one.candidate.at
        box = Box(at.x - half.x, at.y - half.y, at.x + half.x, at.y + half.y)
        taken.append(box.grown(1.0))
    return taken


def _free(width: float, height: float, taken: Sequence[Box], room: Box) -> Point | None:
    """The corner of a box of this size that covers nothing, corners of the room first; None where it is full."""
    right, bottom = room.right - width - 1, room.bottom - height - 1
    xs = [room.left + 1, right, *(room.left + 1 + 4.0 * i for i in range(max(0, int((right - room.left) / 4))))]
    ys = [room.top + 1, bottom, *(room.top + 1 + 4.0 * i for i in range(max(0, int((bottom - room.top) / 4))))]
    for y in ys:
        for x in xs:
            if not any(Box(x, y, x + width, y + height).overlaps(other) for other in taken):
                return Point(x, y)
    return None


def enlarged(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """Pages for the bench wall, one paper size up: the whole plan as large as the page allows (at most 3:1), then
    cavities by themselves where that shows them much larger.

    A printer that lacks the larger paper fits it to the smaller: these pages are not for measuring.
    """
    whole = _bench(context, paper)
    alone = cavities_alone(context, paper)
    return [whole, *(_bench(replace(context, layout=cropped(context.layout, name)), paper, name) for name in alone)]


GAIN = 1.4
"""A cavity gets a bench page of its own where it is drawn this much larger than on that of the whole plan."""
FULL_OF = 3
"""And where at least so many parts stand in it."""
LEGIBLE = 0.6
"""A plan made smaller than this is an overview: only parts are named, and every cavity gets a page of its own."""
TWICE = 2.0
"""Larger than this a cavity by itself is not drawn: 2:1 is read at arm's length."""


def cavities_alone(context: SheetContext, paper: Paper) -> list[str]:
    """The cavities that get bench pages of their own, in the order of the plan."""
    layout = context.layout
    if not layout.to_scale:
        return []
    lying = larger(paper).landscape()
    whole = _enlargement(layout.box, _bench_room(lying, True))
    least = FULL_OF if whole >= LEGIBLE else 1
    return [
        name for name, region in layout.regions.items()
        if has_wall(region) and sum(p.region == name for p in layout.parts.values()) >= least
        and min(_enlargement(region.box, _bench_room(lying, True)), TWICE) >= GAIN * whole
    ]


def _bench_room(lying: Paper, with_panel: bool) -> Box:
    return Box(MARGIN + 2, MARGIN + HEAD + 2, lying.width - MARGIN - 2 - (PANEL if with_panel else 0.0),
               lying.height - MARGIN - FOOT - STRIP - 2)


def _bench(context: SheetContext, paper: Paper, cavity: str = "") -> SheetMaker:
    """One bench page, of the whole plan or of a cavity alone."""
    # The only drawing of a build that was not measured stays on the paper that was asked for.
    lying = (larger(paper) if context.layout.to_scale else paper).landscape()
    beside = bool(foldouts(context.layout)) or bool(context.notes)
    for with_panel in (True,) if beside else (False, True):
        room = _bench_room(lying, with_panel)
        scale = min(_enlargement(context.layout.box, room), TWICE if cavity else math.inf)
        box = context.layout.box
        wide = Box(box.left * scale, box.top * scale, box.right * scale, box.bottom * scale)
        look = Look(name_height=3.5 if scale >= 1.2 else 2.5, small_height=2.5 if scale >= 1.25 else 1.8,
                    glance=scale >= LEGIBLE, mouths=bool(cavity), ends=context.glance.ends,
                    tags=scale >= LEGIBLE, lug_names=scale >= LEGIBLE, values=scale >= LEGIBLE)
        drawing, layout = drawn(context, scale, _centred(wide, room), look, room)
        extra = [] if with_panel else _in_free_corners(context, _taken(drawing, layout), room)
        if with_panel or extra:
            return _bench_page(context, lying, drawing, room, scale, extra, cavity)
    raise AssertionError("unreachable: the panel holds the cautions")


def _in_free_corners(context: SheetContext, taken: list[Box], room: Box) -> list[Mark]:
    """Cautions and what sounds where, in free corners of the drawing; none of them where one finds no room."""
    warned = _free(CAUTION, cautions(Point(0, 0), CAUTION)[1], taken, room)
    if warned is None:
        return []
    marks, tall = cautions(warned, CAUTION)
    taken = [*taken, Box(warned.x, warned.y, warned.x + CAUTION, warned.y + tall)]
    for width in (CAUTION, PANEL):
        size = glance_box(context.glance, width, room.height)
        corner = _free(width + 2, size.height, taken, room)
        if corner is not None:
            at = Point(corner.x + 1, corner.y)
            return [*marks, *glance_marks(context.glance, at, width, room.height)[0]]
    return []


def _enlargement(box: Box, room: Box) -> float:
    """The largest scale in steps of a twentieth at which the plan and its outer labels fit, at most 3."""
    spare = 2 * LABEL_ROOM
    scale = min((room.width - spare) / box.width, (room.height - spare) / box.height, 3.0)
    return max(0.3, math.floor(scale * 20) / 20)


def _bench_page(
    context: SheetContext, paper: Paper, drawing: Drawing, room: Box, scale: float, extra: Sequence[Mark], cavity: str
) -> SheetMaker:
    true = context.layout.to_scale
    side = "player's side" if context.layout.mirrored else "solder side"
    stamp = f"{view_words(context)}, {number(scale, 2)}:1" if true else f"{side}, placed automatically"
    stamp = f"{cavity} alone: {stamp}" if cavity else stamp

    def make(n: int, of: int) -> Sheet:
        frame = framed(paper, context.job, stamp, context.neck, n, of, context.warning)
        marks: list[Mark] = [*frame.marks, *fold_marks(paper), *_viewport(drawing.marks, room, min(scale, 1.4)), *extra]
        base, x = frame.room.bottom - 4.0, frame.room.left + 4
        if true:
            marks.append(bar(Point(x, base), 20.0 * scale, "20 mm in the instrument"))
            x += 20.0 * scale + 60
        marks += _short_key(context.layout, Point(x, base), room.right - x)
        if not extra:
            side = Box(room.right + 3, room.top, paper.width - MARGIN - 2, frame.room.bottom - 2)
            marks += column(context, side, with_square=False)
        return Sheet(paper.width, paper.height, stamp, tuple(marks), "enlarged")

    return make


def _short_key(layout: Layout, at: Point, width: float) -> list[Mark]:
    said = ("solid joint: signal", "ring, earth sign: ground", "×2: wires on the joint",
            "crossing leads are not joined", "arrow: knob turned up", *in_words(layout))
    words = "   ·   ".join(said)
    height = 2.5 if text_width(words, 2.5) <= width else 1.8
    lines = wrap(words, height, width)
    return [Text(line, Point(at.x, at.y - 3.0 * (len(lines) - 1 - i)), height) for i, line in enumerate(lines)]
