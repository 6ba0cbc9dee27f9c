"""The inside of the cover: the cavity's outline mirrored, to be cut out and glued in, with the legend; and a card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from diagramgen.drawing.diagram import has_wall
from diagramgen.drawing.labelling.candidates import value_text
from diagramgen.drawing.parts import is_sheet
from diagramgen.drawing.scene import Group, Kind, Mark, Role, Shape, Sheet, Text, Viewport
from diagramgen.drawing.view import from_the_player
from diagramgen.features.cover.inscribed_text import Entry, halves, set_text, slots
from diagramgen.job.words import end_words
from diagramgen.kernel.geometry import Box, Path, Point, Transform, moved, rounded_box, scaled
from diagramgen.kernel.paper import Paper
from diagramgen.layout.model import Layout, PlacedPart, Region
from diagramgen.lettering import fit, text_width
from diagramgen.model.build import Build, Lead
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.frame import FOOT, MARGIN, framed
from diagramgen.sheets.margin_panel import STRIP, strip
from diagramgen.sheets.tiles import cut, joins
from diagramgen.sheets.title_block import HEAD

# What one needs to know when the instrument is opened in ten years, the most needed first.

BLANK = "__________"


def numbers(layout: Layout) -> dict[str, int]:
    """Part -> its number on the small map: what stands in a cavity, in the order of the file."""
    standing = [p.part.name for p in layout.parts.values() if not p.outside and p.part.between is None and p.body
                and not is_sheet(p)]
    return {name: i + 1 for i, name in enumerate(standing)}


def entries(context: SheetContext, cavity: str = "") -> list[Entry]:
    """The legend; with ``cavity`` only of the parts in it, for a small cover."""
    layout, build = context.layout, context.layout.build
    kept = [p for p in layout.parts.values() if not cavity or p.region == cavity]
    marked = numbers(layout)
    title = "" if cavity else context.job.title
    found = [Entry(context.job.job or "job ________", title), Entry("", f"Closed {BLANK} by {BLANK}")]
    if cavity:
        found[1] = Entry("", f"Closed {BLANK}")
    if any(e.kind == "cell" for p in kept for e in p.part.symbol.elements):
        found.append(Entry("", f"Battery changed {BLANK}"))
    found += [_control(p, marked, bool(cavity)) for p in kept if _is_control(p)]
    found += [_component(p, build) for p in kept if p.part.between is not None]
    found += [e for p in kept if not _is_control(p) and p.part.between is None for e in _joined(p, layout, marked)]
    found += [e for p in kept if _is_control(p) for e in _joined(p, layout, marked)]
    return found


def _is_control(part: PlacedPart) -> bool:
    return any(c.kind != "plug" for c in part.part.symbol.controls)


def _named(part: PlacedPart, marked: dict[str, int]) -> str:
    number = marked.get(part.part.name)
    return f"{number} {part.part.says}" if number else part.part.says


def _control(part: PlacedPart, marked: dict[str, int], short: bool) -> Entry:
    if short:
        return Entry(_named(part, marked), value_text(part))
    return Entry(_named(part, marked) + ":", ", ".join(t for t in (value_text(part), part.part.symbol.kind) if t))


def _component(part: PlacedPart, build: Build) -> Entry:
    ends = " and ".join(end_words(build, end) for end in part.part.between or ())
    return Entry(part.part.says + ":", f"{value_text(part)}, between {ends}")


def _joined(part: PlacedPart, layout: Layout, marked: dict[str, int]) -> Iterator[Entry]:
    """What is soldered to a part, lug by lug with colours; each lead is told once."""
    texts = [_lead(one.lead, part, layout) for one in layout.leads]
    text = "; ".join(t for t in texts if t)
    if text:
        yield Entry(_named(part, marked) + (" leads:" if _is_control(part) else ":"), text)


def _lead(lead: Lead, part: PlacedPart, layout: Layout) -> str:
    """The lead as told at this part; empty where it does not end here or is told at its other end."""
    if lead.kind in ("leg", "bend") or part.part.name not in (lead.start.part, lead.end.part):
        return ""
    mine, other = (lead.start, lead.end) if lead.start.part == part.part.name else (lead.end, lead.start)
    if _teller(lead, layout) != part.part.name:
        return ""
    colour = lead.colour.short if lead.colour else {"bare": "bare", "bridge": "solder"}.get(lead.kind, "lead")
    lug = part.part.symbol.lug_words.get(mine.lug, mine.lug)
    lug = "" if lug == colour else f"{lug} "
    return f"{lug}{colour} to {end_words(layout.build, other)}"


def _teller(lead: Lead, layout: Layout) -> str:
    """The part at which a lead is told: what is no control (pickup, jack, battery) before controls, else its start."""
    ends = [layout.parts[e.part] for e in (lead.start, lead.end) if e.part in layout.parts]
    plain = [p for p in ends if not _is_control(p)]
    return (plain or ends)[0].part.name if ends else ""


STAMP = "inside of the cover, mirrored"
TILED_STAMP = "inside of the cover in pieces, mirrored"
CARD_STAMP = "legend card"
CARD = (148.0, 105.0)
"""A postcard, mm (ISO 216 A6)."""
HEIGHT = 2.5
"""Capital height of the legend, mm: read at arm's length under a lamp."""
AIR = 5.0
TITLE = 6.0
MORE = ("More: on the card in the case.", "More: on the card", "More: card")
NEXT = ("Turn to the next card.",)
MAP = 46.0
"""Largest width of the small map, mm."""


