"""The intake sheet: what is asked, looked at and metered before the instrument is opened."""

from __future__ import annotations

from diagramgen.circuit.check_wanted import EACH_PLUGGED, ONLY, PLUGGED
from diagramgen.circuit.net_roles import jacks
from diagramgen.circuit.outputs import Output, outputs
from diagramgen.job.job_questions import cells, handles, no_ohms, pickups, positions
from diagramgen.job.output_words import jack_words, output_words
from diagramgen.kernel.paper import Paper
from diagramgen.model.build import Build
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.forms import LETTERING, blank, line_for, ruled
from diagramgen.sheets.table import Cell, Column, Row, Table, Tick
from diagramgen.sheets.table_sheets import list_sheets

SHORT = 8
"""Rows up to which a table is kept together."""
STAMP = "intake: before opening"


def intake_sheets(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The intake sheet of a build, of its state as found where the file knows it."""
    build = context.layout.build
    found = build.as_found.build if build.as_found is not None else build
    # What is asked and seen over the counter first, what is played and metered after it.
    tables = [_asked(found, paper), _looked_at(found, paper), _readings(found), _controls(found), _heights(found),
              ruled("Remarks", [("", line_for(paper))] * 5)]
    return list_sheets(tables, context.job, paper, STAMP, "intake", context.warning)


def _asked(build: Build, paper: Paper) -> Table:
    line, name = line_for(paper), build.record.get("customer", "")
    return ruled("Asked", [
        ("customer", name or line),
        ("complaint, in the customer's words", line), ("", line), ("", line),
        ("since when, what was done before", line),
        ("parts the customer brings", line),
        ("price limit, and who agreed to it", line),
        ("may be drilled, routed, cut: yes or no", line),
    ])


def _readings(build: Build) -> Table:
    found, every = positions(build), outputs(build)
    how = "tip to sleeve" if len(every) < 2 else "each output at its own plug"
    rows: list[Row] = [Row((f"At the plug before opening: {how}, knobs at 10, blends and trimmers in the "
                            "middle; then by ear, tapping the pickups",), heading=True)]
    short = blank(22)
    for says in found.says:
        position = "only position" if says == ONLY else says
        told = [] if says in (ONLY, PLUGGED, EACH_PLUGGED) else [position]
        plugs = [", ".join([*told, f"at {_at_plug(build, one)}"]) for one in every]
        for where in plugs if len(every) > 1 else [position]:
            cells_: tuple[Cell, ...] = (Tick(), where, short, short, short, blank(50))
            rows.append(Row(cells_, bold=1))
    notes = ["each control alone through its positions, the others as in the first line"] if found.one_by_one else []
    notes += [f"... and {found.more} more"] if found.more else []
    notes += ["a stage or crystal on the way: no ohm test there, listen"] if no_ohms(build) else []
    rows += [Row(("", note, "", "", "", "")) for note in notes]
    columns = (Column("", 7), Column("position", 96), Column("ohms", 30), Column("which sound", 30),
               Column("hum", 30), Column("weak, thin, crackles", 60))
    # With few positions it is one page's work with the controls and heights.
    return Table(columns, tuple(rows), LETTERING, whole=len(rows) <= SHORT)


def _at_plug(build: Build, output: Output) -> str:
    """``piezo out``, ``output, ring (stereo plug)``."""
    return output_words(build, output) + (" (stereo plug)" if output.plug == "stereo" else "")


def _controls(build: Build) -> Table:
    rows: list[Row] = []
    for one in handles(build):
        how = "end to end" if one.kind in ("knob", "trimmer") else ", ".join(one.positions)
        rows.append(Row((Tick(), one.says, how, blank(18), blank(18), blank(18), blank(40)), bold=1))
    found = jacks(build)
    for says in [jack_words(build, jack.name) for jack in found] if len(found) > 1 else ["jack"]:
        rows.append(Row((Tick(), says, "plug in, wiggle", blank(18), blank(18), blank(18), blank(40)), bold=1))
    columns = (Column("", 7), Column("control", 62), Column("move it", 66), Column("scratchy", 25), Column("dead", 25),
               Column("loose", 25), Column("remark", 50))
    return Table(columns, tuple(rows), LETTERING, whole=True)


def _heights(build: Build) -> Table:
    rows = [Row((Tick(), says, blank(24), blank(24), blank(60)), bold=1) for says in pickups(build)]
    columns = (Column("", 7), Column("pickup: top to string, last fret pressed", 92), Column("bass side, mm", 34),
               Column("treble side, mm", 34), Column("remark", 84))
    return Table(columns, tuple(rows), LETTERING, whole=True)


def _looked_at(build: Build, paper: Paper) -> Table:
    line = line_for(paper)
    battery = [(f"{says}: date in it, volts", line) for says in cells(build)]
    return ruled("Looked at", [
        *battery,
        ("marks and damage", line), ("", line),
        ("strings: gauges, age", line),
        ("tuning; action at the 12th fret", line),
        ("photographs", "front, back, marks; the cavity before a wire is moved; every lug of the switches"),
        ("screws and covers, where from", line),
        ("taken in by, date", line),
        ("customer agrees: signature", line),
    ])
