"""The test page: what to meter before closing, with blanks to write in."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.circuit.chart import Chart
from diagramgen.circuit.readings import Reading
from diagramgen.sheets.benchsheet import TOUCH
from diagramgen.sheets.lists import list_sheets
from diagramgen.sheets.panel import SheetMaker, Subject
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.table import Column, Row, Table, Tick
from diagramgen.units import RESISTANCE, number, quantity
from diagramgen.work.eartest import MOST, battery_tests, tap_tests
from diagramgen.work.testplan import closures, ground_checks, plug_readings

LETTERING = 2.0
STAMP = "test page: meter before closing"
BLANK = "__________"
TAP = "Tap every pole with a screwdriver, amplifier low"
KICK = ("; then the meter at the plug, red on tip, DC millivolts, and steel ONTO the poles: it kicks plus or minus, "
        "and the other way as it leaves")


def test_sheets(chart: Chart | None, subject: Subject, paper: Paper) -> list[SheetMaker]:
    """The test page on as many sheets as it takes."""
    tables = [_closures(subject), _grounds(subject), _readings(chart), _battery(chart), _taps(chart), _by_ear()]
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
    found = list(plug_readings(chart)) if chart else []
    if found and all(one.at_ten.kind == "not meaningful" for one in found):
        # The same words in every position would be a page of nothing.
        return _ticked("At the plug, tip to sleeve: no ohm test here in any position", (
            "A stage or a crystal lies between. Battery out, and meter each pickup with its board's lead lifted.",))
    for one in found:
        current = f"{number(one.milliampere, 2)} mA" if one.milliampere else ""
        rows.append(Row((Tick(), one.state, one.sounds, _band(one.at_ten), BLANK if one.at_ten.ohms else "",
                         _band(one.at_zero), BLANK if one.at_zero and one.at_zero.kind == "value" else "", current),
                        bold=3))
    if rows:
        rows.insert(0, Row(("At the plug, tip to sleeve, by position",), heading=True))
    battery = any(one.milliampere for one in found)
    columns = (Column("", 7), Column("position", 52), Column("sounds", 62), Column("knobs at 10", 44),
               Column("metered", 24), Column("knobs at 0", 40), Column("metered", 24),
               Column("battery" if battery else "", 20 if battery else 1))
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


def _battery(chart: Chart | None) -> Table:
    rows = [Row((Tick(), one.plug, one.expected, BLANK), bold=2) for one in (battery_tests(chart) if chart else ())]
    if rows:
        rows.insert(0, Row(("Battery current, meter in its line, milliamperes; stages as their sheets say",),
                           heading=True))
    columns = (Column("", 7), Column("plug", 90), Column("must read", 110), Column("metered", 30))
    return Table(columns, tuple(rows), LETTERING, whole=True)


def _taps(chart: Chart | None) -> Table:
    """Who answers a tap in each position, and the swing of the meter."""
    found = tap_tests(chart) if chart else ()
    kick = any(one.kicks for one in found)
    rows = []
    for one in found[:MOST]:
        state = f"{one.state} (and {one.alike} alike)" if one.alike else one.state
        swing = "; ".join(one.kicks) or ("no kick here: listen" if kick and one.loud else "")
        rows.append(Row((Tick(), state, ", ".join(one.loud) or "nothing: silent", ", ".join(one.weaker), swing,
                         BLANK if kick else ""), bold=2))
    if rows:
        rows.insert(0, Row((TAP + KICK if kick else TAP,), heading=True))
    if len(found) > MOST:
        rows.append(Row(("", f"... and {len(found) - MOST} more sounds", "", "", "", "")))
    columns = (Column("", 7), Column("position", 66), Column("loud", 52), Column("much weaker, or silent", 52),
               Column("the meter kicks" if kick else "", 66 if kick else 1), Column("seen" if kick else "", 24))
    return Table(columns, tuple(rows), LETTERING)


def _by_ear() -> Table:
    return _ticked("By ear and hand, plugged in (earthed, tested amplifier only, turned low)", (
        "The idle coil of a split dual coil is never quite silent: much weaker is enough. A transducer is tapped on "
        "its saddle or top.",
        *TOUCH,
        "Turn every knob end to end, throw every switch: no crackle, no dead place. Wiggle the plug.",
        "No clippings left in the cavity; hot lugs clear of the cover and its foil; close, restring, heights back.",
    ))


def _ticked(heading: str, lines: Sequence[str]) -> Table:
    rows = [Row((heading,), heading=True), *(Row((Tick(), line)) for line in lines)]
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING, whole=True)