@dataclass(frozen=True)
class Block:
    """A piece of paper to be cut out: its outline and what stands on it, in true mm, and words above it."""

    outline: Path
    marks: tuple[Mark, ...]
    title: str
    subject: str

    @property
    def box(self) -> Box:
        """The piece with air and title."""
        box = self.outline.box()
        return Box(box.left - AIR, box.top - AIR - TITLE, box.right + AIR, box.bottom + AIR)


def cover_sheets(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """Covers and card on as many sheets as they take."""
    covers = _covers(context)
    lying = _needs_lying(covers, context, paper)
    sheet = paper.landscape() if lying else paper
    room = _room(sheet)
    sizes = {b.subject: _stretched(b, context) for b in covers}
    fitting = [b for b in covers if sizes[b.subject][0] <= room.width and sizes[b.subject][1] <= room.height]
    tiled = [page for b in covers if b not in fitting for page in _pieces(b, context, room)]
    blocks = [*fitting, *_cards(context, room)]
    pages: list[list[Mark]] = [[]]
    x, y, lowest = room.left, room.top, room.top
    for block in blocks:
        wide, tall = _stretched(block, context)
        if x + wide > room.right:
            x, y = room.left, lowest
        if y + tall > room.bottom and pages[-1]:
            pages.append([])
            x, y, lowest = room.left, room.top, room.top
        pages[-1].append(_window(block, context, Box(x, y, x + wide, y + tall)))
        x, lowest = x + wide, max(lowest, y + tall)
    stamp = STAMP if fitting else CARD_STAMP
    whole = [partial(_sheet, context, sheet, page, stamp) for page in pages]
    return [*(partial(_sheet, context, sheet, page, TILED_STAMP) for page in tiled), *whole]


def _room(paper: Paper) -> Box:
    return Box(MARGIN + 1, MARGIN + HEAD + 1, paper.width - MARGIN - 1, paper.height - MARGIN - FOOT - STRIP)


def _needs_lying(covers: Sequence[Block], context: SheetContext, paper: Paper) -> bool:
    room = _room(paper)
    wide = max([CARD[0] + 2 * AIR, *(_stretched(b, context)[0] for b in covers)])
    return wide > room.width


def _stretched(block: Block, context: SheetContext) -> tuple[float, float]:
    return block.box.width * context.correction.across, block.box.height * context.correction.down


def _pieces(block: Block, context: SheetContext, room: Box) -> list[list[Mark]]:
    """A cover larger than the paper, in pieces that overlap and are joined by their marks."""
    head, room = room, Box(room.left, room.top + TITLE, room.right, room.bottom)
    pieces = cut(block.box, context.correction.true(room))
    stretch = context.correction.place(room.centre)
    result: list[list[Mark]] = []
    for at in pieces.all():
        origin = pieces.origin(at)
        shift = moved(Point(pieces.room.left - origin.x, pieces.room.top - origin.y))
        says = f"{block.subject}, piece {pieces.name(at)}: larger than this paper, join the pieces on the marks"
        name = Text(fit(says, 2.5, room.width - 4), Point(head.left + 2, head.top + 4), 2.5, bold=True)
        result.append([Viewport(room, shift.then(stretch), (_figure(block),)),
                       Viewport(room, stretch, tuple(joins(pieces, at))), name])
    return result


def _window(block: Block, context: SheetContext, window: Box) -> Viewport:
    box = block.box
    stretch = Transform(a=context.correction.across, d=context.correction.down)
    place = moved(Point(-box.left, -box.top)).then(stretch).then(moved(Point(window.left, window.top)))
    return Viewport(window, place, (_figure(block),))


def _figure(block: Block) -> Group:
    """The piece of paper in true mm, with its title above."""
    box = block.box
    title = next((t for t in _titles(block.title) if text_width(t, 1.8) <= box.width - 4), "")
    marks = (Text(title, Point(box.left + 2, box.top + 5.0), 1.8, role=Role.ARROW_TEXT),
             Shape((block.outline,), Role.CROP, f"cut:{block.subject}"), *block.marks)
    return Group(marks, f"cover:{block.subject}", block.title, Kind.FIGURE)


def _titles(title: str) -> list[str]:
    """The words above a piece, then with less and less of them: never a word cut short."""
    return [title, title.rpartition(", clear")[0] or title, *(title.rpartition(c)[0] for c in (", glue", ": ", ", "))]


def _covers(context: SheetContext) -> list[Block]:
    """One piece for every cavity with a cover of its own; a plate with controls on it has no free inside."""
    if not context.layout.to_scale:
        return []
    plain, turned = context.layout, from_the_player(context.layout)
    covered = [r for r in plain.regions.values() if has_wall(r) and r.cavity is not None and r.cavity.plate is None
               and r.cavity.opened in ("rear", "front")]
    if not covered:
        return []
    main = max(covered, key=lambda r: sum(p.region == r.name for p in plain.parts.values()))
    blocks = []
    for region in covered:
        outline = turned.regions[region.name].outline
        says = region.cavity.says if region.cavity else region.name
        title = f"{says}, cover's inside: cut on the line, glue in, clear of hot lugs"
        shown = entries(context) if region is main else entries(context, region.name)
        blocks.append(Block(outline, tuple(_filled(context, outline, shown, region, MORE)[0]), title, region.name))
    return blocks


def _filled(
    context: SheetContext, outline: Path, shown: Sequence[Entry], region: Region | None, more: Sequence[str]
) -> tuple[list[Mark], int]:
    """Legend and, where there is room, the small map inside an outline; how many entries it took."""
    box = outline.box()
    chart = _map(context, region, box) if region is not None and box.width >= 90 and box.height >= 55 else None
    free = [chart[1].grown(2.0)] if chart else []
    text, count = set_text(shown, slots(outline, free, HEIGHT, 4.0), HEIGHT, more)
    return [*(chart[0] if chart else []), *text], count


def _map(context: SheetContext, region: Region, box: Box) -> tuple[list[Mark], Box]:
    """The cavity made small as one looks into it, its parts numbered, at the lower right of ``box``."""
    own = region.box
    scale = min(MAP / own.width, box.width * 0.36 / own.width, box.height * 0.5 / own.height)
    wide, tall = own.width * scale, own.height * scale
    inset = 9.0
    window = Box(box.right - inset - wide, box.bottom - inset - tall, box.right - inset, box.bottom - inset)
    place = moved(Point(-own.left, -own.top)).then(scaled(scale)).then(moved(Point(window.left, window.top)))
    marks: list[Mark] = [Shape((region.outline.mapped(place),), Role.CAVITY_FLOOR),
                         Shape((region.outline.mapped(place),), Role.BODY_DETAIL)]
    marked = numbers(context.layout)
    for name in marked:
        part = context.layout.parts[name]
        if part.region == region.name:
            marks += [Shape((z.outline.mapped(place),), Role.BODY) for z in part.body if z.draw == "body"]
    for name, number in marked.items():
        part = context.layout.parts[name]
        if part.region == region.name:
            at = place(part.box.centre)
            marks.append(Text(str(number), Point(at.x, at.y + HEIGHT / 2), HEIGHT, "middle", bold=True,
                              role=Role.NAME_TEXT))
    marks.append(Text("looking in", Point(window.centre.x, window.top - 1.2), HEIGHT, "middle", role=Role.NOTE_TEXT))
    return marks, Box(window.left, window.top - 5.0, window.right, window.bottom)


def _cards(context: SheetContext, room: Box) -> list[Block]:
    """The whole legend on cards of postcard size, for the case or the pocket."""
    wide, tall = min(CARD[0], room.width - 2 * AIR), min(CARD[1], room.height - 2 * AIR - TITLE)
    outline = rounded_box(Box(0, 0, wide, tall), 0)
    left = entries(context)
    regions = [r for r in context.layout.regions.values() if r.kind != "stall"]
    main = max(regions, key=lambda r: sum(p.region == r.name for p in context.layout.parts.values()), default=None)
    blocks: list[Block] = []
    while left:
        marks, count = _filled(context, outline, left, main if not blocks else None, NEXT)
        if not blocks and count < len(left):
            plain = _filled(context, outline, left, None, NEXT)
            marks, count = plain if plain[1] == len(left) else (marks, count)
        if count == 0:
            left = [*halves(left[0]), *left[1:]]
            continue
        left = left[count:]
        title = f"Legend card {len(blocks) + 1}: cut out, keep it in the case or in the cavity"
        blocks.append(Block(outline, tuple(marks), title, f"card-{len(blocks) + 1}"))
    return blocks


def _sheet(context: SheetContext, paper: Paper, block: Sequence[Mark], stamp: str, n: int, of: int) -> Sheet:
    stamp = stamp if stamp == CARD_STAMP else f"{stamp}, {context.size}"
    frame = framed(paper, context.job, stamp, None, n, of, context.warning)
    foot: list[Mark] = []
    if context.layout.to_scale:
        says = "Paper that lasts; foil first, paper over it."
        how = "Print at 100 %, no scaling. Measure both bars."
        foot = strip(frame.room, frame.room.right, context.correction, says, how)
    return Sheet(paper.width, paper.height, stamp, (*frame.marks, *block, *foot), "cover")
