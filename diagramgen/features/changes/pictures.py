"""Pictures of a change: before, with what comes off strong and crossed; after, with what goes on strong.

Told apart in grey print as well: a cross lies on what goes, a heavy ring round each joint that is worked on, a heavy
frame round each part that is changed, a question mark at an end that is not traced.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import partial

from diagramgen.drawing.diagram import Look, draw
from diagramgen.drawing.labelling.place_labels import label_marks
from diagramgen.drawing.scene import Emphasis, Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.job.changes import Changes, LeadChange
from diagramgen.kernel.geometry import Box, Point, along, circle, polyline, rounded_box
from diagramgen.kernel.paper import Paper
from diagramgen.layout.model import LaidLead, PlacedPart
from diagramgen.lettering import fit, wrap
from diagramgen.model.build import Lead
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import framed
from diagramgen.sheets.small_drawings import CAPTION, GOOD, NAME, SMALL, TAG, best_grid, lettered, placed_in

TITLES = {False: ("As found", "As left"), True: ("As left", "Back as found")}
FOOT_WORDS = ("Strong: worked on. Crossed: comes out. Ring: joint to open or to solder. Frame: part that is changed. "
              "Faint: stays. Not for measuring.")
RING, CROSS = 1.9, 1.7
"""mm in the plan: radius of a ring, half the width of a cross."""
OFF = ("goes", "renewed")
AGAIN = ("moves", "lifted", "shortened", "relaid")
WORKED = ("goes", "comes", "moves", "lifted", "shortened", "renewed", "relaid")


def picture_sheets(
    changes: Changes, subjects: tuple[SheetContext, SheetContext], job: SheetContext, paper: Paper,
    words: tuple[str, str],
) -> list[SheetMaker]:
    """Draw the instrument before and after the changes, on one page where both are large enough there.

    Parameters: subjects - before, then after; job - whose title block the pages bear; words - the stamp, then the
    sheet's name.
    Returns: a maker for each page, before first.
    """
    wider = max(subjects, key=lambda s: s.layout.box.width * s.layout.box.height)
    two = best_grid(wider, paper, 2)
    grid = two if two.scale >= GOOD else best_grid(wider, paper, 1)
    per_page = grid.across * grid.down
    titles = TITLES[changes.undoing]
    made = [_picture(changes, subject, after, grid.window(int(after) % per_page), titles[after])
            for after, subject in zip((False, True), subjects, strict=True)]
    pages = [made] if per_page > 1 else [[one] for one in made]
    return [partial(_sheet, job, grid.paper, [m for marks in page for m in marks], words) for page in pages]


def _picture(changes: Changes, context: SheetContext, after: bool, window: Box, title: str) -> list[Mark]:
    placed = placed_in(context, window)
    scale = placed.scale
    # On the way back every lead has been traced: it stays as it is.
    worked = WORKED if changes.undoing else (*WORKED, "unsure")
    mine = [(c, lead) for c in changes.leads_that(*worked) if (lead := c.left if after else c.found) is not None]
    strong = frozenset(lead.tag for _, lead in mine)
    changed = {p.name: p.what for p in changes.parts_that(*(("in",) if after else ("out",)), "replaced", "moves")}
    lettering = (NAME if scale >= SMALL else TAG) / scale
    # A tag that no lead has keeps every lead faint where only parts are changed.
    look = Look(name_height=lettering, small_height=TAG / scale, lug_names=False, values=False, tags=bool(strong),
                strong=strong or frozenset({""}), lit=frozenset(changed))
    drawing = draw(context.layout, context.roles, look, placed.frame)
    laid = {one.lead.tag: one for one in context.layout.leads}
    drawn = lettered(drawing.marks, scale)
    # Labels stay on top of frames and crosses.
    first = len(drawn) - sum(len(label_marks(one)) for one in drawing.labels)
    marks = [*drawn[:first], *_parts(context, changed, after)]
    marks += _rings(context, {str(e) for e in (changes.made if after else changes.opened)})
    if not after:
        off = [laid[lead.tag] for c, lead in mine if c.what in OFF and lead.tag in laid and not _within(lead, changed)]
        labels = [one.candidate.at for one in drawing.labels]
        marks += [m for one in off for m in _crossed(one, labels)]
    marks += [_question(laid[lead.tag]) for _, lead in mine if lead.tag in laid and _untraced(lead)]
    figure = Group((*marks, *drawn[first:]), "changes", title, Kind.FIGURE)
    words = "from the bag" if changes.undoing else "new"
    caption = _caption(mine, title, (after, words), window)
    return [*caption, Viewport(placed.room, placed.place, (figure,), scale)]


def _within(lead: Lead, changed: Collection[str]) -> bool:
    """Whether it comes out with its part, which is crossed already."""
    return not lead.is_wire and any(e.part in changed for e in (lead.start, lead.end))


def _untraced(lead: Lead) -> bool:
    return "unknown" in (lead.start.part, lead.end.part)


def _parts(context: SheetContext, changed: dict[str, str], after: bool) -> list[Mark]:
    """A heavy frame round each part that is changed; a cross over one that comes out."""
    marks: list[Mark] = []
    for name, part in context.layout.parts.items():
        if name not in changed:
            continue
        around = _body(part)
        b = Box(around.left - 1.5, around.top - 1.5, around.right + 1.5, around.bottom + 1.5)
        marks.append(Shape((rounded_box(b, 1.5),), Role.FRAME, f"part:{name}"))
        if not after and changed[name] != "moves":
            marks.append(_cross(Point(b.left, b.top), Point(b.right, b.bottom), f"part:{name}"))
    return marks


def _body(part: PlacedPart) -> Box:
    """A part with its lugs; of a component hung on its legs the body alone."""
    if part.part.between is None or not part.body:
        return part.box
    boxes = [zone.outline.box() for zone in part.body]
    return Box(min(b.left for b in boxes), min(b.top for b in boxes), max(b.right for b in boxes),
               max(b.bottom for b in boxes))


def _cross(a: Point, b: Point, subject: str) -> Shape:
    lines = (polyline([a, b]), polyline([Point(a.x, b.y), Point(b.x, a.y)]))
    return Shape(lines, Role.FRAME, subject)


def _rings(context: SheetContext, joints: Collection[str]) -> list[Mark]:
    lugs = {lug.key: lug.at for part in context.layout.parts.values() for lug in part.lugs.values()}
    return [Shape((circle(lugs[key], RING),), Role.GROUND, f"lug:{key}", emphasis=Emphasis.STRONG)
            for key in sorted(joints) if key in lugs]


def _crossed(laid: LaidLead, labels: Sequence[Point]) -> list[Mark]:
    """A cross on a short lead, two on a long one, where they hide no label."""
    points, long = laid.path.flat(), laid.path.length()
    halves = ((30, 70),) if long < 60 else ((10, 45), (55, 90))
    marks: list[Mark] = []
    for first, last in halves:
        places = [along(points, long * share / 100)[0] for share in range(first, last + 1, 5)]
        at = max(places, key=lambda p: round(min((p.distance(q) for q in labels), default=0.0), 3))
        marks.append(_cross(Point(at.x - CROSS, at.y - CROSS), Point(at.x + CROSS, at.y + CROSS),
                            f"lead:{laid.lead.tag}"))
    return marks


def _question(laid: LaidLead) -> Mark:
    path = laid.path if laid.lead.end.part == "unknown" else laid.path.reversed()
    at = path.flat()[-1]
    return Text("?", Point(at.x, at.y - 2.0), NAME, "middle", bold=True, role=Role.WARNING_TEXT,
                subject=f"lead:{laid.lead.tag}")


def _caption(mine: Sequence[tuple[LeadChange, Lead]], title: str, how: tuple[bool, str], window: Box) -> list[Mark]:
    """The state's name, and the leads worked on by tag and colour."""
    left, wide = window.left + 2, window.width - 3
    after, new = how
    groups = (((new, ("comes",)), ("made anew", ("renewed",)), ("back on, moved or re-routed", AGAIN))
              if after else (("out", OFF), ("off or moved, and used again", AGAIN)))
    lines: list[str] = []
    for head, fates in groups:
        named = dict.fromkeys(_words(lead) for c, lead in mine if c.what in fates and lead.kind not in ("bend", "leg"))
        if named:
            lines += wrap(f"{head}: {', '.join(named)}", TAG, wide)
    if len(lines) > 3:
        lines = [*lines[:2], fit(" ".join(lines[2:]), TAG, wide)]
    marks: list[Mark] = [Shape((rounded_box(window, 0),), Role.TABLE_RULE),
                         Text(title, Point(left, window.top + 4.0), CAPTION, bold=True)]
    return marks + [Text(line, Point(left, window.top + 7.0 + 2.7 * i), TAG) for i, line in enumerate(lines)]


def _words(lead: Lead) -> str:
    return f"{lead.tag} {lead.colour.short}" if lead.colour else lead.tag


def _sheet(
    context: SheetContext, paper: Paper, block: Iterable[Mark], words: tuple[str, str], n: int, of: int
) -> Sheet:
    frame = framed(paper, context.job, words[0], context.neck, n, of, context.warning)
    foot = Text(FOOT_WORDS, Point(frame.room.left + 4, frame.room.bottom - 2.6), TAG)
    return Sheet(paper.width, paper.height, words[0], (*frame.marks, *block, foot), words[1])
