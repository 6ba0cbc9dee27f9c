"""The test page: what to meter before closing, with blanks to write in."""

from __future__ import annotations

from collections.abc import Sequence

from diagramgen.circuit.dc_readings import Reading
from diagramgen.circuit.one_output import each_output
from diagramgen.circuit.state_table import StateTable
from diagramgen.circuit.tolerances import band_words
from diagramgen.circuit.values import elements_of, winding_name
from diagramgen.features.testpage.continuity import Apart, Switched, switched, wired
from diagramgen.features.testpage.plan import (
    PlugReading,
    closures,
    ground_checks,
    lug_in_words,
    odd_readings,
    pickups_alone,
    plug_readings,
)
from diagramgen.job.ear_test import MOST, TOUCH, battery_tests, tap_tests
from diagramgen.job.output_words import plug_of
from diagramgen.kernel.paper import Paper
from diagramgen.kernel.units import RESISTANCE, quantity
from diagramgen.model.build import Build
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.table import Column, Row, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

LETTERING = 2.0
STAMP = "test page: meter before closing"
BLANK = "__________"
LISTED = 60
"""Readings listed at most; a build with more positions is tried by its switches."""
SHORT = 16
"""Rows of a table below which it is kept on one page."""
TAP = "Tap every pole with a screwdriver, amplifier low"
KICK = ("; then the meter at {plug}, red on {contact}, DC millivolts, and steel ONTO the poles: it kicks plus or "
        "minus, and the other way as it leaves")


