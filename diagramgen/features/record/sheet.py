"""The customer's record: what was done and why, what each position gives, how to undo it, what was metered."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

from diagramgen.circuit.coil_words import called, element_called
from diagramgen.circuit.hum_words import hum_note
from diagramgen.circuit.measured_values import coils_named
from diagramgen.circuit.one_output import each_output
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.values import knobs_of
from diagramgen.drawing.scene import Group, Image, Kind, Mark, Role, Shape, Sheet, Text
from diagramgen.features.record.state_cells import cells
from diagramgen.job.changes import Changes
from diagramgen.job.output_words import output_words
from diagramgen.job.record_words import care, fitted, handed_back, parts_in_it, way_back
from diagramgen.job.results import INSIDE, NOTHING, OUTSIDE, reading_words
from diagramgen.job.state_chart import player_chart
from diagramgen.job.verdict import Verdict
from diagramgen.kernel.geometry import Box, Point, polyline
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import VOLTAGE, quantity
from diagramgen.lettering import fit, wrap
from diagramgen.model.build import Build, Photograph
from diagramgen.sheets.context import FULL_SIZE, SheetContext, SheetMaker
from diagramgen.sheets.flow import BODY, Block, Measure, beside, flowed, gap, heading, paragraph, tabled
from diagramgen.sheets.forms import blank
from diagramgen.sheets.frame import framed
from diagramgen.sheets.paper_words import on_paper
from diagramgen.sheets.table import Column, Row, Table, lowest

STAMP = "record of the work"
TITLE = 5.0
SMALLER = 2.2
"""Capitals of running text where that saves a sheet, mm."""
INSET = 5.0
LABEL = 22.0
"""Room of a fact's name, mm."""
BETWEEN = 8.0
"""Air between two columns, mm."""
PHOTOGRAPH = 62.0
"""Largest height of a photograph, mm."""
LINE, MOST_LINES = 8.0, 12
"""Pitch and largest number of the lines to write remarks on, mm."""
SAYS = {INSIDE: "as it must be", OUTSIDE: "OUTSIDE, to be settled", NOTHING: "no ohm test here", "": "not metered"}


@dataclass(frozen=True)
class Work:
    """What the record is made from."""

    chart: StateTable | None
    changes: Changes | None
    verdicts: tuple[Verdict, ...] = ()
    sheets: Mapping[str, int] | None = None
    """Kind of sheet -> its number in what is printed with the record."""


