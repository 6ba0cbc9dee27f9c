"""The test page: what to meter before closing, with blanks to write in."""

from __future__ import annotations

from diagramgen.circuit.chart import Chart
from diagramgen.circuit.readings import Reading
from diagramgen.sheets.lists import list_sheets
from diagramgen.sheets.panel import SheetMaker, Subject
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.table import Column, Row, Table, Tick
from diagramgen.units import RESISTANCE, number, quantity
from diagramgen.work.testplan import closures, ground_checks, plug_readings

LETTERING = 2.0
STAMP = "test page: meter before closing"
BLANK = "__________"


def test_sheets(chart: Chart | None, subject: Subject, paper: Paper) -> list[SheetMaker]:
    """The test page on as many sheets as it takes."""
    tables = [_closures(subject), _grounds(subject), _readings(chart), _by_ear()]
    return list_sheets(tables, subject.job, paper, STAMP, "test", subject.warning)


def _closures(subject: Subject) -> Table:
    rows = []
    last = ""
    for one in closures(subject.layout.build):
        joined = "; ".join(one.joined) or "nothing joined"
        rows.append(Row((Tick(), one.part, one.position, joined, one.apart, "" if one.part == last else one.check),
                        bold=3))
        last = one.part
    if rows:
        heading = "Each switch on its own, before it goes in: these lugs under 1 Ω, no others"
        rows.insert(0, Row((heading,), heading=True))
    columns = (Column("", 7), Column("part", 36), Column("position", 34), Column("under 1 Ω", 70),
               Column("joined to none", 50), Column("how", 70))
    return Table(columns, tuple(rows), LETTERING)


def _grounds(subject: Subject) -> Table:
    rows = [Row((Tick(), f"{one.what} to the plug's sleeve", one.expected, BLANK))
            for one in ground_checks(subject.layout.build)]
    if rows:
        rows.insert(0, Row(("Metal to sleeve, plug in; from the strings, not the bridge (lacquer, nylon saddles)",),
                           heading=True))
    columns = (Column("", 7), Column("between", 90), Column("must read", 110), Column("metered", 30))
    return Table(columns, tuple(rows), LETTERING)


def _readings(chart: Chart | None) -> Table:
    rows = []
    for one in plug_readings(chart) if chart else ():
        current = f"{number(one.milliampere, 2)} mA" if one.milliampere else ""
        rows.append(Row((Tick(), one.state, one.sounds, _band(one.at_ten), BLANK if one.at_ten.ohms else "",
                         _band(one.at_zero), BLANK if one.at_zero and one.at_zero.kind == "value" else "", current),
                        bold=3))
    if rows:
        rows.insert(0, Row(("At the plug, tip to sleeve, by position",), heading=True))
    columns = (Column("", 7), Column("position", 52), Column("sounds", 62), Column("knobs at 10", 44),
               Column("metered", 24), Column("knobs at 0", 40), Column("metered", 24), Column("battery", 20))
    return Table(columns, tuple(rows), LETTERING)


def _band(reading: Reading | None) -> str:
    if reading is None:
        return ""
    if reading.kind == "open":
        return "open"
    if reading.ohms is None or reading.low is None or reading.high is None:
        return "no ohm test here"
    if reading.ohms == 0:
        return "0 Ω"
    return f"{quantity(reading.low, RESISTANCE)} to {quantity(reading.high, RESISTANCE)}"


def _by_ear() -> Table:
    lines = (
        "Amplifier low. Tap each pickup with a screwdriver in each position: what shall sound is loud, what shall not "
        "is much weaker (the idle coil of a split dual coil is never quite silent).",
        "Touch the strings: hum falls or stays. It falls only when the jack is touched: the string ground is missing.",
        "Turn every knob end to end, throw every switch: no crackle, no dead place. Wiggle the plug.",
        "Battery: no current with the plug out (meter in line, or feel for warmth after an hour).",
        "No clippings left in the cavity; hot lugs clear of the cover and its foil; close, restring, heights back.",
    )
    rows = [Row((Tick(), line)) for line in lines]
    rows.insert(0, Row(("By ear and hand, plugged in (earthed, tested amplifier only)",), heading=True))
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING)