def test_sheets(chart: StateTable | None, context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The test page on as many sheets as it takes."""
    build = context.layout.build
    rows = list(plug_readings(chart)) if chart else []
    tables = [_closures(context), _wired(build), _switched(build), _grounds(context)]
    told = True
    for own in each_output(chart) if chart else ():
        found = [one for one in rows if one.output == own.outputs[0]]
        ohms = any(one.at_ten.kind != "not meaningful" for one in found)
        told = told and (ohms or not found)
        at = f"At {plug_of(build, own.outputs[0])}, {own.outputs[0].contact} to sleeve"
        tables += [_readings(found, ohms, at), _odd(own, found, ohms, at)]
    tables += [_alone(build, told), _bands(build, rows), _battery(chart)]
    tables += [_taps(own, plug_of(build, own.outputs[0])) for own in (each_output(chart) if chart else ())]
    tables.append(_by_ear(build, chart))
    return list_sheets(tables, context.job, paper, STAMP, "test", context.warning)


def _closures(context: SheetContext) -> Table:
    rows = []
    last = ""
    for one in closures(context.layout.build):
        joined = "; ".join(one.joined) or "nothing joined"
        rows.append(Row((Tick(), one.part, one.position, joined, one.apart, "" if one.part == last else one.check),
                        bold=3))
        last = one.part
    if rows:
        heading = "Each switch on its own, before it goes in: these lugs under 1 Ω, no others"
        rows.insert(0, Row((heading,), heading=True))
    columns = (Column("", 7), Column("part", 32), Column("position", 30), Column("under 1 Ω", 64),
               Column("joined to no other", 42), Column("how", 92))
    return Table(columns, tuple(rows), LETTERING)


def _wired(build: Build) -> Table:
    """What leads alone join."""
    rows = []
    for one in wired(build):
        sleeve = "" if one.sleeve is None or one.what == "hot" else _near(one.sleeve)
        rows.append(Row((Tick(), one.what, _chain(build, one.lugs), sleeve), bold=2))
    if rows:
        switches = ", whatever the switches do", ", switches at their first position"
        joined, stand = switches if next(closures(build), None) else ("", "")
        rows.insert(0, Row((f"Wired{_battery_out(build)}: joined by leads{joined}. To the sleeve: knobs at 10{stand}",),
                           heading=True))
    columns = (Column("", 7), Column("", 26), Column("under 1 Ω from each to the next", 176),
               Column("to the plug's sleeve", 58))
    return Table(columns, tuple(rows), LETTERING)


def _switched(build: Build) -> Table:
    """What each position of a switch joins and parts."""
    rows = []
    found = list(switched(build))
    usual = {one.control: one.held for one in reversed(found)}
    last = ""
    for one in found:
        held = one.held if one.held and (one.control != last or one.held != usual[one.control]) else ""
        last = one.control
        joined = "; ".join(_chain(build, group) for group in one.joined) or "nothing joined"
        rows.append(Row((Tick(), one.control, one.position, joined, _kept_apart(build, one), held), bold=3))
    if rows:
        rows.insert(0, Row((f"Wired{_battery_out(build)}, knobs at 10, by switch: joined under 1 Ω, or apart, where "
                            "the meter shows what lies across",), heading=True))
    more = any(one.held for one in found)
    columns = (Column("", 7), Column("switch", 28), Column("position", 30), Column("under 1 Ω", 78),
               Column("apart: must read", 86), Column("others stand at" if more else "", 38 if more else 1))
    return Table(columns, tuple(rows), LETTERING)


def _battery_out(build: Build) -> str:
    return ", battery out" if next(elements_of(build, "cell"), None) is not None else ""


def _chain(build: Build, lugs: Sequence[str]) -> str:
    return " = ".join(lug_in_words(build, lug) for lug in lugs)


def _kept_apart(build: Build, one: Switched) -> str:
    """Pairs that are apart, those with an end in common together."""
    by_end: dict[str, list[Apart]] = {}
    for pair in one.apart:
        by_end.setdefault(pair.other, []).append(pair)
    told = []
    for end, pairs in by_end.items():
        ones = ", ".join(f"{lug_in_words(build, pair.one)} {_near(pair.reading)}" for pair in pairs)
        told.append(f"{lug_in_words(build, end)} to {ones}")
    return "; ".join(told)


def _near(reading: Reading) -> str:
    """About what a meter shows between lugs that are apart."""
    if reading.kind == "open":
        return "open"
    return "not under 1 Ω" if reading.ohms is None else f"about {quantity(reading.ohms, RESISTANCE, 2)}"


def _grounds(context: SheetContext) -> Table:
    rows = [Row((Tick(), f"{one.what} to the plug's sleeve", one.expected, BLANK))
            for one in ground_checks(context.layout.build)]
    if rows:
        rows.insert(0, Row(("Metal to sleeve, plug in; from the strings, not the bridge (lacquer, nylon saddles)",),
                           heading=True))
    columns = (Column("", 7), Column("between", 90), Column("must read", 110), Column("metered", 30))
    return Table(columns, tuple(rows), LETTERING, len(rows) < SHORT)


def _readings(found: Sequence[PlugReading], ohms: bool, at: str) -> Table:
    """The readings at a plug by position; none where no ohm figure would mean anything in any."""
    rows = [_reading(one) for one in found[:LISTED]] if ohms else []
    if ohms and len(found) > LISTED:
        rows.append(Row((f"... and {len(found) - LISTED} more: try each switch by itself, as above",), heading=True))
    if rows:
        rows.insert(0, Row((f"{at}, by position",), heading=True))
    columns = (Column("", 7), Column("position", 60), Column("sounds", 64), Column("knobs at 10", 46),
               Column("metered", 26), Column("knobs at 0", 44), Column("metered", 26))
    return Table(columns, tuple(rows), LETTERING, len(rows) < SHORT)


def _reading(one: PlugReading) -> Row:
    return Row((Tick(), one.state, one.sounds, _band(one.at_ten), BLANK if one.at_ten.ohms else "",
                _band(one.at_zero), BLANK if one.at_zero and one.at_zero.kind == "value" else ""), bold=3)


def _odd(chart: StateTable, found: Sequence[PlugReading], ohms: bool, at: str) -> Table:
    rows = [Row((line,)) for line in odd_readings(chart, found)]
    if rows:
        plug = at.partition(", ")[0].removeprefix("At ")
        heading = (f"What another reading at {plug} means here" if ohms else
                   f"{at}: no ohm test here in any position")
        rows.insert(0, Row((heading,), heading=True))
    return Table((Column("", 240),), tuple(rows), LETTERING, len(rows) < SHORT)


def _alone(build: Build, ohms: bool) -> Table:
    """Each pickup with its lead lifted, where the plug tells nothing."""
    rows = []
    for one in () if ohms else pickups_alone(build):
        between = f"{lug_in_words(build, one.ends[0])} to {lug_in_words(build, one.ends[1])}"
        told = _band(one.reading) if one.reading else "no ohm test here: a contact transducer is a capacitor"
        rows.append(Row((Tick(), between, told, BLANK if one.reading else ""), bold=2))
    if rows:
        rows.insert(0, Row((f"Each pickup by itself{_battery_out(build)}, one of its leads lifted",), heading=True))
    columns = (Column("", 7), Column("between", 90), Column("must read", 110), Column("metered", 30))
    return Table(columns, tuple(rows), LETTERING, len(rows) < SHORT)


def _bands(build: Build, rows: Sequence[PlugReading]) -> Table:
    """Where the bands above come from."""
    return Table((Column("", 240),), (Row((band_words(build),)),) if rows else (), LETTERING)


def _battery(chart: StateTable | None) -> Table:
    rows = [Row((Tick(), one.plug, one.expected, BLANK), bold=2) for one in (battery_tests(chart) if chart else ())]
    if rows:
        rows.insert(0, Row(("Battery current, meter in its line, milliamperes; stages as their sheets say",),
                           heading=True))
    columns = (Column("", 7), Column("plug", 90), Column("must read", 110), Column("metered", 30))
    return Table(columns, tuple(rows), LETTERING, whole=True)


def _taps(chart: StateTable, plug: str) -> Table:
    """Who answers a tap in each position, and the swing of the meter."""
    found = tap_tests(chart)
    tap = TAP if plug == "the plug" else f"{TAP}, on {plug}"
    if chart.outputs[0].contact == "ring":
        tap += " (its ring)"
    kick = any(one.kicks for one in found)
    rows = []
    for one in found[:MOST]:
        state = f"{one.state} (and {one.alike} alike)" if one.alike else one.state
        swing = "; ".join(one.kicks) or ("no kick here: listen" if kick and one.loud else "")
        rows.append(Row((Tick(), state, ", ".join(one.loud) or "no coil", ", ".join(one.weaker), swing,
                         BLANK if kick else ""), bold=2))
    if rows:
        rows.insert(0, Row((tap + KICK.format(plug=plug, contact=chart.outputs[0].contact) if kick else tap,),
                           heading=True))
    if len(found) > MOST:
        rows.append(Row(("", f"... and {len(found) - MOST} more", "", "", "", "")))
    columns = (Column("", 7), Column("position", 66), Column("loud", 52), Column("much weaker, or silent", 52),
               Column("the meter kicks" if kick else "", 66 if kick else 1), Column("seen" if kick else "", 24))
    return Table(columns, tuple(rows), LETTERING, len(rows) < SHORT)


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


def _splits(chart: StateTable) -> bool:
    """Whether in some position one coil of a pickup sounds well and another of it does not."""
    coils: dict[str, set[str]] = {}
    for part, element in elements_of(chart.build, "coil"):
        coils.setdefault(part.name, set()).add(winding_name(part, element))
    loud = [{h.called for h in one.sound.sounding if not h.weak} for r in chart.results for one in r.heard]
    return any(own & sounding and own - sounding for own in coils.values() for sounding in loud)


def _by_ear(build: Build, chart: StateTable | None) -> Table:
    """What ear and hand tell; of coils and transducers only where the build has them."""
    idle = "The idle coil of a split dual coil is never quite silent: much weaker is enough."
    tapped = "A transducer is tapped on its saddle or top."
    first = " ".join([*([idle] if chart is not None and _splits(chart) else ()),
                      *([tapped] if any(True for _ in elements_of(build, "transducer")) else ())])
    return _ticked("By ear and hand, plugged in (earthed, tested amplifier only, turned low)", (
        *([first] if first else ()),
        *TOUCH,
        "Turn every knob end to end, throw every switch: no crackle, no dead place. Wiggle the plug.",
        "No clippings left in the cavity; hot lugs clear of the cover and its foil; close, restring, heights back.",
    ))


def _ticked(heading: str, lines: Sequence[str]) -> Table:
    rows = [Row((heading,), heading=True), *(Row((Tick(), line)) for line in lines)]
    return Table((Column("", 7), Column("", 240)), tuple(rows), LETTERING, whole=True)
