"""The work sheet: what to prepare, every joint in order with a box to tick, and where to stop and meter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from diagramgen.circuit.check_wanted import ONLY, PLUGGED
from diagramgen.circuit.dc_readings import Reading
from diagramgen.circuit.net_roles import jacks
from diagramgen.job.bench_steps import BenchGroup, again_words, bench_groups, left_out_words, lug_words
from diagramgen.job.cut_plan import CutList
from diagramgen.job.ear_test import TOUCH
from diagramgen.job.job_questions import cells
from diagramgen.job.lead_row import LeadRow
from diagramgen.job.loose_parts import Loose, loose_parts
from diagramgen.job.order import Order
from diagramgen.job.preparation import Topic, preparation
from diagramgen.job.stage_checks import StageCheck
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import RESISTANCE, number, quantity
from diagramgen.layout.model import Layout
from diagramgen.model.build import Build
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.table import Cell, Column, Row, Swatch, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets


@dataclass(frozen=True)
class Figure:
    """A published requirement for a good joint: what is measured, the figure it asks for, and its source."""

    what: str
    says: str
    source: str


ALWAYS = (
    Figure("gap to the covering", "1 to 2 diameters of the covered wire between covering and solder; none buried in it",
           "US Army STP 11-25R13, A-9; NASA-STD-8739.3, 9.1"),
    Figure("strands", "none cut; a frayed covering stands out by a quarter of its diameter at most",
           "NASA-STD-8739.4, 10"),
    Figure("round an eyelet", "at least a quarter turn, 90°", "IPC-A-610F, table 6-3 (class 2)"),
    Figure("tin-lead solder", "63/37 sets at 183 °C at once; 60/40 is soft from 183 to about 190: hold still",
           "tables of solder alloys, titles not noted"),
    Figure("spare at a wire's end", "enough to make its joint anew twice", "FAA AC 43.13-1B, 11-96 to 11-158"),
)
BRAIDED = (
    Figure("strands of a braid", "one in ten nicked at most, none cut", "NASA-STD-8739.4, 10"),
)
IN_THE_AIR = (
    Figure("lapped joint in the air", "3 to 6 diameters of contact", "NASA-STD-8739.4, 19.6"),
    Figure("sleeve over a joint", "5 mm and two diameters over the covering at each end", "NASA-STD-8739.3, 9.8"),
)


def figures_for(layout: Layout) -> tuple[Figure, ...]:
    """Figures that bear on a build: those of braids and of joints in the air only where it has one."""
    air = any(lead.lead.kind == "sleeved" for lead in layout.leads) or any(
        lug.kind == "sleeve" for placed in layout.parts.values() for lug in placed.lugs.values())
    braid = any(lead.lead.kind == "shielded" for lead in layout.leads)
    return ALWAYS + BRAIDED * braid + IN_THE_AIR * air


LETTERING = 2.2
STAMP = "work: joints in order"
BLANK = "__________"
BEFORE = (
    "Unplug from the amplifier, then open. The amplifier stays shut: its "
    "capacitors hold a charge that can kill; mains and earth repairs are for licensed hands, by local codes.",
    "Extract the fume at its source, head out of the plume. Iron in its stand; metal stays hot long after it has set.",
    "Leaded solder: no food or drink at the bench, wash hands with soap, wipe the bench wet.",
    "Eye protection on: clipped ends fly, solder spits. Point the end down or hold it when it is cut.",
)
"""Cautions of the bench. Fume: HSE INDG248; lead: OSHA 29 CFR 1910.1025; eyes: university safety sheets; the rest
common practice, no source."""
BATTERY = "Battery out, its terminals covered."


def work_sheets(
    order: Order, rows: Sequence[LeadRow], stops: Sequence[StageCheck], context: SheetContext, paper: Paper,
    spool: float = 0.0,
) -> list[SheetMaker]:
    """The work sheet on as many sheets as it takes; none where nothing is soldered.

    ``spool``: what one length of wire measures, mm; 0 for any length.
    """
    groups = bench_groups(context.layout, order, rows, stops)
    if not groups:
        return []
    ready = preparation(context.layout, order, rows, spool)
    tables = [_before(context.layout.build), _topics(ready.topics),
              _loose(loose_parts(context.layout.build)), _cut(ready.cut),
              _figures(figures_for(context.layout)),
              *_groups(groups, context), _compromises(order, context), _last()]
    return list_sheets(tables, context.job, paper, STAMP, "work", context.warning)


def _ticked(heading: str, lines: Sequence[str]) -> Table:
    """A heading and lines to tick; nothing where there is no line."""
    rows = [Row((heading,), heading=True), *(Row((Tick(), line)) for line in lines)] if lines else []
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING, whole=True)


def _before(build: Build) -> Table:
    """The cautions; that of the battery where there is one."""
    return _ticked("Before you begin", (BEFORE[0], *((BATTERY,) if cells(build) else ()), *BEFORE[1:]))


def _topics(topics: Sequence[Topic]) -> Table:
    rows = [Row((Tick(), one.what, one.says), bold=1) for one in topics]
    heading = [Row(("Make ready",), heading=True)] if rows else []
    return Table((Column("", 7), Column("", 62), Column("", 185)), (*heading, *rows), LETTERING)


def _loose(parts: Sequence[Loose]) -> Table:
    rows: list[Row] = []
    for one in parts:
        kick, pole = ("+ / \u2212", "N / S") if one.kick else ("", "")
        rows.append(Row((Tick(), one.says, one.told, BLANK, kick, pole, one.keys), bold=1))
    heading = Row(("Metered loose, its leads lifted: ring what is found, write it into the file with 'metered' and the "
                   "day, and every band on the test page narrows (to 2 %). Kick: red on finish, steel onto the pole",),
                  heading=True)
    columns = (Column("", 7), Column("coil, track", 52), Column("the file says", 58), Column("metered", 30),
               Column("kick", 18), Column("pole", 18), Column("goes into the file as", 84))
    return Table(columns, (heading, *rows) if rows else (), LETTERING)


def _cut(lists: Sequence[CutList]) -> Table:
    rows: list[Row] = []
    for one in lists:
        colour: Cell = Swatch(one.colour.code, one.colour.word) if one.colour else ""
        if "bare" in one.kind_says:
            colour = Swatch("BARE", "bare")
        rows.append(Row((Tick(), one.kind_says, colour, f"{one.gauge} AWG" if one.gauge else "", _lengths(one),
                         number(one.together) if one.together else "",
                         number(one.waste) if one.spool and one.lengths else ""), bold=5))
    spool = next((one.spool for one in lists), 0.0)
    each = f" from lengths of {number(spool)} mm, longest first" if spool else ""
    heading = Row((f"Wire to cut{each}: when the order says so, once the parts are fixed",), heading=True)
    columns = (Column("", 7), Column("wire", 44), Column("colour", 34), Column("gauge", 20), Column("pieces, mm", 96),
               Column("together, mm", 32, right=True),
               Column("left over, mm" if spool else "", 32 if spool else 4, right=True))
    return Table(columns, (heading, *rows) if rows else (), LETTERING)


def _lengths(one: CutList) -> str:
    said = [" + ".join(f"{p.says}: {number(p.mm)}" if "," in p.says else f"{p.says} {number(p.mm)}" for p in pieces)
            for pieces in one.lengths]
    said += [f"{p.says} {number(p.mm)} is longer than the spool's length" for p in one.too_long]
    said += [f"measure {', '.join(one.unmeasured)}"] if one.unmeasured else []
    return "; ".join(said)


def _figures(figures: Sequence[Figure]) -> Table:
    rows = [Row((one.what, one.says, one.source), bold=0) for one in figures]
    heading = Row(("A good joint: figures to work to, not to be measured on every joint",), heading=True)
    return Table((Column("", 62), Column("", 112), Column("", 80)), (heading, *rows) if rows else (), LETTERING,
                 whole=True)


def _groups(groups: Sequence[BenchGroup], context: SheetContext) -> Iterator[Table]:
    count = 0
    for i, group in enumerate(groups, 1):
        rows: list[Row] = [Row((f"{i}  {group.says}",), heading=True)]
        for line in group.lines:
            count += 1
            rows.append(Row((Tick(), str(count), line.do, line.where, line.what, line.why), bold=3,
                            subject=line.subject))
        yield Table((Column("", 7), Column("", 9, right=True), Column("do", 27), Column("where", 56),
                     Column("what goes in", 108), Column("why now", 54)), tuple(rows), LETTERING)
        if group.stop is not None:
            yield _stop(i, group.stop, context)


def _stop(i: int, stop: StageCheck, context: SheetContext) -> Table:
    build = context.layout.build
    shown = [r for r in stop.readings if r.reading.kind != "not meaningful"]
    rows = [Row((f"STOP {i}: meter now. {_settings(stop, context)}",), heading=True)]
    for one in shown:
        cells: tuple[Cell, ...] = (Tick(), lug_words(build, one.one), lug_words(build, one.other),
                                   _expected(one.reading, one.ground), BLANK)
        rows.append(Row(cells, bold=3))
    silent = [lug_words(build, r.one) for r in stop.readings if r.reading.kind == "not meaningful"]
    if silent:
        rows.append(Row(("", "no ohm test here", "", f"{', '.join(silent)}: a stage or crystal hangs on it", "")))
    if stop.more:
        rows.append(Row(("", f"... and {stop.more} more", "", "not listed; the test page meters the whole", "")))
    return Table((Column("", 7), Column("red probe", 66), Column("black probe", 56), Column("must read", 88),
                  Column("metered", 44)), tuple(rows), LETTERING, whole=True)


def _settings(stop: StageCheck, context: SheetContext) -> str:
    """How knobs, switches and, where it makes a difference, the plug stand."""
    switched = {key.split(".", 1)[0] for key in stop.state} & {jack.name for jack in jacks(context.layout.build)}
    said = [] if stop.state_says in (ONLY, PLUGGED) else [stop.state_says]
    plugged = {"out": "no plug in", "stereo": "a loose stereo plug in"}.get(stop.plug, "a loose mono plug in")
    return "; ".join(["Knobs at 10", *said, *([plugged] if switched else [])])


def _expected(reading: Reading, ground: bool) -> str:
    if ground or reading.ohms == 0:
        return "under 1 Ω"
    if reading.kind == "open" or reading.ohms is None:
        return "open"
    if reading.low is None or reading.high is None or reading.low == reading.high:
        return f"about {quantity(reading.ohms, RESISTANCE)}"
    low, high = quantity(reading.low, RESISTANCE), quantity(reading.high, RESISTANCE)
    return f"{quantity(reading.ohms, RESISTANCE)} ({low} to {high})"


def _compromises(order: Order, context: SheetContext) -> Table:
    build = context.layout.build
    again, left = again_words(build, order), left_out_words(build, order)
    lines = []
    if again:
        lines.append(f"Heated more than once, since what goes in comes at different times: {', '.join(again)}. Hold "
                     "what is in it already; 2 seconds on a lug in plastic, 4 on a case, let cool between.")
    lines += [f"{line}." for line in left]
    return _ticked("Heated twice or late: how to shield what is there", lines)


def _last() -> Table:
    return _ticked("Last: the test page, from top to bottom, before closing; then the touch test, earthed and tested "
                   "amplifier only, turned low", TOUCH)
