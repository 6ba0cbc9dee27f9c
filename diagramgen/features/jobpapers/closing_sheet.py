"""The closing sheet: what is done and looked at before the instrument goes back to its player."""

from __future__ import annotations

from dataclasses import replace

from diagramgen.job.job_questions import cells, handles, pickups
from diagramgen.kernel.paper import Paper
from diagramgen.model.build import Build
from diagramgen.sheets.context import SheetContext, SheetMaker
from diagramgen.sheets.forms import blank, line_for, ruled
from diagramgen.sheets.table import Table
from diagramgen.sheets.table_sheets import list_sheets

STAMP = "closing: before it goes back"


def closing_sheets(context: SheetContext, paper: Paper) -> list[SheetMaker]:
    """The closing sheet of a build."""
    build = context.layout.build
    tables = [_shut(build), _handles(build), _strung(build), _last(build, paper)]
    return list_sheets([t for t in tables if t.rows], context.job, paper, STAMP, "closing", context.warning)


def _shut(build: Build) -> Table:
    plates = [name for name, cavity in build.cavities.items() if cavity.plate is not None]
    held = f"; plates: {', '.join(plates)}" if plates else ""
    return ruled("Before the covers go on", [
        ("test page", "every line filled in and within its band"),
        ("cavity", "no clippings, no beads of solder, nothing loose; hot lugs clear of cover and foil"),
        ("leads", "none pinched under a cover, plate or pickup; ties hand tight"),
        ("screws", f"counted: {blank(14)} out, {blank(14)} back{held}"),
    ])


def _handles(build: Build) -> Table:
    lines = []
    for one in handles(build):
        if one.kind == "knob":
            lines.append((one.says, "pointer right at both ends of the turn, knob clear of the top, set screw tight"))
        elif one.kind == "trimmer":
            lines.append((one.says, f"set at {blank(20)}"))
        else:
            lines.append((one.says, f"tip or knob on; clicks into {', '.join(one.positions)}"))
    return ruled("Knobs and switches", lines) if lines else Table((), ())


def _strung(build: Build) -> Table:
    return ruled("Strings and heights", [
        ("strings", f"on, stretched, in tune; gauges {blank(40)}"),
        *((f"{says}: height back", f"bass side {blank(16)} mm, treble side {blank(16)} mm (as on the intake sheet)")
          for says in pickups(build)),
    ])


def _last(build: Build, paper: Paper) -> Table:
    """What is done with the instrument shut, on one page."""
    plugged, handed = _plugged_in(), _handed_over(build, paper)
    return replace(plugged, rows=plugged.rows + handed.rows)


def _plugged_in() -> Table:
    return ruled("Plugged in, earthed and tested amplifier only, turned low", [
        ("every position", "each sounds as its legend says; every knob end to end: no crackle, no dead place"),
        ("jack", "cable wiggled and turned: no crackle, no drop; nut tight"),
        ("touch", "strings touched: hum falls or stays"),
    ])


def _handed_over(build: Build, paper: Paper) -> Table:
    line = line_for(paper)
    battery = [(says, f"new, terminals covered until it goes in; date {blank(24)} volts {blank(16)}; tell the player "
                "to pull the plug") for says in cells(build)]
    return ruled("Handed over", [
        *battery,
        ("old parts", f"bagged, labelled with the job, given back: {blank(60)}"),
        ("papers", "legend in the cover; diagram, readings and how to undo it to the customer"),
        ("remarks", line), ("", line),
        ("done by, date", line),
        ("taken back by, date", line),
    ])
