"""The work sheet: what to prepare, every joint in order with a box to tick, and where to stop and meter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagramgen.circuit.readings import Reading
from diagramgen.circuit.roles import jacks
from diagramgen.sheets.lists import list_sheets
from diagramgen.sheets.panel import SheetMaker, Subject
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.table import Cell, Column, Row, Table, Tick
from diagramgen.units import RESISTANCE, quantity
from diagramgen.work.benchwork import BenchGroup, again_words, bench_groups, left_out_words, lug_words
from diagramgen.work.leadlist import LeadRow
from diagramgen.work.order import Order
from diagramgen.work.stagechecks import StageCheck

LETTERING = 2.2
STAMP = "work: joints in order"
BLANK = "__________"
BEFORE = (
    "Unplug from the amplifier, then open. Battery out, its terminals covered. The amplifier stays shut: its "
    "capacitors hold a charge that can kill; mains and earth repairs are for licensed hands, by local codes.",
    "Extract the fume at its source, head out of the plume. Iron in its stand; metal stays hot long after it has set.",
    "Leaded solder: no food or drink at the bench, wash hands with soap, wipe the bench wet.",
    "Eye protection on: clipped ends fly, solder spits. Point the end down or hold it when it is cut.",
)
"""Cautions of the bench. Fume: HSE INDG248; lead: OSHA 29 CFR 1910.1025; eyes: university safety sheets; the rest
common practice, no source."""
TOUCH = (
    "Touch the strings: hum falls or stays as it is.",
    "Hum falls only when the jack or a knob is touched: the string ground is missing.",
    "Hum rises when the strings are touched: hot and ground are swapped, or the outlet's earth is at fault. Unplug; "
    "meter the joints; have the outlet tested.",
)
"""Common practice, no source."""


def work_sheets(
    order: Order, rows: Sequence[LeadRow], stops: Sequence[StageCheck], subject: Subject, paper: Paper
) -> list[SheetMaker]:
    """The work sheet on as many sheets as it takes; none where nothing is soldered."""
    groups = bench_groups(subject.layout, order, rows, stops)
    if not groups:
        return []
    tables = [_before(), *_groups(groups, subject), _compromises(order, subject), _last()]
    return list_sheets(tables, subject.job, paper, STAMP, "work", subject.warning)


def _ticked(heading: str, lines: Sequence[str]) -> Table:
    """A heading and lines to tick; nothing where there is no line."""
    rows = [Row((heading,), heading=True), *(Row((Tick(), line)) for line in lines)] if lines else []
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING)


def _before() -> Table:
    return _ticked("Before you begin", BEFORE)


def _groups(groups: Sequence[BenchGroup], subject: Subject) -> Iterator[Table]:
    number = 0
    for i, group in enumerate(groups, 1):
        rows: list[Row] = [Row((f"{i}  {group.says}",), heading=True)]
        for line in group.lines:
            number += 1
            rows.append(Row((Tick(), str(number), line.do, line.where, line.what, line.why), bold=3,
                            subject=line.subject))
        yield Table((Column("", 7), Column("", 9, right=True), Column("do", 27), Column("where", 56),
                     Column("what goes in", 108), Column("why now", 54)), tuple(rows), LETTERING)
        if group.stop is not None:
            yield _stop(i, group.stop, subject)


def _stop(i: int, stop: StageCheck, subject: Subject) -> Table:
    build = subject.layout.build
    shown = [r for r in stop.readings if r.reading.kind != "not meaningful"]
    rows = [Row((f"STOP {i}: meter now. {_settings(stop, subject)}",), heading=True)]
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
                  Column("metered", 44)), tuple(rows), LETTERING)


def _settings(stop: StageCheck, subject: Subject) -> str:
    """How knobs, switches and, where it makes a difference, the plug stand."""
    switched = {key.split(".", 1)[0] for key in stop.state} & {jack.name for jack in jacks(subject.layout.build)}
    said = [] if stop.state_says == "the only state" else [stop.state_says]
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


def _compromises(order: Order, subject: Subject) -> Table:
    build = subject.layout.build
    again, left = again_words(build, order), left_out_words(build, order)
    lines = []
    if again:
        lines.append(f"Soldered more than once, since what goes in comes at different times: {', '.join(again)}. "
                     "Heat only as long as it takes; look at the wires already in it.")
    lines += [f"Not kept: {line}." for line in left]
    return _ticked("What this order could not keep", lines)


def _last() -> Table:
    return _ticked("Last: the test page, from top to bottom, before closing; then the touch test, earthed and tested "
                   "amplifier only, turned low", TOUCH)
