"""The fault sheet: what the meter or the ear gives, and the joints to look at first."""

from __future__ import annotations

from diagramgen.circuit.states import TooMany
from diagramgen.sheets.lists import list_sheets
from diagramgen.sheets.panel import SheetMaker, Subject
from diagramgen.sheets.paper import Paper
from diagramgen.sheets.table import Column, Row, Table
from diagramgen.work.faults.listing import single_faults
from diagramgen.work.faults.lookup import LookUp, LookUpRow, look_up
from diagramgen.work.faults.simulate import simulate
from diagramgen.work.faults.wiring import wiring

LETTERING = 2.0
STAMP = "fault sheet: one thing wrong, where to look first"
ROWS = 22
"""Rows of the page at most; the rest is for the command ``fault``."""
PLACES_WIDTH = 150.0


def fault_sheets(subject: Subject, paper: Paper, alone: bool = False) -> list[SheetMaker]:
    """The fault sheet; nothing for a build without an output jack or with more states than are solved."""
    try:
        laid = wiring(subject.layout.build)
    except (TooMany, ValueError):
        return []
    found = look_up(simulate(laid, single_faults(laid)))
    return list_sheets([_table(found), _notes(found)], subject.job, paper, STAMP, "faults", subject.warning, alone)


def _table(found: LookUp) -> Table:
    how = ("By ear, every pickup tapped, knobs at 10 (no ohm figure means anything at this plug)" if found.by_ear else
           "At the plug, tip to sleeve, knobs at 10, blends and trimmers at 5; blank: as it should be")
    rows = [Row((how,), heading=True), Row((*found.healthy, "nothing is wrong"), bold=len(found.healthy))]
    rows += [Row((*row.shown, _places(row))) for row in found.rows[:ROWS]]
    width = 130.0 / max(len(found.positions), 1)
    columns = (*(Column(p, width) for p in found.positions), Column("look here, the likeliest first", PLACES_WIDTH))
    return Table(columns, tuple(rows), LETTERING)


def _places(row: LookUpRow) -> str:
    said = []
    for kind, places, more in row.faults:
        rest = f" and {more} more" if more else ""
        said.append(f"{kind}: {', '.join(places)}{rest}")
    return "; ".join(said)


def _notes(found: LookUp) -> Table:
    lines = []
    left = len(found.rows) - ROWS
    if left > 0:
        lines.append(f"{left} rarer patterns are left out: diagramgen fault with what was seen ranks every one.")
    lines += [
        f"{found.unseen} faults show in none of these positions (a tone that does nothing, a braid off its case): turn "
        "each knob, tap each pickup, meter each case and the strings to the sleeve.",
        "One fault at a time is worked out. Readings that fit no row: two faults, or one that is not in the list; take "
        "them again with the plug wiggled and the switch thrown a few times.",
        "How often each kind is met is a technician's judgement, no source. Amplifier unplugged while metering.",
    ]
    rows = [Row((line,)) for line in lines]
    return Table((Column("", 280),), tuple(rows), LETTERING)