def record_sheets(work: Work, context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The record on as many upright sheets as it takes; set a little smaller where that saves a sheet."""
    frame = framed(paper, context.job, STAMP, None, 1, 1, context.warning)
    room = Box(frame.room.left + INSET, frame.room.top + 3, frame.room.right - INSET, frame.room.bottom - 3)
    plain, closer = (flowed(list(_blocks(work, context, Measure(room.width, height))), room)
                     for height in (BODY, SMALLER))
    pages = closer if len(closer) < len(plain) else plain
    pages[-1] += _remarks(lowest(pages[-1]), room)
    return [partial(_sheet, context, paper, page, i) for i, page in enumerate(pages, 1)]


def _remarks(top: float, room: Box) -> list[Mark]:
    """Lines to write on, where the last page has room left."""
    lines = min(MOST_LINES, int((room.bottom - top - 20.0) / LINE))
    if lines < 3:
        return []
    head = heading("Remarks", room.width)
    marks = head.marks(Point(room.left, top + 6.0))
    y = top + 6.0 + head.tall
    rules = [polyline([Point(room.left, y + LINE * i), Point(room.right, y + LINE * i)]) for i in range(1, lines + 1)]
    return [*marks, Shape(tuple(rules), Role.TABLE_RULE)]


def _sheet(context: SheetContext, paper: Paper, block: Sequence[Mark], i: int, n: int, of: int) -> Sheet:
    frame = framed(paper, context.job, STAMP, None, n, of, context.warning)
    return Sheet(paper.width, paper.height, f"{STAMP} {i}", (*frame.marks, *block), "record")


def _blocks(work: Work, context: SheetContext, m: Measure) -> Iterator[Block]:
    build = context.layout.build
    told = build.told
    yield _title(build, m.width)
    yield from m.section("What you asked for", m.text(told.asked))
    yield from m.section("What was done", m.bullets(told.done) or [gap(3.0), *m.text(blank(m.width - 2, m.height))] * 3)
    yield from m.section("Why", m.text(told.why))
    if work.chart is not None:
        middle = ", blends and trimmers in the middle" if 5.0 in knobs_of(build).values() else ""
        for own in each_output(work.chart):
            grid = cells(player_chart(own), m.width, build.hand == "left")
            at = f" at {output_words(build, own.outputs[0], work.chart.outputs)}" if work.chart.several else ""
            basis = m.text(hum_note(r.sound for r in own.results))
            yield from m.section(f"What each position gives{at}, knobs at 10{middle}", [*grid, *basis])
    yield from _parts(build, work.changes, m)
    undo = way_back(work.changes, build, (work.sheets or {}).get("undo"))
    yield from m.section("How to undo it", m.bullets([_plainly(line, build) for line in undo]))
    yield from m.section("For the next technician", m.bullets(tuple(_next(work, context))))
    yield from m.section("Readings when it left the bench", _readings(work.verdicts, build, m.width))
    yield from m.section("Care and cautions", m.bullets(tuple(care(build, work.chart))))
    yield from _closing(build, m)
    yield from _photographs(told.photographs, m)


def _title(build: Build, width: float) -> Block:
    """The head of the first page: whose instrument, which workshop, when."""
    record = build.record
    facts = [[("instrument", build.instrument)], [("workshop", record.get("workshop", ""))],
             [("customer", record.get("customer", "")), ("date", record.get("date", ""))]]
    lines = wrap(build.title or "Your instrument", TITLE, width, True)
    pitch, row = TITLE * 1.5, BODY * 1.9

    def marks(at: Point) -> list[Mark]:
        head = tuple(Text(line, Point(at.x, at.y + TITLE + 1 + i * pitch), TITLE, bold=True)
                     for i, line in enumerate(lines))
        made: list[Mark] = [Group(head, kind=Kind.H1)]
        y = at.y + len(lines) * pitch + 2.0 + BODY
        for pairs in facts:
            x, wide = at.x, width * (0.62 if len(pairs) > 1 else 1.0)
            for word, text in pairs:
                made.append(_fact(word, text, Point(x, y), wide))
                x, wide = x + wide, width - wide
            y += row
        return made

    return Block(len(lines) * pitch + 2.0 + len(facts) * row, marks)


def _fact(word: str, text: str, at: Point, width: float) -> Mark:
    """A word and what is known of it, or a line to write on."""
    shown = fit(text, BODY, width - LABEL - 2, True) or blank(width - LABEL - 4)
    return Group((Text(word, at, BODY, role=Role.ARROW_TEXT),
                  Text(shown, Point(at.x + LABEL, at.y), BODY, bold=bool(text))), kind=Kind.NOTE)


def _parts(build: Build, changes: Changes | None, m: Measure) -> Iterator[Block]:
    told, half = build.told, m.half(BETWEEN)
    went_in, came_out = told.fitted or fitted(changes), told.handed_back or handed_back(changes)
    if went_in or came_out:
        left = half.section("Parts fitted", half.bullets(went_in or ("none",)))
        right = half.section("Parts handed back", half.bullets(came_out or ("none",)))
        yield from beside(left, right, half.width + BETWEEN)
    listed = parts_in_it(build)
    if not went_in and listed:
        middle = (len(listed) + 1) // 2
        left, right = (half.bullets(part) for part in (listed[:middle], listed[middle:]))
        yield from m.section("What is in it", beside(left, right, half.width + BETWEEN))


def _next(work: Work, context: SheetContext) -> Iterator[str]:
    """What whoever opens it next should know."""
    build = context.layout.build
    yield from build.told.next_technician
    if build.record.get("note"):
        yield build.record["note"]
    diagram = "the wiring diagram at full size" if context.size == FULL_SIZE else "the wiring diagram"
    names = {"diagram": diagram, "bench": "the enlarged diagram", "undo": "the way back",
             "leads": "the lead list", "test": "the test page"}
    found = work.sheets or {}
    placed = [f"{says} on sheet {found[name]}" for name, says in names.items() if name in found]
    if placed:
        yield f"In this set: {', '.join(placed)}."
    yield (f"Made from the file with the check {context.job.checksum}; a sheet with another check was made from "
           "another wiring or another version of it.")
    yield from (f"Still open: {on_paper(question, build)}" for question in build.questions)


def _readings(verdicts: Sequence[Verdict], build: Build, width: float) -> list[Block]:
    rows = [Row((_plainly(v.what, build), v.metered or v.heard, v.expected if v.expected != "no ohm test" else "by ear",
                 _judged(v)), bold=3 if v.verdict == OUTSIDE else -1)
            for v in verdicts if v.metered or v.heard]
    results = build.results
    coils = coils_named(build)
    rows += [Row((f"{element_called(*coils[name])}, by itself before it went in", reading_words(given.value), "", ""))
             for name, given in (results.coils if results else {}).items() if name in coils]
    if not rows or results is None:
        return []
    columns = (Column("where", 88), Column("metered or heard", 44), Column("expected", 44), Column("", 36))
    signed = " ".join(f"{word} {text}" for word, text in (
        ("metered", results.date), ("by", results.by), ("with", results.meter)) if text)
    told = [f"{signed[:1].upper()}{signed[1:]}." if signed else "", results.note]
    return [*tabled(Table(columns, tuple(rows), 2.0), width), *(paragraph(t, width, SMALLER) for t in told if t)]


def _plainly(what: str, build: Build) -> str:
    """A position as people say it who do not read the file."""
    for part in build.parts.values():
        if "-" in part.name:
            what = what.replace(part.name, called(part))
    return what


def _judged(v: Verdict) -> str:
    said = SAYS[v.verdict] if v.metered else ""
    return "; ".join(s for s in (said, f"heard: {v.heard}" if v.metered and v.heard else "", v.note) if s)


def _closing(build: Build, m: Measure) -> Iterator[Block]:
    """Battery, warranty, signatures; kept together."""
    results, told = build.results, build.told
    lines = []
    if any(e.kind == "cell" for p in build.parts.values() for e in p.symbol.elements):
        when = told.battery or (results.battery_date if results else "") or blank(30)
        volts = f", {quantity(results.voltage, VOLTAGE)}" if results and results.voltage else ""
        lines.append(f"Battery: new {when}{volts}")
    lines.append(f"Warranty: {told.warranty or blank(m.width - 30)}")
    who = told.done_by or (results.by if results else "") or blank(44)
    date = build.record.get("date") or blank(26)
    lines += [f"Done by {who}, date {date}, signature {blank(36)}", f"Taken back by {blank(60)}, date {blank(26)}"]
    blocks = [heading("Handed over", m.width)]
    for line in lines:
        blocks += [*m.text(line), gap(1.6)]
    yield from (replace(block, keep=i + 1 < len(blocks)) for i, block in enumerate(blocks))


def _photographs(found: Sequence[Photograph], m: Measure) -> Iterator[Block]:
    half = m.half(BETWEEN).width
    pairs = [found[i : i + 2] for i in range(0, len(found), 2)]
    rows = [beside([_photograph(pair[0], half)], [_photograph(one, half) for one in pair[1:]], half + BETWEEN)
            for pair in pairs]
    yield from m.section("Photographs", [block for row in rows for block in row])


def _photograph(one: Photograph, width: float) -> Block:
    scale = min(width / one.width, PHOTOGRAPH / one.height)
    wide, tall = one.width * scale, one.height * scale
    says = one.says or one.file

    def marks(at: Point) -> list[Mark]:
        box = Box(at.x, at.y + 1, at.x + wide, at.y + 1 + tall)
        return [Image(one.data, box, "photograph", says),
                Text(fit(says, SMALLER, width), Point(at.x, box.bottom + 3.6), SMALLER)]

    return Block(tall + 7.5, marks)
